package answer

import (
	"context"
	"errors"
	"fmt"
	"time"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge/document"
	"presshand/planner"
	"presshand/planner/press"
	"presshand/planner/price"
)

// A Day is a plan file: the orders a shop is to get through.
type Day struct {
	Start  string     `json:"start"` // RFC3339; when the shop may begin; "" means now
	Orders []DayOrder `json:"orders"`
}

// A DayOrder is one order of a Day.
type DayOrder struct {
	ID       string         `json:"id"`
	Due      string         `json:"due"`
	Priority int            `json:"priority"` // 1 goes first; 0 where none was given
	Lines    []planner.Line `json:"lines"`
	For      string         `json:"for"`
	ArtOK    bool           `json:"art_ok" key:"art_ok"`
	BlanksBy string         `json:"blanks_by"`
	Rush     bool           `json:"rush"`
}

// orderFile is an order as a file holds it; the keys are those of the order
// object scripts rely on.
type orderFile struct {
	For      string
	Ref      string
	Note     string
	ArtOK    bool `key:"art_ok"`
	BlanksBy string
	Lines    []planner.Line
	Due      string
	Rush     bool
}

// ReadOrder reads an order from YAML or JSON. The error lists every problem
// with line and column.
func ReadOrder(name string, data []byte) (planner.Order, error) {
	var f orderFile
	if err := readFile(name, data, &f, "order"); err != nil {
		return planner.Order{}, err
	}
	o := planner.Order{For: f.For, Ref: f.Ref, Note: f.Note, ArtOK: f.ArtOK, BlanksBy: f.BlanksBy, Lines: f.Lines, Due: f.Due, Rush: f.Rush}
	return o, checkOrder(name, o)
}

// ReadDay reads a plan file from YAML or JSON. The error lists every problem
// with line and column.
func ReadDay(name string, data []byte) (Day, error) {
	var d Day
	if err := readFile(name, data, &d, "day"); err != nil {
		return d, err
	}
	if _, err := timeIn(name, "start", d.Start); err != nil {
		return d, err
	}
	seen := map[string]bool{}
	for i, o := range d.Orders {
		where := fmt.Sprintf("%s: orders[%d]", name, i)
		if o.ID == "" {
			return d, fmt.Errorf("%s has no id: give each order one", where)
		}
		if seen[o.ID] {
			return d, fmt.Errorf("%s: id %q stands twice: give each order an id of its own", where, o.ID)
		}
		seen[o.ID] = true
		if err := checkOrder(where, o.order()); err != nil {
			return d, err
		}
	}
	if len(d.Orders) == 0 {
		return d, fmt.Errorf("%s: there are no orders: list them under orders, each with id and lines", name)
	}
	return d, nil
}

func (o DayOrder) order() planner.Order {
	return planner.Order{For: o.For, ArtOK: o.ArtOK, BlanksBy: o.BlanksBy, Lines: o.Lines, Due: o.Due, Rush: o.Rush}
}

func readFile(name string, data []byte, out any, what string) error {
	file, root := document.Parse(name, data)
	if root != nil {
		d := document.Decoder{File: file, Empty: true}
		d.Decode(root, document.Field{In: what}, out)
	}
	if len(file.Problems) > 0 {
		return file.Problems.Sort()
	}
	return nil
}

// checkOrder refuses what no order can be: see each message.
func checkOrder(name string, o planner.Order) error {
	if len(o.Lines) == 0 {
		return fmt.Errorf("%s: the order has no lines: give it at least one, with quantity, item and prints", name)
	}
	for _, t := range []struct{ field, value string }{{"due", o.Due}, {"blanks_by", o.BlanksBy}} {
		if _, err := timeIn(name, t.field, t.value); err != nil {
			return err
		}
	}
	for i, l := range o.Lines {
		where := fmt.Sprintf("%s: lines[%d]", name, i)
		if l.Quantity <= 0 || l.Quantity > price.MaxPieces {
			return fmt.Errorf("%s: quantity is %d: write a whole number from 1 to %d", where, l.Quantity, price.MaxPieces)
		}
		if n := count(l.Sizes); n != 0 && n != l.Quantity {
			return fmt.Errorf("%s: the sizes add up to %d and the quantity is %d: correct one of them", where, n, l.Quantity)
		}
		if n := count(l.Fibre); n != 0 && n != whole {
			return fmt.Errorf("%s: the fibre shares add up to %d %%: they must make %d", where, n, whole)
		}
		if l.Blanks != "" && l.Blanks != "ours" && l.Blanks != "theirs" {
			return fmt.Errorf("%s: blanks is %q: write ours or theirs", where, l.Blanks)
		}
		for j, p := range l.Prints {
			if !(p.Width > 0 && p.Width < maxSide) || !(p.Height > 0 && p.Height < maxSide) {
				return fmt.Errorf("%s: prints[%d] is %v x %v mm: write width and height in mm, above 0", where, j, p.Width, p.Height)
			}
		}
	}
	return nil
}

// maxSide is the largest print side a file may ask for, in mm: beyond any
// sheet, below what sums could overflow on.
const maxSide = 1e5

func count(m map[string]int) int {
	n := 0
	for _, v := range m {
		n += v
	}
	return n
}

func timeIn(name, field, value string) (time.Time, error) {
	if value == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339, value)
	if err != nil {
		return t, fmt.Errorf("%s: %s is %q: write it as 2026-11-27T17:00:00-05:00", name, field, value)
	}
	return t, nil
}

// Quote answers an order that came as a file.
func (d *Desk) Quote(ctx context.Context, o planner.Order, turn Turn) reply.Reply {
	ask := listen.Ask{Topic: "quote", Order: listen.OrderReading{Order: o, IsOrder: true}}
	return d.Answer(ctx, ask, turn)
}

// PlanDay times all orders of a day through the shop; progress may be nil. A
// *Lack error says what an order lacks.
func (d *Desk) PlanDay(ctx context.Context, day Day, now time.Time, effort int, progress press.Progress) (press.Problem, press.Plan, error) {
	start := now
	if t, err := time.Parse(time.RFC3339, day.Start); err == nil {
		start = t
	}
	if d.shop.Zone != nil {
		start = start.In(d.shop.Zone)
	}
	p := press.Problem{Start: start.Truncate(time.Second), Shop: d.pressShop, Effort: effort}
	for _, o := range day.Orders {
		c := &draft{Desk: d, ctx: ctx, turn: Turn{Now: start}}
		w, err := c.work(o.order(), start)
		var lack *Lack
		if errors.As(err, &lack) {
			return p, press.Plan{}, fmt.Errorf("order %s: %w", o.ID, lack)
		}
		if err != nil {
			return p, press.Plan{}, fmt.Errorf("order %s: %w", o.ID, err)
		}
		po := c.pressOrder(w, o.ID)
		po.Priority, po.Promised = o.Priority, o.Due != ""
		p.Orders = append(p.Orders, po)
	}
	plan, err := press.SolveProgress(p, progress)
	return p, plan, err
}
