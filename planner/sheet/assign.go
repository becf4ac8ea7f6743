package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"presshand/planner"
	"presshand/planner/unit"
)

func newPlan(p Problem) Plan {
	return Plan{Sheet: p.Sheet, Cut: p.Cut, Endless: p.Endless, Fewest: true}
}

// plan puts a layout into the words of the problem.
func (t task) plan(p Problem, l layout, atLeast least) Plan {
	plan := newPlan(p)
	plan.Sheets, plan.AtLeast, plan.Fewest = len(l), atLeast.sheets, len(l) == atLeast.sheets
	pieces := t.assign(p, l)
	for n, spots := range l {
		from := len(plan.Places)
		for i, s := range spots {
			plan.Places = append(plan.Places, t.place(p, n, s, pieces[n][i]))
		}
		slices.SortFunc(plan.Places[from:], func(a, b Place) int {
			return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X))
		})
	}
	if t.trimmer {
		plan.Cuts = t.cuts(p, l)
	}
	if p.Endless {
		plan.Length = t.lengthOf(p, l[0])
	}
	plan.Used = used(p, plan)
	if !p.Endless {
		plan.Free = t.freeRect(p, l[len(l)-1])
	}
	plan.Steps = t.workings(p, plan, atLeast.by)
	return plan
}

func (t task) place(p Problem, sheet int, s spot, index int) Place {
	piece := p.Pieces[index]
	w, h := piece.Width, piece.Height
	turned := s.w != t.widths[index]
	if turned {
		w, h = h, w
	}
	return Place{
		Sheet: sheet + 1, Name: piece.Name, Piece: index, Turned: turned,
		X: t.grid.place(s.x), Y: t.grid.place(s.y), Width: w, Height: h,
	}
}

// assign says which piece lies on each spot. Pieces of one kind may change
// places freely, so they are dealt out order by order, and then exchanged
// where that leaves an order on fewer sheets.
func (t task) assign(p Problem, l layout) [][]int {
	byKind := make([][]int, len(t.kinds)) // indices of pieces, once a copy
	index := make([]int, len(p.Pieces))
	for i := range index {
		index[i] = i
	}
	slices.SortStableFunc(index, func(a, b int) int { return cmp.Compare(p.Pieces[a].Order, p.Pieces[b].Order) })
	for _, i := range index {
		for range p.Pieces[i].Count {
			byKind[t.kindOf[i]] = append(byKind[t.kindOf[i]], i)
		}
	}
	pieces := make([][]int, len(l))
	for n, spots := range l {
		pieces[n] = make([]int, len(spots))
		for i, s := range spots {
			pieces[n][i] = byKind[s.piece][0]
			byKind[s.piece] = byKind[s.piece][1:]
		}
	}
	t.gather(p, pieces)
	return pieces
}

// mostGathered pieces are looked at for exchanges; all pairs are compared.
const mostGathered = 600

// gather exchanges pieces of one kind between sheets as long as an exchange
// lowers the number of sheets that orders are spread over, summed over the
// orders.
func (t task) gather(p Problem, pieces [][]int) {
	type seat struct{ sheet, index int }
	var seats []seat
	on := map[string][]int{} // pieces of each order by sheet
	for n, row := range pieces {
		for i, piece := range row {
			order := p.Pieces[piece].Order
			if on[order] == nil {
				on[order] = make([]int, len(pieces))
			}
			on[order][n]++
			seats = append(seats, seat{n, i})
		}
	}
	if len(on) < 2 || len(seats) > mostGathered {
		return
	}
	for changed := true; changed; {
		changed = false
		for i, a := range seats {
			for _, b := range seats[:i] {
				pa, pb := &pieces[a.sheet][a.index], &pieces[b.sheet][b.index]
				oa, ob := on[p.Pieces[*pa].Order], on[p.Pieces[*pb].Order]
				if a.sheet == b.sheet || t.kindOf[*pa] != t.kindOf[*pb] || p.Pieces[*pa].Order == p.Pieces[*pb].Order {
					continue
				}
				if spread := moves(oa, a.sheet, b.sheet) + moves(ob, b.sheet, a.sheet); spread < 0 {
					oa[a.sheet]--
					oa[b.sheet]++
					ob[b.sheet]--
					ob[a.sheet]++
					*pa, *pb = *pb, *pa
					changed = true
				}
			}
		}
	}
}

// moves is the change in the number of sheets of an order when one of its
// pieces goes from one sheet to another.
func moves(on []int, from, to int) int {
	change := 0
	if on[from] == 1 {
		change--
	}
	if on[to] == 0 {
		change++
	}
	return change
}

// lengthOf is the length of an endless sheet that holds the spots, with both
// margins.
func (t task) lengthOf(p Problem, spots []spot) unit.Length {
	far := 0
	for _, s := range spots {
		far = max(far, s.y+s.h)
	}
	return lengthOf(far*t.grid.step-nanometres(p.Sheet.Gap)) + 2*p.Sheet.Margin
}

// shortestLength is a length that no layout goes below, with both margins.
func (t task) shortestLength(p Problem) unit.Length {
	return lengthOf(t.leastLength()*t.grid.step-nanometres(p.Sheet.Gap)) + 2*p.Sheet.Margin
}

// used is the area of the pieces as a share of the sheets' whole area.
func used(p Problem, plan Plan) float64 {
	height := p.Sheet.Height
	if p.Endless {
		height = plan.Length
	}
	var sum float64
	for _, piece := range p.Pieces {
		sum += float64(float64(piece.Width) * float64(piece.Height) * float64(piece.Count))
	}
	return sum / (float64(p.Sheet.Width) * float64(height) * float64(plan.Sheets))
}

// freeRect returns the largest rectangle that another piece could take on a
// sheet, gap and bleed taken off.
func (t task) freeRect(p Problem, spots []spot) Rect {
	r := t.replay(spots).room()
	off := nanometres(p.Sheet.Gap) + 2*nanometres(p.Bleed)
	w, h := r.w*t.grid.step-off, r.h*t.grid.step-off
	if w <= 0 || h <= 0 {
		return Rect{}
	}
	return Rect{X: t.grid.place(r.x), Y: t.grid.place(r.y), Width: lengthOf(w), Height: lengthOf(h)}
}

// workings shows how the number of sheets came about.
func (t task) workings(p Problem, plan Plan, by proof) []planner.Step {
	number := func(name string, n int) planner.Input {
		return planner.Input{Name: name, Value: strconv.Itoa(n)}
	}
	if p.Endless {
		return []planner.Step{{
			Name: "length", Formula: "shortest strip found, against the area of the pieces / width", Result: mm(plan.Length),
			Inputs: []planner.Input{number("pieces", t.count()), {Name: "width", Value: mm(p.Sheet.Width)}, {Name: "at least", Value: mm(t.shortestLength(p))}},
		}}
	}
	verdict := "perhaps not the fewest"
	if plan.Fewest {
		verdict = "the fewest possible"
	}
	bound := planner.Step{
		Name:   "sheets at least",
		Result: strconv.Itoa(plan.AtLeast),
		Inputs: []planner.Input{
			number("pieces", t.count()),
			{Name: "printable area of a sheet", Value: size(p.Sheet.Width-2*p.Sheet.Margin, p.Sheet.Height-2*p.Sheet.Margin)},
			{Name: "gap", Value: mm(p.Sheet.Gap)},
		},
	}
	bound.Formula, bound.Source = by.words()
	return []planner.Step{
		bound,
		{
			Name: "sheets", Formula: "best layout found, against the least number", Result: fmt.Sprintf("%d, %s", plan.Sheets, verdict),
			Inputs: []planner.Input{number("best layout found", plan.Sheets), number("sheets at least", plan.AtLeast)},
		},
		{
			Name: "used", Formula: "area of the pieces / (sheets x area of a sheet)", Result: strconv.FormatFloat(100*plan.Used, 'f', 1, 64) + " %",
			Inputs: []planner.Input{number("sheets", plan.Sheets), {Name: "sheet", Value: size(p.Sheet.Width, p.Sheet.Height)}},
		},
	}
}

// words says how a bound was proven and after whom.
func (by proof) words() (formula, source string) {
	switch by {
	case byCopies:
		return "copies of one design / the most of it that one sheet holds, rounded up",
			"F. W. Barnes, Packing the maximum number of m x n tiles in a large p x q rectangle, 1979"
	case byTrying:
		return "all ways to lay the pieces on one sheet less were tried, and none holds them",
			"S. Martello, D. Vigo, Exact solution of the two-dimensional finite bin packing problem, 1998"
	default:
		return "largest sum of the pieces' shares of a sheet, by area or dual feasible functions, rounded up",
			"S. P. Fekete, J. Schepers, New classes of fast lower bounds for bin packing problems, 2001; J. Carlier, F. Clautiaux, A. Moukrim, 2007"
	}
}
