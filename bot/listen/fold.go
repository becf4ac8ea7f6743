package listen

import (
	"strings"
	"unicode"

	"presshand/bot/listen/span"
)

// Fold returns text in the form in which wordings are compared: cleaned,
// lower case, without accents and apostrophes; hyphens and punctuation are
// blanks, save where they carry meaning (the point in 5.3, the slash in
// 50/50, %, and braces around a slot).
func Fold(text string) string {
	if folded(text) {
		return text
	}
	folded := []rune(span.Fold(span.Clean(text)))
	var b strings.Builder
	b.Grow(len(folded))
	blank := true
	for i, r := range folded {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("{}_%/", r) ||
			r == '.' && i+1 < len(folded) && unicode.IsDigit(folded[i+1]) {
			b.WriteRune(r)
			blank = false
			continue
		}
		if !blank {
			b.WriteByte(' ')
		}
		blank = true
	}
	return strings.TrimSuffix(b.String(), " ")
}

// folded reports text that is plainly in that form already, as most wordings
// are: lower-case ASCII words and figures with one blank between.
func folded(text string) bool {
	for i := range len(text) {
		switch c := text[i]; {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9', strings.IndexByte("{}_%/", c) >= 0:
		case c == ' ' && i > 0 && i+1 < len(text) && text[i-1] != ' ':
		default:
			return false
		}
	}
	return true
}
