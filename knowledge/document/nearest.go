package document

import (
	"fmt"
	"slices"
	"strings"

	"github.com/hbollon/go-edlib"
)

// Nearest returns the allowed word closest to word by edit distance (swapped
// letters count once), or "" where none is close: more than a third of the
// letters, rounded up, would have to change. Ties go to the first in order.
func Nearest(word string, allowed []string) string {
	best, bestDistance := "", (len([]rune(word))+2)/3+1
	for _, a := range allowed {
		if d := edlib.OSADamerauLevenshteinDistance(strings.ToLower(word), strings.ToLower(a)); d < bestDistance {
			best, bestDistance = a, d
		}
	}
	return best
}

// Suggest says which word to write instead of a wrong one: the nearest, then
// what is allowed, so far as the list is short enough to be read.
func Suggest(word string, allowed []string) string {
	const readable = 30
	var parts []string
	if near := Nearest(word, allowed); near != "" {
		parts = append(parts, fmt.Sprintf("write %q", near))
	}
	if len(allowed) > 0 && len(allowed) <= readable {
		parts = append(parts, "allowed: "+strings.Join(slices.Clone(allowed), ", "))
	}
	return strings.Join(parts, "; ")
}
