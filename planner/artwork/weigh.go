package artwork

import "math"

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
