package colour

import (
	"math"

	"presshand/planner/unit"
)

// wandering is Yule and Nielsen's n: 1 where light leaves where it entered, 2
// where it spreads far beyond the size of a dyed spot. Fibres are about 15
// micrometres across and light spreads over tenths of a millimetre of cloth,
// so 2.
const wandering = 2

// Sublimated returns how art looks after dye sublimation onto a blank of the
// given colour and polyester share: R = B (p T^(1/2) + 1 - p)^2 in linear
// light, see the package comment for model, limits and source.
//
// It never returns a channel brighter than the blank's, and none darker than
// on a darker blank. White art prints nothing. A polyester share outside 0..1
// is taken as the nearer end, and not a number as 0.
func Sublimated(art, blank Colour, polyester unit.Share) Colour {
	p := min(max(float64(polyester), 0), 1)
	if math.IsNaN(p) {
		p = 0
	}
	dye := func(art, blank uint8) uint8 {
		through := p*math.Pow(linear(art), 1.0/wandering) + 1 - p
		return encode(linear(blank) * math.Pow(through, wandering))
	}
	return Colour{
		R: dye(art.R, blank.R),
		G: dye(art.G, blank.G),
		B: dye(art.B, blank.B),
	}
}

// Transferred returns how art looks as a two-step transfer whose white ground
// has the given colour once pressed: toner is a transparent filter over it,
// everywhere at full strength. White where the ground is opaque and clean; a
// thin ground over a dark blank is greyer. The blank itself does not show.
func Transferred(art, ground Colour) Colour {
	return Sublimated(art, ground, 1)
}
