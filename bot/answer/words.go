package answer

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// plain writes a number without trailing zeros, at most two decimals.
func plain(v float64) string {
	t := strconv.FormatFloat(v, 'f', 2, 64)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	return t
}

// round keeps facts free of binary dust: six decimals.
func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// upper begins a sentence.
func upper(s string) string {
	return first(s, unicode.ToUpper)
}

// first changes the case of the first letter of a sentence, which may stand
// behind an opening mark: "¿Qué?".
func first(s string, to func(rune) rune) string {
	at := strings.IndexFunc(s, func(r rune) bool { return r != '¿' && r != '¡' && r != '(' })
	if at < 0 {
		return s
	}
	r, n := utf8.DecodeRuneInString(s[at:])
	return s[:at] + string(to(r)) + s[at+n:]
}

// stop ends a sentence where it has no end yet.
func stop(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

// and joins words as prose: "a, b and c".
func and(words []string, last string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}

// plural adds the ending of more than one.
func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	switch {
	case strings.HasSuffix(word, "ch"), strings.HasSuffix(word, "ss"), strings.HasSuffix(word, "x"), strings.HasSuffix(word, "sh"):
		return word + "es"
	case strings.HasSuffix(word, "s"): // joggers, socks
		return word
	case strings.HasSuffix(word, "y") && len(word) > 1 && !strings.ContainsRune("aeiou", rune(word[len(word)-2])):
		return word[:len(word)-1] + "ies"
	}
	return word + "s"
}

// article returns "a" or "an".
func article(word string) string {
	if word != "" && strings.ContainsRune("aeiouAEIOU8", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// keysByShare returns a fibre map's keys, largest share first, then by name.
func keysByShare(m map[string]int) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b string) int {
		if m[a] != m[b] {
			return m[b] - m[a]
		}
		return strings.Compare(a, b)
	})
	return keys
}

// join strings parts into a run of words.
func join(parts []string) string { return strings.Join(parts, ", ") }

func lower(s string) string { return strings.ToLower(s) }

// lowerFirst begins a clause after a colon.
func lowerFirst(s string) string {
	return first(s, unicode.ToLower)
}

func trimStop(s string) string { return strings.TrimSuffix(strings.TrimSpace(s), ".") }

// rounded writes a number without decimals.
func rounded(v float64) string { return plain(math.Round(v) + 0) }
