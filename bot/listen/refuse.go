package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// refusals are the phrases by which someone rules a method out, by where they
// stand: "before" or "after" it; "weak" ones before it count only where the
// message asks for something "other", none where it asks why ("asked"). "little"
// words may stand between.
type refusals map[string][][]string

func refusalsOf(base *knowledge.Base) refusals {
	out := refusals{}
	for _, x := range base.Lexicons {
		if x.Kind != "refusal" {
			continue
		}
		for where, list := range x.Words {
			for phrase := range strings.SplitSeq(list, ",") {
				out[where] = append(out[where], strings.Fields(Fold(phrase)))
			}
		}
	}
	return out
}

// refused marks the methods a message rules out, however it says so: "she hates
// the idea of sublimation", "anything but sub", "sublimation is off the table".
// "Why not sublimation" rules nothing out.
func (l *Listener) refused(r span.Reading) span.Reading {
	other := l.refusals.sought(r)
	var spans []span.Span
	for i, s := range r.Spans {
		if s.Kind != span.Method {
			continue
		}
		at := l.littleBefore(r, s.From)
		no := s.Negated || l.refusals.endAt(r, "before", at) || l.refusals.startAt(r, "after", s.To) || other && l.refusals.endAt(r, "weak", at)
		no = no && !l.refusals.endAt(r, "asked", at)
		if no == s.Negated {
			continue
		}
		if spans == nil {
			spans = slices.Clone(r.Spans)
		}
		spans[i].Negated = no
	}
	if spans != nil {
		r.Spans = spans
	}
	return r
}

// sought reports a message that asks for another way.
func (f refusals) sought(r span.Reading) bool {
	return slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return f.has("other", t.Text) })
}

// asksOther reports a message that rules a method out and asks what is left.
func (l *Listener) asksOther(a Ask, r span.Reading) bool {
	return len(a.Subject.NotMethods) > 0 && len(a.Subject.Methods) == 0 && l.refusals.sought(r)
}

// littleBefore is the token after the last word before a place that is not a
// little one: "hates the idea of | sublimation" is at "hates".
func (l *Listener) littleBefore(r span.Reading, at int) int {
	for at > 0 && l.refusals.has("little", r.Tokens[at-1].Text) {
		at--
	}
	return at
}

// has reports a word of a place's own.
func (f refusals) has(where, word string) bool {
	return slices.ContainsFunc(f[where], func(p []string) bool { return len(p) == 1 && p[0] == word })
}

// endAt reports a phrase whose last word stands right before token at.
func (f refusals) endAt(r span.Reading, where string, at int) bool {
	return slices.ContainsFunc(f[where], func(p []string) bool { return isAt(r, at-len(p), p) })
}

// startAt reports a phrase that begins at a token.
func (f refusals) startAt(r span.Reading, where string, at int) bool {
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

// onlyOther gives an order whose message rules methods out the one the shop has
// left, where it is one and none was named.
func (l *Listener) onlyOther(o OrderReading, not []string) OrderReading {
	if len(not) == 0 {
		return o
	}
	left := slices.DeleteFunc(slices.Clone(l.profile.Methods), func(m string) bool { return slices.Contains(not, m) })
	if len(left) != 1 {
		return o
	}
	for i := range o.Order.Lines {
		if o.Order.Lines[i].Method == "" {
			o.Order.Lines[i].Method = left[0]
		}
	}
	return o
}
