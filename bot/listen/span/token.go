package span

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxDigits bounds the digits of a number that is read as one: float64 holds
// 15 digits exactly, and no count, measure or reference in words is longer.
const maxDigits = 15

// tokenize splits cleaned text into words, numbers and signs. Letters and
// digits come apart ("24pc", "S4", "9x7"); an apostrophe inside a word is
// dropped, a single hyphen between two tokens is kept as a mark on the second;
// "p.m." is one word. A line break is the sign "\n".
func tokenize(text string) []Token {
	tokens := make([]Token, 0, len(text)/4+4)
	end, hyphen := 0, false
	add := func(t Token) {
		t.Glued = len(tokens) > 0 && t.Start == end
		t.Hyphen = hyphen
		t.Word, t.Score = t.Text, 1
		tokens = append(tokens, t)
		end, hyphen = t.End, false
	}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == '\n':
			add(Token{Raw: "\n", Text: "\n", Start: i, End: i + 1})
			i++
		case unicode.IsSpace(r):
			i += size
		case unicode.IsDigit(r) || r == '.' && startsDigit(text[i+1:]) && !endsDigit(text[:i]):
			n := scanNumber(text[i:])
			add(numberToken(text[i:i+n], i))
			i += n
		case unicode.IsLetter(r):
			n := scanWord(text[i:])
			if end == i && len(tokens) > 0 && tokens[len(tokens)-1].IsNumber && timesSize(tokens[len(tokens)-1].Text, text[i:i+n]) {
				n = 1
			}
			raw := text[i : i+n]
			add(Token{Raw: raw, Text: foldWord(raw), Start: i, End: i + n})
			i += n
		case r == '-' && end == i && len(tokens) > 0 && isWordToken(tokens[len(tokens)-1]) && startsWordOrDigit(text[i+1:]):
			hyphen = true
			i++
		case unicode.IsMark(r):
			i += size
		default:
			add(Token{Raw: text[i : i+size], Text: text[i : i+size], Start: i, End: i + size})
			i += size
		}
	}
	return tokens
}

func isWordToken(t Token) bool {
	r, _ := utf8.DecodeRuneInString(t.Text)
	return t.IsNumber || unicode.IsLetter(r)
}

func startsDigit(s string) bool { return len(s) > 0 && s[0] >= '0' && s[0] <= '9' }

func endsDigit(s string) bool {
	return len(s) > 0 && s[len(s)-1] >= '0' && s[len(s)-1] <= '9'
}

func startsWordOrDigit(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r) || unicode.IsDigit(r)
}

// scanWord returns the length of the word at the start of s.
func scanWord(s string) int {
	i := 0
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case unicode.IsLetter(r) || unicode.IsMark(r):
		case r == '\'' && i > 0 && startsLetter(s[i+size:]):
		case r == '.' && i > 0 && singleLetters(s[:i]) && singleLetterNext(s[i+size:]):
		default:
			return i
		}
		i += size
	}
	return i
}

// timesSize reports whether a word that touches digits is the sign x and a
// size after it: "4xS", "10xM". In small letters only xm is no size itself,
// and "2xL" is the size.
func timesSize(digits, w string) bool {
	if len(w) < 2 || w[0] != 'x' || len(digits) == 1 && strings.EqualFold(w, "xl") {
		return false
	}
	return w[1:] == strings.ToUpper(w[1:]) || w == "xm"
}

func startsLetter(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r)
}

// singleLetters reports whether s is "p", "p.m" and the like.
func singleLetters(s string) bool {
	for i := 0; i < len(s); i++ {
		if i%2 == 1 != (s[i] == '.') || s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return len(s)%2 == 1
}

func singleLetterNext(s string) bool {
	return startsLetter(s) && (len(s) == 1 || !startsLetter(s[1:]))
}

// foldWord folds a word and closes up abbreviations: "p.m" is "pm".
func foldWord(raw string) string {
	w := Fold(raw)
	if strings.IndexByte(w, '.') >= 0 {
		w = strings.ReplaceAll(w, ".", "")
	}
	return w
}

// scanNumber returns the length of the number at the start of s: digits with
// commas between groups of three and one decimal point.
func scanNumber(s string) int {
	i := digits(s)
	for i > 0 && i <= 12 && i < len(s) && s[i] == ',' && digits(s[i+1:]) == 3 {
		i += 4
	}
	if i < len(s) && s[i] == '.' && startsDigit(s[i+1:]) {
		i += 1 + digits(s[i+1:])
	}
	if i == 0 { // a digit of another script
		_, size := utf8.DecodeRuneInString(s)
		return size
	}
	return i
}

func digits(s string) int {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

func numberToken(raw string, start int) Token {
	t := Token{Raw: raw, Text: raw, Start: start, End: start + len(raw)}
	plain := strings.ReplaceAll(raw, ",", "")
	if len(plain) > maxDigits+1 {
		return t
	}
	if v, err := strconv.ParseFloat(plain, 64); err == nil {
		t.Number, t.IsNumber = v, true
	}
	return t
}
