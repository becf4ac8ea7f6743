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
// A further piece never lowers the bound as long as the pieces have at most
// maxFunctions sizes.
func Bound(p Problem) int {
	if p.validate() != nil || p.tooLarge() != nil || len(p.Pieces) == 0 {
		return 0
	}
	return newTask(p).bound()
}

// maxFunctions bounds the functions tried along one axis. All pairs of them
// are tried on all kinds, so that this keeps the bound below a second for any
// problem; the 500 published instances need up to 240.
const maxFunctions = 256

// slack is what the sum of rounded terms may be too large, as a share: far
// more than the error of 100,000 additions in double precision, and far less
// than one piece.
const slack = 1e-9

func (t task) bound() int {
	if len(t.kinds) == 0 {
		return 0
	}
	if t.height == endless {
		return 1
	}
	across, down := t.functions()
	square := t.width == t.height
	best := 1
	sides := t.sidesOf(across, down)
	for i := range across {
		for j := range down {
			if square && j < i && !t.anyFixed() {
				continue // the pair was tried the other way round
			}
			share := t.shares(sides, i, j, square)
			best = max(best, int(math.Ceil(share*(1-slack))))
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
	return duals(t.width, xs), duals(t.height, ys)
}

func duals(side int, sides []int) []dual {
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
	return ds[:min(len(ds), maxFunctions)]
}

// maxParts is the finest division f2 tries beside the sides of pieces.
const maxParts = 40

// sides holds f(w) and g(h) of every kind, and of turned kinds f(h) and g(w).
type sides struct {
	across, down             [][]float64 // by function, then kind
	acrossTurned, downTurned [][]float64
}

func (t task) sidesOf(across, down []dual) sides {
	values := func(ds []dual, side func(kind) int) [][]float64 {
		all := make([][]float64, len(ds))
		for i, d := range ds {
			all[i] = make([]float64, len(t.kinds))
			for j, k := range t.kinds {
				all[i][j] = d.at(side(k))
			}
		}
		return all
	}
	width, height := func(k kind) int { return k.w }, func(k kind) int { return k.h }
	return sides{
		across: values(across, width), down: values(down, height),
		acrossTurned: values(across, height), downTurned: values(down, width),
	}
}

func (t task) anyFixed() bool {
	return slices.ContainsFunc(t.kinds, func(k kind) bool { return !k.turn && k.w != k.h })
}

// shares returns the pieces' part in sheets under functions i and j.
func (t task) shares(s sides, i, j int, square bool) float64 {
	var sum float64
	for n, k := range t.kinds {
		level := float64(s.across[i][n] * s.down[j][n])
		if k.turn {
			turned := float64(s.acrossTurned[i][n] * s.downTurned[j][n])
			level = t.turning(k, level, turned, square)
		}
		sum += float64(level * float64(k.count))
	}
	return sum
}

// turning returns the term of a piece that may turn.
func (t task) turning(k kind, level, turned float64, square bool) float64 {
	switch {
	case square && !t.anyFixed():
		return (level + turned) / 2
	case k.w > t.width || k.h > t.height:
		return turned
	case k.h > t.width || k.w > t.height:
		return level
	}
	return min(level, turned)
}
