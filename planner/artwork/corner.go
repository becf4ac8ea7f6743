package artwork

import "math"

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
