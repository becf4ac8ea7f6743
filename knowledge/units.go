package knowledge

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"presshand/planner/unit"
)

// A measure is one way to write a value: the dimension it is of, and how the
// number turns into the dimension's inner unit.
type measure struct {
	dimension Dimension
	inner     func(float64) float64
}

// measures returns the units a value may be written in. A unit that is not
// here is refused: "310 Farenheit" must not pass as a count of something.
func measures() map[string]measure {
	same := func(x float64) float64 { return x }
	times := func(k float64) func(float64) float64 { return func(x float64) float64 { return x * k } }
	const hour, day = 3600, 24 * 3600

	m := map[string]measure{
		"C":       {Temperature, same},
		"F":       {Temperature, func(x float64) float64 { return unit.Fahrenheit(x).C() }},
		"C apart": {Difference, same},
		"F apart": {Difference, times(5.0 / 9)},
		"s":       {Time, same},
		"min":     {Time, times(60)},
		"h":       {Time, times(hour)},
		"d":       {Time, times(day)},
		"mm":      {Length, same},
		"cm":      {Length, times(10)},
		"in":      {Length, times(unit.MillimetresPerInch)},
		"%":       {Share, same},
		"g/m2":    {ArealMass, same},
		"oz/yd2":  {ArealMass, func(x float64) float64 { return unit.OuncesPerSquareYard(x).GSM() }},
		"washes":  {Washes, same},
		"ppi":     {Resolution, same},
	}
	for _, counted := range []string{
		"x", "pieces", "sheets", "pages", "prints", "garments", "blanks", "layers", "colours", "readings", "points",
		"people", "presses", "cartridges", "sizes", "times", "fingers", "dots", "designs", "steps", "sides", "corners",
		"jobs", "orders", "uses", "years", "launderings",
	} {
		m[counted] = measure{Count, same}
	}
	for _, other := range []string{
		"L*", "C*ab", "dE00", "kPa", "psi", "bar", "N", "V", "A", "W", "kW", "Hz", "kg", "g", "lb", "oz", "ml", "l", "ppm", "ppb", "mg/m3", "mg/m2",
		"ug/ml", "% RH", "C/min", "F/min", "lx", "dB", "dpi", "lpi", "pH", "deg", "g/cm2", "m/s", "mg/l", "months", "USD",
	} {
		m[other] = measure{Other, same}
	}
	return m
}

// unitsOf returns the units a dimension may be written in, sorted; all units
// where dimension is "".
func unitsOf(all map[string]measure, dimension Dimension) []string {
	var names []string
	for name, m := range all {
		if dimension == "" || m.dimension == dimension {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// An amount is one written number with its unit.
type amount struct {
	number float64
	unit   string
}

// splitAmount reads "310 F" into number and unit; the unit may be missing.
func splitAmount(s string) (amount, error) {
	end := 0
	for end < len(s) && strings.IndexByte("+-.0123456789", s[end]) >= 0 {
		end++
	}
	number, err := strconv.ParseFloat(s[:end], 64)
	if err != nil {
		return amount{}, fmt.Errorf("%q does not begin with a number", s)
	}
	return amount{number, strings.TrimSpace(s[end:])}, nil
}
