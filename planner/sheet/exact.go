package sheet

import (
	"cmp"
	"slices"
)

// maxExact is the largest number of pieces the exact search takes: a set of
// pieces is the bits of a word.
const maxExact = 64

// exactly looks for a layout on the number of sheets given by complete
// enumeration. proven is true where it ended within the steps: then a nil
// layout means that there is none.
//
// Pieces are dealt to sheets, the largest first, and each set of pieces that
// comes together on a sheet is packed or shown not to fit, as in S. Martello,
// D. Vigo, "Exact solution of the two-dimensional finite bin packing problem",
// Management Science 44(3), 1998.
func (t task) exactly(sheets, steps int) (l layout, proven bool) {
	s := newSearch(t, 0)
	if len(s.items) > maxExact {
		return nil, false
	}
	slices.SortStableFunc(s.items, func(a, b item) int { return cmp.Compare(b.area(), a.area()) })
	d := &dealer{task: t, items: s.items, steps: steps, known: map[uint64]bool{}, sets: make([]uint64, sheets)}
	if !d.deal(0, 0) {
		return nil, d.steps > 0
	}
	for _, set := range d.sets {
		if set == 0 {
			continue
		}
		d.steps = steps // enough: the set was packed within fewer
		spots := d.packNew(set)
		for i := range spots {
			spots[i].piece = d.items[spots[i].piece].kind
		}
		l = append(l, spots)
	}
	return l, true
}

// A dealer deals items to sheets.
type dealer struct {
	task  task
	items []item
	steps int // left; the search gives up at 0
	sets  []uint64
	known map[uint64]bool // whether a set fits on a sheet; kept without its packing to save memory
}

// deal places items[i:], the first used sheets having items already. Equal
// items go to sheets in rising order, and of the empty sheets only the first
// is tried, as the rest are the same.
func (d *dealer) deal(i, used int) bool {
	if i == len(d.items) {
		return true
	}
	first := 0
	if i > 0 && d.items[i] == d.items[i-1] {
		for d.sets[first]&(1<<(i-1)) == 0 {
			first++
		}
	}
	for b := first; b < len(d.sets) && b <= used; b++ {
		if d.steps <= 0 {
			return false
		}
		d.steps--
		with := d.sets[b] | 1<<i
		if !d.fits(with) {
			continue
		}
		d.sets[b] = with
		if d.deal(i+1, max(used, b+1)) {
			return true
		}
		d.sets[b] &^= 1 << i
	}
	return false
}

// fits reports whether a set fits on one sheet; false also where the steps ran
// out.
func (d *dealer) fits(set uint64) bool {
	fits, ok := d.known[set]
	if !ok {
		fits = d.packNew(set) != nil
		if fits || d.steps > 0 {
			d.known[set] = fits
		}
	}
	return fits
}

// packNew returns a packing of a set of items, or nil where there is none or
// the steps ran out.
func (d *dealer) packNew(set uint64) []spot {
	var members []int
	sub := d.task
	sub.kinds = nil
	sum := 0
	for i := range d.items {
		if set&(1<<i) != 0 {
			members = append(members, i)
			it := d.items[i]
			sub.kinds = append(sub.kinds, kind{w: it.w, h: it.h, turn: it.turn, count: 1})
			sum += it.area()
		}
	}
	if sum > d.task.width*d.task.height {
		return nil
	}
	if spots := quickly(d.task, d.items, members); spots != nil {
		return spots
	}
	if sub.bound().sheets > 1 {
		return nil
	}
	e := &enumerator{task: d.task, items: d.items, members: members, left: sum, steps: &d.steps}
	if e.extend() {
		return e.spots
	}
	return nil
}

// quickly packs the members of a set by each measure and rule.
func quickly(t task, items []item, members []int) []spot {
	order := slices.Clone(members)
	p := t.newPage()
	for m := range measureCount {
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Compare(m.of(items[b].w, items[b].h), m.of(items[a].w, items[a].h))
		})
		for r := range ruleCount {
			p.clear()
			p.rule = r
			for _, i := range order {
				s, ok := p.fit(&items[i], i)
				if !ok {
					break
				}
				p.put(s)
			}
			if len(p.spots) == len(order) {
				return p.spots
			}
		}
	}
	return nil
}

// An enumerator tries all ways to pack a set of items on one sheet. Items are
// laid at the corners of the staircase that holds all items before them
// towards the top left; every packing can be built in that way (S. Martello,
// D. Pisinger, D. Vigo, "The three-dimensional bin packing problem",
// Operations Research 48(2), 2000).
type enumerator struct {
	task    task
	items   []item
	members []int // not yet laid
	left    int   // their area
	spots   []spot
	steps   *int
}

func (e *enumerator) extend() bool {
	if len(e.members) == 0 {
		return true
	}
	if *e.steps <= 0 {
		return false
	}
	*e.steps--
	corners, room := e.corners()
	if e.left > room {
		return false
	}
	for n, i := range e.members {
		if e.repeats(n) {
			continue
		}
		for _, c := range corners {
			it := e.items[i]
			if e.lay(n, rect{c[0], c[1], it.w, it.h}) || it.turn && e.lay(n, rect{c[0], c[1], it.h, it.w}) {
				return true
			}
		}
	}
	return false
}

// repeats reports whether an equal member was tried before the n-th.
func (e *enumerator) repeats(n int) bool {
	for _, j := range e.members[:n] {
		if e.items[j] == e.items[e.members[n]] {
			return true
		}
	}
	return false
}

// lay puts the n-th member at r and goes on from there.
func (e *enumerator) lay(n int, r rect) bool {
	if r.x+r.w > e.task.width || r.y+r.h > e.task.height {
		return false
	}
	i := e.members[n]
	e.members = slices.Delete(slices.Clone(e.members), n, n+1)
	e.left -= r.w * r.h
	e.spots = append(e.spots, spot{r, i})
	if e.extend() {
		return true
	}
	e.spots = e.spots[:len(e.spots)-1]
	e.left += r.w * r.h
	e.members = slices.Insert(e.members, n, i)
	return false
}

// corners returns the inner corners of the staircase and the area beyond it.
func (e *enumerator) corners() (corners [][2]int, room int) {
	spots := slices.Clone(e.spots)
	slices.SortFunc(spots, func(a, b spot) int {
		return cmp.Or(cmp.Compare(b.y+b.h, a.y+a.h), cmp.Compare(b.x+b.w, a.x+a.w))
	})
	x, y := 0, e.task.height // the staircase goes down from the far left
	for _, s := range spots {
		if s.x+s.w <= x {
			continue
		}
		bottom := s.y + s.h
		if bottom < y {
			corners = append(corners, [2]int{x, bottom})
			room += (e.task.width - x) * (y - bottom)
			y = bottom
		}
		x = s.x + s.w
	}
	corners = append(corners, [2]int{x, 0})
	room += (e.task.width - x) * y
	return corners, room
}
