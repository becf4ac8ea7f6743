package answer

// help answers greetings, thanks and "what can you do".
func (c *draft) help() {
	switch c.ask.What {
	case "hello":
		c.say("hello", "Here. Ask about a blank, a setting, a wait, a fault, or post an order.")
		c.suggest("which method for a black cotton tee?", "how long cool peel", "24 black tees 9x7 front friday")
	case "thanks":
		c.say("thanks", "Any time.")
	case "bye":
		c.say("bye", "See you. Platen off?")
	case "yes":
		c.say("yes-nothing", "Yes to what? I have no question open.")
	case "no":
		c.say("no-nothing", "All right.")
	case "cancel":
		if c.cancelWait() {
			return
		}
		c.say("cancelled", "Dropped. Nothing is open now.")
	case "repeat":
		c.say("nothing-to-repeat", "There is nothing to repeat yet.")
	default:
		c.say("help-1", "Ask me which method suits a blank, press settings, waits, faults, placement, care; or post an order for price and ready time.")
		c.say("help-2", "For example: “can I sub a black cotton tee”, “temp for poly jersey”, “24 black tees 9x7 front by friday”.")
		c.say("help-3", "Then: “why?”, “says who?”, “make it 48”, “and on white polyester?”")
		c.suggest("which method for a hoodie?", "settings for mugs", "how long cool peel")
	}
}
