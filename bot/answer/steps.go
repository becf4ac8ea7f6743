package answer

import (
	"fmt"

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
	if len(about) != 1 {
		var names []string
		for _, m := range about {
			names = append(names, c.noun(m.Name))
		}
		c.asked("method", c.phrase("ask-method", "Steps for which method: {methods}?", "methods", c.or(names)), names...)
		return
	}
	for _, p := range c.base.Procedures {
		if p.Method == about[0].ID {
			c.procedure(p)
			return
		}
	}
	c.say("no-steps", "I have no steps written down for {method}.", "method", c.noun(about[0].Name))
	c.r.Outcome = "declined"
}

// procedure lists the steps, numbered.
func (c *draft) procedure(p *knowledge.Procedure) {
	if p.Status == "draft" {
		c.assume(c.phrase("draft", "a draft nobody here has tried yet"))
	}
	c.say("steps-head", "{name}, {n} steps:", "name", upper(c.noun(p.Name)), "n", fmt.Sprint(len(p.Steps)))
	c.computed("steps", len(p.Steps), "count")
	for i, s := range p.Steps {
		c.r.Lines = append(c.r.Lines, fmt.Sprintf("%d. %s", i+1, c.text(&p.Head, s.Do, p.Method)))
		c.caution(s.Cautions...)
	}
	c.suggest("settings", "why?", "says who?")
}
