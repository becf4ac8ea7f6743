package artwork

import "math"

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
