package listen

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"time"

	"presshand/bot/listen/span"
)

// A Wish says what somebody wants done with the shop's own rules.
type Wish struct {
	Do      WishKind
	Changes []Change // WishSet: what changes, by step
	Note    string   // WishSet: a remark to add, a sentence
	Why     string   // the reason given, "" where none
	Hitch   Hitch    // WishSet: why no rule can be made of it, "" where one can
	Number  int      // of the rule or request; 0 where none was named
	That    bool     // WishUndo: the rule spoken of, "undo that"
}

// A WishKind is what a Wish wants.
type WishKind string

// The kinds of wishes.
const (
	WishSet      WishKind = "set"      // change settings
	WishSave     WishKind = "save"     // yes, save what was shown
	WishDrop     WishKind = "drop"     // no, leave it
	WishUndo     WishKind = "undo"     // take a rule back
	WishList     WishKind = "list"     // show the rules
	WishRequests WishKind = "requests" // show the open requests
	WishAccept   WishKind = "accept"   // a request
	WishRefuse   WishKind = "refuse"   // a request
)

// A Hitch is why no rule can be made of a wish.
type Hitch string

// The hitches.
const (
	HitchRange   Hitch = "range"   // a range was said, and one figure is kept
	HitchSeveral Hitch = "several" // several blanks, fibres or methods
	HitchFiner   Hitch = "finer"   // a colour, size or spot, by which no setting is kept
)

// A Change is what changes in one step: "press", "prepress", "marry", "finish",
// or "cool", which has a time alone.
type Change struct {
	Step string
	Setting
}

// SameAs reports a wish for the same change of the same things.
func (a Ask) SameAs(b Ask) bool {
	if a.Wish == nil || b.Wish == nil {
		return false
	}
	x, y := *a.Wish, *b.Wish
	x.Do, x.Why, y.Do, y.Why = "", "", "", ""
	s, t := a.Subject, b.Subject
	return reflect.DeepEqual(x, y) && s.Blank == t.Blank && s.Fabric == t.Fabric && reflect.DeepEqual(s.Fibre, t.Fibre) && slices.Equal(s.Methods, t.Methods)
}

// longestRulePhrase bounds the words of a phrase of the lexicon "shop rule".
const longestRulePhrase = 4

// ruleWords gathers what the words of shop rules stand for.
func (l *Listener) ruleWords() map[string]string {
	out := map[string]string{}
	for _, x := range l.base.Lexicons {
		if x.Kind != "shop rule" {
			continue
		}
		for w, role := range x.Words {
			out[w] = role
		}
	}
	return out
}

// A ruleSentence is a message seen as talk about shop rules: each token with
// the part it has, "" where it has none.
type ruleSentence struct {
	span.Reading
	roles []string
	ends  []int // behind the phrase a token begins, 0 inside one
	heat  func(number float64) (celsius float64, unit string, ok bool)
}

// aboutRules reads a message as talk about the shop's rules. It is one only
// where every word of it is of such talk: whatever else is said in it, somebody
// means something else.
func (l *Listener) aboutRules(r span.Reading, memory Memory, now time.Time) (Ask, bool) {
	s := l.ruleSentence(r)
	a := Ask{Topic: "setting", What: "rule", Text: r.Original, Score: 1, Lang: "en", Wish: &Wish{}}
	if len(r.Tokens) == 0 {
		return a, false
	}
	if memory.Pending != nil && memory.Pending.Wish != nil {
		if do, why := l.consent(s); do != "" {
			a.Subject, a.Text = memory.Pending.Subject, memory.Pending.Text
			wish := *memory.Pending.Wish
			wish.Do = do
			if why != "" {
				wish.Why = why
			}
			a.Wish = &wish
			return a, true
		}
	}
	if rest, ok := s.saving(); ok {
		again, ok := l.aboutRules(l.reader.Read(rest, now), Memory{}, now)
		if !ok || again.Wish.Do != WishSet && again.Wish.Do != WishUndo {
			return a, false
		}
		if again.Wish.Do == WishSet {
			again.Wish.Do = WishSave
		}
		return again, true
	}
	for _, read := range []func(*Ask, Memory) bool{s.undoing, s.listing, s.deciding, s.setting} {
		a.Wish = &Wish{}
		if read(&a, memory) {
			return a, true
		}
	}
	return a, false
}

func (l *Listener) ruleSentence(r span.Reading) ruleSentence {
	s := ruleSentence{Reading: r, heat: l.reader.Heat, roles: make([]string, len(r.Tokens)), ends: make([]int, len(r.Tokens))}
	for i := 0; i < len(r.Tokens); {
		n, role := l.rulePhrase(r.Tokens[i:])
		if n == 0 {
			i++
			continue
		}
		for j := i; j < i+n; j++ {
			s.roles[j] = role
		}
		s.ends[i] = i + n
		i += n
	}
	return s
}

// rulePhrase returns the longest phrase at the head of tokens and its part.
func (l *Listener) rulePhrase(tokens []span.Token) (n int, role string) {
	for n := min(longestRulePhrase, len(tokens)); n > 0; n-- {
		words := make([]string, n)
		for i, t := range tokens[:n] {
			words[i] = t.Text
		}
		if role, ok := l.rules[strings.Join(words, " ")]; ok {
			return n, role
		}
	}
	if role, ok := l.rules[tokens[0].Word]; ok { // a slip mended
		return 1, role
	}
	return 0, ""
}

// consent reads a short answer to "save it?": yes, also with a reason, or no.
func (l *Listener) consent(s ruleSentence) (do WishKind, why string) {
	text, why := s.withReason()
	text = strings.Trim(text, " ,.!")
	for _, c := range l.base.Cues {
		if c.Topic != "help" || !slices.ContainsFunc(c.Phrases, func(p string) bool { return Fold(p) == Fold(text) }) {
			continue
		}
		switch c.Ask {
		case "yes":
			return WishSave, why
		case "no", "cancel":
			return WishDrop, ""
		}
	}
	switch {
	case s.roles[0] == "save" && s.only("save", "small", "that", "rule"):
		return WishSave, why
	case s.roles[0] == "drop" && s.only("drop", "small", "that", "rule"):
		return WishDrop, ""
	}
	return "", ""
}

// withReason splits a message at "because".
func (s ruleSentence) withReason() (text, why string) {
	for i, role := range s.roles {
		if role == "reason" && i > 0 {
			at := s.Tokens[i]
			return s.Normal[:at.Start], strings.TrimSpace(s.Normal[at.End:])
		}
	}
	return s.Normal, ""
}

// only reports whether every word has one of the parts.
func (s ruleSentence) only(roles ...string) bool {
	for i, t := range s.Tokens {
		if wordy(t) && !slices.Contains(roles, s.roles[i]) {
			return false
		}
	}
	return true
}

// saving returns what stands behind "save the rule:".
func (s ruleSentence) saving() (rest string, ok bool) {
	if s.roles[0] != "save" {
		return "", false
	}
	for i, t := range s.Tokens {
		switch {
		case t.Text == ":" && i > 1 && s.roles[i-1] == "rule":
			return s.Normal[t.End:], true
		case s.roles[i] != "save" && s.roles[i] != "small" && s.roles[i] != "rule":
			return "", false
		}
	}
	return "", false
}

// number is the one number of a message, 0 where there is none.
func (s ruleSentence) number() int {
	for _, t := range s.Tokens {
		if t.IsNumber && t.Number == math.Trunc(t.Number) && t.Number < 1e6 {
			return int(t.Number)
		}
	}
	return 0
}

// undoing reads "undo that", "undo shop rule 3", "undo the mug rule". What is
// undone by "that" alone is a rule only where one is spoken of.
func (s ruleSentence) undoing(a *Ask, memory Memory) bool {
	if s.roles[0] != "undo" {
		return false
	}
	*a.Wish = Wish{Do: WishUndo, Number: s.number()}
	a.Subject = subjectOf(s.Reading)
	if s.only("undo", "that", "small") && a.Wish.Number == 0 {
		a.Wish.That, a.Wish.Number = true, memory.Rule
		return memory.Rule > 0 && memory.Pending == nil
	}
	if !slices.Contains(s.roles, "rule") {
		return false
	}
	for i, t := range s.Tokens {
		if wordy(t) && !slices.Contains([]string{"undo", "that", "rule", "owner", "small", "press", "prepress", "marry", "finish", "cool"}, s.roles[i]) && !s.named(i) {
			return false
		}
	}
	return true
}

// listing reads "shop rules", "what are our rules", "open requests".
func (s ruleSentence) listing(a *Ask, _ Memory) bool {
	if !s.only("show", "rules", "requests", "small", "owner") {
		return false
	}
	switch {
	case slices.Contains(s.roles, "requests"):
		a.Wish.Do = WishRequests
	case slices.Contains(s.roles, "rules"):
		a.Wish.Do = WishList
	}
	return a.Wish.Do != ""
}

// deciding reads "accept request 3".
func (s ruleSentence) deciding(a *Ask, _ Memory) bool {
	a.Wish.Number = s.number()
	if a.Wish.Number == 0 || !slices.Contains(s.roles, "request") || !s.only("accept", "refuse", "request", "small") {
		return false
	}
	switch s.roles[0] {
	case "accept":
		a.Wish.Do = WishAccept
	case "refuse":
		a.Wish.Do = WishRefuse
	}
	return a.Wish.Do != ""
}

// named reports a token that names what a rule can be for.
func (s ruleSentence) named(i int) bool {
	return s.of(i, span.Item, span.Method, span.Fibre, span.FibreShares, span.Fabric)
}

// of reports a token of a piece of one of the kinds.
func (s ruleSentence) of(i int, kinds ...span.Kind) bool {
	return slices.ContainsFunc(s.Spans, func(p span.Span) bool {
		return p.From <= i && i < p.To && !p.Negated && slices.Contains(kinds, p.Kind)
	})
}

// several reports a sentence about more than one blank, fibre or method.
func (s ruleSentence) several() bool {
	for _, kinds := range [][]span.Kind{{span.Item}, {span.Method}, {span.Fibre, span.FibreShares, span.Fabric}} {
		seen := map[string]bool{}
		for _, p := range s.Spans {
			if !p.Negated && slices.Contains(kinds, p.Kind) {
				seen[string(p.Kind)+p.ID] = true
			}
		}
		if len(seen) > 1 {
			return true
		}
	}
	return false
}

// oneFigure notes where a range was said.
func (w *Wish) oneFigure(p span.Span) {
	if p.Value2 != 0 {
		w.Hitch = HitchRange
	}
}

// figure returns the temperature or time a token begins, and whether it is in
// one at all.
func (s ruleSentence) figure(i int) (p span.Span, begins, in bool) {
	for _, p := range s.Spans {
		if (p.Kind == span.Temperature || p.Kind == span.Duration) && p.From <= i && i < p.To {
			return p, p.From == i, true
		}
	}
	return span.Span{}, false, false
}

// setting reads "for our mugs: 390 F 200 s medium", "we press tees at 300",
// "pre-press hoodies 8 s", "our two-step peel wait is 8 min".
func (s ruleSentence) setting(a *Ask, _ Memory) bool {
	if slices.ContainsFunc(s.Tokens, func(t span.Token) bool { return t.Text == "?" }) {
		return false
	}
	if last := len(s.roles) - 1; last >= 0 && s.roles[last] == "change" { // "we marry at 310, correct" asks whether it is so
		return false
	}
	if text, why := s.withReason(); why != "" {
		a.Wish.Why = why
		s = s.before(len(text))
	}
	a.Wish.Do = WishSet
	a.Subject = subjectOf(s.Reading)
	if s.remark(a) {
		return true
	}
	steps, ok := s.changes(a)
	if !ok || len(steps) == 0 {
		return false
	}
	a.Wish.Changes = steps
	if s.several() {
		a.Wish.Hitch = HitchSeveral
	}
	return s.meant(a)
}

// before cuts the sentence off at a byte of its text.
func (s ruleSentence) before(end int) ruleSentence {
	n := 0
	for n < len(s.Tokens) && s.Tokens[n].End <= end {
		n++
	}
	s.Tokens, s.roles, s.ends = s.Tokens[:n], s.roles[:n], s.ends[:n]
	s.Spans = slices.DeleteFunc(slices.Clone(s.Spans), func(p span.Span) bool { return p.To > n })
	return s
}

// changes gathers the figures by step. Between commas they are of the step
// named there, else of the last one named, the press where none was. ok is false
// where a word has no part in such a sentence.
func (s ruleSentence) changes(a *Ask) (out []Change, ok bool) {
	step := "press"
	for from := 0; from < len(s.Tokens); {
		to := from
		for to < len(s.Tokens) && s.Tokens[to].Text != "," && s.Tokens[to].Text != ";" {
			to++
		}
		if named, ok := s.step(from, to); ok {
			step = named
		}
		c, given, ok := s.part(a, from, to)
		if !ok {
			return nil, false
		}
		if given {
			if out, ok = joined(out, step, c); !ok {
				return nil, false
			}
		}
		from = to + 1
	}
	return out, true
}

// step is the step named between two tokens: that of the first phrase.
func (s ruleSentence) step(from, to int) (string, bool) {
	for i := from; i < to; i++ {
		switch s.roles[i] {
		case "press", "prepress", "marry", "finish", "cool":
			return s.roles[i], true
		}
	}
	return "", false
}

// part reads the figures between two tokens.
func (s ruleSentence) part(a *Ask, from, to int) (c Setting, given, ok bool) {
	for i := from; i < to; i++ {
		p, begins, in := s.figure(i)
		role := s.roles[i]
		switch {
		case in && !begins:
		case in && p.Kind == span.Temperature && c.Unit == "":
			c.Temperature, c.Unit, given = p.Value, p.Unit, true
			a.Wish.oneFigure(p)
		case in && p.Kind == span.Duration && c.Time == 0:
			c.Time, given = p.Value, true
			a.Wish.oneFigure(p)
		case in: // two of a kind: which one is meant?
			return c, false, false
		case s.bareHeat(i, from) && c.Unit == "":
			c.Temperature, c.Unit, _ = s.heat(s.Tokens[i].Number)
			given = true
		case s.named(i):
		case (role == "light" || role == "medium" || role == "firm") && !s.of(i, span.Colour):
			c.Pressure, given = role, true
		case s.of(i, span.Colour, span.Group, span.Size, span.Spot):
			a.Wish.Hitch = HitchFiner
		case slices.Contains([]string{"owner", "habit", "change", "small", "rule", "press", "prepress", "marry", "finish", "cool"}, role):
		case slices.Contains([]string{":", ".", "!", "=", "-", "/", "@", "&", "\n"}, s.Tokens[i].Text):
		default:
			return c, false, false
		}
	}
	return c, given, true
}

// bareHeat reports a number without a unit that a press may be set to, behind a
// word like "is" or a colon: "our mug press is 390".
func (s ruleSentence) bareHeat(i, from int) bool {
	if !s.Tokens[i].IsNumber || i == from || s.roles[i-1] != "small" && s.Tokens[i-1].Text != ":" {
		return false
	}
	_, _, ok := s.heat(s.Tokens[i].Number)
	return ok && !slices.Contains(s.roles, "cool")
}

// joined adds a setting to those of its step; ok is false where it says one
// thing twice.
func joined(out []Change, step string, c Setting) ([]Change, bool) {
	for i := range out {
		if out[i].Step != step {
			continue
		}
		old := &out[i].Setting
		if old.Unit != "" && c.Unit != "" || old.Time != 0 && c.Time != 0 || old.Pressure != "" && c.Pressure != "" {
			return nil, false
		}
		if c.Unit != "" {
			old.Temperature, old.Unit = c.Temperature, c.Unit
		}
		old.Time, old.Pressure = max(old.Time, c.Time), old.Pressure+c.Pressure
		return out, true
	}
	return append(out, Change{step, c}), true
}

// meant reports a sentence that says how the shop does it, not how something was
// done or what somebody wants to know: it names the shop or a habit, begins with
// a word of change, or orders a step for a thing.
func (s ruleSentence) meant(a *Ask) bool {
	things := a.Subject.Blank != "" || len(a.Subject.Fibre) > 0 || a.Subject.Fabric != ""
	ours := slices.Contains(s.roles, "owner") || slices.Contains(s.roles, "habit") || slices.Contains(s.roles, "rule")
	cool := slices.ContainsFunc(a.Wish.Changes, func(c Change) bool { return c.Step == "cool" })
	if cool && !s.waitIsNamedFirst() {
		return false // "a 10 min wait for our mugs" starts one
	}
	first := s.roles[0]
	switch {
	case ours:
		return true
	case a.Wish.Hitch == HitchFiner:
		return false // "press black tees at 280" asks about one job
	case cool:
		return len(a.Subject.Methods) > 0 && first == "change"
	case first == "change":
		return things || len(a.Subject.Methods) > 0
	case first == "press" || first == "prepress" || first == "marry" || first == "finish":
		return things
	}
	// "for mugs: 390 F 200 s"
	return s.Tokens[0].Text == "for" && things && slices.ContainsFunc(s.Tokens, func(t span.Token) bool { return t.Text == ":" })
}

// waitIsNamedFirst reports a wait whose length stands behind it: "our peel wait
// is 8 min".
func (s ruleSentence) waitIsNamedFirst() bool {
	named := slices.Index(s.roles, "cool")
	for i := range named {
		if p, _, in := s.figure(i); in && p.Kind == span.Duration {
			return false
		}
	}
	return true
}

// remark reads "cover sheet on poly: parchment" and "note for mugs: ...".
func (s ruleSentence) remark(a *Ask) bool {
	colon := slices.IndexFunc(s.Tokens, func(t span.Token) bool { return t.Text == ":" })
	if s.roles[0] != "note" || colon < 0 || colon+1 == len(s.Tokens) {
		return false
	}
	// What the remark names is no part of what it is for.
	a.Subject = subjectOf(s.before(s.Tokens[colon].End).Reading)
	if a.Subject.Blank == "" && len(a.Subject.Fibre) == 0 && a.Subject.Fabric == "" && len(a.Subject.Methods) == 0 {
		return false
	}
	for i := range colon {
		if s.roles[i] != "note" && s.roles[i] != "small" && s.roles[i] != "owner" && !s.named(i) {
			return false
		}
	}
	text := strings.TrimRight(strings.TrimSpace(s.Normal[s.Tokens[colon].End:s.Tokens[len(s.Tokens)-1].End]), ".!")
	head := s.Normal[s.Tokens[0].Start:s.Tokens[s.ends[0]-1].End]
	if first := s.Tokens[0].Text; first != "note" && first != "remark" {
		text = head + ": " + text
	}
	a.Wish.Note = strings.ToUpper(text[:1]) + text[1:] + "."
	return true
}
