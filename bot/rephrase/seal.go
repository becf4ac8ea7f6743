package rephrase

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A sealed line is one as it is sent: text with tokens, and what they hide.
type sealedLine struct {
	prefix string // "3. ", kept here
	text   string
	hidden []string // in the order of their tokens
	first  int      // number of the first token

	negative map[string]bool // tokens that hide a negation
}

// figure matches a number with its limit words, range, units and the same in
// brackets: "about 10-12 in (254-305 mm)". Limit words belong to it: "at most"
// must not wander or get lost.
var figure = regexp.MustCompile(`(?i)^(?:(?:about|around|roughly|up to|at least|at most|less than|more than|under|over|below|above|from|within|inside|only|every|unos|unas|hasta|desde|al menos|como máximo|más de|menos de|bajo|sobre)\s+)*` +
	one + `(?:\s*(?:to|or|and|a|o|y|x|×|by|-|–)\s*` + one + `)*(?:\s+(?:and up|or more|or less|at most|o más|o menos|como máximo)\b)?`)

const one = `\d(?:[\d.,:/x]*\d)?(?:\s?(?:°\s?[FC]|%(?: RH)?|oz/yd²|g/m²|(?:mm|cm|min|ppi|dpi|deg|washes|lavadas|launderings|days?|hours?|seconds?|minutes?|working days|steps|pasos|pieces|in|am|pm|oz|s|h|g|m)\b))*(?:\s\([^()]*\d[^()]*\))?`

// token writes the name of token n: two consonants, so that it spells nothing.
func token(n int) string {
	const letters = "BCDFGHJKLMNPQRSTVWXZ"
	return "[[" + string(letters[n/len(letters)%len(letters)]) + string(letters[n%len(letters)]) + "]]"
}

// mostTokens is how many names token has.
const mostTokens = 400

// seal hides what may not change. ok is false for a line that is kept here.
func (w *words) seal(line string, first int) (s sealedLine, ok bool) {
	s.first, s.negative = first, map[string]bool{}
	s.prefix = numbered.FindString(line)
	rest := line[len(s.prefix):]
	if rest == "" || strings.HasSuffix(rest, ":") || strings.ContainsAny(rest, "[]<>“”\"@#$€£\n`") || strings.Contains(rest, "://") {
		return s, false
	}
	var out strings.Builder
	hide := func(text string) {
		out.WriteString(token(first + len(s.hidden)))
		if w.negation[strings.ToLower(text)] {
			s.negative[token(first+len(s.hidden))] = true
		}
		s.hidden = append(s.hidden, text)
	}
	for at := 0; at < len(rest); {
		if n := w.fixed(rest[at:]); n > 0 {
			hide(rest[at : at+n])
			at += n
			continue
		}
		n := wordLength(rest[at:])
		if n == 0 {
			_, n = utf8.DecodeRuneInString(rest[at:])
		} else if strings.ContainsFunc(rest[at:at+n], unicode.IsNumber) {
			hide(rest[at : at+n])
			at += n
			continue
		}
		out.WriteString(rest[at : at+n])
		at += n
	}
	s.text = out.String()
	// A line with a character that no reply may hold could never come back.
	if strings.ContainsFunc(s.text, odd) || strings.ContainsFunc(s.text, unicode.IsNumber) || first+len(s.hidden) > mostTokens {
		return s, false
	}
	return s, true
}

var numbered = regexp.MustCompile(`^\d+\. `)

// fixed is the length of what must be sealed at the head of text, which is
// the start of a word.
func (w *words) fixed(text string) int {
	if nearFigure(text) {
		if m := figure.FindString(text); m != "" {
			return len(m)
		}
	}
	if _, ok := w.sealed[strings.ToLower(text[:wordLength(text)])]; !ok {
		return 0
	}
	var lower []string
	var ends []int
	at := 0
	for len(lower) < 6 {
		n := wordLength(text[at:])
		if n == 0 {
			break
		}
		lower = append(lower, strings.ToLower(text[at:at+n]))
		at += n
		ends = append(ends, at)
		if !strings.HasPrefix(text[at:], " ") {
			break
		}
		at++
	}
	if p, ok := w.sealed.match(lower); ok {
		return ends[len(p.words)-1]
	}
	return 0
}

// mostLimits bounds the limit words before a figure, in bytes: the longest are
// three, such as "within about".
const mostLimits = 40

// nearFigure reports that only words stand between here and the next digit. It
// spares nearly every word the figure's pattern.
func nearFigure(text string) bool {
	at := strings.IndexFunc(text[:min(mostLimits, len(text))], func(r rune) bool { return r != ' ' && !unicode.IsLetter(r) })
	return at >= 0 && '0' <= text[at] && text[at] <= '9'
}

// wordLength is the length of the word at the head of text, hyphens and
// apostrophes inside it included.
func wordLength(text string) int {
	end := 0
	for i, r := range text {
		switch {
		case unicode.IsLetter(r) || unicode.IsMark(r) || unicode.IsNumber(r):
			end = i + utf8.RuneLen(r)
		case (r == '\'' || r == '’' || r == '-') && end == i && i > 0:
		default:
			return end
		}
	}
	return end
}

// open sets the hidden parts back.
func (s sealedLine) open(text string) string {
	pairs := make([]string, 0, 2*len(s.hidden))
	for i, h := range s.hidden {
		pairs = append(pairs, token(s.first+i), h)
	}
	return s.prefix + capital(strings.NewReplacer(pairs...).Replace(text))
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
