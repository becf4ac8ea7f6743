package answer

import (
	"slices"
	"strings"

	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/unit"
)

// placement answers where a print sits and how large it is.
func (c *draft) placement() {
	s := c.ask.Subject
	t := c.thing(s)
	if c.ask.Carried && c.ask.What == "collar_offset" && t.blank != nil && t.blank.Kind == "hard" {
		t = thing{} // a mug was spoken of before; only a garment has a collar
	}
	p := c.placementFor(s.Spot, t)
	if p == nil {
		c.decline()
		return
	}
	sized := p.Width.Known()
	switch {
	case c.ask.What == "print_width" && sized:
		c.printSize(p)
		c.offset(p)
	default:
		c.offset(p)
		if p.Text != "" && len(c.r.Lines) == 0 {
			c.r.Lines = append(c.r.Lines, c.text(&p.Head, p.Text, ""))
		}
		if sized {
			c.printSize(p)
		}
	}
	c.limits(p)
	if c.ask.Subject.Group == "" {
		c.suggest("what about youth?")
	}
	c.suggest("settings", "says who?")
}

// placementFor finds the placement of a spot on a blank: the closest of blank,
// group and spot; a bare question is about the front of an adult garment.
func (c *draft) placementFor(spot string, t thing) *knowledge.Placement {
	if spot == "" && t.blank != nil && len(t.blank.Spots) > 0 {
		spot = t.blank.Spots[0]
	}
	if spot == "" {
		spot = "front"
	}
	group := t.group
	if group == "" {
		group = "adult"
	}
	var best *knowledge.Placement
	bestFit := -1
	for _, p := range c.base.Placements {
		if p.Spot != spot {
			continue
		}
		fit := 0
		switch {
		case len(p.Blanks) == 0:
		case t.blank != nil && slices.Contains(p.Blanks, t.blank.ID):
			fit += 4
		case t.blank == nil:
			fit++
		default:
			continue
		}
		switch {
		case p.Group == group:
			fit += 2
		case p.Group == "":
		case t.group != "":
			continue
		}
		if t.blank == nil && len(p.Blanks) == 0 {
			fit += 2
		}
		if fit > bestFit {
			best, bestFit = p, fit
		}
	}
	return best
}

func (c *draft) offset(p *knowledge.Placement) {
	if !p.Offset.Known() {
		return
	}
	from := c.text(&p.Head, p.From, "")
	name := "offset"
	if strings.Contains(string(p.From), "collar") && !strings.Contains(string(p.From), "shoulder") {
		name = "collar_offset"
	}
	c.say("offset", "{spot}: {offset} {from}.", "spot", upper(c.noun(p.Name)), "offset", c.sized(name, p.Offset), "from", trimStop(from))
}

func (c *draft) printSize(p *knowledge.Placement) {
	w := c.sized("print_width", p.Width)
	if p.Height.Known() {
		c.say("print-size", "{spot}: {width} wide, {height} high.", "spot", upper(c.noun(p.Name)), "width", w, "height", c.sized("print_height", p.Height))
		return
	}
	c.say("print-width", "{spot}: {width} wide.", "spot", upper(c.noun(p.Name)), "width", w)
}

// sized states a length by its range where it has one.
func (c *draft) sized(name string, v knowledge.Value) string {
	c.fact(factOf(name, v, ""))
	if v.Ranged && v.Low != v.High {
		return c.style().LengthRange(unit.Millimetres(v.Low), unit.Millimetres(v.High))
	}
	return c.show(v)
}

// limits says where the shop's sheet or platen ends before the usual size
// does, so that nobody promises what can't be printed.
func (c *draft) limits(p *knowledge.Placement) {
	if !p.Width.Known() {
		return
	}
	longest := c.longestPrint()
	if longest <= 0 || p.Width.High <= longest.MM() {
		return
	}
	c.fact(reply.Fact{Name: "largest_print", Value: round(longest.MM()), Unit: "mm", Source: reply.Source{Kind: "shop"}})
	c.say("sheet-limit", "Our largest sheet prints {length} on its long side, so stay within that.", "length", c.style().Length(longest))
}

// longestPrint is the longest side the shop's sheets and platens allow.
func (c *draft) longestPrint() unit.Length {
	var longest unit.Length
	for _, pr := range c.shop.Printers {
		for _, name := range pr.Sheets {
			if s, ok := sheetNamed(name); ok {
				longest = max(longest, max(s.Width, s.Height)-2*pr.Margin)
			}
		}
	}
	var platen unit.Length
	for _, p := range c.shop.Presses {
		if p.Kind == "flat" {
			platen = max(platen, max(p.Width, p.Height))
		}
	}
	if platen > 0 {
		longest = min(longest, platen)
	}
	return longest
}
