package listen

import (
	"maps"
	"slices"
	"strings"
	"time"

	"presshand/bot/listen/span"
	"presshand/knowledge"
	"presshand/planner"
)

// merge gives a subject what it lacks from an earlier one. A new blank drops
// the old one's fibre and colour; a new fibre, colour, spot or method keeps
// the old blank.
func merge(now, before Subject) Subject {
	out := now
	if now.Blank == "" && now.Item == "" {
		out.Blank, out.Item = before.Blank, before.Item
		if out.Coated == "" {
			out.Coated = before.Coated
		}
		if out.Group == "" {
			out.Group = before.Group
		}
		if len(now.Fibre) == 0 && len(now.Fibres) == 0 && now.Fabric == "" && !now.Blend {
			out.Fibre, out.Fibres, out.Fabric = maps.Clone(before.Fibre), slices.Clone(before.Fibres), before.Fabric
		}
		if now.Colour == "" {
			out.Colour = before.Colour
		}
	}
	if len(now.Methods) == 0 && now.Blank == "" && len(now.Fibre) == 0 && now.Colour == "" && now.Fabric == "" {
		out.Methods = slices.DeleteFunc(slices.Clone(before.Methods), func(m string) bool { return slices.Contains(now.NotMethods, m) })
	}
	if len(out.Methods) == 0 && len(now.NotMethods) == 0 && now.Blank == "" {
		out.NotMethods = slices.Clone(before.NotMethods) // who wants none of it wants none in black either
	}
	if now.Spot == "" {
		out.Spot = before.Spot
	}
	if len(now.Art) == 0 {
		out.Art = slices.Clone(before.Art)
	}
	return out
}

// mixedIn reads a fibre that is only a part of the thing spoken of as a part of
// it: "what if there's spandex in it" of polyester is both, of unknown shares, and
// "what if it's 10 % spandex" leaves the rest to the polyester. The method stays.
func (l *Listener) mixedIn(s Subject, r span.Reading, memory Memory) (out Subject, mixed bool) {
	if memory.Last == nil || memory.Pending != nil || s.Blank != "" || s.Item != "" || s.Fabric != "" {
		return s, false
	}
	before := memory.Last.Subject
	had := append(slices.Sorted(maps.Keys(before.Fibre)), before.Fibres...)
	had = slices.DeleteFunc(had, func(f string) bool { return s.Fibre[f] > 0 })
	rest := allOfIt - sum(s.Fibre)
	switch bare := r.Find(span.Fibre); {
	case len(s.Fibre) == 0:
		return s, false
	case rest > 0 && len(had) == 1:
		s.Fibre = maps.Clone(s.Fibre)
		s.Fibre[had[0]] = rest
	case rest == 0 && len(bare) == 1 && l.mixes(r):
		s.Fibre, s.Fibres, s.Blend = nil, append(had, bare[0].ID), false
	default:
		return s, false
	}
	if len(s.Methods) == 0 {
		s.Methods = before.Methods
		if len(memory.Last.Asked) > 0 {
			s.Methods = memory.Last.Asked
		}
	}
	return s, true
}

// mostMixed is the most words beside a fibre and small words in a message that asks
// the last question of a thing with that fibre in it: "mixed with a bit of nylon".
const mostMixed = 2

// mixes reports words beside a fibre that is only a part of a thing.
func (l *Listener) mixes(r span.Reading) bool {
	text := spaced(r)
	for phrase := range l.mixed {
		if strings.Contains(text, " "+phrase+" ") {
			return true
		}
	}
	return false
}

// Over returns the subject with what it lacks taken from an earlier one.
func (s Subject) Over(before Subject) Subject { return merge(s, before) }

// carry fills an ask's subject from the conversation.
func (l *Listener) carry(a *Ask, r span.Reading, memory Memory) {
	if memory.Last == nil || a.Topic == "help" || a.Topic == "follow" || a.Topic == "convert" || a.Topic == "term" {
		return
	}
	before := a.Subject
	if (before.Item != "" || before.Blank != "" || len(before.Fibre) > 0 || before.Fabric != "") && !back(r) {
		return // it says itself what it is about
	}
	a.Subject = merge(a.Subject, memory.Last.Subject)
	a.Carried = a.Subject.Item != before.Item || len(a.Subject.Methods) != len(before.Methods)
}

// back reports a message that points back at what was said before it: it goes
// on from it, speaks of a change, or holds a pronoun.
func back(r span.Reading) bool {
	return continues(r) || amends(r) || slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		return slices.Contains([]string{"it", "its", "that", "this", "these", "those", "them", "one", "ones", "same"}, t.Text)
	})
}

// carryOn reads a message that only names things ("and for mugs?", "same but
// poly") as the last question about them.
func (l *Listener) carryOn(a Ask, r span.Reading, memory Memory) (Ask, bool) {
	if memory.Last == nil {
		return a, false
	}
	if _, _, ok := otherShare(r, memory.Last.Subject); !ok && !names(a.Subject) || l.strangers(r) > 0 {
		return a, false
	}
	return l.carried(a, r, memory), true
}

// carried is the last question about what a message names.
func (l *Listener) carried(a Ask, r span.Reading, memory Memory) Ask {
	out := *memory.Last
	out.Text, out.Score, out.Carried = a.Text, accept, true
	out.Order = OrderReading{}
	if l.makes(out.Entry) && (a.Subject.Blank != "" || len(a.Subject.Methods) > 0) {
		out.Entry = Entry{} // another blank or method has steps of its own
	}
	if l.otherMethods(out.Entry, a.Subject.Blank) {
		out.Entry, out.What = Entry{}, "" // "skip the finish?", "and for mugs?"
	}
	methods := a.Subject.Methods
	out.Subject = merge(a.Subject, memory.Last.Subject)
	out.Subject.Quantity, out.Subject.Width, out.Subject.Height = a.Subject.Quantity, a.Subject.Width, a.Subject.Height
	if out.Topic == "method" && out.What == "can" && len(methods) == 0 {
		out.Subject.Methods = memory.Last.Asked
	}
	if len(methods) > 0 {
		out.Subject.Methods = methods
	}
	if share, of, ok := otherShare(r, memory.Last.Subject); ok {
		out.Subject.Fibre = map[string]int{of: share}
	}
	return out
}

// otherMethods reports a blank with recipes of its own, none of them of a method
// that a guide is about.
func (l *Listener) otherMethods(e Entry, blank string) bool {
	g, ok := l.base.Guide(e.ID)
	if !ok || e.Section != "guides" || len(g.Methods) == 0 {
		return false
	}
	own := false
	for _, r := range l.base.Recipes {
		if !slices.Contains(r.Blanks, blank) {
			continue
		}
		if slices.Contains(g.Methods, r.Method) {
			return false
		}
		own = true
	}
	return own
}

// makes reports the steps by which a method makes a piece: its first, and those for
// blanks of their own; not those of mending one.
func (l *Listener) makes(e Entry) bool {
	p, ok := l.base.Procedure(e.ID)
	if !ok || e.Section != "procedures" || p.Method == "" {
		return false
	}
	first := slices.IndexFunc(l.base.Procedures, func(o *knowledge.Procedure) bool { return o.Method == p.Method })
	return len(p.Blanks) > 0 || l.base.Procedures[first] == p
}

// fewWords is the most that a question holds which lives on the one before it.
const fewWords = 4

// otherShare reads "what if it's only 50 %" of a thing of one fibre as another
// share of that fibre.
func otherShare(r span.Reading, before Subject) (share int, fibre string, ok bool) {
	said := r.Find(span.Percent)
	if len(said) != 1 || len(before.Fibre) != 1 || said[0].Value <= 0 || said[0].Value > 100 {
		return 0, "", false
	}
	for fibre = range before.Fibre {
	}
	return int(said[0].Value), fibre, true
}

// names reports whether a message named anything of the trade.
func names(s Subject) bool {
	return s.Blank != "" || s.Item != "" || len(s.Fibre) > 0 || len(s.Fibres) > 0 || s.Fabric != "" || s.Colour != "" ||
		len(s.Methods) > 0 || s.Spot != "" || s.Group != "" || s.Blend
}

// onlyNames reports a message of names and small words alone: "navy 50/50",
// "and on white polyester?".
func (l *Listener) onlyNames(r span.Reading) bool {
	for i, t := range l.tokens(r) {
		if t.filler || t.weight > 0 || len(t.kinds) > 0 || !wordy(r.Tokens[i]) {
			continue
		}
		if !l.amendWord(r, i) {
			return false
		}
	}
	return true
}

// orderTalk reports a message that says what only an order has (a method to do
// it by, a due time, rush, whose blanks, that the art is approved) and hardly
// anything else: "do it as two-step", "need it tomorrow noon".
func (l *Listener) orderTalk(r span.Reading) bool {
	said := slices.ContainsFunc(r.Spans, func(s span.Span) bool {
		switch s.Kind {
		case span.Method, span.When, span.Rush, span.Ownership, span.Arrival, span.Approval:
			return true
		}
		return false
	})
	if !said || slices.ContainsFunc(r.Spans, func(s span.Span) bool { return s.Kind == span.Intent && s.ID == "question" }) {
		return false
	}
	for i, t := range l.tokens(r) {
		if t.filler || t.weight > 0 || len(t.kinds) > 0 || !wordy(r.Tokens[i]) {
			continue
		}
		if !slices.ContainsFunc(r.Spans, func(s span.Span) bool { return s.Kind != span.Word && s.From <= i && i < s.To }) {
			return false
		}
	}
	return true
}

// amendWord reports a word that belongs to talk of a change.
func (l *Listener) amendWord(r span.Reading, i int) bool {
	return slices.ContainsFunc(r.Spans, func(s span.Span) bool {
		return (s.Kind == span.Amend || s.Kind == span.Negation) && s.From <= i && i < s.To
	})
}

// strangers counts the words nothing of the trade explains.
func (l *Listener) strangers(r span.Reading) int {
	n := 0
	for i, t := range l.tokens(r) {
		if t.filler || t.weight > 0 || len(t.kinds) > 0 {
			continue
		}
		if _, _, known := l.index.know(t.text, l.everyday); !known || !r.Tokens[i].Known && !known {
			n++
		}
	}
	return n
}

// fill completes an ask that waits for one missing thing with a short answer
// to it.
func (l *Listener) fill(pending Ask, missing string, a Ask, r span.Reading, best candidate) (Ask, bool) {
	out := pending
	out.Text = a.Text
	if pending.Order.IsOrder {
		chosen, chose := l.chosen(pending.Order, r)
		order, changes, ok := Amend(pending.Order.Order, chosen)
		if !ok && !chose { // the choice may be what the order was taken for
			return a, false
		}
		out.Order = OrderReading{Order: order, IsOrder: true, Assumed: pending.Order.Assumed}
		out.Changes, out.Amend = changes, true
		return out, true
	}
	if missing == "symptom" && best.target.Topic == "fault" && best.score >= near {
		l.aim(&out, best)
		return out, true
	}
	if !names(a.Subject) {
		return a, false
	}
	if best.score >= accept && best.target.Topic != "term" && best.target.Topic != pending.Topic {
		return a, false
	}
	out.Subject = merge(a.Subject, pending.Subject)
	if len(a.Subject.Methods) == 0 {
		out.Subject.Methods = pending.Subject.Methods
	}
	if len(a.Subject.Fibre) == 0 && out.Subject.Fibre == nil {
		out.Subject.Fibre = pending.Subject.Fibre
	}
	if out.Subject.Colour == "" {
		out.Subject.Colour = pending.Subject.Colour
	}
	return out, true
}

// chosen finds which of the fibre shares an order's first trouble offers a
// message means by one of them: "60 poly" after "60/40: 60 % cotton or 60 %
// polyester?". It returns that choice as it reads when written out.
func (l *Listener) chosen(o OrderReading, r span.Reading) (span.Reading, bool) {
	if len(o.Trouble) == 0 {
		return r, false
	}
	said := sharesOf(r)
	for _, s := range r.Find(span.Fibre) {
		for _, i := range []int{s.From - 1, s.To} { // "60 cotton", else "cotton 60"
			if i >= 0 && i < len(r.Tokens) && r.Tokens[i].IsNumber {
				said[s.ID] = int(r.Tokens[i].Number)
				break
			}
		}
	}
	var out span.Reading
	found := 0
	for _, choice := range o.Trouble[0].Choices {
		read := l.reader.Read(choice, time.Time{})
		shares := sharesOf(read)
		agrees := len(said) > 0 && len(shares) > 0
		for fibre, share := range said {
			agrees = agrees && shares[fibre] == share
		}
		if agrees {
			out, found = read, found+1
		}
	}
	return out, found == 1
}

// sharesOf gathers all fibre shares of a message, in per cent.
func sharesOf(r span.Reading) map[string]int {
	out := map[string]int{}
	for _, s := range r.Find(span.FibreShares) {
		maps.Copy(out, s.Fibre)
	}
	return out
}

// bareThing reports a message that names a blank, or a fibre and a colour, and
// hardly anything else: someone holds it up and asks what to do with it.
func (l *Listener) bareThing(a Ask, r span.Reading) bool {
	s := a.Subject
	cloth := len(s.Fibre) > 0 || s.Blend || s.Fabric != ""
	more := s.Colour != "" || len(s.Methods) > 0 || len(s.Art) > 0
	held := s.Blank != "" || s.Fabric != "" || cloth && more || len(s.Methods) > 0 && s.Colour != ""
	return held && !l.offTrade(r) && l.strangers(r) <= 1
}

// offTrade reports a message with a word of another trade.
func (l *Listener) offTrade(r span.Reading) bool {
	for i := range r.Tokens {
		if l.alien(r, i) {
			return true
		}
	}
	return false
}

// alien reports a word of another trade that is no part of a thing's name: the
// "coffee" of a coffee mug is none.
func (l *Listener) alien(r span.Reading, i int) bool {
	return l.aliens[r.Tokens[i].Text] && !slices.ContainsFunc(r.Spans, func(s span.Span) bool {
		return s.Kind == span.Item && s.From <= i && i < s.To && s.To-s.From > 1
	})
}

// countsUnknown reports a count and a printed size without a blank anyone
// knows: "24 flumphs 9x7 front".
func (s Subject) countsUnknown() bool {
	return s.Blank == "" && s.Item == "" && s.Number > 0 && s.Width > 0 && s.Height > 0
}

// unknownItem is the order of such a message; what the thing is made of must be
// asked.
func unknownItem(a Ask) OrderReading {
	o := a.Order
	if len(o.Order.Lines) == 0 {
		o.Order.Lines = []planner.Line{{Quantity: int(a.Subject.Number), Colour: a.Subject.Colour, Fibre: a.Subject.Fibre, Blanks: "ours",
			Prints: []planner.Print{{Spot: a.Subject.Spot, Width: a.Subject.Width, Height: a.Subject.Height}}}}
	}
	o.IsOrder = true
	return o
}

// continues reports a message that goes on from the one before: "and if it's
// red?", "ok, but on nylon".
func continues(r span.Reading) bool {
	for _, t := range r.Tokens {
		switch {
		case slices.Contains([]string{"and", "n", "but", "or", "same", "y", "pero"}, t.Text):
			return true
		case wordy(t) && !slices.Contains([]string{"ok", "okay", "so", "cool", "alright", "right", "yeah", "well", "hm", "hmm", "no", "wait"}, t.Text):
			return false
		}
	}
	return false
}

// onlyFigures reports a message of numbers, their units and words that may stand
// beside a figure: "ok and what about 400 f".
func (l *Listener) onlyFigures(r span.Reading) bool {
	for i, t := range r.Tokens {
		small := l.fillers[t.Text] || t.Joins != "" || l.figures[t.Text] || l.amendWord(r, i)
		for _, role := range []string{"opener", "auxiliary", "ties", "lead", "go-on"} {
			small = small || l.joints[role][t.Text]
		}
		if wordy(t) && !small && unitOf(t.Text) == "" {
			return false
		}
	}
	return true
}

// amends reports whether a message speaks of changing something.
func amends(r span.Reading) bool {
	return len(r.Find(span.Amend)) > 0 ||
		slices.ContainsFunc(r.Spans, func(s span.Span) bool { return s.Kind == span.Quantity && s.Value2 < 0 }) // "5 fewer"
}

// last is the subject of the last ask, empty where there was none.
func last(memory Memory) Subject {
	if memory.Last == nil {
		return Subject{}
	}
	return memory.Last.Subject
}
