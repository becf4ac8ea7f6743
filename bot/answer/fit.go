package answer

import (
	"errors"
	"fmt"

	"presshand/bot/reply"
	"presshand/planner"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// fit answers how many copies of a size go on a sheet, and how many sheets a
// number of them takes.
func (c *draft) fit() {
	s := c.ask.Subject
	if s.Width == 0 && s.Height == 0 {
		if o, ok := c.order(); ok {
			c.sheetsOfOrder(o)
			return
		}
		c.asked("size", c.phrase("ask-fit", "How large is one, width by height? For example: 3x3 in."))
		return
	}
	if s.Width == 0 || s.Height == 0 {
		side := max(s.Width, s.Height)
		s.Width, s.Height = side, side
		c.assume(c.phrase("assume-square-piece", "as high as it is wide"))
	}
	on, ok := c.sheetFor(s.Sheet)
	if !ok {
		c.asked("sheet", c.phrase("ask-sheet", "On which sheet: letter, A4, A3 or tabloid?"), "letter", "A4")
		return
	}
	w, h := unit.Millimetres(s.Width), unit.Millimetres(s.Height)
	per := sheet.PerSheet(on, w, h, true)
	size := c.style.Size(w, h)
	if per == 0 {
		c.say("fit-none", "None: {size} is larger than {sheet} prints.", "size", size, "sheet", on.Name)
		c.computed("per_sheet", 0, "count")
		return
	}
	c.computed("per_sheet", per, "count")
	c.fact(reply.Fact{Name: "print_width", Value: round(s.Width), Unit: "mm", Source: reply.Source{Kind: "computed"}})
	c.fact(reply.Fact{Name: "print_height", Value: round(s.Height), Unit: "mm", Source: reply.Source{Kind: "computed"}})
	if s.Quantity > 0 {
		p := sheet.Problem{Sheet: on, Pieces: []sheet.Piece{{Name: size, Width: w, Height: h, Count: s.Quantity, Turn: true}}}
		plan, err := sheet.Solve(p)
		if err != nil {
			var large *sheet.TooLargeError
			if errors.As(err, &large) {
				c.say("fit-none", "None: {size} is larger than {sheet} prints.", "size", size, "sheet", on.Name)
				return
			}
			c.fail(err)
			return
		}
		c.computed("sheets", plan.Sheets, "count")
		c.computed("quantity", s.Quantity, "count")
		fewest := ""
		if plan.Fewest {
			fewest = c.phrase("fewest", ", the fewest possible")
		}
		c.say("fit-sheets", "{sheets} {sheet} {word} for {n} of {size}{fewest}; {per} to a sheet.", "sheets", fmt.Sprint(plan.Sheets), "sheet", on.Name,
			"word", plural(plan.Sheets, "sheet"), "n", fmt.Sprint(s.Quantity), "size", size, "fewest", fewest, "per", fmt.Sprint(per))
		if room := sheet.Room(on, plan, w, h); room > 0 {
			c.computed("room", room, "count")
			c.say("fit-room", "Room for {n} more on the last one.", "n", fmt.Sprint(room))
		}
	} else {
		c.say("fit", "{per} of {size} on {sheet}.", "per", fmt.Sprint(per), "size", size, "sheet", on.Name)
	}
	c.fact(reply.Fact{Name: "sheet_margin", Value: round(on.Margin.MM()), Unit: "mm", Source: reply.Source{Kind: "shop"}})
	c.say("fit-margin", "With {margin} mm kept free at the edges, turned where it helps.", "margin", plain(on.Margin.MM()))
	c.suggest("sheets for 24", "quote it")
}

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
	problem := c.gangOf(done.Work)
	plan, err := sheet.Solve(problem)
	if err != nil {
		c.fail(err)
		return
	}
	n := 0
	for _, l := range done.Work.Lines {
		n += l.Sheets(l.Make)
	}
	c.computed("sheets", n, "count")
	on := done.Work.Lines[0].Prints[0].Sheet
	c.say("order-sheets", "{n} {sheet} {word} with spares.", "n", fmt.Sprint(n), "sheet", on.Name, "word", plural(n, "sheet"))
	c.percentUsed(plan)
	c.picture(done)
	c.suggest("timeline", "quote it")
}

func (c *draft) percentUsed(plan sheet.Plan) {
	c.say("sheet-use", "{used} of the paper is used.", "used", c.percent("used", plan.Used))
}
