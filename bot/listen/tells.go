package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// Some words tell what a question is of, whatever words of the trade stand beside
// them: of law, of medicine, of money, of carriers, and of a danger or a fault.

// A tell is words that tell so together, as stems, or one word as it stands
// ("savings" are not what is saved), and what they tell of.
type tell struct {
	words  []string
	target Target
}

// tellReach is how many other words may stand between two of a tell: "what does
// it cost us to ship", yet not "the price, and it must all be out by friday, we ship".
const tellReach = 5

// tellsOf gathers the tells of the base, those of most words first.
func tellsOf(base *knowledge.Base, stem func(string) string) []tell {
	var out []tell
	for _, x := range base.Lexicons {
		if x.Kind != "tell" {
			continue
		}
		for of, list := range x.Words {
			target := toldOf(base, of)
			for text := range strings.SplitSeq(list, ",") {
				t := tell{words: strings.Fields(Fold(text)), target: target}
				if len(t.words) > 1 {
					for i, w := range t.words {
						t.words[i] = stem(w)
					}
				}
				out = append(out, t)
			}
		}
	}
	slices.SortFunc(out, func(a, b tell) int {
		if len(a.words) != len(b.words) {
			return len(b.words) - len(a.words)
		}
		return strings.Compare(strings.Join(a.words, " "), strings.Join(b.words, " "))
	})
	return out
}

// byFirst lists tells, by their places, under the first word of each.
func byFirst(tells []tell) map[string][]int {
	out := map[string][]int{}
	for i, t := range tells {
		out[t.words[0]] = append(out[t.words[0]], i)
	}
	return out
}

// toldOf is the target of a list of tells: of "guides/decline-legal", or of a topic.
func toldOf(base *knowledge.Base, of string) Target {
	section, id, entry := strings.Cut(of, "/")
	if !entry {
		return Target{Topic: of}
	}
	t := Target{Topic: map[string]string{"faults": "fault", "procedures": "steps"}[section], Entry: Entry{section, id}}
	if g, ok := base.Guide(id); ok && section == "guides" {
		t.Topic = g.Topic
	}
	if t.Topic == "" { // cautions and corrections
		t.Topic = "safety"
	}
	return t
}

// told is what the words of a message tell it is of. An order with all that a
// price takes stays one, and what a wording of the base explains is answered
// where no word tells by itself.
func (l *Listener) told(a Ask, r span.Reading, found []candidate) (candidate, bool) {
	if a.Order.complete() {
		return candidate{}, false
	}
	said, stems := make([]string, len(r.Tokens)), make([]string, len(r.Tokens))
	for i, t := range r.Tokens {
		said[i], stems[i] = t.Text, l.index.stem(t.Text)
	}
	var may []int // those whose first word was said, in their order
	for i := range said {
		for _, k := range l.tellsBy[said[i]] {
			if len(l.tells[k].words) == 1 {
				may = append(may, k)
			}
		}
		for _, k := range l.tellsBy[stems[i]] {
			if len(l.tells[k].words) > 1 {
				may = append(may, k)
			}
		}
	}
	slices.Sort(may)
	for _, k := range may {
		if t := l.tells[k]; len(t.words) == 1 || t.in(stems) && !answered(found) {
			return candidate{target: t.target, score: 1}, true
		}
	}
	return candidate{}, false
}

// in reports whether the words of a tell were said near each other.
func (t tell) in(said []string) bool {
	reach := len(t.words) + tellReach*(len(t.words)-1)
	for i, w := range said {
		if !slices.Contains(t.words, w) {
			continue
		}
		near := said[i:min(len(said), i+reach)]
		if !slices.ContainsFunc(t.words, func(w string) bool { return !slices.Contains(near, w) }) {
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
