package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Style says how a shop likes its quantities written. The zero Style is
// metric: Celsius and millimetres first, the other unit in brackets.
type Style struct {
	Fahrenheit bool // Fahrenheit first
	Inches     bool // inches first
	Words      Words
}

// Words are the few words among the units, for a language other than English;
// an empty one is the English word.
type Words struct {
	Inch string // "in"
	Days string // "days"
	To   string // "to", between the ends of a range
}

func word(w, english string) string {
	if w == "" {
		return english
	}
	return w
}

// Temperature writes t as "310 °F (154 °C)", each rounded to whole degrees.
func (s Style) Temperature(t Temperature) string {
	f, c := whole(t.F())+" °F", whole(t.C())+" °C"
	if s.Fahrenheit {
		return f + " (" + c + ")"
	}
	return c + " (" + f + ")"
}

// TemperatureRange writes a range as "275-320 °F (135-160 °C)".
func (s Style) TemperatureRange(low, high Temperature) string {
	f := whole(low.F()) + "-" + whole(high.F()) + " °F"
	c := whole(low.C()) + "-" + whole(high.C()) + " °C"
	if s.Fahrenheit {
		return f + " (" + c + ")"
	}
	return c + " (" + f + ")"
}

// Length writes l as "9 in (229 mm)".
func (s Style) Length(l Length) string {
	in, mm := s.inches(l)+s.in(), millimetres(l)+" mm"
	if s.Inches {
		return in + " (" + mm + ")"
	}
	return mm + " (" + in + ")"
}

// LengthRange writes a range as "3-4 in (76-102 mm)".
func (s Style) LengthRange(low, high Length) string {
	in := s.inches(low) + "-" + s.inches(high) + s.in()
	mm := millimetres(low) + "-" + millimetres(high) + " mm"
	if s.Inches {
		return in + " (" + mm + ")"
	}
	return mm + " (" + in + ")"
}

// Size writes a width and a height as "9 x 7 in" or "229 x 178 mm".
func (s Style) Size(w, h Length) string {
	if s.Inches {
		return s.inches(w) + " x " + s.inches(h) + s.in()
	}
	return millimetres(w) + " x " + millimetres(h) + " mm"
}

// ArealMass writes m as "5.3 oz/yd² (180 g/m²)" or the other way round.
func (s Style) ArealMass(m ArealMass) string {
	oz, g := trim(m.OzYd2(), 1)+" oz/yd²", whole(m.GSM())+" g/m²"
	if s.Inches {
		return oz + " (" + g + ")"
	}
	return g + " (" + oz + ")"
}

// Duration writes d as someone at a press says it: "30 s", "120 s", "10 min",
// "2 h 35 min", "3 days". Dwells up to three minutes stay in seconds.
func (s Style) Duration(d Duration) string {
	sec := d.S()
	switch {
	case sec <= 180 || sec < 600 && math.Mod(sec, 60) != 0:
		return trim(sec, 1) + " s"
	case sec < 3600:
		return trim(sec/60, 0) + " min"
	case sec < 48*3600 && (sec != 24*3600):
		minutes := int(math.Round(sec / 60))
		if minutes%60 == 0 {
			return strconv.Itoa(minutes/60) + " h"
		}
		return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
	case sec == 24*3600:
		return "24 h"
	default:
		return trim(sec/86400, 1) + " " + word(s.Words.Days, "days")
	}
}

// DurationRange writes a range as "5-15 min" where both ends share a unit.
func (s Style) DurationRange(low, high Duration) string {
	a, b := s.Duration(low), s.Duration(high)
	na, ua, okA := strings.Cut(a, " ")
	_, ub, okB := strings.Cut(b, " ")
	if okA && okB && ua == ub && !strings.Contains(ua, " ") {
		return na + "-" + b
	}
	return a + " " + word(s.Words.To, "to") + " " + b
}

// Percent writes a share as "50 %".
func (s Style) Percent(v Share) string { return trim(v.Percent(), 1) + " %" }

// in is the unit behind inches.
func (s Style) in() string { return " " + word(s.Words.Inch, "in") }

// inches writes a length in inches to a hundredth, without trailing zeros.
func (s Style) inches(l Length) string { return trim(l.In(), 2) }

func millimetres(l Length) string {
	if math.Abs(l.MM()) < 10 {
		return trim(l.MM(), 1)
	}
	return whole(l.MM())
}

func whole(v float64) string { return strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64) }

// trim rounds to at most places decimals and drops trailing zeros.
func trim(v float64, places int) string {
	t := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(t, ".") {
		t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	}
	if t == "-0" {
		return "0"
	}
	return t
}
