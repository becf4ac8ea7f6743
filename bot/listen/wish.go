package listen

import (
	"maps"
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// wishesOf gathers the phrases that say what is wanted of a print, or what was
// said of a hard good's coating.
func wishesOf(base *knowledge.Base) map[string]string {
	out := map[string]string{}
	for _, x := range base.Lexicons {
		if x.Kind == "wish" {
			for phrase, id := range x.Words {
				out[Fold(phrase)] = id
			}
		}
	}
	return out
}

// wished reads what is wanted of the print, and what was said of a hard good's
// coating, by the phrases of the base.
func (l *Listener) wished(r span.Reading) (wish []string, coated string) {
	text := spaced(r)
	for _, phrase := range slices.Sorted(maps.Keys(l.wishes)) {
		if !strings.Contains(text, " "+phrase+" ") {
			continue
		}
		switch id := l.wishes[phrase]; id {
		case "coated":
			if coated == "" {
				coated = "yes"
			}
		case "uncoated":
			coated = "no"
		default:
			if !slices.Contains(wish, id) {
				wish = append(wish, id)
			}
		}
	}
	return wish, coated
}

// spaced is a message in its words, each between two spaces.
func spaced(r span.Reading) string {
	words := make([]string, len(r.Tokens))
	for i, t := range r.Tokens {
		words[i] = t.Text
	}
	return " " + strings.Join(words, " ") + " "
}
