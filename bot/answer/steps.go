package answer

import (
	"fmt"
	"slices"
	"strings"

	"presshand/knowledge"
)

// steps answers with a procedure: a method's from file to finished piece, or
// one of the shop's own (start-up, toner change, nine points).
func (c *draft) steps() {
	if p, ok := c.base.Procedure(c.ask.Entry.ID); ok && c.ask.Entry.Section == "procedures" {
		c.procedure(p)
		return
	}
	about := c.asksAbout()
	if c.ask.Step == "marry" && len(c.ask.Subject.Methods) == 0 { // only some methods marry sheets
		about = slices.DeleteFunc(about, func(m *knowledge.Method) bool {
			r, ok := c.recipe(m.ID, c.thing(c.ask.Subject))
			return !ok || !r.Marry.Temperature.Known()
		})
	}
	if len(about) != 1 {
		var names []string
		for _, m := range about {
			names = append(names, c.noun(m.Name))
		}
		c.asked("method", c.phrase("ask-method", "Steps for which method: {methods}?", "methods", c.or(names)), names...)
		return
	}
	if p := c.procedureOf(about[0].ID, c.thing(c.ask.Subject)); p != nil {
		c.procedure(p)
		return
	}
	c.say("no-steps", "I have no steps written down for {method}.", "method", c.noun(about[0].Name))
	c.r.Outcome = "declined"
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

// procedure lists the steps, numbered.
func (c *draft) procedure(p *knowledge.Procedure) {
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
		c.r.Lines = append(c.r.Lines, fmt.Sprintf("%d. %s", i+1, c.text(&p.Head, s.Do, p.Method)))
		c.caution(s.Cautions...)
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
