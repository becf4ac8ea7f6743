package answer

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"presshand/knowledge"
)

// steps answers with a procedure: a method's from file to finished piece, or
// one of the shop's own (start-up, toner change, nine points).
func (c *draft) steps() {
	if c.ask.What == "changeover" {
		c.changeover()
		return
	}
	t := c.thing(c.ask.Subject)
	if p, ok := c.base.Procedure(c.ask.Entry.ID); ok && c.ask.Entry.Section == "procedures" {
		c.stepsOf(p, t)
		return
	}
	about := c.asksAbout()
	if c.ask.Step == "marry" && len(c.ask.Subject.Methods) == 0 { // only some methods marry sheets
		about = slices.DeleteFunc(about, func(m *knowledge.Method) bool {
			r, ok := c.recipe(m.ID, t)
			return !ok || !r.Marry.Temperature.Known()
		})
	}
	if why, cautions := c.refused(t); why != "" {
		c.refuse(why, cautions)
		return
	}
	if len(about) != 1 {
		var names []string
		for _, m := range about {
			names = append(names, c.noun(m.Name))
		}
		c.asked("method", c.phrase("ask-method", "Steps for which method: {methods}?", "methods", c.or(names)), names...)
		return
	}
	if p := c.procedureOf(about[0].ID, t); p != nil {
		c.stepsOf(p, t)
		return
	}
	c.say("no-steps", "I have no steps written down for {method}.", "method", c.noun(about[0].Name))
	c.r.Outcome = "declined"
}

// stepsOf lists a procedure for a thing: where it presses with a method, with
// the figures of that method's recipe, and not where the thing stands none.
func (c *draft) stepsOf(p *knowledge.Procedure, t thing) {
	m, ok := c.base.Method(p.Method)
	presses := slices.ContainsFunc(dwellParts(), func(d dwellPart) bool { return d.id != "marry" && p.Values[d.temperature].Known() })
	if !ok || !presses {
		c.procedure(p, nil)
		return
	}
	if why, cautions := c.refused(t); why != "" {
		c.refuse(why, cautions)
		return
	}
	if c.wontDo(t, m) {
		return
	}
	r, ok := c.recipe(m.ID, t)
	if !ok {
		c.noSetting(t, []*knowledge.Method{m})
		return
	}
	c.procedure(p, r)
}

// procedureOf finds a method's steps for a blank: those written for it before
// those for any. Nil where there are none.
func (c *draft) procedureOf(method string, t thing) *knowledge.Procedure {
	var any *knowledge.Procedure
	for _, p := range c.base.Procedures {
		switch {
		case p.Method != method:
		case t.blank != nil && slices.Contains(p.Blanks, t.blank.ID):
			return p
		case any == nil && len(p.Blanks) == 0:
			any = p
		}
	}
	return any
}

// procedure lists the steps, numbered, with the figures of the recipe for the
// blank in hand; without one (nil) with its own.
func (c *draft) procedure(p *knowledge.Procedure, r *knowledge.Recipe) {
	head := p.Head
	if r != nil {
		usual, _ := c.base.RecipeFor(p.Method, "", nil, "")
		head.Values = withRecipe(head.Values, usual, r)
	}
	if p.Status == "draft" {
		c.assume(c.phrase("draft", "a draft nobody here has tried yet"))
	}
	if c.ask.What == "time" {
		c.stepTimes(p)
		return
	}
	c.say("steps-head", "{name}, {n} steps:", "name", upper(c.noun(p.Name)), "n", fmt.Sprint(len(p.Steps)))
	c.computed("steps", len(p.Steps), "count")
	for i, s := range p.Steps {
		do := c.text(&head, s.Do, p.Method)
		if r != nil && r.Press.Pressure.Known() && strings.Contains(string(s.Do), "{press_temperature}") {
			do = trimStop(do) + ", " + c.phrase("pressure-"+r.Press.Pressure.Is, "{pressure}", "pressure", c.word("press_pressure", r.Press.Pressure, p.Method)) + "."
		}
		c.r.Lines = append(c.r.Lines, fmt.Sprintf("%d. %s", i+1, do))
		c.caution(s.Cautions...)
	}
	if r != nil {
		c.caution(r.Cautions...)
	}
	c.suggest("settings", "why?", "says who?")
}

// stepTimes lists the steps of a procedure that state a time: how long it takes.
func (c *draft) stepTimes(p *knowledge.Procedure) {
	for _, s := range p.Steps {
		timed := false
		for name, v := range p.Values {
			timed = timed || v.Dimension == knowledge.Time && strings.Contains(string(s.Do), "{"+name+"}")
		}
		if timed {
			c.r.Lines = append(c.r.Lines, c.text(&p.Head, s.Do, p.Method))
			c.caution(s.Cautions...)
		}
	}
	if len(c.r.Lines) == 0 {
		c.say("no-times", "I have no time written down for {name}.", "name", c.noun(p.Name))
		c.r.Outcome = "declined"
	}
	c.suggest("steps", "says who?")
}

// withRecipe puts a recipe's figures in place of the usual recipe's that a
// procedure shows. A time of its own stays.
func withRecipe(values map[string]knowledge.Value, usual, r *knowledge.Recipe) map[string]knowledge.Value {
	out := maps.Clone(values)
	put := func(name string, was, is knowledge.Value) {
		if v, shown := out[name]; shown && is.Known() && (v.Is == was.Is || v.Dimension == knowledge.Temperature) {
			out[name] = is
		}
	}
	if usual == nil {
		usual = r
	}
	for _, p := range dwellParts() {
		put(p.temperature, p.of(usual).Temperature, p.of(r).Temperature)
		put(p.time, p.of(usual).Time, p.of(r).Time)
	}
	put("cool_wait", usual.CoolWait, r.CoolWait)
	return out
}
