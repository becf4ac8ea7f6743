package sheet

import (
	"math"
	"slices"
)

// Bound returns a number of sheets that no layout of the problem goes below;
// 0 where the problem has no pieces or is at fault, 1 for an endless sheet.
//
// It is the largest value of
//
//	ceil( sum_i f(w_i) g(h_i) / (f(W) g(H)) )
//
// over pairs of dual feasible functions f, g: functions with
// sum f(x_j) <= f(C) wherever sum x_j <= C. S. P. Fekete, J. Schepers, "New
// classes of fast lower bounds for bin packing problems", Mathematical
// Programming 91(1), 2001, and "A general framework for bounds for
// higher-dimensional orthogonal packing problems", Mathematical Methods of
// Operations Research 60(2), 2004, prove that such a pair is valid for sheets.
// The functions are f0 and f2 of J. Carlier, F. Clautiaux, A. Moukrim, "New
// reduction procedures and lower bounds for the two-dimensional bin packing
// problem with fixed orientation", Computers & Operations Research 34(8),
// 2007, who show that they hold the bounds of S. Martello, D. Vigo, "Exact
// solution of the two-dimensional finite bin packing problem", Management
// Science 44(3), 1998, and those of Fekete and Schepers. With f and g the
// identity it is the bound by area.
//
// Where a piece may turn, its term is the least over its positions (M. A.
// Boschetti, A. Mingozzi, "The two-dimensional finite bin packing problem,
// part II", 4OR 1(2), 2003). On a square sheet the mean of both positions is
// valid too, and larger: f(w)g(h) + g(w)f(h) doesn't change when a piece
// turns, and adds up to at most 2 f(W) g(W) on a sheet (F. Clautiaux, A.
// Jouglet, J. El Hayek, "A new lower bound for the non-oriented
// two-dimensional bin-packing problem", Operations Research Letters 35(3),
// 2007; see also M. Dell'Amico, S. Martello, D. Vigo, "A lower bound for the
// non-oriented two-dimensional bin packing problem", Discrete Applied
// Mathematics 118(1-2), 2002).
//
// Copies of one kind are also bounded by how many a sheet holds at most.
//
// A further piece never lowers the bound as long as the pieces have at most a
// hundred different sides; beyond, not all functions are tried.
func Bound(p Problem) int {
	if p.validate() != nil || p.tooLarge() != nil || len(p.Pieces) == 0 {
		return 0
	}
	return newTask(p).bound().sheets
}

// least is a proven lower bound and how it was proven.
type least struct {
	sheets int
	by     proof
}

type proof int

const (
	byShares proof = iota // sums of the pieces' shares of a sheet
	byCopies              // one kind against the most a sheet holds
	byTrying              // all ways tried
)

// All pairs of the functions along both axes are tried on all kinds. These
// limits keep that to a fraction of a second for any problem; the 500
// published instances need up to 240 functions, and up to 300 kinds get them.
const (
	maxFunctions = 256
	minFunctions = 48
	maxTerms     = 20_000_000 // pairs x kinds
)

// slack is what the sum of rounded terms may be too large, as a share: far
// more than the error of 100,000 additions in double precision, and far less
// than one piece.
const slack = 1e-9

func (t task) bound() least {
	if len(t.kinds) == 0 || t.height == endless {
		return least{sheets: min(len(t.kinds), 1)}
	}
	best := least{max(1, int(math.Ceil(t.largestShare()*(1-slack)))), byShares}
	for _, k := range t.kinds {
		most := t.perSheetAtMost(k)
		if sheets := (k.count + most - 1) / most; sheets > best.sheets {
			best = least{sheets, byCopies}
		}
	}
	return best
}

// boundByArea is the bound with both functions the identity.
func (t task) boundByArea() int {
	sum := 0.0
	for _, k := range t.kinds {
		sum += float64(float64(k.area()) * float64(k.count))
	}
	return max(1, int(math.Ceil(sum/(float64(t.width)*float64(t.height))*(1-slack))))
}

// largestShare is the largest part in sheets that the pieces take under any
// pair of functions.
func (t task) largestShare() float64 {
	across, down := t.functions()
	terms := t.terms(across, down)
	symmetric := t.width == t.height && len(terms.fixed.across[0]) == 0
	best := 0.0
	for i := range across {
		for j := range down {
			if symmetric && j < i {
				continue // the pair was tried the other way round
			}
			best = max(best, terms.share(i, j, symmetric))
		}
	}
	return best
}

// A dual is one dual feasible function for the sides of a sheet. It comes
// divided by its value at a full side, so that this is 1. It counts in halves
// of a grid unit: on a coarse grid, k may have to lie between two units.
type dual struct {
	c, k int  // c is the side of the sheet; 0 <= k <= c/2
	step bool // f2 instead of f0
}

// at returns f(2 side) / f(c).
//
//	f0:  x > c-k: c;  k <= x <= c-k: x;  x < k: 0;  f0(c) = c
//	f2:  2x > c: 2 (floor(c/k) - floor((c-x)/k));  2x = c: floor(c/k);
//	     2x < c: 2 floor(x/k);  f2(c) = 2 floor(c/k)
func (d dual) at(side int) float64 {
	x := 2 * side
	if !d.step {
		switch {
		case x > d.c-d.k:
			return 1
		case x < d.k:
			return 0
		}
		return float64(x) / float64(d.c)
	}
	whole := d.c / d.k
	switch {
	case 2*x > d.c:
		return float64(whole-(d.c-x)/d.k) / float64(whole)
	case 2*x == d.c:
		return 0.5
	}
	return float64(x/d.k) / float64(whole)
}

// functions returns the functions to try along each axis: f0 for every side
// of a piece that is at most half the sheet (and what a longer one leaves),
// f2 for those and for the largest k of each floor(c/k).
func (t task) functions() (across, down []dual) {
	var xs, ys []int
	for _, k := range t.kinds {
		xs, ys = append(xs, k.w), append(ys, k.h)
		if k.turn {
			xs, ys = append(xs, k.h), append(ys, k.w)
		}
	}
	most := min(max(int(math.Sqrt(float64(maxTerms/len(t.kinds)))), minFunctions), maxFunctions)
	return duals(t.width, xs, most), duals(t.height, ys, most)
}

func duals(side int, sides []int, most int) []dual {
	c := 2 * side
	var ks []int
	for _, x := range sides {
		x *= 2
		if 2*x > c {
			x = c - x + 1 // the least k that makes x count whole
		}
		ks = append(ks, x)
	}
	slices.Sort(ks)
	ks = slices.Compact(ks)
	ds := []dual{{c: c}} // the identity
	for parts := 2; parts <= maxParts && parts <= c; parts++ {
		ds = append(ds, dual{c: c, k: c / parts, step: true})
	}
	for _, k := range ks {
		if k >= 1 && 2*k <= c {
			ds = append(ds, dual{c: c, k: k}, dual{c: c, k: k, step: true})
		}
	}
	return undominated(ds[:min(len(ds), most)], sides)
}

// undominated drops the functions that are nowhere above another one: they
// never give the largest sum. Of equal ones the first stays.
func undominated(ds []dual, sides []int) []dual {
	slices.Sort(sides)
	sides = slices.Compact(sides)
	rows := make([][]float64, len(ds))
	for i, d := range ds {
		for _, x := range sides {
			rows[i] = append(rows[i], d.at(x))
		}
	}
	var kept []dual
	for i, d := range ds {
		dominated := false
		for j := range ds {
			if i != j && atLeastAs(rows[j], rows[i]) && (j < i || !atLeastAs(rows[i], rows[j])) {
				dominated = true
				break
			}
		}
		if !dominated {
			kept = append(kept, d)
		}
	}
	return kept
}

// atLeastAs reports whether a is nowhere below b.
func atLeastAs(a, b []float64) bool {
	for i := range a {
		if a[i] < b[i] {
			return false
		}
	}
	return true
}

// maxParts is the finest division f2 tries beside the sides of pieces.
const maxParts = 40

// terms holds the values of the functions by function, then kind: of kinds
// that have one position, and of those that may lie both ways. Those of down
// are multiplied by the number of pieces.
type terms struct {
	fixed, level, turned values
}

type values struct {
	across, down [][]float64
}

func (t task) terms(across, down []dual) terms {
	v := func(of func(kind) (w, h int, ok bool)) values {
		var vs values
		for _, d := range across {
			row := []float64{}
			for _, k := range t.kinds {
				if w, _, ok := of(k); ok {
					row = append(row, d.at(w))
				}
			}
			vs.across = append(vs.across, row)
		}
		for _, d := range down {
			row := []float64{}
			for _, k := range t.kinds {
				if _, h, ok := of(k); ok {
					row = append(row, float64(d.at(h)*float64(k.count)))
				}
			}
			vs.down = append(vs.down, row)
		}
		return vs
	}
	return terms{
		fixed: v(func(k kind) (w, h int, ok bool) {
			switch {
			case t.bothWays(k):
				return 0, 0, false
			case k.w > t.width || k.h > t.height:
				return k.h, k.w, true
			}
			return k.w, k.h, true
		}),
		level:  v(func(k kind) (w, h int, ok bool) { return k.w, k.h, t.bothWays(k) }),
		turned: v(func(k kind) (w, h int, ok bool) { return k.h, k.w, t.bothWays(k) }),
	}
}

func (t task) bothWays(k kind) bool {
	return k.w == k.h || k.turn && max(k.w, k.h) <= min(t.width, t.height)
}

// share returns the pieces' part in sheets under functions i and j.
func (t terms) share(i, j int, symmetric bool) float64 {
	var sum float64
	down := t.fixed.down[j]
	for n, f := range t.fixed.across[i] {
		sum += float64(f * down[n])
	}
	down, turnedAcross, turnedDown := t.level.down[j], t.turned.across[i], t.turned.down[j]
	for n, f := range t.level.across[i] {
		level, turned := float64(f*down[n]), float64(turnedAcross[n]*turnedDown[n])
		if symmetric {
			sum += float64(level+turned) / 2
		} else {
			sum += min(level, turned)
		}
	}
	return sum
}
