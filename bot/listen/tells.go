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
	sure   bool // tells so whatever wording of the base explains the message
}

// tellReach is how many other words may stand between two of a tell: "what does
// it cost us to ship", yet not "the price, and it must all be out by friday, we ship".
const tellReach = 5

// tellsOf gathers the tells of the base, those of most words first.
func tellsOf(base *knowledge.Base, stem func(string) string) []tell {
	sets := setsOf(base)
	var out []tell
	for _, x := range base.Lexicons {
		if x.Kind != "tell" {
			continue
		}
		for of, list := range x.Words {
			target := toldOf(base, of)
			for text := range strings.SplitSeq(list, ",") {
				text, surely := strings.CutPrefix(strings.TrimSpace(text), "!")
				words := strings.Fields(text)
				ofSets := !slices.ContainsFunc(words, func(w string) bool { return !strings.HasPrefix(w, "{") })
				for _, words := range eachOf(words, sets) {
					t := tell{words: words, target: target, sure: len(words) == 1 || ofSets || surely}
					if len(words) > 1 {
						for i, w := range words {
							words[i] = stem(w)
						}
					}
					out = append(out, t)
				}
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

// setsOf gathers the words that a set of a tell stands for: "child".
func setsOf(base *knowledge.Base) map[string][]string {
	out := map[string][]string{}
	for _, x := range base.Lexicons {
		if x.Kind == "tell set" {
			for set, list := range x.Words {
				out[set] = append(out[set], strings.Fields(Fold(list))...)
			}
		}
	}
	return out
}

// eachOf writes a tell once for each word of its sets: "{child} pyjamas".
func eachOf(words []string, sets map[string][]string) [][]string {
	out := [][]string{nil}
	for _, w := range words {
		any := []string{Fold(w)}
		if set, ok := strings.CutPrefix(w, "{"); ok {
			any = sets[strings.TrimSuffix(set, "}")]
		}
		var longer [][]string
		for _, head := range out {
			for _, w := range any {
				longer = append(longer, append(slices.Clone(head), w))
			}
		}
		out = longer
	}
	return out
}

// saidTokens are the words of a message, those of children left out where it denies
// them: "these aren't for kids".
func (l *Listener) saidTokens(r span.Reading) []string {
	out := make([]string, len(r.Tokens))
	denied := 0 // so many words more are denied
	for i, t := range r.Tokens {
		out[i] = t.Text
		if l.children[t.Text] && denied > 0 {
			out[i] = ""
		}
		denied--
		switch {
		case slices.Contains([]string{"not", "arent", "aren't", "isnt", "isn't", "no", "never", "aint", "ain't"}, t.Text):
			denied = deniedReach
		case !wordy(t):
			denied = 0
		}
	}
	return out
}

// aChild stands for a size of children.
const aChild = "kid"

// deniedReach is how many words a denial reaches: "not for our kids".
const deniedReach = 3

// ofChildren reports a size, or a group of sizes, of children.
func ofChildren(s span.Span) bool {
	group := ""
	switch s.Kind {
	case span.Group:
		group = s.ID
	case span.Size:
		group = groupOf(s.ID)
	}
	return group != "" && group != "adult" && !s.Negated
}

// ofChild reads a blank that is another one for a child, where a child is said, as
// that one: pyjamas as children's sleepwear.
func (l *Listener) ofChild(r span.Reading) span.Reading {
	child := slices.ContainsFunc(r.Spans, ofChildren) || slices.ContainsFunc(l.saidTokens(r), func(w string) bool { return l.children[w] })
	if !child {
		return r
	}
	copied := false
	for i, s := range r.Spans {
		if s.Kind != span.Item {
			continue
		}
		b, _ := l.base.Blank(s.ID)
		if b == nil || b.Young == "" {
			continue
		}
		if young, ok := l.base.Blank(b.Young); ok {
			if !copied {
				r.Spans, copied = slices.Clone(r.Spans), true
			}
			r.Spans[i].ID, r.Spans[i].Unit = young.ID, young.Item
		}
	}
	return r
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
	said, stems := l.saidTokens(r), make([]string, len(r.Tokens))
	for i, w := range said {
		stems[i] = l.index.stem(w)
		if t := r.Tokens[i]; w != "" && t.Known && t.Score < 1 { // mended: several words together leave little doubt
			stems[i] = l.index.stem(t.Word)
		}
	}
	for _, s := range r.Spans {
		if ofChildren(s) && said[s.From] != "" { // "3T" says a child too
			said[s.From] = aChild
			stems[s.From] = l.index.stem(aChild)
		}
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
		if t := l.tells[k]; len(t.words) == 1 || t.in(stems) && (t.sure || !answered(found)) {
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
