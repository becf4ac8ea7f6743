package artwork

import "math"

// A spotPx is a width seen at a pixel of a plane; its zero value means none.
type spotPx struct {
	width float64 // in pixels
	x, y  int
	found bool
}

// thinner says which of two spots is reported: the thinner one, then the one
// that comes first in reading order.
func (s spotPx) thinner(t spotPx) bool {
	switch {
	case !s.found || !t.found:
		return s.found
	case s.width != t.width:
		return s.width < t.width
	case s.y != t.y:
		return s.y < t.y
	}
	return s.x < t.x
}

// wider is thinner's counterpart for the widest.
func (s spotPx) wider(t spotPx) bool {
	switch {
	case !s.found || !t.found:
		return s.found
	case s.width != t.width:
		return s.width > t.width
	case s.y != t.y:
		return s.y < t.y
	}
	return s.x < t.x
}

// thinnest finds where a field is thinnest across: the least chord through a
// ridge of the distance transform, drawn from the ridge pixel's nearest
// boundary to the boundary straight behind it. Corners don't count, since their
// ridge's chord reaches across the whole part, and neither do tapers (see
// tapers) nor parts of up to speck pixels, which are dust and counted elsewhere.
//
// Widths are exact to within a pixel: the ridge is found on whole pixels, and
// the chord is then weighed with their shades.
func (f field) thinnest(speck int) spotPx {
	g := f.columns()
	bands := eachBand(f.h, func(from, to int) spotPx {
		s := search{field: f, columns: g, speck: speck}
		return s.band(from, to)
	})
	var best spotPx
	for _, b := range bands {
		if b.thinner(best) {
			best = b
		}
	}
	return best
}

// search is one band's hunt for its thinnest spot.
type search struct {
	field
	columns []uint16
	speck   int
	best    spotPx
	flood   flooding
}

func (s *search) band(from, to int) spotPx {
	above, here, below := newLine(s.w), newLine(s.w), newLine(s.w)
	var stack []parabola
	fill := func(y int, l line) {
		if y >= 0 && y < s.h {
			stack = s.measure(s.columns, y, l, stack)
			return
		}
		edge := int32(0)
		if s.outside {
			edge = far
		}
		for x := range l.squared {
			l.squared[x] = edge
		}
	}
	fill(from-1, above)
	fill(from, here)
	for y := from; y < to; y++ {
		fill(y+1, below)
		s.row(y, above.squared, here, below.squared)
		above, here, below = here, below, above
	}
	return s.best
}

// slack is by how much a ridge may be wider on whole pixels than it weighs:
// two smoothed edge pixels, with half a pixel of rounding to each.
const slack = 3

// reach is the largest squared distance at which a ridge could still be
// thinner than the best so far: its width is about twice its distance.
func (s *search) reach() int32 {
	if !s.best.found {
		return far - 1
	}
	half := (s.best.width + slack + 1) / 2
	return int32(min(half*half, far-1))
}

func (s *search) row(y int, above []int32, here line, below []int32) {
	reach := s.reach()
	for x, d := range here.squared {
		if d == 0 || d > reach || !s.ridge(x, d, above, here.squared, below) {
			continue
		}
		if spot := s.chord(x, y, here); spot.found && !s.dust(x, y) {
			s.best = spot
			reach = s.reach()
		}
	}
}

// ridge reports whether a pixel is a summit of the distance transform along at
// least one of the four lines through it, counting the near side of a flat
// summit two pixels wide.
func (s *search) ridge(x int, d int32, above, here, below []int32) bool {
	edge := int32(0)
	if s.outside {
		edge = far
	}
	at := func(row []int32, x int) int32 {
		if x < 0 || x >= len(row) {
			return edge
		}
		return row[x]
	}
	return summit(at(here, x-1), d, at(here, x+1)) ||
		summit(above[x], d, below[x]) ||
		summit(at(above, x-1), d, at(below, x+1)) ||
		summit(at(above, x+1), d, at(below, x-1))
}

func summit(before, d, after int32) bool { return d > before && d >= after }

// leastShown is the least width, in pixels, that counts: fainter ones are what
// smoothing leaves where two parts nearly touch.
const leastShown = 0.4

// widthStep is the fineness of a width in pixels, far below what shades tell.
const widthStep = 1.0 / 64

// chord weighs the line through a ridge pixel. It is not found where it is no
// thinner than the best so far, where one end is open, as a gap's is beside the
// art, or where the part has a corner, ends or tapers.
func (s *search) chord(x, y int, here line) spotPx {
	dx := float64(here.column[x]) - float64(x)
	rise := math.Sqrt(float64(here.squared[x]) - dx*dx)
	// The column distance has no sign: the nearest pixel outside is above or
	// below. Either will do where both are equally near.
	dy := rise
	if s.in(int(here.column[x]), y+int(math.Round(rise))) {
		dy = -rise
	}
	length := math.Hypot(dx, dy)
	ray := ray{float64(x), float64(y), dx / length, dy / length}
	limit := math.Inf(1)
	if s.best.found {
		limit = s.best.width + slack + 2
	}
	back, ok := s.walk(ray.back(), limit)
	if !ok {
		return spotPx{}
	}
	if !s.roomy(ray, length, back) || s.atEnd(ray) {
		return spotPx{}
	}
	// Rounded, so that the last bit of a sum, which machines may differ in,
	// never decides which of two equal spots is the thinner.
	width := roundTo(s.weigh(ray, length, back), widthStep)
	spot := spotPx{width: width, x: x, y: y, found: true}
	if spot.width < leastShown || !spot.thinner(s.best) || s.tapers(ray, spot.width) {
		return spotPx{}
	}
	return spot
}

// widest finds where a field is widest across: twice the largest distance to
// its boundary, less the pixel that both sides share.
func (f field) widest() spotPx {
	g := f.columns()
	bands := eachBand(f.h, func(from, to int) spotPx {
		l := newLine(f.w)
		var stack []parabola
		var best spotPx
		for y := from; y < to; y++ {
			stack = f.measure(g, y, l, stack)
			for x, d := range l.squared {
				if d == 0 {
					continue
				}
				spot := spotPx{width: 2*math.Sqrt(float64(d)) - 1, x: x, y: y, found: true}
				if spot.wider(best) {
					best = spot
				}
			}
		}
		return best
	})
	var best spotPx
	for _, b := range bands {
		if b.wider(best) {
			best = b
		}
	}
	return best
}
