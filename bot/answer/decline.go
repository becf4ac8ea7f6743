package answer

import (
	"presshand/bot/reply"
)

// decline says what the bot does know, and the nearest things to what was
// asked. It never guesses.
func (c *draft) decline() {
	c.r.Outcome = reply.Declined
	if c.r.Topic == "" || c.r.Topic == "follow" {
		c.r.Topic = "none"
	}
	var near []string
	for _, n := range c.ask.Near {
		if n.Name != "" {
			near = append(near, c.noun(n.Name))
		}
		if len(near) == mostNear {
			break
		}
	}
	if len(near) == 0 {
		c.say("decline", "I don't know that one; I know blanks, methods, press settings, faults, orders. Closest I have: nothing.")
		c.suggest("help")
		return
	}
	c.say("decline-near", "I don't know that one. Closest I have: {near}.", "near", join(near))
	c.suggest(near...)
}

// mostNear is how many nearest entries are offered.
const mostNear = 3

// fail reports an error of a planner: a plain word to the asker, the detail to
// the operator.
func (c *draft) fail(err error) {
	c.r.Outcome = reply.Declined
	c.r.Note = err.Error()
	c.say("failed", "I could not work that out; the fault is mine and is recorded.")
}
