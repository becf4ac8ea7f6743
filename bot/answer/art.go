package answer

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/artwork"
	"presshand/planner/method"
	"presshand/planner/unit"
)

// An Inspected is an artwork file looked at for a wish.
type Inspected struct {
	Art    *artwork.Art
	Wish   artwork.Wish
	Report artwork.Report
	Kept   listen.Art // what the conversation keeps
}

// Inspect looks at an artwork file at the size, for the method and on the
// blank the subject names; what it does not name is left out of the verdict.
// The error says what is wrong with the file and what to send instead.
func (d *Desk) Inspect(r io.Reader, name string, s listen.Subject) (Inspected, error) {
	var in Inspected
	art, err := artwork.Open(r, artwork.DefaultLimits())
	if err != nil {
		return in, err
	}
	in.Art, in.Wish = art, d.artWish(s)
	if in.Report, err = art.Inspect(in.Wish); err != nil {
		return in, err
	}
	in.Kept = listen.Art{Name: name, Width: in.Report.Print.Width, Height: in.Report.Print.Height, Coverage: map[string]map[string]float64{}}
	dark := in.Wish.Blank.Known && in.Wish.Blank.Dark
	for _, m := range d.base.Methods {
		if m.TonerSet == "" {
			continue
		}
		wish := in.Wish
		wish.Rules = d.artRules(m)
		report, err := art.Inspect(wish)
		if err != nil {
			return in, err
		}
		cover := report.OnLight
		if dark {
			cover = report.OnDark
		}
		in.Kept.Coverage[m.TonerSet] = map[string]float64{"c": cover.C, "m": cover.M, "y": cover.Y, "k": cover.K, "white": cover.White}
	}
	return in, nil
}

// artWish turns a subject into what the artwork planner reads.
func (d *Desk) artWish(s listen.Subject) artwork.Wish {
	w := artwork.Wish{Width: unit.Millimetres(s.Width), Height: unit.Millimetres(s.Height), Style: d.style}
	if w.Width == 0 && w.Height == 0 && s.Spot != "" {
		c := &draft{Desk: d}
		if p := c.placementFor(s.Spot, d.thing(s)); p != nil && p.Spot == s.Spot && p.Width.Known() {
			w.Width = p.Width.Length()
		}
	}
	t := d.thing(s)
	if t.shown {
		w.Blank = artwork.Blank{
			Known: true, Name: d.describe(t, 1), Colour: t.rgb, Shade: t.lightness,
			Polyester: unit.Percent(float64(t.fibre["polyester"])), Dark: t.lightness == "dark" || t.lightness == "mid",
		}
		if t.coated != nil && *t.coated {
			w.Blank.Polyester = unit.Percent(whole)
		}
	}
	if m, ok := d.artMethod(s, t); ok {
		w.Method = m.Name
		w.Rules = d.artRules(m)
	}
	if w.Method == "" { // whatever the method, too few pixels are too few
		for _, m := range d.methods {
			k, ok := d.base.Method(m.ID)
			if ok && m.Owned && k.Values["wanted_ppi"].Known() {
				r := d.artRules(k)
				w.Rules = artwork.Rules{WantedPPI: r.WantedPPI, WarnPPI: r.WarnPPI, RefusePPI: r.RefusePPI, LargestAt: r.LargestAt, White: true, Black: true, HoldsSoft: true}
				break
			}
		}
	}
	return w
}

// artMethod is the method a file is judged for: the one named, else the one
// the blank leads to.
func (d *Desk) artMethod(s listen.Subject, t thing) (*knowledge.Method, bool) {
	if len(s.Methods) > 0 {
		return d.base.Method(s.Methods[0])
	}
	if t.blank == nil && t.fibre == nil && t.colour == "" {
		return nil, false
	}
	_, plan, err := d.choose(t, s)
	if err != nil {
		return nil, false
	}
	best, ok := plan.Best()
	if !ok {
		return nil, false
	}
	return d.base.Method(best.Method)
}

// artRules reads a method's limits for art from its values.
func (d *Desk) artRules(m *knowledge.Method) artwork.Rules {
	length := func(name string) unit.Length { return m.Values[name].Length() }
	r := artwork.Rules{
		Dye: m.TonerSet == "dye", White: m.White.Is, Black: m.TonerSet == "dye", HoldsSoft: !m.Values["soft_edge"].Known(),
		MinStroke: length("min_stroke"), MinGap: length("min_gap"), SoftEdge: length("soft_edge"), MinText: length("min_text"),
		Speck: length("speck"), Specks: int(m.Values["specks"].Is),
		WantedPPI: m.Values["wanted_ppi"].Is, WarnPPI: m.Values["warn_ppi"].Is, RefusePPI: m.Values["refuse_ppi"].Is,
		LargestAt: d.densities(m), Shift: m.Values["colour_shift"].Is, Vanish: m.Values["colour_vanish"].Is,
	}
	for _, rule := range d.rules {
		if rule.Method != m.ID {
			continue
		}
		for _, art := range rule.When.Art {
			switch {
			case art == "white" && rule.Verdict == method.RuledOut:
				r.WhiteOn = append(r.WhiteOn, rule.When.Lightness...)
				r.Forbids = append(r.Forbids, artwork.NeedsWhite)
			case art == "photo" && rule.Verdict != method.Fits:
				r.PhotoOn = append(r.PhotoOn, rule.When.Lightness...)
			}
		}
	}
	return r
}

// densities are the resolutions for which the largest print is told: the one
// wanted, the least liked, and half-way between that and the refused.
func (d *Desk) densities(m *knowledge.Method) []float64 {
	wanted, warn, refuse := m.Values["wanted_ppi"].Is, m.Values["warn_ppi"].Is, m.Values["refuse_ppi"].Is
	if wanted == 0 {
		return nil
	}
	return []float64{wanted, warn, math.Round((warn + refuse) / 2)}
}

// AnswerArt says what a file holds and what that means: the verdict and its
// number first, then what to mend.
func (d *Desk) AnswerArt(in Inspected, ask listen.Ask, turn Turn) reply.Reply {
	c := &draft{Desk: d, ask: ask, turn: turn}
	c.r.Outcome, c.r.Topic = reply.Answered, "art"
	r := in.Report
	ppi := math.Round(r.EffectivePPI)
	c.computed("effective_ppi", ppi, "1/in")
	c.computed("print_width", round(r.Print.Width), "mm")
	c.computed("print_height", round(r.Print.Height), "mm")
	c.fact(reply.Fact{Name: "verdict", Value: string(r.Verdict), Source: reply.Source{Kind: "computed"}})
	size := c.style().Size(unit.Millimetres(r.Print.Width), unit.Millimetres(r.Print.Height))
	what := ""
	if in.Wish.Method != "" {
		what = " " + c.phrase("art-for", "for {method}", "method", c.noun(in.Wish.Method))
	}
	if in.Wish.Blank.Known {
		what += " " + c.phrase("art-on", "on {blank}", "blank", c.describe(c.thing(ask.Subject), 1))
	}
	c.say("art-verdict", "{verdict}: {ppi} ppi at {size}{what}.", "verdict", upper(c.noun(string(r.Verdict))), "ppi", rounded(ppi), "size", size, "what", what)
	for i, f := range r.Findings {
		if i == mostFindings {
			c.computed("more_findings", len(r.Findings)-i, "count")
			c.say("art-more", "and {n} more.", "n", fmt.Sprint(len(r.Findings)-i))
			break
		}
		c.r.Lines = append(c.r.Lines, fmt.Sprintf("%d. %s; %s.", i+1, upper(c.told(trimStop(f.Text))), lowerFirst(c.told(trimStop(f.Mend)))))
		c.found(f.Text + " " + f.Mend)
	}
	if len(r.Largest) > 0 {
		l := r.Largest[0]
		c.computed("largest_ppi", l.PPI, "1/in")
		c.computed("largest_width", round(l.Width), "mm")
		c.computed("largest_height", round(l.Height), "mm")
		c.say("art-largest", "At {ppi} ppi it goes up to {size}.", "ppi", rounded(l.PPI), "size", c.style().Size(unit.Millimetres(l.Width), unit.Millimetres(l.Height)))
	}
	if c.pictures {
		c.artPicture(in)
	}
	c.suggest("quote it", "which method?", "how thin can lines be?")
	return c.finish()
}

// artPicture adds the art with its trouble spots. It is drawn at once: to draw it
// later, the whole art would be held in memory until its answer is posted.
func (c *draft) artPicture(in Inspected) {
	var buf bytes.Buffer
	if err := in.Art.Draw(in.Report, in.Wish).PNG(&buf); err != nil {
		c.r.Note = err.Error()
		return
	}
	c.r.Files = append(c.r.Files, reply.File{Name: "art.png", Type: "image/png", Alt: "The art on the blank's colour, trouble spots ringed and numbered", Draw: reply.Drawn(buf.Bytes())})
}

// mostFindings keeps the list readable on a phone; the picture shows the rest.
const mostFindings = 5

// found keeps the figures that stand in a finding's words as one fact, so that
// they trace to the measurement.
func (c *draft) found(text string) {
	c.fact(reply.Fact{Name: "finding", Value: text, Source: reply.Source{Kind: "computed"}})
}

// largestPrints says how large so many pixels can be printed.
func (c *draft) largestPrints(pixels float64) {
	m := c.asksAbout()[0]
	wanted, warn := m.Values["wanted_ppi"], m.Values["warn_ppi"]
	if !wanted.Known() || !warn.Known() {
		c.asked("size", c.phrase("ask-ppi", "How many pixels wide is the file, and how wide is the print?"))
		return
	}
	most, best := floorLength(c, unit.Inches(pixels/warn.Is).MM()), floorLength(c, unit.Inches(pixels/wanted.Is).MM())
	c.computed("pixels", pixels, "px")
	c.computed("largest_width", round(most.MM()), "mm")
	c.computed("best_width", round(best.MM()), "mm")
	c.fact(factOf("warn_ppi", warn, m.ID))
	c.fact(factOf("wanted_ppi", wanted, m.ID))
	c.say("largest-print", "Up to {most} on its long side at {warn} ppi, {best} at {wanted} ppi.", "most", c.style().Length(most), "warn", plain(warn.Is), "best", c.style().Length(best), "wanted", plain(wanted.Is))
	c.suggest("send the file and I look at it")
}

// art answers questions about artwork that no file came with.
func (c *draft) art() {
	if c.ask.What == "ppi" {
		c.ppi()
		return
	}
	c.guide()
}

// ppi works out how dense a picture of so many pixels is at a printed width.
func (c *draft) ppi() {
	s := c.ask.Subject
	if s.Pixels > 0 && s.Width == 0 && s.Height == 0 {
		c.largestPrints(s.Pixels)
		return
	}
	if s.Pixels == 0 {
		c.asked("size", c.phrase("ask-ppi", "How many pixels wide is the file, and how wide is the print?"))
		return
	}
	inches := unit.Millimetres(max(s.Width, s.Height)).In()
	density := math.Round(s.Pixels / inches) // as it is said and compared: no binary dust at the limit
	c.computed("effective_ppi", density, "1/in")
	m := c.asksAbout()[0]
	wanted, warn := m.Values["wanted_ppi"], m.Values["warn_ppi"]
	verdict := c.phrase("ppi-fine", "fine")
	switch {
	case wanted.Known() && density < warn.Is:
		verdict = c.phrase("ppi-low", "too few for a crisp print")
	case wanted.Known() && density < wanted.Is:
		verdict = c.phrase("ppi-ok", "good enough")
	}
	c.say("ppi", "{ppi} ppi at {width}: {verdict}.", "ppi", rounded(density), "width", c.style().Length(unit.Inches(inches)), "verdict", verdict)
	if wanted.Known() {
		c.fact(factOf("wanted_ppi", wanted, m.ID))
		c.fact(factOf("warn_ppi", warn, m.ID))
		largest := unit.Inches(s.Pixels / warn.Is)
		c.computed("largest_width", round(largest.MM()), "mm")
		c.say("ppi-largest", "{wanted} ppi is plenty, {warn} the least we like: that file prints up to {width} wide.", "wanted", plain(wanted.Is), "warn", plain(warn.Is), "width", c.style().Length(largest))
	}
	c.computed("pixels", s.Pixels, "px")
	c.suggest("send the file and I look at it")
}
