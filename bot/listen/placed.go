package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// placed are the phrases of a lexicon by where they must stand.
type placed map[string][][]string

func placedOf(base *knowledge.Base, kind string) placed {
	out := placed{}
	for _, x := range base.Lexicons {
		if x.Kind != kind {
			continue
		}
		for where, list := range x.Words {
			out[where] = append(out[where], placedIn(where, strings.Split(list, ","))[where]...)
		}
	}
	return out
}

// placedIn are phrases of one place.
func placedIn(where string, phrases []string) placed {
	out := placed{}
	for _, phrase := range phrases {
		words := strings.Fields(Fold(phrase))
		if len(words) == 0 { // a sign
			words = []string{strings.TrimSpace(phrase)}
		}
		out[where] = append(out[where], words)
	}
	return out
}

// littleBefore is the token after the last word before a place that is not a
// little one: "hates the idea of | sublimation" is at "hates".
func (f placed) littleBefore(r span.Reading, at int) int {
	for at > 0 && f.has("little", r.Tokens[at-1].Text) {
		at--
	}
	return at
}

// has reports a word of a place's own.
func (f placed) has(where, word string) bool {
	return slices.ContainsFunc(f[where], func(p []string) bool { return len(p) == 1 && p[0] == word })
}

// inside reports a phrase anywhere in a message.
func (f placed) inside(r span.Reading, where string) bool {
	for i := range r.Tokens {
		if f.startAt(r, where, i) {
			return true
		}
	}
	return false
}

// endAt reports a phrase whose last word stands right before token at.
func (f placed) endAt(r span.Reading, where string, at int) bool {
	return slices.ContainsFunc(f[where], func(p []string) bool { return isAt(r, at-len(p), p) })
}

// startAt reports a phrase that begins at a token.
func (f placed) startAt(r span.Reading, where string, at int) bool {
	return slices.ContainsFunc(f[where], func(p []string) bool { return isAt(r, at, p) })
}

func isAt(r span.Reading, at int, phrase []string) bool {
	if at < 0 || at+len(phrase) > len(r.Tokens) {
		return false
	}
	for i, w := range phrase {
		if r.Tokens[at+i].Text != w {
			return false
		}
	}
	return true
}
