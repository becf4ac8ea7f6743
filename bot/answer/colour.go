package answer

import (
	"presshand/bot/reply"
	"presshand/planner/colour"
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
	c.say("lightness", "{colour} counts as {class} (L* {l}, chroma {c}).", "colour", upper(name), "class", t.lightness,
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
	dyed := colour.Sublimated(a, b, share)
	apart := colour.CIEDE2000(a.Lab(), dyed.Lab())
	c.fact(reply.Fact{Name: "colour_difference", Value: round(apart), Unit: "dE00", Source: reply.Source{Kind: "computed", Cite: "CIEDE2000, Sharma, Wu, Dalal 2005"}})
	c.fact(reply.Fact{Name: "seen_colour", Value: dyed.String(), Source: reply.Source{Kind: "computed"}})
	c.say("forecast-dye", "By sublimation {art} on {blank} comes out about {name} ({hex}), {apart} units from what you sent.",
		"art", art, "blank", blank, "name", colour.Name(dyed), "hex", dyed.String(), "apart", rounded(apart))
	c.say("forecast-white", "With a two-step transfer it stays {art}: white lies under it.", "art", art)
	c.suggest("which method?", "why?")
}
