package answer

import (
	"errors"
	"fmt"
	"strings"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/planner"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// fit answers how many copies of a size go on a sheet, how many sheets a
// number of pieces takes, and whether they fit on so many.
func (c *draft) fit() {
	s := c.ask.Subject
	on, ok := c.sheetFor(s.Sheet)
	if !ok {
		c.asked("sheet", c.phrase("ask-sheet", "On which sheet: letter, A4, A3 or tabloid?"), "letter", "A4")
		return
	}
	pieces, ok := c.pieces(s)
	if !ok {
		if o, ok := c.order(); ok {
			c.sheetsOfOrder(o)
			return
		}
		c.asked("size", c.phrase("ask-fit", "How large is one, width by height? For example: 3x3 in."))
		return
	}
	if len(pieces) == 1 && pieces[0].Count == 0 {
		c.perSheet(on, pieces[0])
		return
	}
	for i := range pieces {
		pieces[i].Count = max(pieces[i].Count, 1)
	}
	c.gang(sheet.Problem{Sheet: on, Pieces: pieces}, s.Sheets)
}

// pieces turns what was named into pieces: a spot without a size takes its
// usual one, a single side makes a square, and both are said.
func (c *draft) pieces(s listen.Subject) ([]sheet.Piece, bool) {
	var out []sheet.Piece
	for _, p := range s.Pieces {
		w, h := p.Width, p.Height
		if w == 0 && h == 0 {
			if len(s.Pieces) == 1 && p.Count == 0 {
				return nil, false
			}
			where := c.placementFor(p.Spot, thing{})
			if where == nil || !where.Width.Known() {
				return nil, false
			}
			w = where.Width.Is
			if where.Height.Known() {
				h = where.Height.Is
			}
			c.assume(c.phrase("assume-usual-piece", "{spot} at its usual size", "spot", c.noun(p.Spot)))
		}
		if w == 0 || h == 0 {
			w, h = max(w, h), max(w, h)
			c.assume(c.phrase("assume-square-piece", "as high as it is wide"))
		}
		wide, high := unit.Millimetres(w), unit.Millimetres(h)
		out = append(out, sheet.Piece{Name: strings.TrimSpace(c.noun(p.Spot) + " " + c.style().Size(wide, high)), Width: wide, Height: high, Count: p.Count, Turn: true})
	}
	return out, len(out) > 0
}

// perSheet answers how many of one size a sheet holds.
func (c *draft) perSheet(on sheet.Sheet, p sheet.Piece) {
	per := sheet.PerSheet(on, p.Width, p.Height, true)
	c.computed("per_sheet", per, "count")
	c.sizeFacts(p)
	if per == 0 {
		c.say("fit-none", "None: {size} is larger than {sheet} prints.", "size", p.Name, "sheet", c.noun(on.Name))
		return
	}
	used := float64(per) * p.Width.MM() * p.Height.MM() / (on.Width.MM() * on.Height.MM())
	c.say("fit", "{per} of {size} on {sheet}; {used} of the paper is used.", "per", fmt.Sprint(per), "size", p.Name, "sheet", c.noun(on.Name), "used", c.percent("used", used))
	c.marginLine(on)
	c.suggest("sheets for 24 of them", "quote it")
}

func (c *draft) sizeFacts(p sheet.Piece) {
	c.fact(reply.Fact{Name: "print_width", Value: round(p.Width.MM()), Unit: "mm", Source: reply.Source{Kind: "computed"}})
	c.fact(reply.Fact{Name: "print_height", Value: round(p.Height.MM()), Unit: "mm", Source: reply.Source{Kind: "computed"}})
}

func (c *draft) marginLine(on sheet.Sheet) {
	c.fact(reply.Fact{Name: "sheet_margin", Value: round(on.Margin.MM()), Unit: "mm", Source: reply.Source{Kind: "shop"}})
	c.say("fit-margin", "With {margin} mm kept free at the edges, turned where it helps.", "margin", plain(on.Margin.MM()))
}

// gang lays pieces on sheets and says how many, how well they are used, and
// what would fill the rest; limit is the number of sheets someone has, 0 where
// none was named.
func (c *draft) gang(p sheet.Problem, limit int) {
	plan, err := sheet.Solve(p)
	var large *sheet.TooLargeError
	switch {
	case errors.As(err, &large):
		c.say("fit-none-largest", "{size} is larger than {sheet} prints; the largest of its shape is {largest}.", "size", p.Pieces[large.Index].Name, "sheet", c.noun(p.Sheet.Name),
			"largest", c.style().Size(floorLength(c, large.MaxWidth.MM()), floorLength(c, large.MaxHeight.MM())))
		return
	case err != nil:
		c.fail(err)
		return
	}
	var names []string
	for _, x := range p.Pieces {
		c.computed("quantity", x.Count, "count")
		c.sizeFacts(x)
		names = append(names, c.phrase("count-of", "{n} of {size}", "n", fmt.Sprint(x.Count), "size", x.Name))
	}
	c.computed("sheets", plan.Sheets, "count")
	lead := ""
	switch {
	case limit > 0 && plan.Sheets <= limit:
		lead = c.phrase("yes-they-fit", "Yes:") + " "
	case limit > 0 && plan.AtLeast > limit:
		lead = c.phrase("no-they-dont", "No:") + " "
	case limit > 0:
		lead = c.phrase("not-found", "Not that I can find:") + " "
	}
	c.say("gang", "{lead}{sheets} {sheet} {word} for {pieces}{fewest}; {used} of the paper is used.", "lead", lead, "sheets", fmt.Sprint(plan.Sheets), "sheet", c.noun(p.Sheet.Name),
		"word", c.noun(plural(plan.Sheets, "sheet")), "pieces", c.and(names), "fewest", c.fewest(plan), "used", c.percent("used", plan.Used))
	c.fillLine(p, plan)
	c.marginLine(p.Sheet)
	c.sheetPicture(p, plan)
	c.suggest("quote it", "what fits beside them?")
}

func (c *draft) fewest(plan sheet.Plan) string {
	if plan.Fewest {
		return c.phrase("fewest", ", the fewest possible")
	}
	c.computed("at_least", plan.AtLeast, "count")
	return " " + c.phrase("at-least", "(at least {n} are needed)", "n", fmt.Sprint(plan.AtLeast))
}

// fillLine says what would fill the room that is left before another sheet is
// begun: a printed sheet never goes through the printer again.
func (c *draft) fillLine(p sheet.Problem, plan sheet.Plan) {
	var more []string
	for _, x := range p.Pieces {
		if n := sheet.Room(p.Sheet, plan, x.Width, x.Height); n > 0 {
			c.computed("room", n, "count")
			more = append(more, c.phrase("more-of", "{n} more of {size}", "n", fmt.Sprint(n), "size", x.Name))
		}
	}
	if len(more) > 0 {
		c.say("fill", "To fill the rest: {more}.", "more", c.or(more))
		return
	}
	if plan.Free.Width > minUseful && plan.Free.Height > minUseful {
		c.fact(reply.Fact{Name: "free_width", Value: round(plan.Free.Width.MM()), Unit: "mm", Source: reply.Source{Kind: "computed"}})
		c.fact(reply.Fact{Name: "free_height", Value: round(plan.Free.Height.MM()), Unit: "mm", Source: reply.Source{Kind: "computed"}})
		c.say("free", "Free on the last one: {size}.", "size", c.style().Size(plan.Free.Width, plan.Free.Height))
	}
}

// minUseful is the least side of a free room worth a word: an inch, below
// which nobody prints anything.
const minUseful = unit.Length(unit.MillimetresPerInch)

// sheetFor returns the sheet named, else the shop's first.
func (c *draft) sheetFor(name string) (sheet.Sheet, bool) {
	if name == "" {
		if len(c.sheets) == 0 {
			return sheet.Sheet{}, false
		}
		return c.sheets[0], true
	}
	s, ok := sheet.Known(name)
	if ok && len(c.shop.Printers) > 0 {
		s.Margin, s.Gap = c.shop.Printers[0].Margin, c.shop.Printers[0].Gap
	}
	return s, ok
}

// sheetsOfOrder answers how many sheets the order spoken of takes.
func (c *draft) sheetsOfOrder(o planner.Order) {
	done, ok := c.costed(o)
	if !ok {
		return
	}
	for _, a := range done.Work.Assumed {
		c.assume(a)
	}
	for _, g := range c.gangs(done.Work) {
		c.gang(g, c.ask.Subject.Sheets)
	}
}

// gangs are the layouts of an order, one a line, spares included.
func (c *draft) gangs(w Work) []sheet.Problem {
	var out []sheet.Problem
	for _, l := range w.Lines {
		p := l.packs.problem(l.Make)
		for i := range p.Pieces {
			p.Pieces[i].Name = c.noun(p.Pieces[i].Name) + " " + c.style().Size(p.Pieces[i].Width, p.Pieces[i].Height)
		}
		out = append(out, p)
	}
	return out
}
