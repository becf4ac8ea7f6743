package answer

import (
	"slices"
	"strings"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/method"
)

// method answers which method suits a blank, whether a named one does, and
// what the methods are like.
func (c *draft) method() {
	switch c.ask.What {
	case "list":
		c.methodList()
		return
	case "wash_life", "feel":
		if len(c.ask.Subject.Methods) > 0 || c.nothingSaid(c.thing(c.ask.Subject)) || len(c.asksAbout()) > 1 {
			c.methodTrait()
			return
		} // else of one blank that one method suits: the advice tells its traits
	case "min_polyester":
		c.methodTrait()
		return
	case "compare":
		c.methodCompare()
		return
	}
	c.methodChoice()
}

func (c *draft) methodChoice() {
	s := c.ask.Subject
	t := c.thing(s)
	if why, cautions := c.refused(t); why != "" {
		c.refuse(why, cautions)
		return
	}
	if q := c.unsafe(t); q != "" {
		c.asked("material", q)
		return
	}
	if c.nothingSaid(t) {
		c.asked("blank", c.phrase("ask-blank", "What is the blank, what is it made of, and what colour? The label inside says."))
		return
	}
	_, plan, err := c.choose(t, s)
	if err != nil {
		c.fail(err)
		return
	}
	if len(s.Methods) == 1 && c.ask.What == "can" {
		c.methodCan(t, plan, s.Methods[0])
		return
	}
	if len(plan.Missing) > 0 {
		c.askMissing(t, plan.Missing)
		return
	}
	c.recommend(t, s, plan)
}

// nothingSaid reports that neither blank nor fibre nor colour is known.
func (c *draft) nothingSaid(t thing) bool {
	return t.blank == nil && t.item == "" && t.fibre == nil && t.fabric == nil && t.colour == ""
}

// askMissing asks one question for all that would change the answer.
func (c *draft) askMissing(t thing, missing []string) {
	item := t.item
	if item == "" {
		item = "blank"
	}
	item = c.noun(item)
	switch {
	case slices.Contains(missing, "fibre") && t.colour == "":
		c.asked("fibre", c.phrase("ask-fibre-colour", "What is the {item} made of (cotton, polyester or a blend), and what colour? The label inside says.", "item", item),
			"black cotton", "white cotton", "white polyester")
	case slices.Contains(missing, "fibre"):
		c.asked("fibre", c.phrase("ask-fibre", "Is the {item} cotton, polyester or a blend? The label inside says.", "item", item),
			"cotton", "polyester", "50/50 blend")
	default:
		c.asked("colour", c.phrase("ask-colour", "What colour is the {item}?", "item", item), "white", "light grey", "black")
	}
}

// recommend states the best method, why the other ones owned fall behind, and
// what would change that.
func (c *draft) recommend(t thing, s listen.Subject, plan method.Plan) {
	c.takeAssumptions(t)
	best, ok := plan.Best()
	c.verdicts(plan)
	if !ok {
		c.say("no-method", "None of our methods suits {thing}: {because}", "thing", c.a(c.describe(t, 1)), "because", stop(c.becauseOf(firstOwned(plan))))
		if u := c.unlessOf(firstOwned(plan)); u != "" {
			c.say("unless", "What would change that: {unless}", "unless", stop(u))
		}
		c.cares(firstOwned(plan))
		c.suggest("what would suit it?", "another blank")
		return
	}
	m, _ := c.base.Method(best.Method)
	c.fact(reply.Fact{Name: "method", Value: best.Method, Source: reply.Source{Kind: "computed"}})
	thing := c.describe(t, max(s.Quantity, 1))
	switch best.Verdict {
	case method.WithCare:
		c.say("recommend-care", "{method} for the {thing}, with care: {because}", "method", upper(c.noun(m.Name)), "thing", thing, "because", stop(c.becauseOf(best)))
	default:
		c.say("recommend", "{method} for the {thing}.", "method", upper(c.noun(m.Name)), "thing", thing)
	}
	c.others(plan, best)
	c.traits(m)
	c.cares(best)
	c.suggest("settings", "quote it", "why?", "steps")
}

// firstOwned is the first choice the shop has the kit for, else the first.
func firstOwned(plan method.Plan) method.Choice {
	for _, x := range plan.Choices {
		if x.Owned {
			return x
		}
	}
	return plan.Choices[0]
}

// traits says how the print feels and how long it lasts, in one line.
func (c *draft) traits(m *knowledge.Method) {
	life := ""
	switch {
	case m.WashLife.Known():
		life = c.phrase("lasts", "lasts about {life}", "life", c.washLife(m))
	case m.WashWord.Known():
		c.washLife(m)
		life = c.phrase("lasts-fabric", "lasts as long as the fabric")
	}
	feel := strings.TrimSuffix(c.text(&m.Head, m.Feel, m.ID), ".")
	c.say("traits", "{feel}; {life}.", "feel", feel, "life", life)
}

// washLife states a method's wash life and returns it in words.
func (c *draft) washLife(m *knowledge.Method) string {
	if m.WashWord.Known() {
		c.word("wash_life", m.WashWord, m.ID)
		return c.phrase("as-fabric", "as long as the fabric")
	}
	v := m.WashLife
	if v.Ranged { // the range is what is said; its lower end is what can be relied on
		v.Is = v.Low
	}
	f := factOf("wash_life", v, m.ID)
	c.fact(f)
	return c.show(m.WashLife)
}

// others says why the methods the shop owns were not chosen.
func (c *draft) others(plan method.Plan, best method.Choice) {
	for _, x := range plan.Choices {
		if !x.Owned || x.Method == best.Method {
			continue
		}
		switch x.Verdict {
		case method.RuledOut:
			c.say("ruled-out", "{method} is ruled out: {because}", "method", upper(c.noun(c.methodName(x.Method))), "because", stop(c.becauseOf(x)))
			if u := c.unlessOf(x); u != "" {
				c.say("unless", "What would change that: {unless}", "unless", stop(u))
			}
		case method.WithCare:
			c.say("with-care", "{method} would do with care: {because}", "method", upper(c.noun(c.methodName(x.Method))), "because", stop(c.becauseOf(x)))
		default:
			c.say("fits-too", "{method} fits too.", "method", upper(c.noun(c.methodName(x.Method))))
		}
	}
}

// cares adds the cautions of the rules that hold for a choice.
func (c *draft) cares(x method.Choice) {
	for _, id := range append(slices.Clone(x.Rules), x.Cares...) {
		if r, ok := c.base.Rule(id); ok {
			c.caution(r.Cautions...)
		}
	}
}

// becauseOf joins the reasons of a choice's deciding rules.
func (c *draft) becauseOf(x method.Choice) string {
	return strings.Join(c.reasons(x.Rules, func(r *knowledge.Rule) knowledge.Text { return r.Because }), "; ")
}

func (c *draft) unlessOf(x method.Choice) string {
	return strings.Join(c.reasons(x.Rules, func(r *knowledge.Rule) knowledge.Text { return r.Unless }), "; ")
}

func (c *draft) reasons(ids []string, part func(*knowledge.Rule) knowledge.Text) []string {
	var out []string
	for _, id := range ids {
		if r, ok := c.base.Rule(id); ok {
			if t := strings.TrimSuffix(c.text(&r.Head, part(r), ""), "."); t != "" && !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return out
}

// verdicts puts the planner's choices into the reply.
func (c *draft) verdicts(plan method.Plan) {
	c.r.Methods = nil
	for _, x := range plan.Choices {
		c.r.Methods = append(c.r.Methods, reply.Verdict{
			Method: x.Method, Verdict: string(x.Verdict), Rules: x.Rules,
			Because: c.quietly(func() string { return c.becauseOf(x) }),
			Unless:  c.quietly(func() string { return c.unlessOf(x) }),
		})
	}
}

// quietly renders text without stating its values as facts: it does not stand
// in the sentences.
func (c *draft) quietly(f func() string) string {
	facts := c.r.Facts
	c.r.Facts = slices.Clone(facts)
	s := f()
	c.r.Facts = facts
	return s
}

// methodCan answers "can I sublimate a black cotton tee?".
func (c *draft) methodCan(t thing, plan method.Plan, id string) {
	c.takeAssumptions(t)
	i := slices.IndexFunc(plan.Choices, func(x method.Choice) bool { return x.Method == id })
	if i < 0 {
		c.decline()
		return
	}
	x := plan.Choices[i]
	name := c.noun(c.methodName(id))
	if x.Verdict != method.RuledOut {
		// What was not said may still rule it out.
		if missing := c.wouldChange(t, id); len(missing) > 0 {
			c.askMissing(t, missing)
			return
		}
	}
	c.verdicts(plan)
	best, ok := plan.Best()
	switch x.Verdict {
	case method.RuledOut:
		c.say("can-no", "No: {because}", "because", stop(c.becauseOf(x)))
	case method.WithCare:
		c.say("can-care", "Yes, with care: {because}", "because", stop(c.becauseOf(x)))
	default:
		c.say("can-yes", "Yes: {method} fits {thing}.", "method", name, "thing", c.a(c.describe(t, 1)))
	}
	if !x.Owned && x.Verdict != method.RuledOut {
		c.say("not-owned", "Our shop is not set up for {method}, though.", "method", name)
	}
	switch {
	case ok && best.Method != id:
		m, _ := c.base.Method(best.Method)
		c.fact(reply.Fact{Name: "method", Value: best.Method, Source: reply.Source{Kind: "computed"}})
		if x.Verdict == method.RuledOut {
			c.say("use-instead", "Use {method} instead.", "method", c.a(c.noun(m.Name)))
			c.traits(m)
		} else {
			c.say("usual-choice", "{method} would be the usual choice here.", "method", upper(c.noun(m.Name)))
		}
		if u := c.unlessOf(x); x.Verdict == method.RuledOut && u != "" {
			c.say("unless", "What would change that: {unless}", "unless", stop(u))
		}
	case ok:
		m, _ := c.base.Method(id)
		c.fact(reply.Fact{Name: "method", Value: id, Source: reply.Source{Kind: "computed"}})
		c.traits(m)
	}
	c.cares(x)
	c.suggest("settings", "quote it", "why?")
}

// wouldChange names what was not said and could rule a method out.
func (c *draft) wouldChange(t thing, id string) []string {
	ruledOut := func(t thing) bool {
		_, plan, err := c.choose(t, c.ask.Subject)
		if err != nil {
			return false
		}
		for _, x := range plan.Choices {
			if x.Method == id {
				return x.Verdict == method.RuledOut
			}
		}
		return false
	}
	var out []string
	if t.fibre == nil && (t.blank == nil || t.blank.Kind != "hard") {
		for _, f := range []string{"cotton", "polyester"} {
			u := t
			u.fibre = map[string]int{f: whole}
			if ruledOut(u) {
				out = append(out, "fibre")
				break
			}
		}
	}
	if t.lightness == "" {
		for _, class := range c.classes {
			u := t
			u.lightness = class.Name
			if ruledOut(u) {
				out = append(out, "colour")
				break
			}
		}
	}
	return out
}

func (c *draft) takeAssumptions(t thing) {
	for _, a := range t.assumed {
		c.assume(c.take(t, a))
	}
}

// refuse says that a thing is not pressed, and why. That is an answer: the bot
// knows it.
func (c *draft) refuse(why string, cautions []string) {
	c.r.Lines = append(c.r.Lines, why)
	c.caution(cautions...)
	c.suggest("what can we print on instead?", "why?")
}

// methodList names the methods, the shop's own first.
func (c *draft) methodList() {
	var own, others []string
	for _, m := range c.methods {
		if m.Owned {
			own = append(own, c.noun(c.methodName(m.ID)))
			c.fact(reply.Fact{Name: "method", Value: m.ID, Source: reply.Source{Kind: "shop"}})
		} else {
			others = append(others, c.noun(c.methodName(m.ID)))
		}
	}
	c.say("methods-own", "We run {own}.", "own", c.and(own))
	if len(others) > 0 {
		c.say("methods-known", "I also know {others}, which this shop has no kit for.", "others", c.and(others))
	}
	c.suggest("which for a black cotton tee?", c.label("steps for {method}", "method", firstOr(own, c.noun("two-step transfer"))))
}

func firstOr(words []string, other string) string {
	if len(words) > 0 {
		return words[0]
	}
	return other
}

// asksAbout returns the methods a question is about: those named, else the
// one the conversation or the blank leads to, else all the shop owns.
func (c *draft) asksAbout() []*knowledge.Method {
	var out []*knowledge.Method
	for _, id := range c.ask.Subject.Methods {
		if m, ok := c.base.Method(id); ok {
			out = append(out, m)
		}
	}
	if len(out) > 0 {
		return out
	}
	t := c.thing(c.ask.Subject)
	if !c.nothingSaid(t) {
		if _, plan, err := c.choose(t, c.ask.Subject); err == nil {
			if best, ok := plan.Best(); ok && len(plan.Missing) == 0 {
				m, _ := c.base.Method(best.Method)
				return []*knowledge.Method{m}
			}
		}
	}
	for _, m := range c.methods {
		if m.Owned {
			k, _ := c.base.Method(m.ID)
			out = append(out, k)
		}
	}
	return out
}

// methodTrait answers wash life, feel and the least polyester share.
func (c *draft) methodTrait() {
	about := c.asksAbout()
	for _, m := range about {
		switch c.ask.What {
		case "wash_life":
			c.washLifeLine(m)
		case "feel":
			c.r.Lines = append(c.r.Lines, upper(c.noun(m.Name))+": "+c.text(&m.Head, m.Feel, m.ID))
		case "min_polyester":
			if m.Polyester.Known() {
				v := m.Polyester
				full := c.value("min_polyester", v, m.ID)
				if v.Ranged {
					c.say("min-polyester", "{method}: {share} polyester and up; from {low} only for a deliberately faded look.", "method", upper(c.noun(m.Name)), "share", full, "low", plain(v.Low)+" %")
				} else {
					c.say("min-polyester-plain", "{method}: at least {share} polyester.", "method", upper(c.noun(m.Name)), "share", full)
				}
			} else if len(c.ask.Subject.Methods) > 0 {
				c.say("no-min-polyester", "{method} needs no polyester.", "method", upper(c.noun(m.Name)))
			}
		}
	}
	if c.ask.What == "min_polyester" && len(c.r.Lines) > 0 {
		c.say("rule-of-trade", "A rule of the trade; no standard sets it.")
	}
	c.suggest("care", "why?", "says who?")
}

func (c *draft) washLifeLine(m *knowledge.Method) {
	if m.WashWord.Known() {
		c.washLife(m)
		c.say("life-fabric", "{method}: as long as the fabric.", "method", upper(c.noun(m.Name)))
		return
	}
	if m.WashLife.Known() {
		c.say("life", "{method}: about {life}, by print size and washing habits.", "method", upper(c.noun(m.Name)), "life", c.washLife(m))
	}
}

// methodCompare sets the methods side by side.
func (c *draft) methodCompare() {
	about := c.asksAbout()
	if len(about) < 2 {
		about = nil
		for _, m := range c.methods {
			if m.Owned {
				k, _ := c.base.Method(m.ID)
				about = append(about, k)
			}
		}
	}
	for _, m := range about {
		c.r.Lines = append(c.r.Lines, upper(c.noun(m.Name))+": "+c.text(&m.Head, m.Summary, m.ID))
		c.traits(m)
	}
	c.suggest("which for a black cotton tee?", "settings")
}

// reasonsFor returns the clauses of all rules that hold for a choice.
func (c *draft) reasonsFor(x method.Choice) []string {
	return c.reasons(append(slices.Clone(x.Rules), x.Cares...), func(r *knowledge.Rule) knowledge.Text { return r.Because })
}
