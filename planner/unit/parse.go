package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The Parse functions read what a person writes with its unit: "310F",
// "9 in", `9"`, "2 min 30 s", "45 %". A number is a plain decimal with a
// point; case and blanks between number and unit don't matter. A number
// without a unit is an error: nobody can tell 60 s from 60 min.

// ParseTemperature reads "310F", "310 °F", "154 C". Below absolute zero is an
// error.
func ParseTemperature(s string) (Temperature, error) {
	x, u, err := split(s)
	if err != nil {
		return 0, fmt.Errorf("temperature %w", err)
	}
	var t Temperature
	switch strings.TrimPrefix(strings.TrimPrefix(u, "deg "), "°") {
	case "f", "fahrenheit":
		t = Fahrenheit(x)
	case "c", "celsius":
		t = Celsius(x)
	default:
		return 0, unknownUnit("temperature", s, u, "F or C")
	}
	if !t.Valid() {
		return 0, fmt.Errorf("temperature %q is below absolute zero", s)
	}
	return t, nil
}

// ParseLength reads "9 in", `9"`, "9 inches", "229 mm", "22.9 cm", "2 ft",
// "1.5 m". A negative length is an error.
func ParseLength(s string) (Length, error) {
	x, u, err := split(s)
	if err != nil {
		return 0, fmt.Errorf("length %w", err)
	}
	factors := map[string]float64{
		"mm": 1, "millimetre": 1, "millimetres": 1, "millimeter": 1, "millimeters": 1,
		"cm": 10, "centimetre": 10, "centimetres": 10, "centimeter": 10, "centimeters": 10,
		"m": 1000, "metre": 1000, "metres": 1000, "meter": 1000, "meters": 1000,
		"in": MillimetresPerInch, "inch": MillimetresPerInch, "inches": MillimetresPerInch,
		`"`: MillimetresPerInch, "″": MillimetresPerInch, "”": MillimetresPerInch,
		"ft": 12 * MillimetresPerInch, "foot": 12 * MillimetresPerInch, "feet": 12 * MillimetresPerInch,
	}
	k, ok := factors[u]
	if !ok {
		return 0, unknownUnit("length", s, u, "in, mm or cm")
	}
	if x < 0 {
		return 0, fmt.Errorf("length %q is negative", s)
	}
	return Length(x * k), nil
}

// ParseDuration reads "30 s", "2 min", "1 h 05 min", "24 h", "3 days". The
// parts of a longer one follow from the largest unit to the smallest. A
// negative duration is an error.
func ParseDuration(s string) (Duration, error) {
	rest := strings.TrimSpace(s)
	total, last := 0.0, math.Inf(1)
	for first := true; first || rest != ""; first = false {
		part := rest
		if end := partEnd(rest); end > 0 {
			part, rest = rest[:end], strings.TrimSpace(rest[end:])
		} else {
			rest = ""
		}
		x, u, err := split(part)
		if err != nil {
			return 0, fmt.Errorf("duration %w", err)
		}
		k := secondsIn(u)
		switch {
		case k == 0:
			return 0, unknownUnit("duration", s, u, "s, min, h or days")
		case x < 0:
			return 0, fmt.Errorf("duration %q is negative", s)
		case k >= last:
			return 0, fmt.Errorf("duration %q does not go from larger to smaller units", s)
		}
		total, last = total+x*k, k
	}
	return Duration(total), nil
}

// partEnd returns where the second number of "1 h 05 min" begins, 0 where
// there is none.
func partEnd(s string) int {
	letters := false
	for i, r := range s {
		digit := r >= '0' && r <= '9'
		if digit && letters {
			return i
		}
		letters = letters || !digit && r != ' ' && r != '.' && r != '-' && r != '+'
	}
	return 0
}

func secondsIn(u string) float64 {
	switch u {
	case "s", "sec", "secs", "second", "seconds":
		return 1
	case "min", "mins", "minute", "minutes":
		return 60
	case "h", "hr", "hrs", "hour", "hours":
		return 3600
	case "d", "day", "days":
		return 24 * 3600
	}
	return 0
}

// ParseShare reads "45 %", "45%", "45 percent". It sets no bounds: a share of
// a cost may pass one.
func ParseShare(s string) (Share, error) {
	x, u, err := split(s)
	if err != nil {
		return 0, fmt.Errorf("share %w", err)
	}
	switch u {
	case "%", "percent", "per cent", "pct":
		return Percent(x), nil
	}
	return 0, unknownUnit("share", s, u, "%")
}

// ParseArealMass reads "180 g/m2", "180 gsm", "5.3 oz/yd2", and "5.3 oz", by
// which people who weigh fabric mean ounces per square yard. A negative mass
// is an error.
func ParseArealMass(s string) (ArealMass, error) {
	x, u, err := split(s)
	if err != nil {
		return 0, fmt.Errorf("fabric weight %w", err)
	}
	if x < 0 {
		return 0, fmt.Errorf("fabric weight %q is negative", s)
	}
	switch strings.NewReplacer("²", "2", " ", "").Replace(u) {
	case "g/m2", "gsm":
		return GramsPerSquareMetre(x), nil
	case "oz", "oz/yd2", "oz/sqyd", "oz/sq.yd", "ounce", "ounces":
		return OuncesPerSquareYard(x), nil
	}
	return 0, unknownUnit("fabric weight", s, u, "oz/yd2 or g/m2")
}

// split reads a number and the unit behind it, in lower case.
func split(s string) (number float64, unit string, err error) {
	s = strings.TrimSpace(s)
	end := 0
	for end < len(s) && strings.IndexByte("+-.0123456789", s[end]) >= 0 {
		end++
	}
	number, err = strconv.ParseFloat(s[:end], 64)
	if err != nil {
		return 0, "", fmt.Errorf("%q does not begin with a number", s)
	}
	return number, strings.ToLower(strings.TrimSpace(s[end:])), nil
}

func unknownUnit(what, s, u, want string) error {
	if u == "" {
		return fmt.Errorf("%s %q has no unit: write %s behind the number", what, s, want)
	}
	return fmt.Errorf("%s %q has the unknown unit %q: write %s", what, s, u, want)
}
