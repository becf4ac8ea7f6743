package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"presshand/planner"
)

// DefaultEffort is the number of search steps where a Problem names none.
const DefaultEffort = 20_000

// Solve lays out the pieces.
//
// The goals, each one only where it costs nothing of those before it: fewest
// sheets; the largest free rectangle on the last sheet; pieces of one order
// together; straight rows.
//
// Invariants: every piece lies inside the margins, keeps the gap, and is there
// Count times; Plan.AtLeast <= Plan.Sheets. It fails with *TooLargeError for
// a piece that no sheet holds, *PieceError for a faulty one.
func Solve(p Problem) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	if err := p.tooLarge(); err != nil {
		return Plan{}, err
	}
	if p.Cut == Trimmer || p.Endless {
		return Plan{}, errors.New("cutting by trimmer and endless sheets are not laid out yet")
	}
	effort := p.Effort
	if effort == 0 {
		effort = DefaultEffort
	}
	t := newTask(p)
	var l layout
	atLeast := 0
	if len(t.kinds) > 0 {
		l = t.search(effort)
		atLeast = Bound(p)
	}
	return t.plan(p, l, atLeast), nil
}

// plan puts a layout into the words of the problem.
func (t task) plan(p Problem, l layout, atLeast int) Plan {
	plan := Plan{Sheet: p.Sheet, Sheets: len(l), AtLeast: atLeast, Fewest: len(l) == atLeast, Cut: p.Cut, Endless: p.Endless}
	left := make([]int, len(p.Pieces))
	for i, piece := range p.Pieces {
		left[i] = piece.Count
	}
	for n, spots := range l {
		from := len(plan.Places)
		for _, s := range spots {
			i := 0
			for left[i] == 0 || t.kindOf[i] != s.kind {
				i++
			}
			left[i]--
			piece := p.Pieces[i]
			turned := s.w != t.grid.units(nanometres(piece.Width)+2*nanometres(p.Bleed)+nanometres(p.Sheet.Gap))
			w, h := piece.Width, piece.Height
			if turned {
				w, h = h, w
			}
			plan.Places = append(plan.Places, Place{
				Sheet: n + 1, Name: piece.Name, Piece: i, Turned: turned,
				X: t.grid.place(s.x), Y: t.grid.place(s.y), Width: w, Height: h,
			})
		}
		slices.SortFunc(plan.Places[from:], func(a, b Place) int {
			return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
		})
	}
	var pieces float64
	for _, piece := range p.Pieces {
		pieces += float64(piece.Width) * float64(piece.Height) * float64(piece.Count)
	}
	if plan.Sheets > 0 {
		plan.Used = pieces / (float64(p.Sheet.Width) * float64(p.Sheet.Height) * float64(plan.Sheets))
	}
	plan.Steps = []planner.Step{{
		Name:    "sheets at least",
		Formula: "area of the pieces with their gaps / printable area of a sheet, rounded up",
		Result:  fmt.Sprint(plan.AtLeast),
		Inputs:  []planner.Input{{Name: "share of the sheets used", Value: strconv.FormatFloat(100*plan.Used, 'f', 1, 64) + " %"}},
	}}
	return plan
}
