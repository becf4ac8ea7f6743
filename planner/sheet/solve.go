package sheet

import (
	"errors"
	"slices"
)

// Solve lays out the pieces.
//
// The goals, each one only where it costs nothing of those before it: fewest
// sheets; the largest free rectangle on the last sheet; pieces of one order
// together; straight rows.
//
// Invariants: every piece lies inside the margins, keeps the gap, and is there
// Count times; Plan.AtLeast <= Plan.Sheets; leave to turn never costs a sheet.
// Ties go to what was found first; the order of search is fixed. It does not
// hold that Plan.Sheets is the fewest possible, unless Plan.Fewest is true, or
// that the free room is the largest possible.
//
// It fails with *TooLargeError for a piece that no sheet holds, *PieceError
// for one that is at fault.
func Solve(p Problem) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, err
	}
	if err := p.tooLarge(); err != nil {
		return Plan{}, err
	}
	if p.Endless && p.Cut == Trimmer {
		return Plan{}, errors.New("an endless sheet is not laid out for a trimmer: cut it free, or give the sheet a height")
	}
	if len(p.Pieces) == 0 {
		return newPlan(p), nil
	}
	t := newTask(p)
	if p.Endless {
		return t.plan(p, layout{t.shortest(p.Effort)}, least{sheets: 1}), nil
	}
	l, atLeast := t.solve(p.Effort)
	// Leave to turn widens the choice but also the search: where the answer
	// without turning might save a sheet, it is looked for too.
	if fixed, ok := p.withoutTurning(); ok && len(l) > atLeast.sheets {
		ft := newTask(fixed)
		if ft.bound().sheets < len(l) {
			if fl, _ := ft.solve(p.Effort); len(fl) < len(l) {
				t, l = ft, fl
			}
		}
	}
	t.tidy(l)
	return t.plan(p, l, atLeast), nil
}

// withoutTurning returns the problem with all pieces as they are; false where
// that changes nothing or one no longer fits.
func (p Problem) withoutTurning() (Problem, bool) {
	p.Pieces = slices.Clone(p.Pieces)
	changed := false
	for i := range p.Pieces {
		changed = changed || p.Pieces[i].Turn
		p.Pieces[i].Turn = false
	}
	return p, changed && p.tooLarge() == nil
}

// DefaultEffort returns the number of search steps Solve takes for a problem
// that names none. One step is one piece tried on one sheet; ten million take
// about a second.
func DefaultEffort(p Problem) int {
	if p.validate() != nil || len(p.Pieces) == 0 {
		return leastSteps
	}
	return newTask(p).defaultSteps()
}

const (
	// The number of ways to mix kinds on a sheet grows faster than their
	// number, so the steps grow with its square: a hundred kinds get ten
	// million, enough to reach the best published totals on sets of that size,
	// and ten, which a shop gangs while someone waits, the least.
	stepsPerKindSquared = 1000

	mostSteps  = 10_000_000
	leastSteps = 200_000 // some 30 ms

	// Beyond manyPieces the steps shrink in proportion, but not below
	// leastSteps: one sheet less matters less among many.
	manyPieces = 100

	// Where there are copies of most kinds, one in valuePart of the steps goes
	// to filling sheets by value.
	valuePart = 2

	// A short search of one in firstPart of the steps comes before the exact
	// one, which gets one in exactPart but not more than mostExactSteps: what
	// it hasn't settled by then it rarely settles. Only then the long search.
	firstPart      = 10
	exactPart      = 4
	mostExactSteps = 100_000
)

func (t task) defaultSteps() int {
	kinds := len(t.kinds)
	steps := min(max(stepsPerKindSquared*kinds*kinds, leastSteps), mostSteps)
	if n := t.count(); n > manyPieces {
		steps = max(leastSteps, steps/n*manyPieces)
	}
	return steps
}

// count is the number of pieces.
func (t task) count() int {
	n := 0
	for _, k := range t.kinds {
		n += k.count
	}
	return n
}

// solve returns the best layout found and the least number of sheets that is
// proven.
func (t task) solve(effort int) (best layout, atLeast least) {
	steps := effort
	if steps == 0 {
		steps = t.defaultSteps()
	}
	atLeast = least{t.boundByArea(), byShares}
	best = t.construct(atLeast.sheets)
	if len(best) > atLeast.sheets {
		atLeast = t.bound() // dearer, so only where it is needed
	}
	if 2*len(t.kinds) <= t.count() {
		best = t.byValue(best, steps/valuePart, atLeast.sheets)
	}
	best = t.improve(best, steps/firstPart, atLeast.sheets)
	best, atLeast = t.prove(best, atLeast, min(steps/exactPart, mostExactSteps))
	if len(best) > atLeast.sheets {
		best = t.improve(best, steps, atLeast.sheets)
	}
	return best, atLeast
}

// prove enumerates as long as it settles the question: it saves a sheet, or
// raises the bound to the sheets there are.
func (t task) prove(best layout, atLeast least, steps int) (layout, least) {
	for len(best) > atLeast.sheets {
		l, proven := t.exactly(len(best)-1, steps)
		switch {
		case !proven:
			return best, atLeast
		case l == nil:
			return best, least{len(best), byTrying}
		case t.trimmer:
			return best, atLeast // a layout, but perhaps none for a trimmer
		}
		best = t.lastByRoom(l)
	}
	return best, atLeast
}
