package answer

import (
	"presshand/bot/reply"
	"presshand/planner/unit"
)

// convert turns a quantity into another unit. Only here does a fact carry the
// unit that was asked for.
func (c *draft) convert() {
	v := c.ask.Convert
	if v.Kind == "" {
		c.asked("quantity", c.phrase("ask-convert", "Convert what? For example: 385 F, 9 in, 5.3 oz."))
		return
	}
	to := v.To
	if to == "" {
		to = otherUnit(v.Kind, v.From)
	}
	value, ok := inUnit(v.Kind, v.Value, to)
	if !ok {
		c.asked("unit", c.phrase("ask-unit", "I can't turn that into {unit}. Into F, C, in, mm, oz, gsm, s or min?", "unit", to))
		return
	}
	from, _ := inUnit(v.Kind, v.Value, v.From)
	if v.Value2 != 0 {
		other, _ := inUnit(v.Kind, v.Value2, to)
		otherFrom, _ := inUnit(v.Kind, v.Value2, v.From)
		for _, side := range []float64{value, other} {
			c.fact(reply.Fact{Name: "converted", Value: round(side), Unit: to, Source: reply.Source{Kind: "computed"}})
		}
		c.say("converted", "{to} ({from}).", "to", plain(value)+" x "+c.written(other, to), "from", plain(from)+" x "+c.written(otherFrom, v.From))
		c.suggest("settings", "steps")
		return
	}
	c.fact(reply.Fact{Name: "converted", Value: round(value), Unit: to, Source: reply.Source{Kind: "computed"}})
	c.say("converted", "{to} ({from}).", "to", c.written(value, to), "from", c.written(from, v.From))
	c.suggest("settings", "steps")
}

// otherUnit is the unit a person means by "in the other one".
func otherUnit(kind, from string) string {
	pairs := map[string][2]string{
		"temperature": {"F", "C"}, "length": {"in", "mm"}, "mass": {"oz/yd2", "g/m2"}, "time": {"s", "min"},
	}
	p := pairs[kind]
	if from == p[0] {
		return p[1]
	}
	return p[0]
}

// inUnit expresses an inside value in a unit.
func inUnit(kind string, v float64, to string) (float64, bool) {
	switch kind + " " + to {
	case "temperature F":
		return unit.Celsius(v).F(), true
	case "temperature C":
		return v, true
	case "length in":
		return unit.Millimetres(v).In(), true
	case "length mm":
		return v, true
	case "length cm":
		return v / 10, true
	case "mass oz/yd2":
		return unit.GramsPerSquareMetre(v).OzYd2(), true
	case "mass g/m2":
		return v, true
	case "volume ml":
		return v, true
	case "volume fl oz":
		return v / unit.MillilitresPerFluidOunce, true
	case "time s":
		return v, true
	case "time min":
		return unit.Seconds(v).Min(), true
	}
	return 0, false
}

// written shows a converted value: whole degrees and millimetres, else two
// decimals.
func (c *draft) written(v float64, to string) string {
	switch to {
	case "F", "C":
		return rounded(v) + " °" + to
	case "oz/yd2":
		return plain(v) + " oz/yd²"
	case "g/m2":
		return plain(float64(int(v*10+0.5))/10) + " g/m²"
	default:
		return plain(v) + " " + c.noun(to)
	}
}
