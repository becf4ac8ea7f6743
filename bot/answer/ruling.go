package answer

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"presshand/bot/listen"
	"presshand/knowledge"
	"presshand/planner/method"
	"presshand/planner/unit"
)

// A ruling is what a wish about settings comes to: the rule, and what it takes
// the place of.
type ruling struct {
	rule  knowledge.ShopRule
	about string            // what it is for, in words: "mugs, sublimation"
	now   *knowledge.Recipe // what answers give today, of the first recipe
	by    *knowledge.Method
	parts []rulePart
	stays []string // fibres whose settings stay as they are
}

// A rulePart is one figure or word that changes.
type rulePart struct {
	id, lead string // sentence id and lead words
	fact     string // fact name
	old, new knowledge.Value
	known    knowledge.Value // the figure that came with the range that is known
	oldWord  knowledge.Word
	newWord  knowledge.Word
}

func (p rulePart) word() bool { return p.newWord.Known() }

// same reports a part that says what holds already.
func (p rulePart) same() bool {
	if p.word() {
		return p.newWord.Is == p.oldWord.Is
	}
	return near(p.old.Is, p.new.Is)
}

// near reports the same figure but for the rounding of a unit's conversion.
func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// dwellPartNamed returns one closing of the press; ok is false for the cooling.
func dwellPartNamed(step string) (dwellPart, bool) {
	parts := dwellParts()
	i := slices.IndexFunc(parts, func(p dwellPart) bool { return p.id == step })
	if i < 0 {
		return dwellPart{}, false
	}
	return parts[i], true
}

// partsOf lays a wish beside a recipe; ok is false where the recipe lacks a step
// that is to change.
func partsOf(w listen.Wish, r *knowledge.Recipe, fahrenheit bool) (out []rulePart, ok bool) {
	first := r // its ranges are what is known; a rule's figure has none
	if r.Before != nil {
		first = r.Before
	}
	for _, c := range w.Changes {
		if c.Step == "cool" {
			if !r.CoolWait.Known() || c.Time == 0 {
				return nil, false
			}
			out = append(out, rulePart{id: "rule-cool", lead: "Wait before the peel", fact: "cool_wait", old: r.CoolWait, new: seconds(c.Time), known: first.CoolWait})
			continue
		}
		p, known := dwellPartNamed(c.Step)
		if !known || !p.of(r).Temperature.Known() {
			return nil, false
		}
		d := p.of(r)
		if c.Unit != "" {
			out = append(out, rulePart{id: "rule-" + p.id + "-temperature", lead: p.lead + " temperature", fact: p.temperature,
				old: d.Temperature, new: temperature(c.Setting, fahrenheit), known: p.of(first).Temperature})
		}
		if c.Time != 0 {
			out = append(out, rulePart{id: "rule-" + p.id + "-time", lead: p.lead + " time", fact: p.time, old: d.Time, new: seconds(c.Time), known: p.of(first).Time})
		}
		if c.Pressure != "" {
			out = append(out, rulePart{id: "rule-" + p.id + "-pressure", lead: p.lead + " pressure", fact: p.id + "_pressure", oldWord: d.Pressure,
				newWord: knowledge.Word{Is: c.Pressure, Source: knowledge.Source{Kind: knowledge.Shop}}})
		}
	}
	return out, true
}

func seconds(s float64) knowledge.Value {
	return knowledge.Value{Dimension: knowledge.Time, Is: s, Low: s, High: s, Unit: "s", Source: knowledge.Source{Kind: knowledge.Shop}}
}

func temperature(s listen.Setting, fahrenheit bool) knowledge.Value {
	as := cmp.Or(s.Unit, "F")
	if s.Unit != "F" && s.Unit != "C" {
		as = map[bool]string{true: "F", false: "C"}[fahrenheit]
	}
	return knowledge.Value{Dimension: knowledge.Temperature, Is: s.Temperature, Low: s.Temperature, High: s.Temperature, Unit: as, Source: knowledge.Source{Kind: knowledge.Shop}}
}

// outside reports a figure that lies beyond the range that is known.
func (p rulePart) outside() bool {
	return !p.word() && p.known.Ranged && (p.new.Is < p.known.Low-slackOf(p.known) || p.new.Is > p.known.High+slackOf(p.known))
}

// ruling works out what a wish comes to. Where it comes to nothing, that is
// said, and ok is false.
func (c *draft) ruling() (out ruling, ok bool) {
	w, s := *c.ask.Wish, c.ask.Subject
	t := c.thing(s)
	switch why, cautions := c.refused(t); {
	case why != "":
		c.refuse(why, cautions)
		return out, false
	case s.Blank == "" && s.Item != "":
		c.say("rule-unknown-blank", "I don't know {item} as a blank, so I can't keep a setting for it.", "item", s.Item)
		return out, false
	case w.Hitch == listen.HitchRange:
		c.say("rule-one-figure", "Say one figure, not a range: that is what everybody sets.")
		return out, false
	case w.Hitch == listen.HitchSeveral:
		c.say("rule-one-thing", "One thing at a time, please: say it for each blank, fibre or method on its own.")
		return out, false
	case w.Hitch == listen.HitchFiner:
		c.say("rule-finer", "I keep settings by blank, fibre and method, not by colour, size or spot: say it without.")
		return out, false
	}
	type candidate struct {
		method *knowledge.Method
		recipe *knowledge.Recipe
		parts  []rulePart
	}
	var fitting []candidate
	for _, m := range c.ruleMethods(t) {
		r, found := c.base.RecipeFor(m.ID, s.Blank, s.Fibre, s.Fabric)
		if !found {
			continue
		}
		if parts, ok := partsOf(w, r, c.style().Fahrenheit); ok {
			fitting = append(fitting, candidate{m, r, parts})
		}
	}
	if len(fitting) == 0 {
		c.say("rule-no-step", "There is nothing I could change there: {thing} has no such step.", "thing", c.ruleThing(t, nil))
		c.suggest("shop rules")
		return out, false
	}
	// What lies within a method's range is meant for it; else its usual order counts.
	slices.SortStableFunc(fitting, func(a, b candidate) int {
		beyond := func(x candidate) int {
			n := 0
			for _, p := range x.parts {
				if p.outside() {
					n++
				}
			}
			return n
		}
		return cmp.Or(cmp.Compare(beyond(a), beyond(b)), cmp.Compare(a.method.Default, b.method.Default))
	})
	best := fitting[0]
	out = ruling{by: best.method, now: best.recipe, parts: best.parts}
	if w.Note != "" && len(w.Changes) == 0 {
		for _, x := range fitting {
			ids, _ := c.reach(x.method.ID, x.recipe, nil)
			out.rule.Recipes = append(out.rule.Recipes, ids...)
		}
		out.rule.Notes = []knowledge.Text{knowledge.Text(w.Note)}
	} else {
		if len(fitting) > 1 && len(s.Methods) == 0 {
			c.assume(best.method.Name)
		}
		out.rule.Recipes, out.stays = c.reach(best.method.ID, best.recipe, best.parts)
	}
	if s.Blank != "" {
		out.rule.Blanks = []string{s.Blank}
	}
	for _, x := range w.Changes {
		out.set(x, c.style().Fahrenheit)
	}
	out.about = c.ruleThing(t, best.method)
	if w.Note != "" && len(fitting) > 1 {
		out.about = c.ruleThing(t, nil)
	}
	out.rule.Said, out.rule.Why = clipSaid(c.ask.Text), clipSaid(w.Why)
	out.rule.By, out.rule.At = c.turn.User, c.turn.Now.Format(time.RFC3339Nano)
	return out, true
}

// clipSaid keeps what was said to a length a file and a list can carry.
func clipSaid(s string) string {
	const most = 500
	s = strings.Join(strings.Fields(strings.ToValidUTF8(s, "")), " ")
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}

// set puts one change into the rule.
func (x *ruling) set(c listen.Change, fahrenheit bool) {
	var d knowledge.DwellChange
	if c.Unit != "" {
		d.Temperature = temperature(c.Setting, fahrenheit)
	}
	if c.Time != 0 {
		d.Time = seconds(c.Time)
	}
	if c.Pressure != "" {
		d.Pressure = knowledge.Word{Is: c.Pressure}
	}
	switch c.Step {
	case "press":
		x.rule.Press = d
	case "prepress":
		x.rule.Prepress = d
	case "marry":
		x.rule.Marry = d
	case "finish":
		x.rule.Finish = d
	case "cool":
		x.rule.CoolWait = d.Time
	}
}

// keepsLower says where answers keep to a lower temperature all the same, because
// a rule of the trade asks for it: dyed polyester bleeds.
func (c *draft) keepsLower(x ruling) {
	t := x.rule.Press.Temperature
	if !t.Known() {
		return
	}
	for _, r := range c.base.Rules {
		low := r.Values["press_temperature"]
		from := r.When.PolyesterFrom
		if r.Method != x.by.ID || r.Verdict != string(method.WithCare) || !low.Known() || t.Is <= low.High+slackOf(low) || !from.Known() || float64(c.ask.Subject.Fibre["polyester"]) < from.Is {
			continue
		}
		c.say("rule-keeps-lower", "Mind: {why}. There my answers keep to that.", "why", trimStop(c.text(&r.Head, r.Because, x.by.ID)))
		c.caution(r.Cautions...)
		return
	}
}

// ruleMethods lists the methods a wish may be about: those named, else those
// the shop owns and the thing does not rule out.
func (c *draft) ruleMethods(t thing) []*knowledge.Method {
	out := map[string]bool{}
	if _, plan, err := c.choose(t, listen.Subject{}); err == nil && !c.nothingSaid(t) {
		for _, x := range plan.Choices {
			out[x.Method] = x.Verdict == method.RuledOut
		}
	}
	var may []*knowledge.Method
	for _, m := range c.methods {
		if len(c.ask.Subject.Methods) == 0 && m.Owned && !out[m.ID] || slices.Contains(c.ask.Subject.Methods, m.ID) {
			if k, ok := c.base.Method(m.ID); ok {
				may = append(may, k)
			}
		}
	}
	return may
}

// reach lists the recipes that a wish changes besides the one it is answered
// from, main. Cotton tees and polyester tees have a recipe each, and so has
// every fibre for the wait before the peel. One is changed with the main one
// where it says the same today, or where the new figures lie within its own
// range, and its fibres stand them; the others stay, and their names are
// returned.
func (c *draft) reach(id string, main *knowledge.Recipe, parts []rulePart) (ids, stay []string) {
	s := c.ask.Subject
	var others []string
	closest, _ := c.base.Recipe(main.ID) // main may be the variant of a blank
	for _, r := range c.base.Recipes {
		var covered bool
		switch {
		case r.Method != id:
		case r.ID == main.ID:
			ids = append(ids, r.ID)
		case s.Blank != "" && (len(s.Fibre) > 0 || s.Fabric != ""):
		case s.Blank != "" && slices.Contains(closest.Blanks, s.Blank):
			covered = slices.Contains(r.Blanks, s.Blank)
		case s.Blank != "":
			covered = len(r.Blanks) == 0
		case s.Fabric != "":
			covered = slices.Contains(r.Fabrics, s.Fabric)
		case len(s.Fibre) == 1:
			covered = slices.Contains(r.Fibres, keysByShare(s.Fibre)[0])
		case len(s.Fibre) == 0:
			covered = true
		}
		if !covered {
			continue
		}
		if c.goesAlong(r, parts) {
			ids = append(ids, r.ID)
		} else {
			others = append(others, r.Fibres...)
		}
	}
	for _, f := range c.base.Fibres { // the commonest come first there
		if slices.Contains(others, f.ID) {
			stay = append(stay, f.Name)
		}
	}
	return ids, stay
}

// goesAlong reports a recipe that a change may be carried over to.
func (c *draft) goesAlong(r *knowledge.Recipe, parts []rulePart) bool {
	if own := r.Variants[c.ask.Subject.Blank]; own != nil {
		r = own
	}
	if len(parts) == 0 {
		return true
	}
	here, ok := partsOf(*c.ask.Wish, r, c.style().Fahrenheit)
	if !ok {
		return false
	}
	for i, p := range here {
		if p.word() {
			if p.oldWord.Is != parts[i].oldWord.Is {
				return false
			}
			continue
		}
		inRange := p.known.Ranged && !p.outside()
		if !near(p.old.Is, parts[i].old.Is) && !inRange || p.new.Dimension == knowledge.Temperature && p.new.Is > c.stands(r)+slackOf(p.new) {
			return false
		}
	}
	return true
}

// stands is the highest temperature, in C, that all fibres a recipe is for
// stand.
func (c *draft) stands(r *knowledge.Recipe) float64 {
	out := math.Inf(1)
	lowest := func(fibre string) {
		if f, ok := c.base.Fibre(fibre); ok && f.Ceiling.Known() {
			out = min(out, f.Ceiling.Is)
		}
	}
	for _, id := range r.Fibres {
		lowest(id)
	}
	for _, id := range r.Fabrics {
		if f, ok := c.base.Fabric(id); ok {
			for fibre := range f.Fibre {
				lowest(fibre)
			}
		}
	}
	return out
}

// ruleThing names what a rule is for: "mugs, sublimation".
func (c *draft) ruleThing(t thing, m *knowledge.Method) string {
	var words []string
	switch {
	case t.blank != nil:
		const several = 2
		said := t
		if len(c.ask.Subject.Fibre) == 0 {
			said.fibre = nil
		}
		if said.plain {
			said.colour = ""
		}
		words = append(words, c.describe(said, several))
	case t.fabric != nil && c.ask.Subject.Fabric != "":
		words = append(words, c.noun(t.fabric.Name))
	case len(c.ask.Subject.Fibre) > 0:
		words = append(words, c.fibreWords(c.ask.Subject.Fibre))
	}
	if m != nil {
		words = append(words, c.noun(m.Name))
	}
	if len(words) == 0 {
		return c.phrase("rule-anything", "anything")
	}
	return join(words)
}

// tooHotForPresses returns the hottest any press goes, where the rule wants more.
func (c *draft) tooHotForPresses(r knowledge.ShopRule) (most unit.Temperature, too bool) {
	for _, p := range c.shop.Presses {
		most = max(most, p.Max)
	}
	if len(c.shop.Presses) == 0 {
		return most, false
	}
	for _, d := range []knowledge.DwellChange{r.Marry, r.Prepress, r.Press, r.Finish} {
		too = too || d.Temperature.Known() && d.Temperature.Temperature() > most
	}
	return most, too
}
