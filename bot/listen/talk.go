package listen

import (
	"slices"
	"strings"
	"time"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// Some messages mean something only by the talk before them: "how often",
// "start it", "is longer ok". The cues that say what they live on hold such
// wordings; an index of their own weighs them, and only where one of the asks
// they follow was answered.
type talk struct {
	index *index
	after [][]string // of each phrase
}

// newTalk gathers the cues that live on a talk.
func newTalk(cues []*knowledge.Cue, filler func(string) bool, same map[string]string) talk {
	var t talk
	var raw []rawPhrase
	for _, c := range cues {
		if len(c.After) == 0 {
			continue
		}
		target := targetOfCue(c)
		for _, text := range c.Phrases {
			raw = append(raw, rawPhrase{target: target, text: text, not: c.Not, factor: 1})
			t.after = append(t.after, c.After)
		}
	}
	t.index = newIndex(raw, filler, same)
	return t
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
	for _, c := range l.talk.index.find(l.tokens(r), l.everyday) {
		if c.score < talked || c.score < best.wording {
			break
		}
		if c.phrase >= len(l.talk.after) {
			continue // gathered from several wordings
		}
		for i, of := range memory.asked() {
			if !follows(l.talk.after[c.phrase], of, i == 0) {
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
			out.What = c.target.Ask
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
	if out.What == stated {
		return l.held(a, r, of, out)
	}
	return out, true
}

// held puts the figures that were named to an ask, a bare number as a press's
// temperature; ok is false where there are none.
func (l *Listener) held(a Ask, r span.Reading, of, out Ask) (Ask, bool) {
	out.Settings, out.Step = a.Settings, of.stage()
	if of.What == stated { // held against once more
		out.Step = of.Step
	}
	if len(out.Settings) == 0 && out.Topic == "setting" {
		if v, ok := oneFigure(r); ok {
			if c, u, ok := l.reader.Heat(v); ok {
				out.Settings = []Setting{{Temperature: c, Unit: u}}
			}
		}
	}
	return out, len(out.Settings) > 0
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
	from, takesBack := 0, false
	for from < len(r.Tokens) && (l.openers[r.Tokens[from].Text] != "" || !wordy(r.Tokens[from]) && !r.Tokens[from].IsNumber) {
		takesBack = takesBack || l.openers[r.Tokens[from].Text] == "correct"
		from++
	}
	if !takesBack || from == len(r.Tokens) {
		return Ask{}, false
	}
	rest := l.named(l.reader.Read(r.Normal[r.Tokens[from].Start:], now), memory, now)
	a := Ask{Text: r.Original, Subject: subjectOf(rest)}
	if !thing(a.Subject) || l.questions(rest) || l.beside(rest) > 1 {
		return Ask{}, false
	}
	return l.carried(a, rest, memory), true
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

// named reads "the 15 oz one" as the thing spoken of, where there is one of that
// kind: a 15 oz mug.
func (l *Listener) named(r span.Reading, memory Memory, now time.Time) span.Reading {
	if memory.Last == nil || memory.Last.Subject.Item == "" || subjectOf(r).Blank != "" {
		return r
	}
	for i := len(r.Tokens) - 1; i > 0; i-- {
		t := r.Tokens[i]
		if t.Text != "one" && t.Text != "ones" {
			continue
		}
		again := l.reader.Read(r.Normal[:t.Start]+memory.Last.Subject.Item+r.Normal[t.End:], now)
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
	return s.Blank != "" || s.Item != "" || len(s.Fibre) > 0 || s.Fabric != "" || len(s.Methods) > 0 || s.Blend
}
