package picture

import (
	"image"
	"math"
	"slices"
)

// A shape can be painted on a raster and written as SVG.
type shape interface {
	paint(*raster)
	write(*vector)
}

type line struct {
	x1, y1, x2, y2 float64
	style          Style
}

type circle struct {
	x, y, r float64
	style   Style
}

type polygon struct {
	points [][2]float64
	style  Style
}

type label struct {
	x, y   float64
	text   string
	set    Text
	length float64
}

type photo struct {
	x, y, w, h float64
	image      image.Image
}

// hatchStep is the distance between two hatching lines, measured along x, in
// pixels: wide enough to stay apart on a phone, narrow enough that a small
// piece holds a few.
const hatchStep = 8.0

// hatch returns the diagonal lines, rising to the right, that lie inside the
// polygon (even-odd rule). Lines stand at whole steps of x + y, so that
// neighbouring shapes hatch alike.
func hatch(points [][2]float64) []line {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = math.Min(low, p[0]+p[1]), math.Max(high, p[0]+p[1])
	}
	var lines []line
	for k := math.Ceil(low / hatchStep); k*hatchStep < high; k++ {
		sum := k * hatchStep
		crossings := crossings(points, sum)
		for i := 0; i+1 < len(crossings); i += 2 {
			a, b := crossings[i], crossings[i+1]
			lines = append(lines, line{x1: a, y1: sum - a, x2: b, y2: sum - b})
		}
	}
	return lines
}

// crossings returns the x where the line x + y = sum meets the outline, in
// order. An edge owns its lower end only, so that a corner counts once.
func crossings(points [][2]float64, sum float64) []float64 {
	var xs []float64
	for i, p := range points {
		q := points[(i+1)%len(points)]
		a, b := p[0]+p[1]-sum, q[0]+q[1]-sum
		if (a < 0) == (b < 0) {
			continue
		}
		t := a / (a - b)
		xs = append(xs, p[0]+t*(q[0]-p[0]))
	}
	slices.Sort(xs)
	return xs
}

// circlePoints is how many corners stand in for a circle when it is hatched.
const circlePoints = 48

func (c circle) outline() [][2]float64 {
	points := make([][2]float64, circlePoints)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / circlePoints)
		points[i] = [2]float64{c.x + c.r*cos, c.y + c.r*sin}
	}
	return points
}
