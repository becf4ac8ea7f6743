package answer

import (
	"presshand/knowledge"
	"presshand/planner/unit"
)

// wait answers how long something cools and how a sheet is peeled; running
// waits are handled by the board.
func (c *draft) wait() {
	switch c.ask.What {
	case "start", "left", "list", "stop", "extend":
		c.timers()
		return
	}
	t := c.thing(c.ask.Subject)
	about := c.asksAbout()
	if c.ask.What == "stated" && len(c.ask.Settings) > 0 {
		c.statedWait(c.peeledCold(about), t, c.ask.Settings[0].Time)
		return
	}
	if c.ask.What == "cool_wait" && len(c.ask.Subject.Methods) == 0 {
		about = c.peeledCold(about)
	}
	for _, m := range about {
		c.peelOf(m, t, len(about) > 1)
	}
	if len(c.r.Lines) == 0 {
		c.decline()
		return
	}
	c.suggest("start the wait", "what if I peel early?", "finish press")
}

// statedWait holds a wait somebody named against the recipe's. A longer one does
// no harm.
func (c *draft) statedWait(about []*knowledge.Method, t thing, said float64) {
	for _, m := range about {
		r, ok := c.recipe(m.ID, t)
		if !ok || !r.CoolWait.Known() {
			continue
		}
		if late, ok := c.base.Guide("peel-late"); ok && said > r.CoolWait.High {
			c.guideEntry(late)
			return
		}
		if said > 0 && said < r.CoolWait.Is {
			c.r.Lines = append(c.r.Lines, upper(c.against(said, r.CoolWait, c.style().Duration(unit.Seconds(said)), "time"))+".")
		}
		c.peelOf(m, t, false)
		c.suggest("start the wait", "what if I peel early?", "finish press")
		return
	}
	c.decline()
}

// peeledCold keeps the methods that are peeled cold; a wait before peeling can
// only be about those.
func (c *draft) peeledCold(about []*knowledge.Method) []*knowledge.Method {
	var cold []*knowledge.Method
	for _, m := range about {
		if m.Peel.Is == "cold" {
			cold = append(cold, m)
		}
	}
	if len(cold) == 0 {
		return about
	}
	if len(about) > len(cold) && len(cold) == 1 {
		c.assume(c.phrase("assume-cold", "{method}, the only method here that is peeled cold", "method", c.noun(cold[0].Name)))
	}
	return cold
}

// peelOf says how one method's sheet comes off.
func (c *draft) peelOf(m *knowledge.Method, t thing, several bool) {
	r, ok := c.recipe(m.ID, t)
	if !ok {
		return
	}
	peel := r.Peel
	if !peel.Known() {
		peel = m.Peel
	}
	lead := ""
	if several {
		lead = upper(c.noun(m.Name)) + ": "
	}
	switch {
	case peel.Is == "cold" && r.CoolWait.Known():
		w := r.CoolWait
		wait := c.value("cool_wait", w, m.ID)
		c.word("peel", peel, m.ID)
		if c.ask.What == "peel" {
			c.r.Lines = append(c.r.Lines, lead+c.phrase("peel-cold-line", "Peel cold: leave it about {wait}, until the sheet feels cold.", "wait", wait))
		} else {
			c.r.Lines = append(c.r.Lines, lead+c.phrase("cool-wait", "Leave it about {wait}, until the sheet feels cold; then peel.", "wait", wait))
		}
		if w.Ranged && !several {
			low, high := w, w
			low.Is, high.Is = w.Low, w.High
			c.say("cool-range", "Some sheets want {low}, some {high}: the maker's sheet wins.", "low", c.show(low), "high", c.show(high))
		}
	case peel.Known() && peel.Is == "none":
		c.r.Lines = append(c.r.Lines, lead+c.phrase("peel-none-line", "Nothing to peel with {method}.", "method", c.noun(m.Name)))
	case peel.Known():
		how := c.word("peel", peel, m.ID)
		c.r.Lines = append(c.r.Lines, lead+c.phrase("peel-"+how+"-line", hotPeel(how)))
	default:
		return
	}
	c.cautionAt([]string{"press", "peel", "mug", "hard"}, r.Cautions...)
}

// hotPeel is the sentence for a peel that does not wait.
func hotPeel(how string) string {
	if how == "warm" {
		return "No long wait: peel warm, as soon as you can hold the edge."
	}
	return "No wait: peel hot, at once, without shifting the paper."
}
