package answer

import (
	"slices"

	"presshand/bot/reply"
	"presshand/knowledge"
)

// guide answers from a guide, caution or correction entry. A material that is
// never pressed is refused first, whatever else was asked of it.
func (c *draft) guide() {
	t := c.thing(c.ask.Subject)
	if why, cautions := c.refused(t); why != "" && pressing(c.ask.Topic) && !c.ownWarning(cautions) {
		c.r.Topic = "safety"
		c.refuse(why, cautions)
		return
	}
	if q := c.unsafe(t); q != "" && pressing(c.ask.Topic) && t.blank != nil && slices.Contains(t.blank.Cautions, "never-pvc") && !c.ownWarning(t.blank.Cautions) {
		c.asked("material", q)
		c.caution(t.blank.Cautions...)
		return
	}
	switch c.ask.Entry.Section {
	case "guides":
		if g, ok := c.base.Guide(c.ask.Entry.ID); ok {
			c.guideEntry(g)
			return
		}
	case "cautions":
		if k, ok := c.base.Caution(c.ask.Entry.ID); ok {
			c.r.Lines = append(c.r.Lines, c.text(&k.Head, k.Text, ""))
			c.suggest("why?", "says who?")
			return
		}
	case "corrections":
		if k, ok := c.base.Correction(c.ask.Entry.ID); ok {
			if k.Topic != "" {
				c.r.Topic = k.Topic
			}
			c.r.Lines = append(c.r.Lines, c.text(&k.Head, k.Text, ""))
			c.suggest("says who?")
			return
		}
	}
	c.decline()
}

// pressing reports a topic under which someone may be on the way to a press.
func pressing(topic string) bool {
	return slices.Contains([]string{"safety", "setting", "method", "steps"}, topic)
}

// ownWarning reports an entry that warns of the material itself.
func (c *draft) ownWarning(cautions []string) bool {
	if slices.Contains(cautions, c.ask.Entry.ID) {
		return true
	}
	g, ok := c.base.Guide(c.ask.Entry.ID)
	return ok && slices.ContainsFunc(g.Cautions, func(id string) bool { return slices.Contains(cautions, id) })
}

func (c *draft) guideEntry(g *knowledge.Guide) {
	if g.Topic != "" {
		c.r.Topic = g.Topic
	}
	if said := c.ask.Subject.Methods; g.Topic == "care" && len(said) == 1 && len(g.Methods) > 0 && !slices.Contains(g.Methods, said[0]) {
		c.care() // the other method's washing
		return
	}
	if g.Decline && g.Topic == "none" { // outside what the bot knows; a safety "no" is an answer
		c.r.Outcome = reply.Declined
	}
	m := ""
	if len(g.Methods) == 1 {
		m = g.Methods[0]
	}
	c.r.Lines = append(c.r.Lines, c.text(&g.Head, g.Text, m))
	c.caution(g.Cautions...)
	if g.Why != "" {
		c.suggest("why?")
	}
	if g.WhatIf != "" {
		c.suggest("what if I don't?")
	}
	c.suggest("says who?")
}

// print answers how a sheet is printed: mirrored or not, which paper, which
// toner set.
func (c *draft) print() {
	if c.ask.What == "pace" {
		c.pace()
		return
	}
	about := c.asksAbout()
	for _, m := range about {
		lead := ""
		if len(about) > 1 {
			lead = upper(c.noun(m.Name)) + ": "
		}
		switch c.ask.What {
		case "mirror":
			if !m.Mirror.Given {
				continue
			}
			word := c.phrase("no", "No.")
			if c.flag("mirror", m.Mirror, m.ID) {
				word = c.phrase("yes", "Yes.")
			}
			if len(about) == 1 {
				lead = word + " "
			}
			c.r.Lines = append(c.r.Lines, lead+c.text(&m.Head, m.MirrorHow, m.ID))
		case "toner_set":
			if m.TonerSet != "" {
				c.r.Lines = append(c.r.Lines, upper(c.noun(m.Name))+": "+c.phrase("toner-"+m.TonerSet, "the {set} toner set.", "set", c.noun(m.TonerSet)))
				if m.Toners != "" {
					c.r.Lines = append(c.r.Lines, c.text(&m.Head, m.Toners, m.ID))
				}
				if m.White.Given {
					switch white := c.flag("white", m.White, m.ID); {
					case m.Toners != "": // which tell it
					case white:
						c.say("white-yes", "It prints white.")
					default:
						c.say("white-no", "It has no white.")
					}
				}
			}
		default:
			if m.Paper != "" {
				c.r.Lines = append(c.r.Lines, lead+c.text(&m.Head, m.Paper, m.ID))
			}
		}
	}
	if len(c.r.Lines) == 0 {
		c.decline()
		return
	}
	c.caution("never-reprint")
	c.suggest("settings", "steps", "says who?")
}

// term explains a word.
func (c *draft) term() {
	k, ok := c.base.Term(c.ask.Entry.ID)
	if !ok {
		c.decline()
		return
	}
	c.r.Lines = append(c.r.Lines, upper(c.noun(k.Name))+": "+lowerFirst(c.text(&k.Head, k.Means, "")))
	c.suggest("settings", "steps")
}

// fault answers what went wrong and what to do now.
func (c *draft) fault() {
	f, ok := c.base.Fault(c.ask.Entry.ID)
	if !ok {
		c.asked("symptom", c.phrase("ask-symptom", "What does it look like: not sticking, lifting edge, ghost image, dull colours, marks, crooked, or something else?"),
			"not sticking", "lifting edge", "ghost image", "dull colours")
		return
	}
	m := ""
	if len(f.Methods) == 1 {
		m = f.Methods[0]
	}
	c.r.Lines = append(c.r.Lines, c.text(&f.Head, f.Likely, m))
	if len(f.Causes) > 0 {
		c.r.Lines = append(c.r.Lines, c.phrase("check-order", "Check, in order:"))
	}
	for i, cause := range f.Causes {
		if i == mostCauses {
			break
		}
		is := trimStop(c.text(&f.Head, cause.Is, m))
		line := is
		if check := trimStop(c.text(&f.Head, cause.Check, m)); check != "" {
			line += " (" + lowerFirst(check) + ")"
		}
		if mend := trimStop(c.text(&f.Head, cause.Mend, m)); mend != "" {
			line += ": " + lowerFirst(mend)
		}
		c.r.Lines = append(c.r.Lines, string(rune('1'+i))+". "+upper(line)+".")
	}
	if f.Now != "" {
		c.say("now", "Now: {now}", "now", lowerFirst(c.text(&f.Head, f.Now, m)))
	}
	c.caution(f.Cautions...)
	if f.Prevent != "" {
		c.suggest("how do I prevent it?")
	}
	c.suggest("why?", "how to read nine points", "can it be pressed again?")
}

// mostCauses is how many causes a fault's answer lists: likeliest first, and
// nobody at a press reads a fifth.
const mostCauses = 4

// care answers what to tell the customer about washing.
func (c *draft) care() {
	about := c.asksAbout()
	for _, m := range about {
		for _, k := range c.base.Care {
			if k.Method != m.ID {
				continue
			}
			if len(about) > 1 {
				c.r.Lines = append(c.r.Lines, upper(c.noun(m.Name))+":")
			}
			for _, l := range k.Lines {
				c.r.Lines = append(c.r.Lines, c.text(&k.Head, l, m.ID))
			}
		}
	}
	if len(c.r.Lines) == 0 {
		c.decline()
		return
	}
	c.suggest("how many washes?", "says who?")
}
