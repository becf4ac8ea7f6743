package listen

import (
	"slices"
	"strings"
	"time"
	"unicode"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// Some messages mean something only by the talk before them: "how often",
// "start it", "is longer ok". The cues that say what they live on hold such
// wordings; an index of their own weighs them, and only where one of the asks
// they follow was answered.
type talk struct {
	index *index
	after [][]string          // of each phrase
	of    map[Target][]string // of all phrases with a target
}

// newTalk gathers the cues that live on a talk.
func newTalk(cues []*knowledge.Cue, filler func(string) bool, same map[string]string) talk {
	t := talk{of: map[Target][]string{}}
	var raw []rawPhrase
	for _, c := range cues {
		if len(c.After) == 0 {
			continue
		}
		target := targetOfCue(c)
		t.of[target] = append(t.of[target], c.After...)
		for _, text := range c.Phrases {
			raw = append(raw, rawPhrase{target: target, text: text, not: c.Not, factor: 1})
			t.after = append(t.after, c.After)
		}
	}
	t.index = newIndex(raw, filler, same)
	return t
}

// talkFiller reports a small word of talk: there "can" asks no more than "do".
func (l *Listener) talkFiller(w string) bool { return w == "can" || l.filler(w) }

// talkTokens prepares a reading for the index of talk.
func (l *Listener) talkTokens(r span.Reading) []token {
	out := l.tokens(r)
	for i := range out {
		out[i].filler = out[i].filler || l.talkFiller(out[i].text)
	}
	return out
}

// follows returns what a candidate lives on: its phrase, or all those of its
// target where the words were gathered from several.
func (t talk) follows(c candidate) []string {
	if c.phrase < len(t.after) {
		return t.after[c.phrase]
	}
	return t.of[c.target]
}

// asked gathers the asks of a talk, the latest first.
func (m Memory) asked() []Ask {
	if m.Last == nil {
		return nil
	}
	return append([]Ask{*m.Last}, m.Earlier...)
}

// follows reports an ask that one of the keys of a cue names.
func follows(keys []string, a Ask, latest bool) bool {
	return slices.ContainsFunc(keys, func(key string) bool {
		key, earlier := strings.CutPrefix(key, "earlier/")
		if !earlier && !latest {
			return false
		}
		topic, rest, _ := strings.Cut(key, "/")
		switch {
		case key == "any":
			return true
		case topic != a.Topic:
			return false
		case rest == "open":
			return a.What == "" && a.Entry == Entry{}
		}
		return rest == "" || rest == a.What || rest == a.Entry.ID || rest == a.Entry.Section
	})
}

// talked is so much of a wording that a message which lives on the talk must
// hold, and so much of it that the wording must explain.
const talked = 0.7

// onTalk reads a message that means something only by the talk before it. What a
// wording of its own explains as well or better comes first.
func (l *Listener) onTalk(a Ask, r span.Reading, memory Memory, best candidate) (Ask, bool) {
	if memory.Last == nil || memory.Pending != nil || l.offTrade(r) || thing(a.Subject) {
		return a, false
	}
	for _, c := range l.talk.index.find(l.talkTokens(r), l.everyday) {
		if c.score < talked || c.score < best.wording {
			break
		}
		for i, of := range memory.asked() {
			if !follows(l.talk.follows(c), of, i == 0) {
				continue
			}
			if out, ok := l.after(a, r, of, c, memory); ok {
				return out, true
			}
		}
	}
	return a, false
}

// after is the ask of a message that follows another.
func (l *Listener) after(a Ask, r span.Reading, of Ask, c candidate, memory Memory) (Ask, bool) {
	out := of
	out.Text, out.Score, out.Carried, out.Asked, out.Changes = a.Text, c.score, true, nil, nil
	switch c.target.Topic {
	case "":
		if c.target.Ask != "" {
			out.What = ofStage(of, c.target.Ask)
		}
	case "follow":
		a.Topic, a.What, a.Score = "follow", c.target.Ask, c.score
		return a, true
	case "convert":
		return converted(out, r, memory), true
	default:
		out.Topic, out.What, out.Entry, out.Order = c.target.Topic, c.target.Ask, c.target.Entry, OrderReading{}
		out.Subject.Methods = l.methodsOf(of)
	}
	return out, true
}

// ofStage is what is asked of a press setting, of the closing of the press that
// an ask was about: "how long" after the heat to marry at is how long to marry.
func ofStage(of Ask, what string) string {
	figure, ofPress := strings.CutPrefix(what, "press_")
	stage := of.stage()
	if of.What == stated {
		stage = of.Step
	}
	if !ofPress || of.Topic != "setting" || figure == "pressure" || !slices.Contains(stagesOfRun, stage) {
		return what
	}
	return stage + "_" + figure
}

// stagesOfRun are the closings of the press beside the pressing itself.
var stagesOfRun = []string{"marry", "prepress", "finish"}

// held reads "so 2 minutes?", "i thought it was 350" after a setting or a wait as
// a figure to hold against it: nothing else stands beside it but words of such
// talk.
func (l *Listener) held(a Ask, r span.Reading, memory Memory) (Ask, bool) {
	last := memory.Last
	if last == nil || memory.Pending != nil || thing(a.Subject) || last.Topic != "setting" && last.Topic != "wait" || last.Entry != (Entry{}) {
		return a, false
	}
	for i, t := range l.tokens(r) {
		if !t.filler && t.weight == 0 && len(t.kinds) == 0 && wordy(r.Tokens[i]) && !l.figures[t.text] {
			return a, false
		}
	}
	out := *last
	out.What, out.Text, out.Score, out.Carried, out.Settings, out.Step = stated, a.Text, 1, true, a.Settings, last.stage()
	if last.What == stated { // held against once more
		out.Step = last.Step
	}
	if last.Topic == "wait" {
		return out, len(out.Settings) > 0 && out.Settings[0].Time > 0
	}
	if v, ok := oneFigure(r); ok && len(out.Settings) == 0 {
		if c, u, ok := l.reader.Heat(v); ok {
			out.Settings = []Setting{{Temperature: c, Unit: u}}
		}
	}
	return out, len(out.Settings) > 0
}

// sameFault reads "still lifting tho", "tried that, no luck", "can i fix the cracks"
// after a fault as of that fault: beside words of such talk it holds none but the
// fault's own. That it goes on ("still") is heard some questions later too.
func (l *Listener) sameFault(a Ask, r span.Reading, memory Memory, best candidate) (Ask, bool) {
	if memory.Last == nil || memory.Pending != nil {
		return a, false
	}
	opens := opensQuestion(r)
	asks := opens || l.questions(r)
	goesOn := l.ofFault.inside(r, "goes on") && (!opens || back(r))
	mends := l.ofFault.inside(r, "mends") && asks && !thing(a.Subject) && (best.wording < exact || best.target.Topic == "help")
	if s := a.Subject; asks || len(s.Fibre) > 0 || len(s.Fibres) > 0 || s.Fabric != "" || len(s.Methods) > 0 {
		goesOn = goesOn && !thing(s)
	}
	if !goesOn && !mends {
		return a, false
	}
	for i, of := range memory.asked() {
		if of.Topic != "fault" || i > 0 && !goesOn {
			continue
		}
		own := l.namesOf(of.Entry)
		if mends {
			own = l.entryWords(of.Entry) // "could it be the cartridge"
		}
		named, other := false, best.target.Topic == "fault" && best.target.Entry != of.Entry && best.wording >= exact
		for _, t := range r.Tokens {
			if !wordy(t) || l.small(t) || t.Word == a.Subject.Item {
				continue
			}
			names := own[l.index.stem(t.Text)]
			named, other = named || names, other || !names && !l.ofFault.has("beside", t.Text)
		}
		if other || opens && !mends && !named { // "is it still on" is no question of the fault
			continue
		}
		of.Text, of.Score, of.Carried, of.Asked, of.Changes = a.Text, 1, true, nil, nil
		return of, true
	}
	return a, false
}

// notDenied reads "not lifting, not cracking, its just crooked" as the fault that is
// said, where the whole was taken for one that is denied.
func (l *Listener) notDenied(whole Ask, r span.Reading, memory Memory, now time.Time) (Ask, bool) {
	if whole.Topic != "fault" || whole.Carried {
		return whole, false
	}
	var said, denied []string
	no := false
	for _, t := range r.Tokens {
		switch {
		case l.joints["denies"][t.Text]:
			no = true
			continue
		case l.joints["asserts"][t.Text], !wordy(t):
			no = false
		}
		if no && l.joints["lacks"][t.Text] {
			return whole, false // "not sticking" is the fault
		}
		if no {
			denied = append(denied, t.Raw)
		} else {
			said = append(said, t.Raw)
		}
	}
	if len(denied) == 0 || len(said) == 0 {
		return whole, false
	}
	if a := l.ask(l.reader.ReadIn(r.Lang, strings.Join(denied, " "), now), Memory{}, now); a.Topic != "fault" {
		return whole, false
	}
	a := l.ask(l.reader.ReadIn(r.Lang, strings.Join(said, " "), now), memory, now)
	if a.Topic != "fault" || a.Entry == (Entry{}) || a.Entry == whole.Entry || a.Score < plainly {
		return whole, false
	}
	a.Text = whole.Text
	return a, true
}

// namesOf gathers the stems of the names of a fault.
func (l *Listener) namesOf(e Entry) map[string]bool {
	out := map[string]bool{}
	if f, ok := l.base.Fault(e.ID); ok && e.Section == "faults" {
		for w := range strings.FieldsSeq(Fold(f.Name + " " + strings.Join(f.Names, " "))) {
			out[l.index.stem(w)] = true
		}
	}
	return out
}

// heldAgainst reads "is 320 f too hot for a cotton transfer" as a figure to hold
// against that setting, and "is that too hot for cotton" behind a temperature that
// was turned into another scale.
func (l *Listener) heldAgainst(a Ask, r span.Reading, memory Memory) (Ask, bool) {
	if a.Entry != (Entry{}) || !opensQuestion(r) && !l.asksWhether(r) || len(r.Find(span.Temperature)) > 1 || len(r.Find(span.Duration)) > 1 {
		return a, false
	}
	ofPress := a.ofPress() && (a.What != "ceiling" || len(a.Subject.Methods) > 0)
	last := memory.Last
	switch {
	case len(a.Settings) > 0:
		if !ofPress {
			return a, false
		}
	case last != nil && last.Topic == "convert" && last.Convert.Kind == "temperature" && last.Convert.Value2 == 0 && back(r) && thing(a.Subject):
		ofThing := a.Topic == "method" && a.What == "can" && len(a.Subject.Methods) == 0 || a.What == "ceiling"
		if !ofPress && !ofThing {
			return a, false
		}
		a.Settings = []Setting{{Temperature: last.Convert.Value, Unit: last.Convert.From}}
	default:
		v, ok := oneFigure(r)
		c, u, isHeat := l.reader.Heat(v)
		if !ok || !isHeat || !ofPress {
			return a, false
		}
		a.Settings = []Setting{{Temperature: c, Unit: u}}
	}
	a.Topic, a.What = "setting", stated
	return a, true
}

// nextStep reads "married them, what next" as what follows that step in a talk,
// and "still lifting, now what" as what follows the last answer.
func (l *Listener) nextStep(a Ask, memory Memory, now time.Time) (Ask, bool) {
	if a.Topic != "steps" || a.What != "next" {
		return a, false
	}
	if a.Step != "" {
		memory = Memory{Last: &Ask{Topic: "setting", What: a.Step + "_time", Subject: a.Subject}}
	}
	return l.onTalk(Ask{Text: a.Text}, l.reader.Read(nextWords, now), memory, candidate{})
}

// together picks among what a message says too faintly by itself the one that
// it says well behind the last question: "how low do i start it" after the size of
// a print. A message that points back is weighed so.
func (l *Listener) together(found []candidate, r span.Reading, memory Memory, now time.Time) (candidate, bool) {
	if memory.Last == nil || memory.Pending != nil || l.offTrade(r) || !back(r) {
		return candidate{}, false
	}
	both, _ := l.candidates(l.reader.Read(memory.Last.Text+". "+r.Original, now))
	for _, c := range both {
		if c.score < accept {
			break
		}
		if i := slices.IndexFunc(found, func(f candidate) bool { return f.target == c.target && f.score >= near }); i >= 0 {
			return c, true
		}
	}
	return candidate{}, false
}

// inLast reads a question whose words nothing explains but the entry of the last
// answer, which holds all of them, as about that entry: "does ice help" of a burn.
func (l *Listener) inLast(a Ask, r span.Reading, memory Memory) (Ask, bool) {
	if memory.Last == nil || memory.Pending != nil || thing(a.Subject) || l.offTrade(r) || len(r.Tokens) > mostInLast {
		return a, false
	}
	held := l.entryWords(memory.Last.Entry)
	found := false
	for i, t := range l.tokens(r) {
		switch {
		case t.filler || !wordy(r.Tokens[i]):
		case l.asking[t.text]:
		case held[l.index.stem(t.text)]:
			id, known := l.index.stems[l.index.stem(t.text)]
			found = found || known && l.index.weights[id] >= telling
		default:
			return a, false
		}
	}
	out := *memory.Last
	out.Text, out.Score, out.Carried = a.Text, accept, true
	return out, found
}

// telling is the weight of a word that few wordings hold: "ice", not "day".
const telling = 0.7

// mostInLast is the most words and marks of a question about what the last
// answer said.
const mostInLast = 9

// entryWords gathers the stems of an entry's names and texts, small and everyday
// words aside.
func (l *Listener) entryWords(e Entry) map[string]bool {
	var texts []string
	switch e.Section {
	case "guides":
		if g, ok := l.base.Guide(e.ID); ok {
			texts = append(append(texts, g.Names...), string(g.Text), string(g.Why), string(g.WhatIf))
		}
	case "faults":
		if f, ok := l.base.Fault(e.ID); ok {
			texts = append(append(texts, f.Names...), string(f.Likely), string(f.Now), string(f.Prevent))
			for _, c := range f.Causes {
				texts = append(texts, string(c.Is), string(c.Check), string(c.Mend))
			}
		}
	}
	out := map[string]bool{}
	for w := range strings.FieldsFuncSeq(Fold(strings.Join(texts, " ")), func(c rune) bool { return !unicode.IsLetter(c) }) {
		if !l.fillers[w] {
			out[l.index.stem(w)] = true
		}
	}
	return out
}

// nextWords asks for the step after another.
const nextWords = "what next"

// stated is asked of a setting or a wait where somebody names a figure for it.
const stated = "stated"

// methodsOf is what method an ask is about: those named, else that of its entry.
func (l *Listener) methodsOf(a Ask) []string {
	if len(a.Subject.Methods) > 0 {
		return a.Subject.Methods
	}
	switch a.Entry.Section {
	case "guides":
		if g, ok := l.base.Guide(a.Entry.ID); ok && len(g.Methods) == 1 {
			return g.Methods
		}
	case "faults":
		if f, ok := l.base.Fault(a.Entry.ID); ok && len(f.Methods) == 1 {
			return f.Methods
		}
	case "procedures":
		if p, ok := l.base.Procedure(a.Entry.ID); ok && p.Method != "" {
			return []string{p.Method}
		}
	}
	return nil
}

// converted turns a time of the last answer into the unit a message names.
// Other figures are told in both scales, so that the ask stands as it was.
func converted(of Ask, r span.Reading, memory Memory) Ask {
	for _, t := range r.Tokens {
		to := unitOf(t.Text)
		if unitKind(to) != "time" || memory.Time == 0 {
			continue
		}
		of.Topic, of.What, of.Entry = "convert", "", Entry{}
		of.Convert = Conversion{Kind: "time", Value: memory.Time, From: "min", To: to}
		if to == "min" {
			of.Convert.From = "s"
		}
		return of
	}
	return of
}

// corrected reads "no, the 15 oz one", "sorry, meant a mouse pad": the last
// question about another thing, behind words that take back what was understood.
func (l *Listener) corrected(r span.Reading, memory Memory, now time.Time) (Ask, bool) {
	if memory.Last == nil || memory.Pending != nil || !slices.Contains(ofThings, memory.Last.Topic) {
		return Ask{}, false
	}
	from, takesBack := l.opening(r)
	if !takesBack || from == len(r.Tokens) {
		return Ask{}, false
	}
	rest := l.named(l.reader.ReadIn(r.Lang, r.Normal[r.Tokens[from].Start:], now), memory, now)
	a := Ask{Text: r.Original, Subject: subjectOf(rest)}
	a.Subject, _ = l.mixedIn(a.Subject, rest, memory)
	if !thing(a.Subject) || l.questions(rest) || l.beside(rest) > 1 {
		return Ask{}, false
	}
	return l.carried(a, rest, memory), true
}

// opening finds the token behind the phrases a message opens with, and whether
// one of them takes back what was understood.
func (l *Listener) opening(r span.Reading) (from int, takesBack bool) {
	for from < len(r.Tokens) {
		n, does := l.opener(r.Tokens[from:])
		switch {
		case n > 0:
			takesBack = takesBack || does == "correct"
			from += n
		case !wordy(r.Tokens[from]) && !r.Tokens[from].IsNumber:
			from++
		default:
			return from, takesBack
		}
	}
	return from, takesBack
}

// opener is the longest opening phrase at the head of tokens and what it does.
func (l *Listener) opener(tokens []span.Token) (n int, does string) {
	phrase := ""
	for i, t := range tokens[:min(longestOpener, len(tokens))] {
		phrase = strings.TrimSpace(phrase + " " + t.Text)
		if d := l.openers[phrase]; d != "" {
			n, does = i+1, d
		}
	}
	return n, does
}

// longestOpener bounds the words of a phrase that opens a message.
const longestOpener = 5

// asksWhether reports a message that asks for a yes or no, behind what it opens
// with: "or would sub be ok".
func (l *Listener) asksWhether(r span.Reading) bool {
	from, _ := l.opening(r)
	r.Tokens = r.Tokens[from:]
	return opensQuestion(r)
}

// ofThings are the topics whose questions can be asked of another thing.
var ofThings = []string{"method", "setting", "wait", "steps", "print", "placement", "care", "colour"}

// beside counts the words of a message beside what it names and small ones.
func (l *Listener) beside(r span.Reading) int {
	n := 0
	for i, t := range l.tokens(r) {
		if !t.filler && t.weight == 0 && len(t.kinds) == 0 && wordy(r.Tokens[i]) {
			n++
		}
	}
	return n
}

// holdsToo reports "does that go for hoodies as well", "is it the same on nylon":
// a thing, and words that ask whether what was said holds of it too.
func (l *Listener) holdsToo(a Ask, r span.Reading) bool {
	if !thing(a.Subject) {
		return false
	}
	said := false
	for i, t := range l.tokens(r) {
		switch {
		case l.asWell[t.text]:
			said = true
		case !t.filler && t.weight == 0 && len(t.kinds) == 0 && wordy(r.Tokens[i]):
			return false
		}
	}
	return said
}

// named reads "the 15 oz one" as the thing spoken of, where there is one of that
// kind: a 15 oz mug.
func (l *Listener) named(r span.Reading, memory Memory, now time.Time) span.Reading {
	if memory.Last == nil || memory.Last.Subject.Item == "" || subjectOf(r).Blank != "" {
		return r
	}
	if sized := r.Find(span.Mass); len(sized) == 1 && l.beside(r) <= mostMixed && slices.Contains(ofThings, memory.Last.Topic) { // "same for a 15oz"
		end := r.Tokens[sized[0].To-1].End
		again := l.reader.ReadIn(r.Lang, r.Normal[:end]+" "+memory.Last.Subject.Item+r.Normal[end:], now)
		if len(again.Find(span.Mass)) == 0 && subjectOf(again).Blank != "" { // a thing that comes in that size
			return again
		}
	}
	for i := len(r.Tokens) - 1; i > 0; i-- {
		t := r.Tokens[i]
		if t.Text != "one" && t.Text != "ones" {
			continue
		}
		again := l.reader.ReadIn(r.Lang, r.Normal[:t.Start]+memory.Last.Subject.Item+r.Normal[t.End:], now)
		if blank := subjectOf(again).Blank; blank != "" && blank != memory.Last.Subject.Blank {
			return again
		}
	}
	return r
}

// compared returns the last ask and the one before it of the same kind about
// another thing: what "which takes longer" is about.
func (m Memory) compared() []Ask {
	asks := m.asked()
	for _, a := range asks[min(1, len(asks)):] {
		if a.Topic == m.Last.Topic && !a.same(*m.Last) {
			return []Ask{a, *m.Last}
		}
	}
	return nil
}

// thing reports a subject that names what a question may be about.
func thing(s Subject) bool {
	return s.Blank != "" || s.Item != "" || len(s.Fibre) > 0 || len(s.Fibres) > 0 || s.Fabric != "" || len(s.Methods) > 0 || s.Blend
}
