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
	spot := spotPx{width: s.weigh(ray, length, back), x: x, y: y, found: true}
	if !spot.thinner(s.best) || s.tapers(ray, spot.width) {
		return spotPx{}
	}
	return spot
}

// A ray starts in the middle of a pixel and runs along a unit vector.
type ray struct {
	x, y, dx, dy float64
}

func (r ray) back() ray { return ray{r.x, r.y, -r.dx, -r.dy} }

func (r ray) turned(angle float64) ray {
	sin, cos := math.Sincos(angle)
	return ray{r.x, r.y, r.dx*cos - r.dy*sin, r.dx*sin + r.dy*cos}
}

func (r ray) at(t float64) (float64, float64) { return r.x + t*r.dx, r.y + t*r.dy }

func (r ray) pixel(t float64) (int, int) {
	x, y := r.at(t)
	return int(math.Round(x)), int(math.Round(y))
}

// stride is the step of a walk, short enough to skip no pixel it crosses by
// more than a corner.
const stride = 0.5

// walk follows a ray to the first pixel outside the field and returns how far
// that is. It gives up, with false, beyond limit or where the plane ends inside
// the field.
func (f field) walk(r ray, limit float64) (float64, bool) {
	for t := stride; t <= limit; t += stride {
		x, y := r.pixel(t)
		if !f.in(x, y) {
			return t, true
		}
		if x < 0 || y < 0 || x >= f.w || y >= f.h {
			return t, false
		}
	}
	return limit, false
}

// roomy reports whether the part is as wide all round the chord's middle as the
// chord is long, less the rounding of pixels at either end. Across a corner it
// isn't: a chord that cuts one off lies close to both its sides.
func (f field) roomy(r ray, ahead, back float64) bool {
	const rounding = 1.5
	radius := (ahead+back)/2 - rounding
	if radius <= 0 {
		return true
	}
	x, y := r.at((ahead - back) / 2)
	for _, d := range compass() {
		if !f.in(int(math.Round(x+radius*d[0])), int(math.Round(y+radius*d[1]))) {
			return false
		}
	}
	return true
}

// compass returns sixteen unit vectors, a sixteenth of a turn apart.
func compass() [16][2]float64 {
	const c, s, d = 0.9238795325112867, 0.3826834323650898, math.Sqrt2 / 2 // of 22.5 and 45 degrees
	return [...][2]float64{
		{1, 0}, {c, s}, {d, d}, {s, c}, {0, 1}, {-s, c}, {-d, d}, {-c, s},
		{-1, 0}, {-c, -s}, {-d, -d}, {-s, -c}, {0, -1}, {s, -c}, {d, -d}, {c, -s},
	}
}

// atEnd reports whether the part stops within endReach pixels to one side of
// the chord only. The last pixels of a stroke are thinned by smoothing and cut
// at a slant; the rest of it tells its width.
func (f field) atEnd(across ray) bool {
	const endReach = 2
	along := ray{across.x, across.y, -across.dy, across.dx}
	one, _ := f.walk(along, endReach)
	two, _ := f.walk(along.back(), endReach)
	return (one < endReach) != (two < endReach)
}

// A taper is a place where a part gets steadily thinner towards one side: over
// taperLength widths it shrinks by taperGrowth that way, or stops, and grows by
// as much the other way. Such a part ends in a point, or a gap where two curves
// touch, and is thinner than any limit somewhere, so that its width there says
// nothing. At 3 and 1.15, points down to about 3 degrees are told from strokes.
const (
	taperLength = 3
	taperGrowth = 1.15
)

func (s *search) tapers(across ray, width float64) bool {
	along := ray{across.x, across.y, -across.dy, across.dx}
	reach := max(taperLength*width, 2)
	one, two := s.widthOff(along, reach, width), s.widthOff(along.back(), reach, width)
	thin, thick := min(one, two), max(one, two)
	return thin*taperGrowth <= width && thick >= width*taperGrowth
}

// swerves returns how far, in radians, a walk along a part may turn from the
// chord's perpendicular: a chord of a few pixels has its direction only
// roughly, and parts bend.
func swerves() [5]float64 {
	const step = math.Pi / 8
	return [...]float64{0, step, -step, 2 * step, -2 * step}
}

// widthOff returns the width a way off along a part, 0 where the part ends
// before. It looks no further than a width that is clearly larger.
func (s *search) widthOff(along ray, way, width float64) float64 {
	for _, swerve := range swerves() {
		path := along.turned(swerve)
		x, y := path.pixel(way)
		if end, _ := s.walk(path, way); end < way || !s.in(x, y) {
			continue
		}
		there := ray{float64(x), float64(y), -path.dy, path.dx}
		limit := 2*width + slack
		ahead, _ := s.walk(there, limit)
		back, _ := s.walk(there.back(), limit)
		return s.weigh(there, ahead, back)
	}
	return 0
}

// Along a chord, shades are read every weighStep pixels, and up to smoothing
// pixels beyond the last one in the field: the widest smoothed edge that is
// still an edge.
const (
	weighStep = 0.25
	smoothing = 2
)

// weigh adds up the cover along a chord that leaves the field after ahead
// pixels along a ray and back pixels against it. It stops where the shades
// turn, so that a neighbouring part isn't weighed too.
func (s *search) weigh(r ray, ahead, back float64) float64 {
	full := 255.0
	if s.byColour {
		full = s.strongest(r, ahead, back)
	}
	share := func(t float64) float64 {
		v := min(s.shade(r.at(t))/full, 1)
		if s.byColour {
			v = clean(v)
		}
		if s.outside {
			return 1 - v
		}
		return v
	}
	half := func(direction, end float64) float64 {
		sum, last := 0.0, math.Inf(1)
		for t := weighStep / 2; t < end+smoothing; t += weighStep {
			v := share(direction * t)
			if t > end && v > last {
				break
			}
			if t > end-1 {
				last = v
			}
			sum += v * weighStep
		}
		return sum
	}
	return half(1, ahead) + half(-1, back)
}

// clean takes nearly full as full and nearly nothing as nothing, so that the
// unrest of a compressed flat colour doesn't add up over a wide part. The edge
// of a part loses or gains a tenth of a pixel by it at most, on average nothing.
func clean(share float64) float64 {
	const unrest = 0.15
	switch {
	case share >= 1-unrest:
		return 1
	case share <= unrest:
		return 0
	}
	return share
}

// strongest is the largest cover along a chord and just beyond it, but no less
// than that of the picture's weakest flat colour: what full cover means for a
// colour that differs little from its ground.
func (s *search) strongest(r ray, ahead, back float64) float64 {
	most := max(1, float64(s.weakest))
	for t := -back - smoothing; t <= ahead+smoothing; t += 2 * weighStep {
		most = max(most, s.shade(r.at(t)))
	}
	return most
}

// shade reads the plane between pixels, linearly.
func (p *plane) shade(x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	u, v := x-x0, y-y0
	i, j := int(x0), int(y0)
	top := (1-u)*float64(p.value(i, j)) + u*float64(p.value(i+1, j))
	bottom := (1-u)*float64(p.value(i, j+1)) + u*float64(p.value(i+1, j+1))
	return (1-v)*top + v*bottom
}

// A flooding spreads over pixels near a point. Marks of former ones stay in its
// window and are told apart by their turn, so that it is never cleared.
type flooding struct {
	marks []int32
	turn  int32
	queue [][2]int
}

// dust reports whether the part of the field that holds a pixel has at most
// speck pixels. It looks at no more than that many, which all lie within speck
// steps of the first.
func (s *search) dust(x, y int) bool {
	if s.speck <= 0 {
		return false
	}
	side := 2*s.speck + 1
	if s.flood.marks == nil {
		s.flood.marks = make([]int32, side*side)
	}
	s.flood.turn++
	count := 0
	s.flood.queue = s.flood.queue[:0]
	visit := func(u, v int) {
		mark := &s.flood.marks[(v-y+s.speck)*side+u-x+s.speck]
		if *mark == s.flood.turn || !s.in(u, v) {
			return
		}
		*mark = s.flood.turn
		count++
		s.flood.queue = append(s.flood.queue, [2]int{u, v})
	}
	visit(x, y)
	for len(s.flood.queue) > 0 && count <= s.speck {
		last := len(s.flood.queue) - 1
		u, v := s.flood.queue[last][0], s.flood.queue[last][1]
		s.flood.queue = s.flood.queue[:last]
		for dv := -1; dv <= 1 && count <= s.speck; dv++ {
			for du := -1; du <= 1 && count <= s.speck; du++ {
				visit(u+du, v+dv)
			}
		}
	}
	return count <= s.speck
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
