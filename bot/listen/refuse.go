package listen

import (
	"slices"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// refusals are the phrases by which someone rules a method out, by where they
// stand: "before" or "after" it; "weak" ones before it count only where the
// message asks for something "other", none where it asks why ("asked"). "little"
// words may stand between.
type refusals struct{ placed }

func refusalsOf(base *knowledge.Base) refusals { return refusals{placedOf(base, "refusal")} }

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
		at := l.refusals.littleBefore(r, s.From)
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
