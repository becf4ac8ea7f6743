package sheet

// An item is one piece to lay.
type item struct {
	w, h int
	turn bool
	kind int
}

func (i item) area() int { return i.w * i.h }

// A rule chooses among the top left corners of the free rectangles. Each is
// good at some mixes of sizes and poor at others, so the search tries all.
type rule int

const (
	shortSide rule = iota // least leftover along the tighter side
	lowest                // bottom edge nearest to the top of the sheet
	leftmost              // right edge nearest to the left of the sheet
	smallest              // smallest free rectangle
	touching              // longest contact with pieces and edges
	ruleCount
)

// fit returns where an item goes by the page's rule. Ties go to the least
// x + y, then to the free rectangle that comes first, then to the item as it
// is.
func (p *page) fit(it *item, index int) (spot, bool) {
	var best rect
	var bestScore, bestTie int
	found := false
	w, h := it.w, it.h
	positions := 1
	if it.turn {
		positions = 2
	}
	for range positions {
		for i := range p.free {
			f := &p.free[i]
			if w > f.w || h > f.h {
				continue
			}
			score, tie := p.score(f, w, h), f.x+f.y
			if !found || score < bestScore || score == bestScore && tie < bestTie {
				best, bestScore, bestTie, found = rect{f.x, f.y, w, h}, score, tie, true
			}
		}
		w, h = h, w
	}
	return spot{best, index}, found
}

// score is lower for a better place.
func (p *page) score(f *rect, w, h int) int {
	switch p.rule {
	case shortSide:
		return min(f.w-w, f.h-h)
	case leftmost:
		return f.x + w
	case smallest:
		return f.w * f.h
	case touching:
		if len(p.spots) <= mostTouching {
			return -p.contact(rect{f.x, f.y, w, h})
		}
	}
	return f.y + h
}

// mostTouching pieces on a sheet have their contacts counted; with more the
// time would grow with the square of their number, and contact says little.
const mostTouching = 500

// contact is the length of a rectangle's edges that lies against the edges of
// the sheet and of other pieces. A. Lodi, S. Martello, D. Vigo, "Heuristic and
// metaheuristic approaches for a class of two-dimensional bin packing
// problems", INFORMS J. Computing 11(4), 1999, introduced the score.
func (p *page) contact(r rect) int {
	sum := 0
	if r.x == 0 {
		sum += r.h
	}
	if r.y == 0 {
		sum += r.w
	}
	if r.x+r.w == p.width {
		sum += r.h
	}
	if r.y+r.h == p.height {
		sum += r.w
	}
	for i := range p.spots {
		o := &p.spots[i]
		if o.x+o.w == r.x || r.x+r.w == o.x {
			sum += max(0, min(o.y+o.h, r.y+r.h)-max(o.y, r.y))
		} else if o.y+o.h == r.y || r.y+r.h == o.y {
			sum += max(0, min(o.x+o.w, r.x+r.w)-max(o.x, r.x))
		}
	}
	return sum
}
