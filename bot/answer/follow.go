package answer

import (
	"slices"
	"strings"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/method"
)

// follow answers "why?", "says who?", "what if I don't?" about the last
// answer of the conversation.
func (c *draft) follow() {
	last := c.turn.Memory.Last
	if last == nil {
		c.asked("subject", c.phrase("ask-about", "About what? Name the blank, the method or the step."))
		c.r.Topic = "help"
		return
	}
	c.r.Topic = last.Topic
	switch c.ask.What {
	case "why":
		c.why(*last)
	case "source":
		c.source(*last)
	case "consequence":
		c.consequence(*last)
	default:
		c.more(*last)
	}
}

// again answers the last ask once more, on a draft of its own.
func (c *draft) again(last listen.Ask) *draft {
	return &draft{Desk: c.Desk, ctx: c.ctx, ask: last, turn: c.turn, r: c.Answer(c.ctx, last, c.turn)}
}

// why opens the rule and the physics behind the last answer.
func (c *draft) why(last listen.Ask) {
	defer c.suggest("says who?", "what if I don't?")
	switch last.Topic {
	case "method":
		c.whyMethod(last)
	case "quote":
		c.whyQuote()
	}
	if len(c.r.Lines) > 0 {
		return
	}
	if g := c.guideFor(last); g != nil && (g.Why != "" || g.Text != "") {
		t := g.Why
		if t == "" {
			t = g.Text
		}
		c.r.Lines = append(c.r.Lines, c.text(&g.Head, t, ""))
		return
	}
	c.say("no-why", "I have no reason written down for that; it is {kind}.", "kind", c.provenance(c.again(last).r.Facts))
}

func (c *draft) whyMethod(last listen.Ask) {
	t := c.thing(last.Subject)
	_, plan, err := c.choose(t, last.Subject)
	if err != nil {
		return
	}
	for _, x := range plan.Choices {
		if !x.Owned || x.Verdict == method.Fits {
			continue
		}
		for _, id := range x.Rules {
			r, ok := c.base.Rule(id)
			if !ok || r.Why == "" {
				continue
			}
			if line := c.text(&r.Head, r.Why, ""); !slices.Contains(c.r.Lines, line) {
				c.r.Lines = append(c.r.Lines, line)
			}
		}
	}
	if len(c.r.Lines) == 0 {
		if best, ok := plan.Best(); ok {
			m, _ := c.base.Method(best.Method)
			c.r.Lines = append(c.r.Lines, c.text(&m.Head, m.Summary, m.ID))
		}
	}
}

// guideFor finds the guide that gives the reason for an ask.
func (c *draft) guideFor(last listen.Ask) *knowledge.Guide {
	if last.Entry.Section == "guides" {
		if g, ok := c.base.Guide(last.Entry.ID); ok {
			return g
		}
	}
	for _, key := range []string{last.Topic + "/" + last.What, last.Topic + "/" + last.Entry.ID, last.Topic} {
		for _, g := range c.base.Guides {
			if slices.Contains(g.About, key) {
				return g
			}
		}
	}
	return nil
}

// source says where the last answer's values come from.
func (c *draft) source(last listen.Ask) {
	if last.Topic == "quote" || last.Topic == "plan" {
		c.say("source-quote", "Prices and times by hand are the shop's own profile; press settings are {kind}; the sums are worked out here.", "kind", c.phrase("src-practice", "common practice, no source"))
		c.examplePrices()
		c.suggest("why that price?", "settings")
		return
	}
	facts := c.again(last).r.Facts
	if len(facts) == 0 {
		c.say("no-source", "That answer held no figure; it is common practice, with no source at hand.")
		return
	}
	c.say("source", "{kind}.", "kind", upper(c.provenance(facts)))
	seen := map[string]bool{}
	for _, f := range facts {
		if f.Source.Cite != "" && !seen[f.Source.Cite] {
			seen[f.Source.Cite] = true
			c.fact(f) // what the cite is for
			c.r.Lines = append(c.r.Lines, "- "+f.Source.Cite)
		}
	}
	c.say("maker-wins", "The maker's sheet for your paper, toner and blank wins.")
}

// provenance sums up the kinds of source in words.
func (c *draft) provenance(facts []reply.Fact) string {
	words := map[string]string{
		"published": c.phrase("src-published", "published figures"),
		"practice":  c.phrase("src-practice", "common practice, no source"),
		"memory":    c.phrase("src-memory", "recalled from memory, no source at hand"),
		"shop":      c.phrase("src-shop", "the shop's own profile"),
		"computed":  c.phrase("src-computed", "worked out here from those"),
	}
	if slices.ContainsFunc(facts, func(f reply.Fact) bool { return f.Source.Kind == "shop" && f.Source.Cite != "" }) {
		words["shop"] = c.phrase("src-rule", "the shop's own rule")
	}
	var out []string
	for _, kind := range []string{"published", "practice", "memory", "shop", "computed"} {
		if slices.ContainsFunc(facts, func(f reply.Fact) bool { return f.Source.Kind == kind }) {
			out = append(out, words[kind])
		}
	}
	if len(out) == 0 {
		return words["practice"]
	}
	return strings.Join(out, "; ")
}

// consequence says what happens if the last advice is not followed.
func (c *draft) consequence(last listen.Ask) {
	if g := c.guideFor(last); g != nil && g.WhatIf != "" {
		c.r.Lines = append(c.r.Lines, c.text(&g.Head, g.WhatIf, ""))
		c.caution(g.Cautions...)
		c.suggest("why?")
		return
	}
	if last.Topic == "method" {
		c.whyMethod(last)
	}
	if len(c.r.Lines) == 0 {
		c.say("no-consequence", "I have nothing written down on that; try it on a spare first.")
	}
	c.suggest("why?")
}

// more opens what an answer kept back: a fault's prevention, a method's steps.
func (c *draft) more(last listen.Ask) {
	if f, ok := c.base.Fault(last.Entry.ID); ok && last.Topic == "fault" {
		c.say("prevent", "{prevent}", "prevent", c.text(&f.Head, f.Prevent, ""))
		return
	}
	if g := c.guideFor(last); g != nil && g.Why != "" {
		c.r.Lines = append(c.r.Lines, c.text(&g.Head, g.Why, ""))
		return
	}
	d := c.again(last)
	c.r = d.r
}
