package sheet

import (
	"cmp"
	"slices"
)

// The free room on the last sheet is the second goal: another order's pieces
// can join it before it is printed.

// replay returns the page that a sheet's spots make, laid in their order.
func (t task) replay(spots []spot) *page {
	p := t.newPage()
	for _, s := range spots {
		p.put(s)
	}
	return p
}

func (t task) roomOf(spots []spot) int {
	r := t.replay(spots).room()
	return r.w * r.h
}

// lastByRoom puts the sheet with the largest free rectangle last, once its
// pieces are moved together; of equal sheets the one that was last.
func (t task) lastByRoom(l layout) layout {
	if len(l) == 0 {
		return l
	}
	best, room := len(l)-1, -1
	for i := len(l) - 1; i >= 0; i-- {
		if r := t.roomOf(l[i]); r > room {
			best, room = i, r
		}
	}
	last := l[best]
	l = append(slices.Delete(slices.Clone(l), best, best+1), last)
	if squeezed := t.squeeze(kindsOf(last)); squeezed != nil && t.better(squeezed, last) {
		l[len(l)-1] = squeezed
	}
	return l
}

func kindsOf(spots []spot) []int {
	kinds := make([]int, len(spots))
	for i, s := range spots {
		kinds[i] = s.piece
	}
	return kinds
}

// roomier returns the layout with the larger room on its last sheet, a where
// both are alike or b is nil.
func (t task) roomier(a, b layout) layout {
	if b != nil && len(b) <= len(a) && t.roomOf(b[len(b)-1]) > t.roomOf(a[len(a)-1]) {
		return b
	}
	return a
}

// better reports whether a leaves more room than b, or as much in straighter
// rows.
func (t task) better(a, b []spot) bool {
	return cmp.Or(cmp.Compare(t.roomOf(a), t.roomOf(b)), cmp.Compare(edges(b), edges(a))) > 0
}

// edges counts the different lines that the pieces' edges lie on: the fewer,
// the straighter the rows and the fewer the cuts.
func edges(spots []spot) int {
	var xs, ys []int
	for _, s := range spots {
		xs, ys = append(xs, s.x, s.x+s.w), append(ys, s.y, s.y+s.h)
	}
	slices.Sort(xs)
	slices.Sort(ys)
	return len(slices.Compact(xs)) + len(slices.Compact(ys))
}

const (
	// squeezeTries random orders are tried beside the sorted ones to move the
	// last sheet's pieces together; more hardly gained room on mixed orders.
	squeezeTries = 200

	// packedPieces bounds the pieces laid in doing so, for a sheet of very
	// many small ones.
	packedPieces = 100_000
)

// squeeze packs pieces on one sheet so that the largest free rectangle is as
// large as it finds; nil where they don't fit.
func (t task) squeeze(kinds []int) []spot {
	var best []spot
	var bestRoom, bestEdges int
	t.packings(kinds, squeezeTries, func(p *page) {
		r := p.room()
		room, lines := r.w*r.h, edges(p.spots)
		if best == nil || room > bestRoom || room == bestRoom && lines < bestEdges {
			best, bestRoom, bestEdges = slices.Clone(p.spots), room, lines
		}
	})
	return best
}

// packings calls use for every packing of the pieces on one sheet that the
// measures and rules give, and for as many random orders as told.
func (t task) packings(kinds []int, tries int, use func(*page)) {
	p := t.newPage()
	left := packedPieces
	try := func(order []int, r rule) {
		if left < len(order) {
			return
		}
		left -= len(order)
		p.clear()
		p.rule = r
		for _, k := range order {
			it := t.item(k)
			s, ok := p.fit(&it, k)
			if !ok {
				return
			}
			p.put(s)
		}
		use(p)
	}
	order := slices.Clone(kinds)
	for m := range measureCount {
		slices.SortStableFunc(order, func(a, b int) int {
			ka, kb := t.kinds[a], t.kinds[b]
			return cmp.Or(cmp.Compare(m.of(kb.w, kb.h), m.of(ka.w, ka.h)), cmp.Compare(a, b))
		})
		for r := range ruleCount {
			try(order, r)
		}
	}
	var random random
	for range tries {
		a, b := random.below(len(order)), random.below(len(order))
		order[a], order[b] = order[b], order[a]
		try(order, rule(random.below(int(ruleCount))))
	}
}

// tidy packs each sheet but the last anew where the same pieces can lie in
// straighter rows.
func (t task) tidy(l layout) {
	done := map[*spot][]spot{} // a sheet laid several times is the same slice
	for i, spots := range l[:max(len(l)-1, 0)] {
		first := &spots[0]
		if _, ok := done[first]; !ok {
			done[first] = t.straighten(spots)
		}
		l[i] = done[first]
	}
}

func (t task) straighten(spots []spot) []spot {
	best, lines := spots, edges(spots)
	t.packings(kindsOf(spots), 0, func(p *page) {
		if n := edges(p.spots); n < lines {
			best, lines = slices.Clone(p.spots), n
		}
	})
	return best
}
