package answer

import (
	"slices"

	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/colour"
	"presshand/planner/picture"
	"presshand/planner/unit"
)

// colour answers how light a blank's colour counts, and how one colour looks
// on a blank of another.
func (c *draft) colour() {
	s := c.ask.Subject
	names := s.Colours
	if len(names) == 0 && s.Colour != "" {
		names = []string{s.Colour}
	}
	if len(names) == 0 {
		c.asked("colour", c.phrase("ask-which-colour", "Which colour of art, on which colour of blank?"))
		return
	}
	if len(names) == 1 {
		c.lightness(names[0])
		return
	}
	c.forecast(names[0], names[len(names)-1])
}

// lightness says whether a colour counts as light.
func (c *draft) lightness(name string) {
	s := c.ask.Subject
	s.Colour = name
	t := c.thing(s)
	if !t.shown {
		c.asked("colour", c.phrase("ask-colour-word", "I don't know the colour {name}: is it very light, light, mid or dark?", "name", name),
			"very light", "light", "mid", "dark")
		return
	}
	lab := t.rgb.Lab()
	c.fact(reply.Fact{Name: "lightness", Value: t.lightness, Source: reply.Source{Kind: "computed"}})
	c.fact(reply.Fact{Name: "lightness_l", Value: round(lab.L), Unit: "L*", Source: reply.Source{Kind: "computed"}})
	c.fact(reply.Fact{Name: "chroma", Value: round(lab.Chroma()), Unit: "C*ab", Source: reply.Source{Kind: "computed"}})
	c.say("lightness", "{colour} counts as {class} (L* {l}, chroma {c}).", "colour", upper(c.noun(name)), "class", c.noun(t.lightness),
		"l", rounded(lab.L), "c", rounded(lab.Chroma()))
	_, plan, err := c.choose(t, s)
	if err == nil {
		for _, x := range plan.Choices {
			if x.Method == "sublimation" || len(x.Rules) > 0 && x.Owned {
				for _, reason := range c.reasonsFor(x) {
					c.r.Lines = append(c.r.Lines, upper(c.noun(c.methodName(x.Method)))+": "+stop(reason))
				}
				c.cares(x)
			}
		}
	}
	c.suggest("which method?", "why?")
}

// forecast says how a colour comes out on a blank, by sublimation and by a
// method with white under it.
func (c *draft) forecast(art, blank string) {
	a, _, okA := c.lookColour(art)
	b, _, okB := c.lookColour(blank)
	if !okA || !okB {
		unknown := art
		if okA {
			unknown = blank
		}
		c.asked("colour", c.phrase("ask-colour-hex", "I don't know the colour {name}; send it as a hex code such as #c81e28?", "name", unknown))
		return
	}
	share := unit.Percent(whole)
	t := c.thing(c.ask.Subject)
	if t.fibre != nil {
		share = unit.Percent(float64(t.fibre["polyester"]))
	} else {
		c.assume(c.phrase("assume-full-polyester", "a blank of polyester all through"))
	}
	for _, m := range c.forecastMethods() {
		p := colour.Problem{Wanted: []colour.Colour{a}, Blank: b, Polyester: share, Vanish: m.Values["colour_vanish"].Is}
		if m.White.Is {
			white := colour.White()
			p.Ground = &white
		}
		plan, err := colour.Solve(p)
		if err != nil {
			c.fail(err)
			return
		}
		c.swatch(m, plan.Swatches[0], art, blank)
		if c.pictures {
			c.png("colours-"+m.ID+".png", upper(art)+" before and after "+m.Name+" on "+blank, func() *picture.Canvas { return colour.Draw(p, plan) })
		}
	}
	c.suggest("which method?", "why?")
}

// forecastMethods are the methods a forecast speaks of: those named, else the
// shop's printed ones, dye first.
func (c *draft) forecastMethods() []*knowledge.Method {
	var out []*knowledge.Method
	for _, id := range c.ask.Subject.Methods {
		if m, ok := c.base.Method(id); ok && m.TonerSet != "" {
			out = append(out, m)
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, m := range c.methods {
		if k, ok := c.base.Method(m.ID); ok && m.Owned && k.TonerSet != "" {
			out = append(out, k)
		}
	}
	slices.SortStableFunc(out, func(a, b *knowledge.Method) int {
		switch {
		case a.White.Is == b.White.Is:
			return 0
		case b.White.Is:
			return -1
		}
		return 1
	})
	return out
}

// swatch says how one colour comes out with one method.
func (c *draft) swatch(m *knowledge.Method, s colour.Swatch, art, blank string) {
	c.fact(reply.Fact{Name: "seen_colour", Value: s.Seen.String(), Method: m.ID, Source: reply.Source{Kind: "computed"}})
	c.fact(reply.Fact{Name: "colour_difference", Value: round(s.Difference), Unit: "dE00", Method: m.ID, Source: reply.Source{Kind: "computed", Cite: "CIEDE2000, Sharma, Wu, Dalal 2005"}})
	if s.Vanishes {
		c.say("swatch-gone", "{method}: {art} can't be told from {blank}.", "method", upper(c.noun(m.Name)), "art", c.noun(art), "blank", c.noun(blank))
		return
	}
	c.say("swatch", "{method}: {art} on {blank} comes out about {name} ({hex}), {word} ({apart} CIEDE2000).",
		"method", upper(c.noun(m.Name)), "art", c.noun(art), "blank", c.noun(blank), "name", c.noun(s.SeenName), "hex", s.Seen.String(), "word", c.noun(s.Word), "apart", rounded(s.Difference))
}
