package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// Some words tell that a question is beyond the shop, whatever words of the trade
// stand beside them: of law, of medicine, of money, of carriers.

// A sign is words that tell so together, as stems, or one word as it stands
// ("savings" are not what is saved), and what they tell of: a guide that says whom
// to ask, or nothing.
type sign struct {
	words  []string
	target Target
}

// signReach is how many other words may stand between two of a sign: "what does
// it cost us to ship", yet not "the price, and it must all be out by friday, we ship".
const signReach = 5

// signsOfBeyond gathers the signs of the base, in order.
func signsOfBeyond(base *knowledge.Base, stem func(string) string) []sign {
	var out []sign
	for _, x := range base.Lexicons {
		if x.Kind != "beyond" {
			continue
		}
		for id, list := range x.Words {
			t := Target{Topic: nothing}
			if id != nothing {
				t.Entry = Entry{"guides", id}
			}
			for text := range strings.SplitSeq(list, ",") {
				s := sign{target: t}
				s.words = strings.Fields(Fold(text))
				for i, w := range s.words {
					if len(s.words) > 1 {
						s.words[i] = stem(w)
					}
				}
				out = append(out, s)
			}
		}
	}
	slices.SortFunc(out, func(a, b sign) int { // the most telling first
		if len(a.words) != len(b.words) {
			return len(b.words) - len(a.words)
		}
		return strings.Compare(strings.Join(a.words, " "), strings.Join(b.words, " "))
	})
	return out
}

// beyond is what the signs of a message tell it is of. An order with all that
// a price takes stays one, and what a wording of the base explains is answered
// where no word tells by itself.
func (l *Listener) beyond(a Ask, r span.Reading, found []candidate) (candidate, bool) {
	if a.Order.complete() {
		return candidate{}, false
	}
	said, stems := make([]string, len(r.Tokens)), make([]string, len(r.Tokens))
	for i, t := range r.Tokens {
		said[i], stems[i] = t.Text, l.index.stem(t.Text)
	}
	for _, s := range l.signsBeyond {
		alone := len(s.words) == 1
		if alone && slices.Contains(said, s.words[0]) || !alone && s.in(stems) && !answered(found) {
			return candidate{target: s.target, score: 1}, true
		}
	}
	return candidate{}, false
}

// in reports whether the words of a sign were said near each other.
func (s sign) in(said []string) bool {
	reach := len(s.words) + signReach*(len(s.words)-1)
	for i, w := range said {
		if !slices.Contains(s.words, w) {
			continue
		}
		near := said[i:min(len(said), i+reach)]
		if !slices.ContainsFunc(s.words, func(w string) bool { return !slices.Contains(near, w) }) {
			return true
		}
	}
	return false
}

// answered reports a message that a wording of the base explains well enough to
// need no second opinion.
func answered(found []candidate) bool {
	return slices.ContainsFunc(found, func(c candidate) bool { return c.wording >= exact && c.target.Topic != nothing })
}
