package sheet

// A rect is a rectangle on the grid.
type rect struct{ x, y, w, h int }

func (r rect) holds(o rect) bool {
	return o.x >= r.x && o.y >= r.y && o.x+o.w <= r.x+r.w && o.y+o.h <= r.y+r.h
}

func (r rect) meets(o rect) bool {
	return r.x < o.x+o.w && o.x < r.x+r.w && r.y < o.y+o.h && o.y < r.y+r.h
}

// A spot is one piece where it lies.
type spot struct {
	rect
	kind int
}

// A page is one sheet being filled: its pieces and its maximal free
// rectangles, those that no other free rectangle holds. Lai and Chan, "Developing
// a simulated annealing algorithm for the cutting stock problem", Computers &
// Industrial Engineering 32(1), 1997, keep free space in this way.
type page struct {
	spots []spot
	free  []rect
	area  int // of the pieces
}

func (p *page) clear(width, height int) {
	p.spots = p.spots[:0]
	p.free = append(p.free[:0], rect{0, 0, width, height})
	p.area = 0
}

// put lays a piece and brings the free rectangles up to date.
func (p *page) put(s spot) {
	p.spots = append(p.spots, s)
	p.area += s.w * s.h
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
