package sheet

import "slices"

// A skyline is the lower edge of what was laid on a sheet from its top on;
// pieces go into its highest hollow. Here, as in the papers, it is spoken of
// as if it grew upwards: a lower ledge is one with a smaller y.
type skyline struct {
	ledges []ledge
	height int // of the sheet
}

// A ledge is a level part of the skyline.
type ledge struct{ x, w, y int }

func (s *skyline) clear(width, height int) {
	s.ledges = append(s.ledges[:0], ledge{0, width, 0})
	s.height = height
}

// A hollow is a ledge with what bounds it: the heights of the walls beside it,
// and the height up to the end of the sheet, which no wall exceeds.
type hollow struct {
	ledge
	left, right, top int
}

// lowest returns the lowest ledge, of equal ones the leftmost, and its index.
func (s *skyline) lowest() (hollow, int) {
	best := 0
	for i := range s.ledges {
		if s.ledges[i].y < s.ledges[best].y {
			best = i
		}
	}
	h := hollow{ledge: s.ledges[best]}
	h.top = s.height - h.y
	h.left, h.right = h.top, h.top
	if best > 0 {
		h.left = min(h.top, s.ledges[best-1].y-h.y)
	}
	if best+1 < len(s.ledges) {
		h.right = min(h.top, s.ledges[best+1].y-h.y)
	}
	return h, best
}

// The scores of a fit, from a piece that just goes in to one that leaves
// nothing of the hollow. Filling the whole width counts most, then being level
// with the walls. After S. C. H. Leung, D. Zhang, K. M. Sim, "A two-stage
// intelligent search algorithm for the two-dimensional strip packing problem",
// European J. Operational Research 215(1), 2011.
const (
	noFit      = -1
	fullWidth  = 2
	perfectFit = 4
)

// score rates an item in a hollow as it lies better; ties go to as it is.
func (h hollow) score(it *item) (score int, turned bool) {
	score = h.scoreOf(it.w, it.h)
	if !it.turn {
		return score, false
	}
	if other := h.scoreOf(it.h, it.w); other > score {
		return other, true
	}
	return score, false
}

func (h hollow) scoreOf(width, height int) int {
	if width > h.w || height > h.top {
		return noFit
	}
	higher, lower := max(h.left, h.right), min(h.left, h.right)
	score := 0
	if height == higher {
		score++
	}
	if width < h.w {
		return score // it stands against the higher wall
	}
	if height == lower {
		score++
	}
	return score + fullWidth
}

// place is where an item goes: against the higher wall.
func (h hollow) place(it *item, turned bool) rect {
	r := rect{h.x, h.y, it.w, it.h}
	if turned {
		r.w, r.h = r.h, r.w
	}
	if h.right > h.left {
		r.x = h.x + h.w - r.w
	}
	return r
}

// raise puts a piece, which stands at one end of a ledge, into the skyline.
func (s *skyline) raise(i int, r rect) {
	e := s.ledges[i]
	top := ledge{r.x, r.w, r.y + r.h}
	switch {
	case r.w == e.w:
		s.ledges[i] = top
	case r.x == e.x:
		s.ledges[i] = ledge{e.x + r.w, e.w - r.w, e.y}
		s.ledges = slices.Insert(s.ledges, i, top)
	default:
		s.ledges[i] = ledge{e.x, e.w - r.w, e.y}
		i++
		s.ledges = slices.Insert(s.ledges, i, top)
	}
	s.join(i)
}

// fillUp gives up a hollow that no piece fits: it is raised to the lower wall,
// or to the end of the sheet.
func (s *skyline) fillUp(i int, h hollow) {
	s.ledges[i].y += min(h.left, h.right)
	s.join(i)
}

// full reports whether no hollow is left.
func (h hollow) full() bool { return h.top <= 0 }

// join merges a ledge with neighbours of the same height.
func (s *skyline) join(i int) {
	if i+1 < len(s.ledges) && s.ledges[i+1].y == s.ledges[i].y {
		s.ledges[i].w += s.ledges[i+1].w
		s.ledges = slices.Delete(s.ledges, i+1, i+2)
	}
	if i > 0 && s.ledges[i-1].y == s.ledges[i].y {
		s.ledges[i-1].w += s.ledges[i].w
		s.ledges = slices.Delete(s.ledges, i, i+1)
	}
}
