package listen

import (
	"reflect"
	"slices"
	"strings"
	"time"

	"presshand/bot/listen/span"
	"presshand/planner"
)

// A message may hold several questions. It is cut at its joints (sentence marks,
// the numbers of a list, "also", "and how ...") in the way whose clauses are
// understood best: the sum of their scores, each question after the first at a
// cost, must be more than the score of the whole. Weighing the ways to cut a text
// by how well its segments hold together follows Eisenstein and Barzilay, Bayesian
// unsupervised topic segmentation, EMNLP 2008, where a segment's worth is the
// likelihood of its words.

// A joint is where a message may be cut: the clause before it ends at token end,
// the one behind it begins at token start, for what lies between joins them.
type joint struct {
	end, start int
	cost       float64 // of a question behind it
	bare       bool    // names alone behind it ask the last question of them: "..., also nylon"
}

// Costs of a question by the joint before it, in scores: what begins another
// question by its form needs less than what may be a list of things. Set on the
// table of parts_test.go and the tune questions.
const (
	listCost   = 0.2  // "1) ... 2) ..."
	markCost   = 0.4  // "...? ..."
	openerCost = 0.5  // "... and how ..."
	tailCost   = 0.7  // "..., pressure?"
	lostCost   = 0.55 // of a reading of the whole that no clause has
)

const (
	// mostParts bounds how many questions of one message are answered.
	mostParts = 5
	// mostClauses of a message are weighed; a longer one is cut at its marks alone,
	// or not at all.
	mostClauses = 6
	// longestRun is the most pieces that one question spans when others stand
	// beside it.
	longestRun = 3
	// fragment is so many words and marks that ask by themselves: "and pressure?".
	fragment = 3
	// fairly: a second question is answered where it is understood so well.
	fairly = 0.7
	// certain: a symptom told so plainly is a question beside others.
	certain = 0.9
	// elliptic is the worth of things alone that ask the last question of them.
	elliptic = plainly
)

// A clause is a stretch of a message as it reads by itself.
type clause struct {
	reading span.Reading
	ask     Ask
	kind    clauseKind
	joint   joint // before it
}

type clauseKind int

const (
	told   clauseKind = iota // says what a question is about, or nothing that is understood
	asking                   // is a question of its own
	things                   // names things alone
)

// A cutting weighs the ways to cut one message. Each clause is understood once.
type cutting struct {
	*Listener
	reading span.Reading
	memory  Memory
	now     time.Time
	whole   Ask
	cuts    []joint
	known   map[[2]int]*clause
}

// parts returns an ask for each question of a message that holds several, or the
// one that is understood better than the whole. What is told beside a question
// says what it is about, and a later question is about what the earlier ones are,
// where it names nothing else. An order stays whole.
func (l *Listener) parts(reading span.Reading, memory Memory, now time.Time, whole Ask) []Ask {
	joints := l.jointsOf(reading, whole)
	if len(joints) < 2 || len(joints) > mostClauses {
		return nil
	}
	c := cutting{Listener: l, reading: reading, memory: memory, now: now, whole: whole, cuts: joints, known: map[[2]int]*clause{}}
	worth, clauses := c.best(0, nil)
	n := 0
	for _, k := range clauses {
		if k.kind != told {
			n++
		}
	}
	switch {
	case n == 0, n > mostParts, !c.keepsWhole(clauses):
		return nil
	case n > 1 && worth <= c.worthWhole(clauses):
		return nil
	case n == 1 && slices.ContainsFunc(clauses[1:], func(k *clause) bool { return k.joint.cost > markCost }):
		if whole.Topic != nothing || !c.stands(clauses) {
			return nil // what lies between commas tells no question from its ground
		}
	}
	return c.asks(clauses)
}

// stands reports one question that is answered whatever is said beside it.
func (c *cutting) stands(clauses []*clause) bool {
	return slices.ContainsFunc(clauses, func(k *clause) bool {
		return k.kind == asking && k.ask.Score >= exact && (names(k.ask.Subject) || k.ask.Topic == "term" || !c.stranger(k.reading, c.tokens(k.reading)))
	})
}

// worthWhole is what the message is worth uncut. Where no clause asks what it
// asks, that is lost, and every clause must be plain.
func (c *cutting) worthWhole(clauses []*clause) float64 {
	w := c.whole
	if w.Topic == "help" || w.Score < accept {
		return min(w.Score, 0)
	}
	kept := slices.ContainsFunc(clauses, func(k *clause) bool {
		return k.kind == asking && k.ask.Topic == w.Topic && k.ask.Entry == w.Entry && (k.ask.What == w.What || k.ask.ofPress() && w.ofPress() || w.Topic == "setting" && w.stage() != "" && k.ask.stage() == w.stage())
	})
	weak := slices.ContainsFunc(clauses[1:], func(k *clause) bool { return k.kind != told && k.joint.cost > markCost })
	doubted := slices.ContainsFunc(clauses, func(k *clause) bool { return k.kind == asking && k.ask.Score < plainly })
	switch {
	case kept || !weak:
		return min(w.Score, 1)
	case doubted:
		return mostClauses
	}
	return min(w.Score, 1) + lostCost
}

// best is the best way to cut the pieces from piece i on behind a question. It
// returns no clauses where there is none.
func (c *cutting) best(i int, last *clause) (worth float64, clauses []*clause) {
	n := len(c.cuts)
	if i == n {
		return 0, nil
	}
	found := false
	for j := i; j < min(n, i+longestRun) && (i > 0 || j < n-1); j++ {
		if j > i && c.clause(i, j-1).plain() && c.clause(j, j).plain() {
			break // two plain questions are no single one
		}
		k := c.clause(i, j)
		w, ok := c.worth(k, last)
		if !ok {
			continue
		}
		next := last
		if w > 0 {
			next = k
			if last != nil {
				w -= k.joint.cost
			}
		}
		rest, more := c.best(j+1, next)
		if !found || w+rest > worth {
			found, worth = true, w+rest
			if next != k && k.kind != told {
				k = &clause{reading: k.reading, ask: k.ask, joint: k.joint} // things that ask nothing
			}
			clauses = append([]*clause{k}, more...)
		}
	}
	if !found {
		return -mostClauses, nil
	}
	return worth, clauses
}

// worth is what a clause adds behind the last question; ok is false where it must
// not be cut off from it.
func (c *cutting) worth(k, last *clause) (worth float64, ok bool) {
	switch k.kind {
	case asking:
		if last != nil && last.ask.covers(k.ask) {
			return 0, false
		}
		if last != nil && k.ask.Score < fairly {
			return 0, true
		}
		return min(k.ask.Score, 1), true
	case things:
		if last == nil || !k.ask.Subject.varies(last.ask.Topic) || !k.joint.bare && !c.elliptic(k) {
			return 0, true
		}
		return elliptic, true
	}
	return 0, true
}

// varies reports names that a question of a topic may be asked of again.
func (s Subject) varies(topic string) bool {
	switch {
	case !slices.Contains(spreading, topic):
		return false
	case topic == "placement":
		return names(s)
	}
	return thing(s) || s.Colour != ""
}

// plain reports a question that is understood well by itself.
func (k *clause) plain() bool { return k.kind == asking && k.ask.Score >= plainly }

// elliptic reports names that ask by their form: "for nylon", "what about felt".
func (c *cutting) elliptic(k *clause) bool {
	first, last := k.reading.Tokens[0], k.reading.Tokens[len(k.reading.Tokens)-1]
	return last.Text == "?" || c.joints["ties"][first.Text] || c.opens(k.reading.Tokens)
}

// covers reports a question whose answer holds that to another one.
func (a Ask) covers(b Ask) bool {
	if a.Topic == "fault" && b.Topic == "fault" && b.Entry == (Entry{}) { // "..., whats wrong"
		return true
	}
	if a.Topic == "setting" && b.Topic == "setting" && b.Entry == (Entry{}) && b.Step == "" && !names(b.Subject) && !strings.Contains(b.Text, "press") && len(strings.Fields(b.Text)) < fragment {
		return true // "marry time and temperature": of the same step
	}
	return a.Topic == b.Topic && a.Entry == b.Entry && a.Convert == b.Convert &&
		(a.What == b.What || a.Topic == "setting" && a.stage() == b.stage()) && !b.Subject.otherThan(a.Subject)
}

// same reports a question for the same of the same item.
func (a Ask) same(b Ask) bool {
	return a.Topic == b.Topic && a.What == b.What && a.Entry == b.Entry && a.Subject.Item == b.Subject.Item
}

// otherThan reports a subject that names another thing than a subject does.
func (s Subject) otherThan(o Subject) bool {
	return names(s) && names(o) && (!reflect.DeepEqual(merge(s, o).named(), o.named()) || len(s.Methods) > 0 && len(o.Methods) > 0 && !slices.Equal(s.Methods, o.Methods))
}

// named leaves of a subject what it names of the trade.
func (s Subject) named() Subject {
	return Subject{Item: s.Item, Blank: s.Blank, Fibre: s.Fibre, Blend: s.Blend, Fabric: s.Fabric, Colour: s.Colour, Group: s.Group, Spot: s.Spot}
}

// ofPress reports a question of the pressing itself: its figures, or one held
// against them.
func (a Ask) ofPress() bool {
	switch a.What {
	case "", "press_temperature", "press_time", "ceiling", stated:
		return a.Topic == "setting" && a.Entry == Entry{}
	}
	return false
}

// stage is the closing of the press a question of settings is about; other
// questions have none.
func (a Ask) stage() string {
	stage, _, _ := strings.Cut(a.What, "_")
	if stage == "press" {
		return ""
	}
	return stage
}

// clause understands the pieces i up to and with j.
func (c *cutting) clause(i, j int) *clause {
	if k, ok := c.known[[2]int{i, j}]; ok {
		return k
	}
	k := &clause{joint: c.cuts[i]}
	to := len(c.reading.Tokens)
	if j+1 < len(c.cuts) {
		to = c.cuts[j+1].end
	}
	k.reading = c.read(k.joint.start, to)
	k.ask = c.Listener.ask(k.reading, c.memory, c.now)
	if i > 0 && !c.afterLast(k, i-1) && c.opens(k.reading.Tokens) && (c.dangles(k.reading) || (k.ask.Topic == nothing || k.ask.Score < accept) && c.telling(k.reading)) {
		c.ground(k, c.clause(i-1, i-1))
	}
	k.kind = c.kindOf(k, i == 0, j+1 == len(c.cuts) && k.joint.cost <= markCost || j+1 < len(c.cuts) && c.cuts[j+1].cost < tailCost)
	c.known[[2]int{i, j}] = k
	return k
}

// afterLast understands a clause that means something only by the question before
// it, as in a talk: "how do i check the pressure and how often".
func (c *cutting) afterLast(k *clause, before int) bool {
	if k.ask.Topic != nothing && k.ask.Topic != "follow" && k.ask.Score >= plainly {
		return false
	}
	of := c.clause(before, before)
	memory := c.memory
	memory.Last, memory.Pending = &of.ask, nil
	a, ok := c.onTalk(k.ask, k.reading, memory, candidate{})
	if ok = ok && of.kind == asking && !of.ask.covers(a); ok {
		k.ask = a
	}
	return ok
}

// telling reports a word that belongs to the trade's talk more than to any other.
func (c *cutting) telling(r span.Reading) bool {
	return slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		_, _, known := c.index.know(t.Text, c.everyday)
		return known && !c.everyday(t.Text) && !c.small(t) && !c.joints["opener"][t.Text]
	})
}

// ground understands a clause that means nothing by itself ("can i reuse it") by
// what the clause before it is about: its names and the trade's words, or its names
// alone.
func (c *cutting) ground(k, before *clause) {
	tokens := c.tokens(before.reading)
	for _, least := range []float64{0, looseWeight} {
		var words []string
		for i, t := range before.reading.Tokens {
			if (tokens[i].weight > least || least == 0 && tokens[i].anchor) && !c.joints["sought"][t.Text] {
				words = append(words, t.Raw)
			}
		}
		if len(words) == 0 {
			return
		}
		r := c.reader.ReadIn(c.reading.Lang, strings.Join(words, " ")+" "+k.reading.Normal, c.now)
		a := c.Listener.ask(r, c.memory, c.now)
		switch {
		case a.Topic == nothing || a.Score < plainly:
		case !before.ask.covers(a) && (k.ask.Topic == nothing || k.ask.Score < accept):
			a.Text = k.ask.Text
			k.ask = a
			return
		case before.ask.covers(a) && k.ask.Topic != before.ask.Topic && c.dangles(k.reading): // "how do i keep it from happening"
			k.ask = before.ask
			return
		}
	}
}

// dangles reports a clause that points back and holds no word of the trade: "how
// do i keep it from happening".
func (c *cutting) dangles(r span.Reading) bool {
	tokens := c.tokens(r)
	return back(r) && !slices.ContainsFunc(tokens, func(t token) bool { return t.anchor || t.weight > 0 })
}

// small reports a word that carries nothing by itself.
func (l *Listener) small(t span.Token) bool { return t.Small || l.fillers[t.Text] || t.Joins != "" }

func (c *cutting) read(from, to int) span.Reading {
	tokens := c.reading.Tokens
	return c.reader.ReadIn(c.reading.Lang, c.reading.Normal[tokens[from].Start:tokens[to-1].End], c.now)
}

func (c *cutting) kindOf(k *clause, first, ended bool) clauseKind {
	a, r := k.ask, k.reading
	understood := a.Topic != nothing && a.Score >= accept
	bare := names(a.Subject) && c.onlyNames(r)
	switch {
	case a.Topic == "help", a.Topic == "follow" && !first:
		return told
	case c.tied(r) || bare && amends(r), bare && !c.opens(r.Tokens) && !c.seeks(r) && !chooses(a, r):
		return things
	case !understood, a.Order.IsOrder && a.Topic == "quote" && !c.whole.Order.IsOrder:
		return told
	case c.questions(r), a.Topic == "convert" && a.Convert.To != "", bare && chooses(a, r):
		return asking
	case a.Topic == "fault" && a.Score >= certain && ended: // a symptom is a question by itself
		return asking
	case a.Score >= plainly && c.seeks(r):
		return asking
	}
	return told
}

// tied reports words that tie something to the last question: "what for the mugs".
func (l *Listener) tied(r span.Reading) bool {
	t := r.Tokens
	return len(t) > 1 && l.joints["ties"][t[0].Text] && len(t) <= fewWords+1 || len(t) > 2 && l.joints["opener"][t[0].Text] && l.joints["ties"][t[1].Text] && len(t) <= fewWords+2
}

// chooses reports "transfer or sub".
func chooses(a Ask, r span.Reading) bool {
	return len(a.Subject.Methods) > 1 && slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return t.Joins == "or" })
}

// seeks reports a question without a verb: "peel wait", "temp for mugs"; not
// "we used the wrong temp", "60 secs".
func (l *Listener) seeks(r span.Reading) bool {
	found := false
	for i, t := range r.Tokens {
		if l.joints["teller"][t.Text] {
			return false
		}
		found = found || (l.joints["sought"][t.Text] || l.joints["sought"][t.Word]) && !l.numberBeside(r.Tokens, i)
	}
	return found
}

// numberBeside reports a word that counts or is counted: "60 secs", "first time".
func (l *Listener) numberBeside(tokens []span.Token, i int) bool {
	return i > 0 && (tokens[i-1].IsNumber || l.joints["ordinal"][tokens[i-1].Text]) || i+1 < len(tokens) && tokens[i+1].IsNumber
}

// keepsWhole reports a cut that leaves together what is one: an order, a file
// with the size of its print, the refusal of something dangerous.
func (c *cutting) keepsWhole(clauses []*clause) bool {
	w := c.whole
	switch {
	case w.Topic == "quote" && w.Order.IsOrder:
		return slices.ContainsFunc(clauses, func(k *clause) bool {
			return k.kind == asking && k.ask.Order.IsOrder && sameOrder(k.ask.Order.Order, w.Order.Order)
		})
	case w.Subject.Pixels > 0:
		return slices.ContainsFunc(clauses, func(k *clause) bool {
			s := k.ask.Subject
			return k.kind == asking && s.Pixels == w.Subject.Pixels && s.Width == w.Subject.Width && s.Height == w.Subject.Height
		})
	case w.Topic == "safety" && c.refusedBlank(w.Subject): // no figures for what is refused: "temp and time for pjs size 4T"
		return !slices.ContainsFunc(clauses, func(k *clause) bool { return k.kind == asking && !thing(k.ask.Subject) })
	case w.Topic == "safety" && w.Score >= plainly:
		return slices.ContainsFunc(clauses, func(k *clause) bool { return k.kind == asking && k.ask.Topic == w.Topic && k.ask.Entry == w.Entry })
	}
	return true
}

// refusedBlank reports a subject that is never printed on.
func (l *Listener) refusedBlank(s Subject) bool {
	b, ok := l.base.Blank(s.Blank)
	return ok && b.Refuse != ""
}

func sameOrder(a, b planner.Order) bool { return reflect.DeepEqual(a, b) }

// asks makes the asks of clauses.
func (c *cutting) asks(clauses []*clause) []Ask {
	var out []Ask
	var said []Subject // so far, the latest first
	refused := false
	for _, k := range clauses {
		if k.kind == told {
			said = slices.Insert(said, 0, k.ask.Subject)
			continue
		}
		a := k.ask
		if len(out) > 0 {
			a = c.onward(k, out[len(out)-1])
		}
		if refused && !names(a.Subject) && slices.Contains(spreading, a.Topic) {
			continue // how to do what was just refused
		}
		refused = refused || a.Topic == "safety"
		for _, s := range said {
			a.Subject = a.Subject.about(s)
		}
		about := a.Subject
		if a.Topic == "method" { // which one it is to be is what is asked
			about.Methods = nil
		}
		said = slices.Insert(said, 0, about)
		out = append(out, c.spread(a, k.reading, c.memory, c.now)...)
	}
	for _, k := range clauses { // what is told behind the questions is of all of them
		for i := range out {
			if k.kind == told {
				out[i].Subject = out[i].Subject.about(k.ask.Subject)
			}
		}
	}
	out = out[:min(len(out), mostParts)]
	if len(out) == 1 && out[0].Score > c.whole.Score {
		out[0].Subject = merge(out[0].Subject, c.whole.Subject)
	}
	return out
}

// about gives a subject what it lacks from what was said of the same thing, or of
// things where it names none.
func (s Subject) about(said Subject) Subject {
	switch {
	case s.Blank == "" || said.Blank == "":
		return merge(s, said)
	case s.Blank != said.Blank:
		return s
	}
	blank, item := s.Blank, s.Item
	s.Blank, s.Item = "", ""
	s = merge(s, said)
	s.Blank, s.Item = blank, item
	return s
}

// onward is what a clause asks behind another question: things alone ask the same
// of themselves, and a short question is of the same step of the press.
func (c *cutting) onward(k *clause, before Ask) Ask {
	memory := c.memory
	memory.Last = &before
	if a, ok := c.heldAgainst(k.ask, k.reading, memory); ok {
		return a
	}
	switch {
	case k.kind == things:
		if a := c.again(k, before); a.Topic == before.Topic && a.What == before.What && a.Entry == before.Entry {
			return a
		}
		reading := c.reader.ReadIn(c.reading.Lang, "and "+k.reading.Normal, c.now)
		if a := c.Listener.ask(reading, memory, c.now); a.Topic == before.Topic {
			a.Text = k.ask.Text
			return a
		}
	case k.ask.Score < plainly && len(k.reading.Tokens) <= fewWords:
		if a := c.Listener.ask(k.reading, memory, c.now); a.Topic != nothing {
			return a
		}
	}
	return k.ask
}

// again asks the question before with what a clause ties to it instead: "how hot
// for cotton", "and for nylon".
func (c *cutting) again(k *clause, before Ask) Ask {
	tie := slices.IndexFunc(k.reading.Tokens, func(t span.Token) bool { return c.joints["ties"][t.Text] })
	if tie < 0 {
		return Ask{}
	}
	old := c.reader.ReadIn(c.reading.Lang, before.Text, c.now)
	at := slices.IndexFunc(old.Tokens, func(t span.Token) bool { return t.Text == k.reading.Tokens[tie].Text })
	if at < 0 {
		return Ask{}
	}
	r := c.reader.ReadIn(c.reading.Lang, old.Normal[:old.Tokens[at].Start]+k.reading.Normal[k.reading.Tokens[tie].Start:], c.now)
	return c.Listener.ask(r, c.memory, c.now)
}

// questions reports a clause that asks by its form: it begins like a question or
// ends like one.
func (l *Listener) questions(r span.Reading) bool {
	thing := len(r.Spans) > 0 && r.Spans[0].From == 0 && r.Spans[0].Kind == span.Item // "can coolers"
	return !thing && l.opens(r.Tokens) || slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return t.Text == "?" || l.joints["opener"][t.Text] }) ||
		slices.ContainsFunc(r.Spans, func(s span.Span) bool { return s.Kind == span.Intent && s.ID == "question" })
}

// jointWords gathers the words of joints by their role.
func (l *Listener) jointWords() map[string]map[string]bool {
	out := map[string]map[string]bool{}
	for _, x := range l.base.Lexicons {
		if x.Kind != "joint" {
			continue
		}
		for role, list := range x.Words {
			if out[role] == nil {
				out[role] = map[string]bool{}
			}
			for w := range strings.FieldsSeq(list) {
				out[role][w] = true
			}
		}
	}
	return out
}

// opens reports words that begin a question: "how hot", "can i", but not "when
// it cooled".
func (l *Listener) opens(tokens []span.Token) bool {
	lead := true // nothing before it but "so", "ok": "is it", not "customer is"
	for i, t := range tokens {
		switch {
		case l.joints["opener"][t.Text], lead && l.joints["auxiliary"][t.Text]:
			return true
		case lead && l.joints["negative"][t.Text]: // "dont i", not "and wont come off"
			return i+1 < len(tokens) && (l.joints["teller"][tokens[i+1].Text] || tokens[i+1].Text == "the")
		case lead && l.joints["adverb"][t.Text]:
			return i+1 == len(tokens) || l.joints["auxiliary"][tokens[i+1].Text] || !wordy(tokens[i+1])
		case !l.small(t) && !l.joints["lead"][t.Text]:
			return false
		}
		lead = lead && (t.Joins != "" || l.joints["lead"][t.Text] || l.joints["go-on"][t.Text])
	}
	return false
}

// jointsOf finds where a message may be cut, in order; the first is its beginning.
// What commas part in an order, or without a word that seeks something, is a list.
func (l *Listener) jointsOf(r span.Reading, whole Ask) []joint {
	all := l.everyJoint(r)
	for i := len(all) - 1; i > 0; i-- {
		to := len(r.Tokens)
		if i+1 < len(all) {
			to = all[i+1].end
		}
		if all[i].cost == tailCost && (whole.Order.IsOrder && whole.Topic == "quote" || !l.mayAsk(r, all[i].start, to)) {
			all = slices.Delete(all, i, i+1)
		}
	}
	if len(all) > mostClauses {
		all = slices.DeleteFunc(all, func(j joint) bool { return j.cost > markCost })
	}
	return all
}

// mayAsk reports tokens that may ask though they don't begin like a question:
// "temp", "for nylon", "385 f in c".
func (l *Listener) mayAsk(r span.Reading, from, to int) bool {
	number, unit := false, false
	for i, t := range r.Tokens[from:to] {
		if t.Text == "?" || i == 0 && l.joints["ties"][t.Text] || (l.joints["sought"][t.Text] || l.joints["sought"][t.Word]) && !l.numberBeside(r.Tokens, from+i) {
			return true
		}
		number = number || t.IsNumber
		unit = unit || i > 1 && unitOf(t.Text) != "" && joiner(r.Tokens[from+i-1].Text)
	}
	return number && unit
}

func (l *Listener) everyJoint(r span.Reading) []joint {
	out := []joint{{}}
	together, item := false, 0
	for i := 0; i < len(r.Tokens); i++ {
		t := r.Tokens[i]
		together = together || l.joints["together"][t.Text]
		if n := listItem(r.Tokens[i:], item+1); n > 0 {
			item++
			out = addJoint(out, joint{i, i + n, listCost, true})
			i += n - 1
			continue
		}
		if endsSentence(r.Tokens, i) {
			end := l.skip(r.Tokens, i+1)
			if end < len(r.Tokens) {
				out = addJoint(out, joint{i + 1, end, markCost, l.goesOn(r.Tokens[i:end])})
			}
			together = false
			i = end - 1
			continue
		}
		if i == 0 || !l.joins(r.Tokens, i) || r.Tokens[i].Start == r.Tokens[i-1].Start { // within what one foreign word says
			continue
		}
		end := l.skip(r.Tokens, i)
		if end == len(r.Tokens) {
			break
		}
		j := joint{i, end, tailCost, l.goesOn(r.Tokens[i:end])}
		switch {
		case l.gives(r.Tokens[end:]):
		case l.opens(r.Tokens[end:]):
			j.cost = openerCost
			out = addJoint(out, j)
		case j.bare:
			j.cost = openerCost
			out = addJoint(out, j)
		case !together:
			out = addJoint(out, j)
		}
		i = end - 1
	}
	return out
}

// gives reports a sentence that gives the reason of what is asked: "..., is it
// because it was cold".
func (l *Listener) gives(tokens []span.Token) bool {
	for i, t := range tokens {
		if endsSentence(tokens, i) {
			break
		}
		if l.joints["because"][t.Text] {
			return true
		}
	}
	return false
}

// addJoint adds a joint that leaves something before it.
func addJoint(out []joint, j joint) []joint {
	if last := &out[len(out)-1]; last.start >= j.end {
		last.start, last.cost, last.bare = max(last.start, j.start), min(last.cost, j.cost), last.bare || j.bare
		return out
	}
	return append(out, j)
}

// endsSentence reports a mark that ends a sentence.
func endsSentence(tokens []span.Token, i int) bool {
	switch tokens[i].Text {
	case "?", "!", ";", "\n":
		return true
	case ".":
		return i+1 < len(tokens) && !tokens[i+1].Glued
	}
	return false
}

// joins reports a word or sign that may join two questions.
func (l *Listener) joins(tokens []span.Token, i int) bool {
	t := tokens[i]
	return t.Text == "," || t.Joins == "and" || t.Text == "n" || l.joints["go-on"][t.Text] || t.Text == "-" && !t.Glued
}

// skip passes over marks and joining words.
func (l *Listener) skip(tokens []span.Token, i int) int {
	for i < len(tokens) && (endsSentence(tokens, i) || l.joins(tokens, i) || tokens[i].Text == ".") {
		i++
	}
	return i
}

func (l *Listener) goesOn(tokens []span.Token) bool {
	return slices.ContainsFunc(tokens, func(t span.Token) bool { return l.joints["go-on"][t.Text] || t.Text == "+" })
}

// listItem returns the length of the n-th number of a list, "2)" or "b.", 0 where
// there is none.
func listItem(tokens []span.Token, n int) int {
	if len(tokens) < 3 {
		return 0
	}
	first := tokens[0]
	if first.Glued && first.Start > 0 || !(first.IsNumber && first.Number == float64(n) || first.Text == string(rune('a'+n-1))) {
		return 0
	}
	if m := tokens[1]; m.Glued && (m.Text == ")" || m.Text == "." || m.Text == ":") && !tokens[2].Glued {
		return 2
	}
	return 0
}

// spread asks a question of each of several things that it names side by side:
// "temp for mugs and tiles". It returns the question alone where it names one
// thing, holds its things together, or asks something else of one of them.
func (l *Listener) spread(a Ask, r span.Reading, memory Memory, now time.Time) []Ask {
	one := []Ask{a}
	if a.Order.posted() || a.Entry != (Entry{}) || !slices.Contains(spreading, a.Topic) || slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return l.joints["together"][t.Text] }) {
		return one
	}
	side := l.sideBySide(r)
	if len(side) < 2 || len(side) > mostParts || !spreadable(side[0].kind, a.Topic) {
		return one
	}
	var out []Ask
	for _, keep := range side {
		alone := l.ask(l.with(r, side, keep, now), memory, now)
		if alone.Topic != a.Topic || alone.What != a.What || alone.Entry != a.Entry {
			return one
		}
		alone.Subject = merge(alone.Subject, a.Subject)
		out = append(out, alone)
	}
	return out
}

// spreading are the topics whose answers differ by the thing that is asked about.
var spreading = []string{"setting", "placement", "method", "wait", "care", "print"}

// spreadable reports things of a kind that a question of a topic may be asked of
// one by one: two spots are places of one print elsewhere, two colours are art.
func spreadable(kind span.Kind, topic string) bool {
	switch kind {
	case span.Colour:
		return false
	case span.Spot, span.Group:
		return topic == "placement"
	case span.Method:
		return topic != "method"
	}
	return true
}

// A run is the tokens from up to to that name one thing, and the kind of its last
// name: "black cotton tee" is an item.
type run struct {
	from, to int
	kind     span.Kind
}

// sideBySide finds things of one kind that stand in a row, joined by commas and
// "and".
func (l *Listener) sideBySide(r span.Reading) []run {
	var row []run
	for _, next := range l.runs(r) {
		switch {
		case len(row) > 0 && next.kind == row[0].kind && l.joined(r.Tokens[row[len(row)-1].to:next.from]):
			row = append(row, next)
		case len(row) < 2:
			row = []run{next}
		}
	}
	return row
}

// runs finds the names of things.
func (l *Listener) runs(r span.Reading) []run {
	var out []run
	for _, s := range r.Spans {
		kind := s.Kind
		switch kind {
		case span.Item, span.Fibre, span.Fabric, span.Method, span.Spot, span.Group, span.Colour:
		case span.FibreShares:
			kind = span.Fibre
		default:
			continue
		}
		if s.Negated {
			continue
		}
		if kind == span.Fabric {
			kind = span.Fibre
		}
		if n := len(out); n > 0 && out[n-1].to == s.From {
			out[n-1].to, out[n-1].kind = s.To, kind
			continue
		}
		out = append(out, run{s.From, s.To, kind})
	}
	return out
}

// joined reports tokens that join two things: "and", ", and for a".
func (l *Listener) joined(tokens []span.Token) bool {
	found := false
	for _, t := range tokens {
		switch {
		case t.Text == "," || t.Joins == "and" || l.joints["go-on"][t.Text]:
			found = true
		case l.joints["teller"][t.Text], !l.small(t) && !l.joints["ties"][t.Text]:
			return false
		}
	}
	return found
}

// with is a reading that names one of the things alone.
func (l *Listener) with(r span.Reading, side []run, keep run, now time.Time) span.Reading {
	head := r.Normal[:r.Tokens[side[0].from].Start]
	tail := r.Normal[r.Tokens[side[len(side)-1].to-1].End:]
	return l.reader.ReadIn(r.Lang, head+r.Normal[r.Tokens[keep.from].Start:r.Tokens[keep.to-1].End]+tail, now)
}
