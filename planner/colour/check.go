package colour

import (
	"errors"
	"fmt"
	"image/color"
	"math"
	"strings"

	colorful "github.com/lucasb-eyer/go-colorful"
)

// Check says what in a plan contradicts its problem: wrong number or order of
// swatches, a name that is no colour or no near one, a sublimated colour
// brighter than its blank, a forecast off by more than rounding, a difference
// that CIELAB (through another library, so only roughly) does not bear out, a
// colour wrongly called gone. It shares no code with Solve.
func Check(p Problem, plan Plan) error {
	if len(plan.Swatches) != len(p.Wanted) {
		return fmt.Errorf("colour plan: %d swatches for %d colours", len(plan.Swatches), len(p.Wanted))
	}
	var faults []error
	for i, s := range plan.Swatches {
		if s.Wanted != p.Wanted[i] {
			faults = append(faults, fmt.Errorf("colour plan: swatch %d is of %s, want %s", i+1, s.Wanted, p.Wanted[i]))
			continue
		}
		if err := checkSwatch(p, s); err != nil {
			faults = append(faults, fmt.Errorf("colour plan: swatch %d: %w", i+1, err))
		}
	}
	return errors.Join(faults...)
}

func checkSwatch(p Problem, s Swatch) error {
	var faults []error
	fault := func(bad bool, format string, args ...any) {
		if bad {
			faults = append(faults, fmt.Errorf(format, args...))
		}
	}
	art, seen, blank := other(s.Wanted), other(s.Seen), other(p.Blank)
	backing, polyester := blank, float64(p.Polyester)
	if p.Ground != nil {
		backing, polyester = other(*p.Ground), 1
	}
	for i, want := range filtered(art, backing, polyester) {
		got := [3]float64{seen.R, seen.G, seen.B}[i]
		// Half an 8-bit step of rounding, and a little for the two libraries.
		fault(math.Abs(got-want) > 0.6/255, "channel %d is %.3f, want %.3f", i+1, got, want)
	}
	fault(roughly(s.Difference, art, seen), "difference %.1f does not fit %s and %s", s.Difference, s.Wanted, s.Seen)
	fault(roughly(s.Contrast, seen, blank), "contrast %.1f does not fit %s on %s", s.Contrast, s.Seen, p.Blank)
	fault(s.Vanishes != (s.Contrast < p.Vanish || s.Seen == p.Blank), "vanishes is %t at contrast %.1f", s.Vanishes, s.Contrast)
	fault(strings.TrimSpace(s.Word) == "" || s.Name == "" || s.SeenName == "", "a word or name is missing")
	return errors.Join(faults...)
}

func other(c color.Color) colorful.Color {
	made, _ := colorful.MakeColor(c)
	return made
}

// filtered is the forecast again, worked on light instead of on dye: of the
// square roots of light, the dyed share is dimmed and the bare share is not.
func filtered(art, backing colorful.Color, polyester float64) [3]float64 {
	ar, ag, ab := art.LinearRgb()
	br, bg, bb := backing.LinearRgb()
	mix := func(a, b float64) float64 {
		root := math.Sqrt(b) - polyester*math.Sqrt(b)*(1-math.Sqrt(a))
		return root * root
	}
	out := colorful.LinearRgb(mix(ar, br), mix(ag, bg), mix(ab, bb)).Clamped()
	return [3]float64{out.R, out.G, out.B}
}

// roughly reports whether a CIEDE2000 value is out of reach of the other
// library's, which is right except beside exactly opposite hues, where it may
// take the other side of the formula's jump (0.06 between near greys; a tenth
// of the value is ample).
func roughly(difference float64, a, b colorful.Color) bool {
	want := 100 * a.DistanceCIEDE2000(b)
	return !(math.Abs(difference-want) <= 0.1+want/10)
}
