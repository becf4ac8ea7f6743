package answer

import (
	"presshand/bot/reply"
)

// changeover answers how long a change of the toner set takes.
func (c *draft) changeover() {
	p, ok := c.base.Procedure("toner-set-changeover")
	if len(c.shop.Printers) == 0 || c.shop.Printers[0].Changeover == 0 || !ok {
		c.decline()
		return
	}
	takes := c.shop.Printers[0].Changeover
	c.fact(reply.Fact{Name: "changeover", Value: round(takes.S()), Unit: "s", Source: reply.Source{Kind: "shop"}})
	c.say("changeover", "About {time}, all the cartridges out and the other set in, by the shop profile.", "time", c.style().Duration(takes))
	c.say("changeover-batch", "So batch the jobs by set: one change a day, not one a job.")
	for _, s := range p.Steps {
		c.caution(s.Cautions...)
	}
	c.suggest("steps", "why?")
}
