package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// meanings are the phrases that ask what a word of the trade means, however
// else the message goes on, by where they stand: "any"where, right "before" or
// "after" the word, or after it at the "end" of the message, where "tail" words
// may follow.
type meanings struct {
	phrases placed
	names   map[string]Entry // name of a term, its words stemmed
	longest int              // words of the longest name
}

func (l *Listener) meaningsOf(base *knowledge.Base) meanings {
	m := meanings{phrases: placedOf(base, "meaning"), names: map[string]Entry{}}
	for _, t := range base.Terms {
		for _, n := range append([]string{t.Name}, t.Names...) {
			words := strings.Fields(Fold(n))
			for i, w := range words {
				words[i] = l.index.stem(w)
			}
			m.names[strings.Join(words, " ")] = Entry{"terms", t.ID}
			m.longest = max(m.longest, len(words))
		}
	}
	return m
}

// defined returns the term whose meaning a message asks for in so many words:
// "dwell = ?", "halftones r what", "underbase, is that a shirt".
func (l *Listener) defined(r span.Reading) (Entry, bool) {
	r.Tokens = slices.DeleteFunc(slices.Clone(r.Tokens), func(t span.Token) bool { return !wordy(t) && !t.IsNumber && t.Text != "=" })
	if slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return t.IsNumber }) {
		return Entry{}, false
	}
	f := l.meanings.phrases
	for n := l.meanings.longest; n > 0; n-- {
		for i := 0; i+n <= len(r.Tokens); i++ {
			e, ok := l.meanings.names[l.stems(r.Tokens[i:i+n])]
			if ok && (f.inside(r, "any") || f.endAt(r, "before", f.littleBefore(r, i)) || f.startAt(r, "after", i+n) || f.closes(r, i+n)) {
				return e, true
			}
		}
	}
	return Entry{}, false
}

func (l *Listener) stems(tokens []span.Token) string {
	words := make([]string, len(tokens))
	for i, t := range tokens {
		words[i] = l.index.stem(t.Text)
	}
	return strings.Join(words, " ")
}

// closes reports an "end" phrase at a token with nothing of weight behind it.
func (f placed) closes(r span.Reading, at int) bool {
	to := len(r.Tokens)
	for to > at && f.has("tail", r.Tokens[to-1].Text) {
		to--
	}
	return slices.ContainsFunc(f["end"], func(p []string) bool { return at+len(p) == to && isAt(r, at, p) })
}
