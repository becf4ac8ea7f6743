package sheet

import "slices"

// A rect is a rectangle on the grid.
type rect struct{ x, y, w, h int }

func (r rect) holds(o rect) bool {
	return o.x >= r.x && o.y >= r.y && o.x+o.w <= r.x+r.w && o.y+o.h <= r.y+r.h
}

func (r rect) meets(o rect) bool {
	return r.x < o.x+o.w && o.x < r.x+r.w && r.y < o.y+o.h && o.y < r.y+r.h
}

// A spot is one piece where it lies. What piece counts depends on the owner:
// items in the search, kinds in a layout.
type spot struct {
	rect
	piece int
}

// A page is one sheet being filled: its pieces and its maximal free
// rectangles, those that no other free rectangle holds. K. K. Lai, J. W. M.
// Chan, "Developing a simulated annealing algorithm for the cutting stock
// problem", Computers & Industrial Engineering 32(1), 1997, keep free space in
// this way.
type page struct {
	width, height int
	spots         []spot
	free          []rect
	rule          rule // the one it is filled by
	trimmer       bool // free rectangles are kept apart, so that only edge-to-edge cuts are needed
}

func (t task) newPage() *page {
	p := &page{width: t.width, height: t.height, trimmer: t.trimmer}
	p.clear()
	return p
}

func (p *page) clear() {
	p.spots = p.spots[:0]
	p.free = append(p.free[:0], rect{0, 0, p.width, p.height})
}

func area(spots []spot) int {
	sum := 0
	for _, s := range spots {
		sum += s.w * s.h
	}
	return sum
}

// put lays a piece and brings the free rectangles up to date.
func (p *page) put(s spot) {
	p.spots = append(p.spots, s)
	if p.trimmer {
		p.split(s.rect)
		return
	}
	p.take(s.rect)
}

// take removes a rectangle from the free ones: each that meets it gives way
// to the up to four that are left around it, unless another holds them.
func (p *page) take(used rect) {
	old := len(p.free)
	kept := 0
	for i := 0; i < old; i++ {
		f := p.free[i]
		if !f.meets(used) {
			p.free[i], p.free[kept] = p.free[kept], f
			kept++
		}
	}
	// free[:kept] stay, free[kept:old] are cut up.
	for i := kept; i < old; i++ {
		f := p.free[i]
		if used.x > f.x {
			p.free = append(p.free, rect{f.x, f.y, used.x - f.x, f.h})
		}
		if right := used.x + used.w; right < f.x+f.w {
			p.free = append(p.free, rect{right, f.y, f.x + f.w - right, f.h})
		}
		if used.y > f.y {
			p.free = append(p.free, rect{f.x, f.y, f.w, used.y - f.y})
		}
		if below := used.y + used.h; below < f.y+f.h {
			p.free = append(p.free, rect{f.x, below, f.w, f.y + f.h - below})
		}
	}
	fresh := p.free[old:]
	end := kept
	for i, f := range fresh {
		if !held(f, p.free[:end], fresh[i+1:]) {
			p.free[end] = f // end <= old+i: nothing unread is overwritten
			end++
		}
	}
	p.free = p.free[:end]
}

// split replaces the free rectangle in whose top left corner a piece was laid
// by the two that an edge-to-edge cut leaves beside it and below it. The cut
// runs so that the larger of the two is as large as it can be.
func (p *page) split(used rect) {
	i := slices.IndexFunc(p.free, func(f rect) bool { return f.holds(used) })
	f := p.free[i]
	beside := rect{f.x + used.w, f.y, f.w - used.w, f.h}
	below := rect{f.x, f.y + used.h, f.w, f.h - used.h}
	if beside.w*beside.h >= below.w*below.h {
		below.w = used.w
	} else {
		beside.h = used.h
	}
	p.free = slices.Delete(p.free, i, i+1)
	for _, r := range []rect{beside, below} {
		if r.w > 0 && r.h > 0 {
			p.free = append(p.free, r)
		}
	}
}

// room is the largest free rectangle; of equal ones the first.
func (p *page) room() rect {
	var best rect
	for _, f := range p.free {
		if f.w*f.h > best.w*best.h {
			best = f
		}
	}
	return best
}

// held reports whether a rectangle that stays, or one still to come, holds f;
// of equal ones the last stays.
func held(f rect, stay, later []rect) bool {
	for _, k := range stay {
		if k.holds(f) {
			return true
		}
	}
	for _, g := range later {
		if g.holds(f) {
			return true
		}
	}
	return false
}
