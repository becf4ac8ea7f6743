package sheet

import (
	"cmp"
	"slices"
)

// A part is what is left of a sheet between cuts, with the pieces on it.
// Its spots are on the grid, its edges in nanometres on the sheet.
type part struct {
	spots                    []spot
	left, top, right, bottom int
}

// trimmer finds the cuts that take a sheet apart.
type trimmer struct {
	grid  grid
	gap   int // nanometres
	sheet int // counts from 1
	order int // of the last cut on the sheet
	cuts  []CutLine
}

// cuts returns the cuts for a trimmer, sheet by sheet in the order they are
// made. A cut runs through the middle of the gap between two pieces; a piece
// with bleed is then trimmed to its edges. Waste comes off first, then the
// part is divided into halves as even in number as can be.
func (t task) cuts(p Problem, l layout) []CutLine {
	m := &trimmer{grid: t.grid, gap: nanometres(p.Sheet.Gap)}
	for n, spots := range l {
		m.sheet, m.order = n+1, 0
		m.divide(part{spots: spots, right: nanometres(p.Sheet.Width), bottom: nanometres(p.Sheet.Height)})
	}
	return m.cuts
}

// A division is a way to cut a part: at a grid line along x or y.
type division struct {
	along  string
	at     int
	uneven int     // difference between the numbers of pieces on both sides
	waste  float64 // area that comes off, in mm2; 0 where both sides hold pieces
}

func (m *trimmer) divide(p part) {
	best, ok := m.bestDivision(p)
	if !ok {
		m.trim(p)
		return
	}
	at := best.at*m.grid.step + m.grid.margin - m.gap/2
	before, after := p, p
	before.spots, after.spots = nil, nil
	for _, s := range p.spots {
		if start(s, best.along) < best.at {
			before.spots = append(before.spots, s)
		} else {
			after.spots = append(after.spots, s)
		}
	}
	if best.along == "x" {
		before.right, after.left = at, at
	} else {
		before.bottom, after.top = at, at
	}
	m.cut(p, best.along, at)
	for _, side := range []part{before, after} {
		if len(side.spots) > 0 {
			m.divide(side)
		}
	}
}

func start(s spot, along string) int {
	if along == "x" {
		return s.x
	}
	return s.y
}

func end(s spot, along string) int {
	if along == "x" {
		return s.x + s.w
	}
	return s.y + s.h
}

// bestDivision looks at every edge of a piece where a cut touches no piece.
func (m *trimmer) bestDivision(p part) (division, bool) {
	var all []division
	for _, along := range []string{"y", "x"} {
		all = append(all, m.divisions(p, along)...)
	}
	if len(all) == 0 {
		return division{}, false
	}
	return slices.MinFunc(all, func(a, b division) int {
		return cmp.Or(cmp.Compare(b.waste, a.waste), cmp.Compare(a.uneven, b.uneven))
	}), true
}

func (m *trimmer) divisions(p part, along string) []division {
	lines := make([]int, 0, 2*len(p.spots))
	for _, s := range p.spots {
		lines = append(lines, start(s, along), end(s, along))
	}
	slices.Sort(lines)
	var all []division
	for _, at := range slices.Compact(lines) {
		before, crossed := 0, false
		for _, s := range p.spots {
			crossed = crossed || start(s, along) < at && at < end(s, along)
			if end(s, along) <= at {
				before++
			}
		}
		waste := m.wasteAt(p, along, at, before)
		if !crossed && (before > 0 && before < len(p.spots) || waste > 0) {
			all = append(all, division{along, at, max(before, len(p.spots)-before) - min(before, len(p.spots)-before), waste})
		}
	}
	return all
}

// wasteAt is the area, in mm2, of a side without pieces; 0
// where no such side is wider than margin and gap, which stay on the piece.
func (m *trimmer) wasteAt(p part, along string, at, before int) float64 {
	cut := at*m.grid.step + m.grid.margin - m.gap/2
	low, high, across := p.left, p.right, p.bottom-p.top
	if along == "y" {
		low, high, across = p.top, p.bottom, p.right-p.left
	}
	var width int
	switch before {
	case 0:
		width = cut - low
	case len(p.spots):
		width = high - cut
	default:
		return 0
	}
	if width <= m.grid.margin+m.gap {
		return 0
	}
	return mmOf(width) * mmOf(across)
}

// trim cuts the bleed off the one piece of a part.
func (m *trimmer) trim(p part) {
	if m.grid.bleed == 0 {
		return
	}
	s := p.spots[0]
	edge := func(at, inwards int) int { return at*m.grid.step + m.grid.margin + inwards }
	for _, c := range []struct {
		along string
		at    int
		to    *int
	}{
		{"x", edge(s.x, m.grid.bleed), &p.left},
		{"x", edge(s.x+s.w, -m.gap-m.grid.bleed), &p.right},
		{"y", edge(s.y, m.grid.bleed), &p.top},
		{"y", edge(s.y+s.h, -m.gap-m.grid.bleed), &p.bottom},
	} {
		m.cut(p, c.along, c.at)
		*c.to = c.at
	}
}

func (m *trimmer) cut(p part, along string, at int) {
	from, to := p.top, p.bottom
	if along == "y" {
		from, to = p.left, p.right
	}
	m.order++
	m.cuts = append(m.cuts, CutLine{Sheet: m.sheet, Order: m.order, Along: along, At: mmOf(at), From: mmOf(from), To: mmOf(to)})
}

func mmOf(nm int) float64 { return float64(lengthOf(nm)) }
