package sheet

import "slices"

// Copies of one piece on one sheet are the pallet loading problem: boxes of
// one size on a pallet.
//
// Pieces can be pushed to coordinates that are sums of their sides, so that
// only rectangles of such sides matter. Each is divided in two by an
// edge-to-edge cut, or into five like a pinwheel, as its parts hold most: the
// recursive five-block heuristic of R. Morabito, S. Morales, "A simple and
// effective recursive procedure for the manufacturer's pallet loading
// problem", J. Operational Research Society 49(8), 1998. It can miss the best
// layout; atMost tells where it has not.
type pallet struct {
	kind         kind
	trimmer      bool
	xs, ys       []int   // sums of sides, from 0 to those of the sheet
	xLess, yLess [][]int // [i][j]: index of the largest sum up to xs[i]-xs[j]
	loads        [][]load
	pinwheels    int // that may still be tried
}

// A load is how many pieces a rectangle holds and how it is divided. The
// dividing coordinates are indices into the sums.
type load struct {
	n      int
	how    dividing
	x1, x2 int
	y1, y2 int
}

type dividing int

const (
	empty    dividing = iota
	single            // one piece as it is
	turned            // one piece turned
	beside            // two parts, divided at x1
	below             // two parts, divided at y1
	pinwheel          // four parts round a fifth, divided at x1 < x2 and y1 < y2
)

const (
	// maxSums bounds the coordinates along one side; with more, pieces are so
	// small that filling row by row loses little.
	maxSums = 160

	// maxPinwheels bounds the time, at a few nanoseconds each.
	maxPinwheels = 5_000_000
)

// pallet returns the loads for one kind; false where there are too many
// coordinates to look at.
func (t task) pallet(k kind) (*pallet, bool) {
	p := &pallet{kind: k, trimmer: t.trimmer, pinwheels: maxPinwheels}
	xSides, ySides := []int{k.w}, []int{k.h}
	if k.turn {
		xSides, ySides = []int{k.w, k.h}, []int{k.h, k.w}
	}
	var ok bool
	if p.xs, ok = sums(t.width, xSides); !ok {
		return nil, false
	}
	if p.ys, ok = sums(t.height, ySides); !ok {
		return nil, false
	}
	p.xLess, p.yLess = differences(p.xs), differences(p.ys)
	p.loads = make([][]load, len(p.xs))
	for i := range p.xs {
		p.loads[i] = make([]load, len(p.ys))
		for j := range p.ys {
			p.loads[i][j] = p.load(i, j)
		}
	}
	return p, true
}

// sums returns all sums of copies of one or two sides up to the limit, in
// rising order; false where there are more than maxSums.
func sums(limit int, sides []int) (all []int, ok bool) {
	a, b := sides[0], sides[len(sides)-1]
	if b == a {
		b = limit + 1
	}
	for x := 0; x <= limit; x += a {
		for y := x; y <= limit; y += b {
			all = append(all, y)
			if len(all) > 2*maxSums { // before equal ones are dropped
				return nil, false
			}
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	return all, len(all) <= maxSums
}

func differences(sums []int) [][]int {
	d := make([][]int, len(sums))
	for i := range sums {
		d[i] = make([]int, i+1)
		k := 0
		for j := i; j >= 0; j-- {
			for k+1 < len(sums) && sums[k+1] <= sums[i]-sums[j] {
				k++
			}
			d[i][j] = k
		}
	}
	return d
}

// load finds the best way to divide a rectangle whose parts are known.
func (p *pallet) load(i, j int) load {
	var best load
	w, h := p.xs[i], p.ys[j]
	switch {
	case p.kind.w <= w && p.kind.h <= h:
		best = load{n: 1, how: single}
	case p.kind.turn && p.kind.h <= w && p.kind.w <= h:
		best = load{n: 1, how: turned}
	default:
		return best
	}
	most := p.kind.atMost(w, h)
	for x := 1; x < i && 2*p.xs[x] <= w && best.n < most; x++ {
		if n := p.loads[x][j].n + p.loads[p.xLess[i][x]][j].n; n > best.n {
			best = load{n: n, how: beside, x1: x}
		}
	}
	for y := 1; y < j && 2*p.ys[y] <= h && best.n < most; y++ {
		if n := p.loads[i][y].n + p.loads[i][p.yLess[j][y]].n; n > best.n {
			best = load{n: n, how: below, y1: y}
		}
	}
	if !p.trimmer && p.kind.turn {
		best = p.tryPinwheels(i, j, most, best)
	}
	return best
}

// tryPinwheels improves a load by dividing into five: x1 wide and y2 high at
// the top left, y1 high at the top right, x2 wide at the bottom left, the rest
// of the right side, and what is left in the middle.
func (p *pallet) tryPinwheels(i, j, most int, best load) load {
	for x1 := 1; x1 < i; x1++ {
		for x2 := x1 + 1; x2 < i; x2++ {
			for y1 := 1; y1 < j; y1++ {
				for y2 := y1 + 1; y2 < j; y2++ {
					if best.n >= most || p.pinwheels == 0 {
						return best
					}
					p.pinwheels--
					n := p.loads[x1][y2].n + p.loads[p.xLess[i][x1]][y1].n +
						p.loads[p.xLess[x2][x1]][p.yLess[y2][y1]].n +
						p.loads[x2][p.yLess[j][y2]].n + p.loads[p.xLess[i][x2]][p.yLess[j][y1]].n
					if n > best.n {
						best = load{n: n, how: pinwheel, x1: x1, x2: x2, y1: y1, y2: y2}
					}
				}
			}
		}
	}
	return best
}

// spots lays the pieces of the whole sheet.
func (p *pallet) spots(piece int) []spot {
	return p.lay(len(p.xs)-1, len(p.ys)-1, 0, 0, piece, nil)
}

func (p *pallet) lay(i, j, x, y, piece int, spots []spot) []spot {
	l := p.loads[i][j]
	switch l.how {
	case single:
		spots = append(spots, spot{rect{x, y, p.kind.w, p.kind.h}, piece})
	case turned:
		spots = append(spots, spot{rect{x, y, p.kind.h, p.kind.w}, piece})
	case beside:
		spots = p.lay(l.x1, j, x, y, piece, spots)
		spots = p.lay(p.xLess[i][l.x1], j, x+p.xs[l.x1], y, piece, spots)
	case below:
		spots = p.lay(i, l.y1, x, y, piece, spots)
		spots = p.lay(i, p.yLess[j][l.y1], x, y+p.ys[l.y1], piece, spots)
	case pinwheel:
		x1, x2, y1, y2 := p.xs[l.x1], p.xs[l.x2], p.ys[l.y1], p.ys[l.y2]
		spots = p.lay(l.x1, l.y2, x, y, piece, spots)
		spots = p.lay(p.xLess[i][l.x1], l.y1, x+x1, y, piece, spots)
		spots = p.lay(p.xLess[l.x2][l.x1], p.yLess[l.y2][l.y1], x+x1, y+y1, piece, spots)
		spots = p.lay(l.x2, p.yLess[j][l.y2], x, y+y2, piece, spots)
		spots = p.lay(p.xLess[i][l.x2], p.yLess[j][l.y1], x+x2, y+y1, piece, spots)
	}
	return spots
}

// atMost is a number of copies that a rectangle can't exceed. One that may not
// turn stands in rows and columns, which is exact. Else it is the least of the
// bound by area and that of F. W. Barnes, "Packing the maximum number of m x n
// tiles in a large p x q rectangle", Discrete Mathematics 26(2), 1979: cut
// along its side of length s, each piece is a bundle of strips s long and one
// unit wide, and strips leave at least min(r q, (s-r)(s-q)) of a rectangle
// free whose sides leave the remainders r and q when divided by s.
func (k kind) atMost(w, h int) int {
	if !k.turn {
		return (w / k.w) * (h / k.h)
	}
	waste := 0
	for _, s := range []int{k.w, k.h} {
		if w >= s && h >= s {
			r, q := w%s, h%s
			waste = max(waste, min(r*q, (s-r)*(s-q)))
		}
	}
	return (w*h - waste) / k.area()
}

// perSheetAtMost is a number of copies of a kind that a sheet of the task
// can't exceed: of the whole sheet, or of the part that sums of the sides
// reach, whose bound can be lower.
func (t task) perSheetAtMost(k kind) int {
	if t.height == endless {
		return k.count
	}
	most := k.atMost(t.width, t.height)
	xSides, ySides := []int{k.w}, []int{k.h}
	if k.turn {
		xSides, ySides = []int{k.w, k.h}, []int{k.h, k.w}
	}
	xs, ok := sums(t.width, xSides)
	if !ok {
		return most
	}
	ys, ok := sums(t.height, ySides)
	if !ok {
		return most
	}
	most = min(most, k.atMost(xs[len(xs)-1], ys[len(ys)-1]))
	reached := task{width: xs[len(xs)-1], height: ys[len(ys)-1], kinds: []kind{{w: k.w, h: k.h, turn: k.turn, count: 1}}}
	return min(most, reached.dualAtMost())
}

// dualAtMost is the largest number of copies of the task's one kind that dual
// feasible functions allow on one sheet. Their sums grow in proportion, so
// that it follows from the largest share of one copy.
func (t task) dualAtMost() int {
	return int((1 + slack) / t.largestShare())
}

// perSheet returns the most copies of a kind it finds for one sheet.
func (t task) perSheet(k int) []spot {
	p := t.newPage()
	best := 0
	var spots []spot
	for r := range ruleCount {
		p.clear()
		p.rule = r
		if n := p.fill(t.item(k), k, MaxPieces); n > best {
			best, spots = n, slices.Clone(p.spots)
		}
	}
	kind := t.kinds[k]
	if best == t.perSheetAtMost(kind) {
		return spots
	}
	if pl, ok := t.pallet(kind); ok {
		if laid := pl.spots(k); len(laid) > best {
			return laid
		}
	}
	return spots
}
