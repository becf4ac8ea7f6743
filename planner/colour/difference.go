package colour

import "math"

// CIEDE2000 returns the colour difference of G. Sharma, W. Wu, E. N. Dalal,
// The CIEDE2000 color-difference formula: implementation notes, supplementary
// test data, and mathematical observations, Color Research and Application
// 30(1), 2005, 21-30, with kL = kC = kH = 1. About 1 is the least a trained
// eye sees side by side. It is symmetric, 0 for equal colours, and no metric:
// the triangle inequality does not hold.
//
// Where the two hues lie exactly opposite, the formula jumps (pairs 10 and 14
// of the paper's Table 1), and the last bit of an arc tangent would choose the
// side. Here the sign of the cross product chooses, and a product of exactly
// zero counts as a difference of exactly 180 degrees, as in the paper.
//
// It is our own because the colour library at hand takes only colours, turns
// L*a*b* into RGB and back on the way, and so lands on the wrong side of pair
// 10 (7.2195 for 7.1792).
func CIEDE2000(a, b Lab) float64 {
	a1, a2 := primedAxes(a, b)
	c1, c2 := math.Hypot(a1, a.B), math.Hypot(a2, b.B)
	dh, meanHue := hues(Lab{A: a1, B: a.B}, Lab{A: a2, B: b.B})

	dL, dC := b.L-a.L, c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(radians(dh/2))
	meanL, meanC := (a.L+b.L)/2, (c1+c2)/2

	t := 1 -
		0.17*math.Cos(radians(meanHue-30)) +
		0.24*math.Cos(radians(2*meanHue)) +
		0.32*math.Cos(radians(3*meanHue+6)) -
		0.20*math.Cos(radians(4*meanHue-63))
	sL := 1 + 0.015*square(meanL-50)/math.Sqrt(20+square(meanL-50))
	sC := 1 + 0.045*meanC
	sH := 1 + 0.015*meanC*t

	turn := 30 * math.Exp(-square((meanHue-275)/25))
	rT := -2 * chromaWeight(meanC) * math.Sin(radians(2*turn))

	l, c, h := dL/sL, dC/sC, dH/sH
	// Rounding can carry a sum of nothing just below zero.
	return math.Sqrt(max(0, l*l+c*c+h*h+rT*c*h))
}

// primedAxes returns both colours' a' = (1 + G) a*, which evens out greys.
func primedAxes(a, b Lab) (a1, a2 float64) {
	g := 0.5 * (1 - chromaWeight((a.Chroma()+b.Chroma())/2))
	return (1 + g) * a.A, (1 + g) * b.A
}

// chromaWeight is sqrt(c^7 / (c^7 + 25^7)).
func chromaWeight(c float64) float64 {
	const limit = 25.0 * 25 * 25 * 25 * 25 * 25 * 25
	c7 := math.Pow(c, 7)
	return math.Sqrt(c7 / (c7 + limit))
}

// hues returns the step from the first hue to the second, -180..180 degrees,
// and the middle of the shorter arc between them, 0..360. A grey has no hue:
// beside one the step is 0 and the middle is the other's hue.
func hues(p, q Lab) (step, middle float64) {
	h1, h2 := hue(p), hue(q)
	if p.Chroma() == 0 || q.Chroma() == 0 {
		return 0, h1 + h2
	}
	step = h2 - h1
	if p.A*q.A+p.B*q.B >= 0 {
		// Less than a right angle apart: only the seam at 0 degrees matters.
		if step > 180 {
			step -= 360
		} else if step < -180 {
			step += 360
		}
	} else {
		// The conversions keep compilers from fusing the two products, which
		// would make opposite hues come out as not quite opposite.
		cross := float64(p.A*q.B) - float64(q.A*p.B)
		switch {
		case cross == 0:
			return math.Copysign(180, step), (h1 + h2) / 2
		case cross > 0 && step < 0:
			step += 360
		case cross < 0 && step > 0:
			step -= 360
		}
	}
	return step, math.Mod(h1+step/2+360, 360)
}

// hue is the angle of a colour in the a'b* plane, 0..360 degrees, 0 for grey.
func hue(c Lab) float64 {
	if c.A == 0 && c.B == 0 {
		return 0
	}
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }

func square(x float64) float64 { return x * x }
