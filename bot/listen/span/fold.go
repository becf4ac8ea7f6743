package span

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// plainSigns makes typographic signs plain, so that each has one form. Only
// notation, no words.
var plainSigns = strings.NewReplacer(
	"\u201c", `"`, "\u201d", `"`, "\u201e", `"`, "\u2033", `"`, "\u02ba", `"`, "''", `"`,
	"\u2018", "'", "\u2019", "'", "\u2032", "'", "\u02b9", "'", "`", "'", "\u00b4", "'",
	"\u2010", "-", "\u2011", "-", "\u2012", "-", "\u2013", "-", "\u2014", " - ", "\u2212", "-",
	"\u00d7", "x", "\u2715", "x", "\u2044", "/", "\u00ba", "\u00b0",
	"\u00bf", " ", "\u00a1", " ", // the opening marks of Spanish
)

// Clean returns text without control, zero-width and direction marks, in
// composed form (Unicode NFKC), with plain quotes, dashes and fractions. Line
// breaks stay; other white space becomes one blank each. Case is kept.
func Clean(text string) string {
	if isPlain(text) {
		return text
	}
	var b strings.Builder
	b.Grow(len(text) + 8)
	for _, r := range text {
		switch {
		case r == utf8.RuneError || r == '\u00ad':
		case r == '\n' || r == '\u2028' || r == '\u2029':
			b.WriteByte('\n')
		case r == '\t' || r == '\r' || unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
		case isVulgarFraction(r):
			b.WriteByte(' ')
			b.WriteRune(r)
		default:
			b.WriteRune(r)
		}
	}
	s := plainSigns.Replace(b.String())
	return plainSigns.Replace(norm.NFKC.String(s))
}

func isVulgarFraction(r rune) bool {
	return r >= '\u00bc' && r <= '\u00be' || r >= '\u2150' && r <= '\u215e'
}

// isPlain reports whether text is printable ASCII that Clean would not touch.
func isPlain(text string) bool {
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c >= utf8.RuneSelf || c < ' ' && c != '\n' || c == 0x7f || c == '`' ||
			c == '\'' && i+1 < len(text) && text[i+1] == '\'' {
			return false
		}
	}
	return true
}

// Fold returns a word in the form in which words are compared: lower case,
// without accents and apostrophes.
func Fold(word string) string {
	if isLowerWord(word) {
		return word
	}
	var b strings.Builder
	b.Grow(len(word))
	for _, r := range norm.NFD.String(word) {
		if r == '\'' || unicode.Is(unicode.Mn, r) {
			continue
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

func isLowerWord(word string) bool {
	for i := 0; i < len(word); i++ {
		if c := word[i]; c >= utf8.RuneSelf || c == '\'' || c >= 'A' && c <= 'Z' {
			return false
		}
	}
	return true
}
