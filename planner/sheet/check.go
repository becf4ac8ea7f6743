package sheet

import (
	"fmt"
	"math"
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
