package sheet

import (
	"fmt"
	"math"

	"presshand/planner/unit"
)

// tolerance is how far Check lets a length be off, in millimetres: far less
// than any printer or knife holds, and more than the rounding of a sum.
const tolerance = 1e-3

// Check reports the first promise that a plan breaks: places inside the
// sheet and its margins, none nearer than the gap to another, every piece
// there as often as asked and in its size, counts and verdict in order, and
// for a trimmer, cuts that take the sheets apart without touching a piece. It
// shares no code with Solve and compares every pair of places on a sheet.
func Check(p Problem, plan Plan) error {
	count := make([]int, len(p.Pieces))
	onSheet := map[int][]Place{}
	for i, place := range plan.Places {
		if err := checkPlace(p, plan, place); err != nil {
			return fmt.Errorf("place %d: %w", i+1, err)
		}
		count[place.Piece]++
		onSheet[place.Sheet] = append(onSheet[place.Sheet], place)
	}
	for i, piece := range p.Pieces {
		if count[i] != piece.Count {
			return fmt.Errorf("piece %d (%q): laid %d times, asked for %d", i+1, piece.Name, count[i], piece.Count)
		}
	}
	if plan.Sheets < 0 || p.Endless && plan.Sheets > 1 {
		return fmt.Errorf("the plan takes %d sheets", plan.Sheets)
	}
	for n := 1; n <= plan.Sheets; n++ {
		places := onSheet[n]
		if len(places) == 0 {
			return fmt.Errorf("sheet %d is empty", n)
		}
		for i, a := range places {
			for _, b := range places[:i] {
				if tooNear(p, a, b) {
					return fmt.Errorf("sheet %d: %q at %g,%g and %q at %g,%g are nearer than the gap", n, a.Name, a.X, a.Y, b.Name, b.X, b.Y)
				}
			}
		}
	}
	if plan.AtLeast > plan.Sheets || plan.Fewest != (plan.AtLeast == plan.Sheets) {
		return fmt.Errorf("at least %d of %d sheets, and fewest is %v", plan.AtLeast, plan.Sheets, plan.Fewest)
	}
	if err := checkShares(p, plan, onSheet[plan.Sheets]); err != nil {
		return err
	}
	if p.Cut == Trimmer {
		return checkCuts(p, plan)
	}
	return nil
}

func checkPlace(p Problem, plan Plan, place Place) error {
	if place.Piece < 0 || place.Piece >= len(p.Pieces) {
		return fmt.Errorf("there is no piece %d", place.Piece)
	}
	piece := p.Pieces[place.Piece]
	w, h := piece.Width, piece.Height
	if place.Turned {
		if !piece.Turn {
			return fmt.Errorf("%q is turned and may not be", piece.Name)
		}
		w, h = h, w
	}
	if math.Abs(float64(place.Width-w)) > tolerance || math.Abs(float64(place.Height-h)) > tolerance {
		return fmt.Errorf("%q is %g x %g, want %g x %g", piece.Name, place.Width, place.Height, w, h)
	}
	if place.Sheet < 1 || place.Sheet > plan.Sheets {
		return fmt.Errorf("%q lies on sheet %d of %d", piece.Name, place.Sheet, plan.Sheets)
	}
	edge := float64(p.Sheet.Margin+p.Bleed) - tolerance
	height := p.Sheet.Height
	if p.Endless {
		height = plan.Length
	}
	if float64(place.X) < edge || float64(place.Y) < edge ||
		float64(p.Sheet.Width-place.X-place.Width) < edge || float64(height-place.Y-place.Height) < edge {
		return fmt.Errorf("%q at %g,%g reaches into the margin", piece.Name, place.X, place.Y)
	}
	return nil
}

// tooNear reports whether two places come nearer than the gap along both
// axes, bleed included.
func tooNear(p Problem, a, b Place) bool {
	need := float64(p.Sheet.Gap+2*p.Bleed) - tolerance
	return float64(b.X-a.X-a.Width) < need && float64(a.X-b.X-b.Width) < need &&
		float64(b.Y-a.Y-a.Height) < need && float64(a.Y-b.Y-b.Height) < need
}

// checkShares wants the share used to be that of the places, and the free room
// to keep margin and gap on the last sheet, whose places are given.
func checkShares(p Problem, plan Plan, last []Place) error {
	if plan.Sheets == 0 {
		return nil
	}
	area := 0.0
	for _, place := range plan.Places {
		area += float64(place.Width) * float64(place.Height)
	}
	height := p.Sheet.Height
	if p.Endless {
		height = plan.Length
	}
	whole := float64(plan.Sheets) * float64(p.Sheet.Width) * float64(height)
	if math.Abs(plan.Used-area/whole) > tolerance {
		return fmt.Errorf("share used is %g, want %g", plan.Used, area/whole)
	}
	if plan.Free.Width <= 0 || plan.Free.Height <= 0 {
		return nil
	}
	free := Place{Name: "the free room", X: plan.Free.X, Y: plan.Free.Y, Width: plan.Free.Width, Height: plan.Free.Height}
	edge := float64(p.Sheet.Margin+p.Bleed) - tolerance
	if float64(free.X) < edge || float64(free.Y) < edge ||
		float64(p.Sheet.Width-free.X-free.Width) < edge || float64(p.Sheet.Height-free.Y-free.Height) < edge {
		return fmt.Errorf("the free room at %g,%g reaches into the margin", free.X, free.Y)
	}
	for _, place := range last {
		if tooNear(p, place, free) {
			return fmt.Errorf("the free room at %g,%g is nearer than the gap to %q", free.X, free.Y, place.Name)
		}
	}
	return nil
}

// checkCuts makes the cuts of a plan one after the other.
func checkCuts(p Problem, plan Plan) error {
	parts := make([][]Rect, plan.Sheets)
	order := make([]int, plan.Sheets)
	for n := range parts {
		parts[n] = []Rect{{Width: p.Sheet.Width, Height: p.Sheet.Height}}
	}
	for i, c := range plan.Cuts {
		if c.Sheet < 1 || c.Sheet > plan.Sheets {
			return fmt.Errorf("cut %d is on sheet %d of %d", i+1, c.Sheet, plan.Sheets)
		}
		n := c.Sheet - 1
		order[n]++
		if c.Order != order[n] {
			return fmt.Errorf("cut %d on sheet %d has number %d, want %d", i+1, c.Sheet, c.Order, order[n])
		}
		cut, err := makeCut(parts[n], c)
		if err != nil {
			return fmt.Errorf("sheet %d, cut %d: %w", c.Sheet, c.Order, err)
		}
		parts[n] = cut
	}
	return checkParts(p, plan, parts)
}

// makeCut replaces the part that a cut crosses from edge to edge.
func makeCut(parts []Rect, c CutLine) ([]Rect, error) {
	near := func(a, b float64) bool { return math.Abs(a-b) <= tolerance }
	for i, r := range parts {
		low, high, from, to := float64(r.X), float64(r.X+r.Width), float64(r.Y), float64(r.Y+r.Height)
		if c.Along == "y" {
			low, high, from, to = from, to, low, high
		}
		if !near(c.From, from) || !near(c.To, to) || c.At < low-tolerance || c.At > high+tolerance {
			continue
		}
		a, b := r, r
		if c.Along == "x" {
			a.Width = unit.Length(c.At) - r.X
			b.X, b.Width = unit.Length(c.At), r.X+r.Width-unit.Length(c.At)
		} else {
			a.Height = unit.Length(c.At) - r.Y
			b.Y, b.Height = unit.Length(c.At), r.Y+r.Height-unit.Length(c.At)
		}
		return append(append(append([]Rect{}, parts[:i]...), parts[i+1:]...), a, b), nil
	}
	return nil, fmt.Errorf("no part reaches from %g to %g at %s = %g", c.From, c.To, c.Along, c.At)
}

// checkParts wants every piece whole on a part of its own.
func checkParts(p Problem, plan Plan, parts [][]Rect) error {
	on := map[[2]int]string{}
	for _, place := range plan.Places {
		n := place.Sheet - 1
		found := false
		for i, r := range parts[n] {
			if float64(place.X-r.X) < -tolerance || float64(r.X+r.Width-place.X-place.Width) < -tolerance ||
				float64(place.Y-r.Y) < -tolerance || float64(r.Y+r.Height-place.Y-place.Height) < -tolerance {
				continue
			}
			if other, taken := on[[2]int{n, i}]; taken {
				return fmt.Errorf("sheet %d: %q and %q are not cut apart", place.Sheet, other, place.Name)
			}
			if p.Bleed > 0 && (r.Width-place.Width > tolerance || r.Height-place.Height > tolerance) {
				return fmt.Errorf("sheet %d: the bleed of %q is not cut off", place.Sheet, place.Name)
			}
			on[[2]int{n, i}], found = place.Name, true
			break
		}
		if !found {
			return fmt.Errorf("sheet %d: a cut goes through %q at %g,%g", place.Sheet, place.Name, place.X, place.Y)
		}
	}
	return nil
}
