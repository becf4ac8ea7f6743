package listen

import (
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"presshand/bot/listen/span"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
)

// A Listener understands messages. It does not change after New and may be
// used by any number of goroutines.
type Listener struct {
	base     *knowledge.Base
	profile  *shop.Profile
	reader   *span.Reader
	index    *index
	foreign  map[string]func() *index // by language: its cues, in English words
	talk     talk                     // what means something only in a talk
	fillers  map[string]bool
	ordinary map[string]bool
	anchors  map[string]bool // words that only the trade says
	aliens   map[string]bool // words that only other trades say
	names    map[Entry]string
	rules    map[string]string // what the words of shop rules stand for
	steps    map[string]string // word to the step of a run it speaks of
	openers  map[string]string // phrase a message opens with to what it does: "correct", "small"
	figures  map[string]bool   // words that may stand beside a figure somebody names
	asking   map[string]bool   // words that ask, of whatever
	changing map[string]bool   // words beside what somebody wants changed in an order
	asWell   map[string]bool   // words that ask whether the same holds of another thing
	mixed    map[string]bool   // phrases beside a fibre that is only a part of a thing: "in it"
	concepts map[string][]string
	wishes   []wish                     // in order
	only     map[Entry][]string         // words of which an entry wants one said
	except   map[Entry]placed           // phrases that speak of something else than an entry
	joints   map[string]map[string]bool // by role: words at the joints of a message with several questions
	refusals refusals                   // phrases that rule a method out
	meanings meanings                   // phrases that ask what a word means

	tells   []tell           // words that tell what a message is of, whatever stands beside them
	tellsBy map[string][]int // their places, by their first words

	children map[string]bool // words that say a child
	ofFault  placed          // words of a talk about a fault
}

// Thresholds on a candidate's score (see weigh). They were set on the tune half
// of the question files.
const (
	// accept: the topic is likely enough beside none at all.
	accept = 0.45
	// sure: a question this well explained is not taken for an order, though
	// it holds a quantity and a blank.
	sure = 0.55
	// plainly: so well explained that talk of a change ("instead", "what
	// about") does not make it one.
	plainly = 0.8
	// clearly: a clause must be understood better than its message by this much to
	// stand for it.
	clearly = 0.05
	// near: below accept, an entry this close is offered as a guess.
	near = 0.18
)

// New returns a Listener over a checked base.
func New(base *knowledge.Base, profile *shop.Profile) *Listener {
	reader := make(chan *span.Reader, 1)
	go func() { reader <- span.New(base, profile) }() // beside the index: both are most of a start
	l := &Listener{
		base: base, profile: profile,
		fillers: map[string]bool{}, names: map[Entry]string{},
		ordinary: map[string]bool{}, anchors: map[string]bool{}, aliens: map[string]bool{}, steps: map[string]string{}, figures: map[string]bool{}, asking: map[string]bool{}, asWell: map[string]bool{}, mixed: map[string]bool{}, changing: map[string]bool{}, concepts: map[string][]string{}, only: map[Entry][]string{}, except: map[Entry]placed{},
	}
	same := map[string]string{}
	for _, x := range base.Lexicons {
		if x.Kind == "same" {
			for one, list := range x.Words {
				for _, w := range strings.Fields(list) {
					same[w] = one
				}
			}
		}
		if x.Kind == "concept" {
			for _, concept := range slices.Sorted(maps.Keys(x.Words)) { // in order, for the first of a word's counts
				alone := []string{concept} // shared: most words have one
				for w := range strings.FieldsSeq(x.Words[concept]) {
					if l.concepts[w] == nil {
						l.concepts[w] = alone
					} else {
						l.concepts[w] = append(slices.Clip(l.concepts[w]), concept)
					}
				}
			}
		}
		if x.Kind == "step" {
			for step, list := range x.Words {
				for _, w := range strings.Fields(list) {
					l.steps[w] = step
				}
			}
		}
		if x.Kind == "opener" {
			l.openers = x.Words
		}
		set := map[string]map[string]bool{"small": l.fillers, "everyday": l.ordinary, "ordinary": l.ordinary, "anchor": l.anchors, "alien": l.aliens, "figure": l.figures, "asking": l.asking, "as well": l.asWell, "change": l.changing}[x.Kind]
		if x.Kind == "mixed" {
			for phrase := range x.Words {
				l.mixed[Fold(phrase)] = true
			}
		}
		if set == nil {
			continue
		}
		for w, list := range x.Words {
			for _, f := range append(strings.Fields(Fold(w)), strings.Fields(list)...) {
				set[f] = true
			}
		}
	}
	l.index = newIndex(l.phrases(), l.filler, same)
	l.foreign = l.foreignIndexes(same)
	l.talk = newTalk(base.Cues, l.talkFiller, same)
	l.rules, l.wishes = l.ruleWords(), wishesOf(base)
	l.joints = l.jointWords()
	l.refusals, l.meanings = refusalsOf(base), l.meaningsOf(base)
	l.tells = tellsOf(base, l.index.stem)
	l.tellsBy = byFirst(l.tells)
	l.ofFault = placedOf(base, "fault talk")
	l.children = map[string]bool{}
	for _, w := range setsOf(base)["child"] {
		l.children[w] = true
	}
	l.reader = <-reader
	return l
}

func (l *Listener) filler(w string) bool { return l.fillers[w] }

// everyday reports an ordinary English word, which is never taken for a slip
// of a trade word.
func (l *Listener) everyday(w string) bool { return l.ordinary[w] }

// targetOfCue is what a cue points to.
func targetOfCue(c *knowledge.Cue) Target {
	t := Target{Topic: c.Topic, Ask: c.Ask}
	if section, id, ok := strings.Cut(c.Entry, "/"); ok {
		t.Entry = Entry{section, id}
	}
	return t
}

// foreignIndexes returns what builds, when a message first needs it, the index
// of the cues of each other language.
func (l *Listener) foreignIndexes(same map[string]string) map[string]func() *index {
	out := map[string]func() *index{}
	for _, c := range l.base.Cues {
		if c.Lang != "" && out[c.Lang] == nil {
			out[c.Lang] = sync.OnceValue(func() *index { return newIndex(l.foreignPhrases(c.Lang), l.filler, same) })
		}
	}
	return out
}

// foreignPhrases gathers the cues of a language in the English words that a
// message in it is read by. They stand apart: they are no wordings of an English
// message, and would change what its words weigh.
func (l *Listener) foreignPhrases(lang string) []rawPhrase {
	g := NewGlossary(l.base, lang)
	var out []rawPhrase
	for _, c := range l.base.Cues {
		if c.Lang != lang {
			continue
		}
		var not []string
		for _, n := range c.Not {
			not = append(not, g.Wording(n))
		}
		for _, p := range c.Phrases {
			out = append(out, rawPhrase{target: targetOfCue(c), text: g.Wording(p), factor: 1, not: not, alone: isTalk(c.Topic)})
		}
	}
	return out
}

// A Glossary says in English what the words of another language mean.
type Glossary = span.Glossary

// NewGlossary returns the glossary of a language.
func NewGlossary(base *knowledge.Base, lang string) *Glossary { return span.NewGlossary(base, lang) }

// isTalk reports a topic of talk, whose wordings must be all of a message.
func isTalk(topic string) bool { return topic == "help" || topic == "follow" }

// phrases gathers every English wording the base knows: cues, and the names of faults,
// guides, procedures, terms, cautions, care and placements.
func (l *Listener) phrases() []rawPhrase {
	out := make([]rawPhrase, 0, l.wordings())
	add := func(t Target, factor float64, not []string, texts ...string) {
		for _, text := range texts {
			if text = strings.TrimSpace(text); text != "" {
				out = append(out, rawPhrase{target: t, text: text, factor: factor, not: not, alone: isTalk(t.Topic)})
			}
		}
	}
	entry := func(section, topic string, h *knowledge.Head, factor float64, texts ...string) {
		e := Entry{section, h.ID}
		l.names[e] = h.Name
		l.only[e] = h.Only
		if len(h.Except) > 0 {
			l.except[e] = placedIn("any", h.Except)
		}
		add(Target{Topic: topic, Entry: e}, factor, nil, texts...)
	}
	for _, c := range l.base.Cues {
		if c.Lang == "" && len(c.After) == 0 {
			add(targetOfCue(c), 1, c.Not, c.Phrases...)
		}
	}
	for _, f := range l.base.Faults {
		entry("faults", "fault", &f.Head, 1, append([]string{f.Name}, f.Names...)...)
	}
	for _, g := range l.base.Guides {
		entry("guides", g.Topic, &g.Head, 1, append([]string{g.Name}, g.Names...)...)
	}
	for _, p := range l.base.Procedures {
		entry("procedures", "steps", &p.Head, 1, append([]string{p.Name}, p.Names...)...)
	}
	for _, k := range l.base.Cautions {
		entry("cautions", "safety", &k.Head, bare, append([]string{k.Name}, k.Names...)...)
	}
	for _, k := range l.base.Corrections {
		e := Entry{"corrections", k.ID}
		l.names[e] = k.Name
		for _, claim := range k.Claim {
			out = append(out, rawPhrase{target: Target{Topic: "safety", Entry: e}, text: claim, factor: claimed, strict: true})
		}
	}
	for _, k := range l.base.Terms {
		names := append([]string{k.Name}, k.Names...)
		e := Entry{"terms", k.ID}
		l.names[e] = k.Name
		for _, n := range names {
			out = append(out, rawPhrase{target: Target{Topic: "term", Entry: e}, text: n, factor: bare, alone: true})
		}
		for _, n := range names {
			entry("terms", "term", &k.Head, meant, "what is "+n, "what does "+n+" mean", "meaning of "+n, "define "+n, "explain "+n, n+" definition")
		}
	}
	return out
}

// wordings is about how many wordings the base knows.
func (l *Listener) wordings() int {
	const ofEntry, ofTerm = 12, 24
	n := ofEntry*(len(l.base.Faults)+len(l.base.Guides)+len(l.base.Procedures)+len(l.base.Cautions)+len(l.base.Corrections)) + ofTerm*len(l.base.Terms)
	for _, c := range l.base.Cues {
		n += len(c.Phrases)
	}
	return n
}

// meant is the factor of a wording that asks what a word means: a cue that
// asks for the thing's figure ("what is the minimum order") comes first.
const meant = 0.95

// claimed lifts a wrong figure that is repeated word for word above the
// ordinary questions that share its words.
const claimed = 1.2

// bare is the factor of a wording that names an entry without asking for it: a
// fault or a cue that explains as much comes first.
const bare = 0.8

// Listen understands a message in its conversation.
func (l *Listener) Listen(text string, memory Memory, now time.Time) Request {
	reading := l.reader.ReadTalk(memory.lang(), text, now)
	req := Request{Text: text, Lang: reading.Lang}
	if req.Lang == "" {
		req.Lang = "en"
	}
	if a, ok := l.aboutRules(reading, memory, now); ok {
		req.Asks = []Ask{a}
		return req
	}
	if memory.Pending != nil && memory.Pending.Wish != nil {
		memory.Pending = nil // only a yes or no completes it
	}
	reading = l.named(reading, memory, now)
	if a, ok := l.corrected(reading, memory, now); ok {
		a.Lang = req.Lang
		req.Asks = []Ask{a}
		return req
	}
	whole := l.ask(reading, memory, now)
	if both := memory.compared(); whole.Topic == "follow" && whole.What == "compare" && len(both) > 0 {
		for i := range both {
			both[i].Text, both[i].Lang, both[i].Carried = text, req.Lang, true
		}
		req.Asks = both
		return req
	}
	if a, ok := l.notDenied(whole, reading, memory, now); ok {
		whole = a
	}
	req.Asks = l.spread(whole, reading, memory, now)
	if parts := l.parts(reading, memory, now, whole); len(parts) > 1 || len(parts) == 1 && (parts[0].Score > whole.Score+clearly || whole.Topic == "help") {
		req.Asks = parts
	}
	for i := range req.Asks {
		req.Asks[i].Lang = req.Lang
	}
	return req
}

// ask understands one part of a message.
func (l *Listener) ask(reading span.Reading, memory Memory, now time.Time) Ask {
	reading = l.ofChild(l.refused(l.doubt(reading)))
	a := Ask{Text: reading.Original, Subject: subjectOf(reading), Settings: settingsOf(reading), Step: l.stepOf(reading)}
	a.Subject.Wish, a.Subject.Coated = l.wished(reading)
	env := OrderEnv{Base: l.base, Profile: l.profile, Now: now}
	a.Order = l.onlyOther(ReadOrder(reading, env), a.Subject.NotMethods)
	var mixed bool
	a.Subject, mixed = l.mixedIn(withLine(a.Subject, a.Order), reading, memory)
	found, none := l.candidates(reading)
	if a.Order.complete() {
		found = ofOrders(found)
	}
	_, quantified := quantity(reading)
	if _, wanted := conversion(reading); !wanted && (names(a.Subject) || a.Subject.Sheet != "") { // "dial is in celsius, what for two step": nothing to convert
		found = without(found, "convert")
	}
	if c, ok := l.told(a, reading, found); ok {
		l.aim(&a, c)
		return a
	}
	best := candidate{}
	if len(found) > 0 {
		best = found[0]
	}
	if c, ok := l.figureOf(found, reading); ok {
		best = c
	}
	if best.target.Topic == "setting" && best.target.Entry == (Entry{}) && thing(a.Subject) && l.endsOnMethod(reading) && !l.wantsFigure(reading) {
		best.target = Target{Topic: "method", Ask: "can"} // "yellow poly shirt with blue numbers, sub?"
	}
	if c, ok := convertAgain(reading, memory); ok && l.onlyFigures(reading) {
		a.Topic, a.Convert, a.Score = "convert", c, 1
		return a
	}
	_, wanted := conversion(reading)
	if c, ok := l.onTalk(a, reading, memory, best); ok && !wanted && !a.Order.posted() {
		return c
	}
	if c, ok := l.sameFault(a, reading, memory, best); ok && !wanted && !a.Order.posted() {
		return c
	}
	if c, ok := l.held(a, reading, memory); ok && !wanted && (best.wording < exact || best.target.Topic == "convert") {
		return c
	}
	if c, ok := conversion(reading); ok && !a.Order.posted() && (best.score < plainly || !names(a.Subject) || l.onlyNames(reading) || best.target.Topic == "convert" || best.target.Topic == "term") {
		a.Topic, a.Convert, a.Score = "convert", c, 1
		return a
	}
	if best.target.Topic == "convert" && best.score >= accept && !a.Order.posted() {
		if c, at := quantity(reading); at > 0 && c.From != "" && !reading.Tokens[at-1].IsNumber {
			a.Topic, a.Convert, a.Score = "convert", c, best.score
			return a
		}
		if last := memory.Last; quantified < 0 && last != nil && last.Topic != "convert" { // "and in celsius?": answers show both scales
			again := *last
			again.Text, again.Score, again.Carried = a.Text, best.score, true
			return again
		}
	}
	if a.Subject.Pixels > 0 {
		a.Topic, a.What, a.Score = "art", "ppi", 1
		return a
	}
	small := best.target.Topic == "help" || best.target.Topic == "follow"
	only := names(a.Subject) && l.onlyNames(reading)
	answersIt := only || !(best.score >= sure && !small) && !(best.target.Ask == "cancel" && best.score >= accept)
	if memory.Pending != nil && answersIt && !a.Order.counts() {
		if filled, ok := l.fill(*memory.Pending, memory.Missing, a, reading, best); ok {
			return filled
		}
	}
	if l.changesOrder(a, reading, memory, best) {
		if order, changes, ok := Amend(*memory.Order, reading); ok && (!a.Order.IsOrder || amends(reading) || continues(reading) || a.recounts(*memory.Order)) {
			a.Topic, a.Amend, a.Changes, a.Score = "quote", true, changes, 1
			a.Order = OrderReading{Order: order, IsOrder: true}
			return a
		}
	}
	onward := amends(reading) || continues(reading)
	_, _, shared := otherShare(reading, last(memory))
	goesOn := shared || mixed && best.wording < exact && l.beside(reading) <= mostMixed || l.holdsToo(a, reading) && (best.wording < exact || l.asksWhether(reading)) || only && (onward || best.wording < exact) || onward && best.score < plainly
	if best.target == (Target{Topic: "method", Ask: "can"}) && best.score >= plainly && l.asksWhether(reading) {
		goesOn = false // "could we sub it instead"
	}
	if memory.Last != nil && goesOn && !a.Order.posted() {
		if c, ok := l.carryOn(a, reading, memory); ok {
			return c
		}
	}
	posted := a.Order.posted()
	switch {
	case posted && (only || best.score < sure || best.target.Topic == "quote" && best.target.Ask == "" && (best.target.Entry == (Entry{}) || !l.questions(reading) && !opensQuestion(reading)) || best.target.Topic == "term" || a.Order.whole() && best.target.Topic != "method"):
		a.Topic, a.Score = "quote", 1
		return a
	case only && best.wording < exact && l.bareThing(a, reading):
	case best.score >= accept:
		l.aim(&a, best)
		if a.Topic == "method" && a.What != "why" && l.asksOther(a, reading) {
			a.Entry, a.What = Entry{}, "" // not what was refused is to be told about, but what is left
		}
		if a.Topic == "method" && a.What == "wash_life" && len(a.Subject.Wish) > 0 && thing(a.Subject) {
			a.What = "" // "they want it to look washed out": washing is not what is asked
		}
		if e, ok := l.reasonFor(a, reading); ok {
			a.Entry = e
		}
		if l.comparesHeat(a, reading) {
			a.Topic, a.What, a.Entry = "setting", "press_temperature", Entry{}
		}
		if c, ok := l.heldAgainst(a, reading, memory); ok {
			return c
		}
		l.carry(&a, reading, memory)
		if figure, ok := strings.CutPrefix(a.What, "finish_"); ok && a.Topic == "setting" && a.Step != "finish" && memory.Last != nil && memory.Last.Topic == "setting" && memory.Last.stage() == "prepress" && back(reading) {
			a.What = "press_" + figure // "and the press time after that": what follows the pre-press
		}
		if c, ok := l.nextStep(a, memory, now); ok {
			return c
		}
		if (a.Topic == "quote" || a.Topic == "plan") && a.Entry == (Entry{}) {
			a.Order.IsOrder = a.Order.IsOrder || a.Order.full() // "whats it each for 24 black tees 9x7": asked of an order nobody posted
		}
		if n := otherCount(reading); n > 0 && memory.Order != nil && !posted && a.Topic == "quote" && slices.Contains([]string{"", "breaks", "why", "money", "inner"}, a.What) {
			a.What, a.Subject.Quantity = "breaks", n // "how much for 100": the same order, another count
		}
		return a
	}
	if c, ok := l.ofOrder(found, memory); ok && !names(a.Subject) {
		l.aim(&a, c)
		l.carry(&a, reading, memory)
		a.Score = accept
		return a
	}
	if c, ok := l.carryOn(a, reading, memory); ok && (only || none < ratherNone) {
		return c
	}
	if s := a.Subject; s.Sheet != "" && s.Width > 0 && s.Blank == "" && !a.Order.posted() && !l.offTrade(reading) { // "do two 4x4s go side by side on letter"
		a.Topic, a.What, a.Score = "quote", "fit", accept
		return a
	}
	if a.Subject.countsUnknown() && !l.offTrade(reading) {
		a.Topic, a.Score = "quote", accept
		a.Order = unknownItem(a)
		return a
	}
	if l.bareThing(a, reading) && (none < surelyNone || only && !mended(reading)) {
		a.Topic, a.Score = "method", accept
		if len(a.Subject.Methods) == 1 {
			a.What = "can"
		}
		l.carry(&a, reading, memory)
		return a
	}
	if c, ok := l.together(found, reading, memory, now); ok && none < ratherNone {
		l.aim(&a, c)
		l.carry(&a, reading, memory)
		return a
	}
	if c, ok := l.inLast(a, reading, memory); ok {
		return c
	}
	a.Topic, a.Score = "none", best.score
	a.Near = l.nearest(found)
	return a
}

// figureOf is the press setting that a message asks for where the thing it names
// makes a choice of methods likelier: "acrylic beanie, toner logo on the fold, how
// hot". The word for the figure ends it, or speaks of nothing else.
func (l *Listener) figureOf(found []candidate, r span.Reading) (candidate, bool) {
	if len(found) == 0 || found[0].target.Entry != (Entry{}) || found[0].target.Topic != "method" && found[0].target.Topic != "placement" || !l.wantsFigure(r) {
		return candidate{}, false
	}
	for _, c := range found {
		if c.target.Topic == "setting" && c.target.Entry == (Entry{}) && c.target.Ask != stated && c.score >= near {
			c.score = max(c.score, accept)
			return c, true
		}
	}
	return candidate{}, false
}

// endsOnMethod reports a message whose last clause is the name of a method and no
// more, asked: "..., sub?".
func (l *Listener) endsOnMethod(r span.Reading) bool {
	n := len(r.Tokens)
	if n < 2 || r.Tokens[n-1].Text != "?" {
		return false
	}
	return slices.ContainsFunc(r.Spans, func(s span.Span) bool {
		return s.Kind == span.Method && s.To == n-1 && s.From > 0 && !wordy(r.Tokens[s.From-1]) && !r.Tokens[s.From-1].IsNumber
	})
}

// comparesHeat reports two methods held side by side for what the press is set to:
// "how much hotter is sub than two-step". Both settings tell.
func (l *Listener) comparesHeat(a Ask, r span.Reading) bool {
	if len(a.Subject.Methods) < 2 || a.Topic != "method" && a.Topic != "steps" && a.Topic != "term" || a.Entry.Section == "guides" {
		return false
	}
	return slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		return l.joints["figure"][t.Text] || l.joints["hotter"][t.Text]
	})
}

// wantsFigure reports a message that asks for a figure of the press, and not
// which method to take.
func (l *Listener) wantsFigure(r span.Reading) bool {
	if l.asksWhether(r) {
		return false
	}
	said, last := false, ""
	for _, t := range r.Tokens {
		if l.joints["choice"][t.Text] || l.joints["teller"][last] && l.joints["gauge"][t.Text] {
			return false
		}
		said = said || l.joints["figure"][t.Text]
		if wordy(t) && !l.fillers[t.Text] {
			last = t.Text
		}
	}
	return said || l.joints["gauge"][last] && (l.questions(r) || l.seeks(r))
}

// ofOrder is the candidate that is asked of the order spoken of: right after a
// quote or a plan, one that the wordings explain this well needs no word of the
// trade ("whats the very soonest").
func (l *Listener) ofOrder(found []candidate, memory Memory) (candidate, bool) {
	if memory.Order == nil || memory.Last == nil || memory.Last.Topic != "quote" && memory.Last.Topic != "plan" {
		return candidate{}, false
	}
	var best candidate
	for _, c := range found {
		if c.wording > best.wording {
			best = c
		}
	}
	return best, best.wording >= leastOfOrder && (best.target.Topic == "quote" || best.target.Topic == "plan")
}

// leastOfOrder is how well the wordings must explain a question of an order,
// set on the tune half of the question files.
const leastOfOrder = 0.4

// without drops the candidates of a topic.
func without(found []candidate, topic string) []candidate {
	return slices.DeleteFunc(slices.Clone(found), func(c candidate) bool { return c.target.Topic == topic })
}

// surelyNone: a message so likely none of the bot's business is no blank held up
// for advice either, unless its name is all it says.
const surelyNone = 0.8

// ratherNone: a message more likely none of the bot's business than not does not
// go on from the last question for a thing it names ("where is my gas tank").
const ratherNone = 0.5

// mended reports a named thing whose word was not typed as the base has it.
func mended(r span.Reading) bool {
	return slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return t.Known && t.Score < 1 })
}

// otherCount is the one bare whole number of a question about a price: "price at
// 100". It is 0 where there is none or several, and for the number of an order.
func otherCount(r span.Reading) int {
	n := 0
	for _, s := range r.Spans {
		guessed := s.Kind == span.Temperature && s.Note != "" // no unit was said: "at 100"
		bare := guessed || s.Kind == span.Quantity || s.Kind == span.Number
		if !bare || s.Value != math.Trunc(s.Value) || s.Value > mostPieces {
			continue
		}
		if n != 0 || s.Value2 != 0 || s.From > 0 && slices.Contains([]string{"order", "#", "no", "number"}, r.Tokens[s.From-1].Text) {
			return 0
		}
		n = int(s.Value)
	}
	return n
}

// ofOrders leaves of the candidates for a whole order those that may be asked of
// one; words of its print and its blank are no question about them.
func ofOrders(found []candidate) []candidate {
	return slices.DeleteFunc(slices.Clone(found), func(c candidate) bool {
		switch c.target.Topic {
		case "setting", "colour", "placement", "method", "fault", "term":
			return c.target.Entry == (Entry{}) || c.score < plainly
		}
		return false
	})
}

// changesOrder reports a message that may change the order spoken of: it
// speaks of a change, or nothing else explains it well.
func (l *Listener) changesOrder(a Ask, r span.Reading, memory Memory, best candidate) bool {
	ofOrder := memory.Last != nil && (memory.Last.Topic == "quote" || memory.Last.Topic == "plan")
	switch {
	case memory.Order == nil:
		return false
	case ofOrder && !a.Order.posted() && (l.corrects(r, best) || l.onlyChanges(r) || takesOff(r)):
		return true
	case ofOrder && a.Order.posted() && (continues(r) || a.recounts(*memory.Order)): // "and 12 white mugs", "18 mugs"
		return true
	case best.target.Topic == "help" && best.score >= accept:
		return false
	case best.target.Topic == "follow" && best.score >= plainly:
		return false
	case a.Order.posted() && !amends(r):
		return false
	case memory.Last != nil && memory.Last.Topic != "quote" && memory.Last.Topic != "plan" && memory.Last.Topic != "board" && names(a.Subject):
		return false // the talk has gone on to something else: "and for mugs?" is about that
	case ofOrder && (l.orderTalk(r) || names(a.Subject) && l.onlyNames(r)):
		return true
	case amends(r) && ofOrder:
		if names(a.Subject) && l.onlyNames(r) || !l.questions(r) { // "make it 36", "put it on the back instead"
			return true
		}
		return best.score < plainly || best.target.Topic == "term" || best.target.Topic == "quote" && (best.target.Ask == "" || len(r.Find(span.Ownership)) > 0)
	}
	return best.score < sure && !l.offTrade(r)
}

// recounts reports a message that says no more than another count of an item of
// the order.
func (a Ask) recounts(order planner.Order) bool {
	if len(a.Order.Order.Lines) != 1 {
		return false
	}
	l := a.Order.Order.Lines[0]
	return l.Item != "" && l.Colour == "" && len(l.Fibre) == 0 && len(l.Prints) == 0 && l.Method == "" &&
		slices.ContainsFunc(order.Lines, func(o planner.Line) bool { return o.Item == l.Item })
}

// corrects reports a message that asks nothing and says of an order what only an
// order has: whose the blanks are, another size of its print, one thing and
// not the other ("50/50 not cotton"). What plainly is a fault stays one.
func (l *Listener) corrects(r span.Reading, best candidate) bool {
	if l.questions(r) || opensQuestion(r) || best.score >= plainly && !slices.Contains([]string{"quote", "plan", "method", "setting", "placement", "term", "help"}, best.target.Topic) {
		return false
	}
	if best.target.Topic == "help" && (best.target.Ask == "no" || best.target.Ask == "cancel") && otherCount(r) > 0 { // "oops, 54"
		return true
	}
	return slices.ContainsFunc(r.Spans, func(s span.Span) bool {
		switch s.Kind {
		case span.Ownership:
			return true
		case span.Quantity:
			if s.Value2 != 0 { // "10 extra"
				return true
			}
		case span.Dimension, span.SizeRun, span.Size:
			return !s.Negated
		case span.Spot:
			if s.Negated {
				return true
			}
		}
		return s.Negated && slices.ContainsFunc(r.Spans, func(o span.Span) bool { return !o.Negated && sameSort(s, o) })
	})
}

// onlyChanges reports a message that asks nothing, names what an order is made of
// and holds no word besides but those of a change: "wait she says navy not
// black", "print smaller, 7x5".
func (l *Listener) onlyChanges(r span.Reading) bool {
	if l.questions(r) || opensQuestion(r) {
		return false
	}
	named := false
	for _, s := range r.Spans {
		switch s.Kind {
		case span.Colour, span.Dimension, span.Size, span.SizeRun:
			named = true
		case span.Quantity:
			named = named || s.Value2 != 0 // "6 more"
		}
	}
	for i, t := range l.tokens(r) {
		if !t.filler && t.weight == 0 && len(t.kinds) == 0 && wordy(r.Tokens[i]) && !l.changing[t.text] && !l.amendWord(r, i) {
			return false
		}
	}
	return named
}

// opensQuestion reports a message with a clause that begins as a question to be
// answered with yes or no: "is 2XL dearer".
func opensQuestion(r span.Reading) bool {
	opens := true
	for _, t := range r.Tokens {
		if opens && slices.Contains([]string{"is", "are", "do", "does", "did", "can", "could", "will", "would", "should", "was", "were", "has", "have"}, t.Text) {
			return true
		}
		opens = !wordy(t) && !t.IsNumber
	}
	return false
}

// sameSort reports pieces of which one may replace the other.
func sameSort(a, b span.Span) bool {
	sort := func(s span.Span) span.Kind {
		switch s.Kind {
		case span.Number:
			return span.Quantity
		case span.FibreShares, span.Fabric:
			return span.Fibre
		}
		return s.Kind
	}
	switch sort(a) {
	case span.Quantity, span.Fibre, span.Colour, span.Spot, span.Size, span.Item, span.Dimension:
		return sort(a) == sort(b)
	}
	return false
}

// aim points an ask at a candidate's target.
func (l *Listener) aim(a *Ask, c candidate) {
	a.Topic, a.What, a.Entry, a.Score = c.target.Topic, c.target.Ask, c.target.Entry, c.score
	if a.Topic == "convert" {
		a.Score = c.score
	}
}

// reasonFor is the guide that gives the reason for what is asked, where the
// message asks for the reason and not for the figure: "how come cotton needs a
// longer pre-press".
func (l *Listener) reasonFor(a Ask, r span.Reading) (Entry, bool) {
	if a.Entry != (Entry{}) || len(a.Settings) > 0 || !slices.Contains([]string{"setting", "wait", "print", "placement"}, a.Topic) || !slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return t.Text == "why" }) && !inARow(r, "how", "come") {
		return Entry{}, false
	}
	for _, key := range []string{a.Topic + "/" + a.What, a.Topic} {
		for _, g := range l.base.Guides {
			if slices.Contains(g.About, key) {
				return Entry{"guides", g.ID}, true
			}
		}
	}
	return Entry{}, false
}

// inARow reports two words of a message one after the other.
func inARow(r span.Reading, first, second string) bool {
	for i := 1; i < len(r.Tokens); i++ {
		if r.Tokens[i-1].Text == first && r.Tokens[i].Text == second {
			return true
		}
	}
	return false
}

// nearest lists the closest entries below the threshold, each once.
func (l *Listener) nearest(found []candidate) []Near {
	var out []Near
	seen := map[Target]bool{}
	for _, c := range found {
		if c.score < near || len(out) == 3 {
			break
		}
		if c.target.Topic == "help" || c.target.Topic == "follow" || seen[c.target] {
			continue
		}
		seen[c.target] = true
		name := l.names[c.target.Entry]
		if name == "" {
			name = l.cueName(c.target)
		}
		out = append(out, Near{c.target, name, c.score})
	}
	return out
}

// cueName names a topic in words, from the cue's own name.
func (l *Listener) cueName(t Target) string {
	for _, c := range l.base.Cues {
		if c.Topic == t.Topic && c.Ask == t.Ask && c.Name != "" {
			return c.Name
		}
	}
	return ""
}

// tokens prepares a reading for the index.
func (l *Listener) tokens(r span.Reading) []token {
	out := make([]token, len(r.Tokens))
	for i, t := range r.Tokens {
		text := t.Text
		if t.Known && t.Word != "" && !l.everyday(t.Text) && !l.aliens[t.Text] {
			text = t.Word
		}
		out[i] = token{text: text, anchor: l.anchors[text], alien: l.alien(r, i), filler: l.fillers[t.Text] || l.fillers[t.Word] || !wordy(t)}
	}
	for _, s := range r.Spans {
		slot, weight := slotOf(s.Kind)
		if slot == "" {
			continue
		}
		for i := s.From; i < s.To && i < len(out); i++ {
			out[i].kinds = append(out[i].kinds, slot)
			if s.Kind == span.Quantity {
				out[i].kinds = append(out[i].kinds, "number")
			}
			if s.Kind == span.FibreShares || s.Kind == span.Fabric {
				out[i].kinds = append(out[i].kinds, "fibre")
			}
			if weight == namedWeight {
				out[i].anchor = true
			}
			switch {
			case s.Kind == span.Customer:
				out[i].weight, out[i].foreign = weight, slot
			case i == s.From:
				out[i].weight = weight
			default:
				out[i].filler = true
			}
		}
	}
	for i, t := range r.Tokens {
		if isSheet(t.Text) {
			out[i].kinds = append(out[i].kinds, "sheet")
			out[i].weight = max(out[i].weight, namedWeight)
		}
	}
	return out
}

// doubt takes back pieces that rest on an ordinary word mended into a word of
// the trade: "savings" are no satin.
func (l *Listener) doubt(r span.Reading) span.Reading {
	spans := make([]span.Span, len(r.Spans))
	copy(spans, r.Spans)
	for i, s := range spans {
		for _, t := range r.Tokens[s.From:s.To] {
			if t.Score < 1 && t.Text != t.Word && (l.everyday(t.Text) || l.aliens[t.Text]) {
				spans[i].Kind = span.Word
			}
		}
	}
	r.Spans = spans
	return r
}

// wordy reports whether a token is a word rather than a sign or a number.
func wordy(t span.Token) bool {
	if t.IsNumber {
		return false
	}
	for _, r := range t.Text {
		if r >= 'a' && r <= 'z' || r > 127 {
			return true
		}
	}
	return false
}

// Weights of things named in a message: what belongs to the trade alone is a
// sign of a question of the trade; what anybody may mention is only no sign
// against it.
const (
	namedWeight   = 1.0
	measureWeight = 0.5
	looseWeight   = 0.25
)

func slotOf(k span.Kind) (slot string, weight float64) {
	switch k {
	case span.Item:
		return "item", namedWeight
	case span.Method:
		return "method", namedWeight
	case span.Fibre, span.FibreShares, span.Fabric:
		return "fibre", namedWeight
	case span.Spot:
		return "spot", namedWeight
	case span.Colour:
		return "colour", measureWeight
	case span.Temperature:
		return "temperature", measureWeight
	case span.Duration:
		return "duration", measureWeight
	case span.Dimension:
		return "dimension", measureWeight
	case span.Mass:
		return "mass", measureWeight
	case span.SizeRun:
		return "sizes", measureWeight
	case span.Art:
		return "art", measureWeight
	case span.Quantity:
		return "quantity", looseWeight
	case span.Number:
		return "number", 0
	case span.When:
		return "when", looseWeight
	case span.Money:
		return "money", looseWeight
	case span.Size:
		return "size", looseWeight
	case span.Group:
		return "group", looseWeight
	case span.Customer:
		return "customer", looseWeight
	case span.Ref:
		return "ref", looseWeight
	case span.Ownership, span.Arrival, span.Approval, span.Rush:
		return "order", looseWeight
	}
	return "", 0
}

// Explain lists the best candidates of a message with their scores: for
// whoever writes wordings and wants to know why one wins.
func (l *Listener) Explain(text string, now time.Time) []Near {
	var out []Near
	found, _ := l.candidates(l.reader.Read(text, now))
	for _, c := range found {
		out = append(out, Near{c.target, l.names[c.target.Entry], c.score})
	}
	return out
}
