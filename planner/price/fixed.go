package price

import (
	"math"
	"math/bits"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// Inside, figures are whole numbers of small units, and this is where each is
// rounded, half up unless said otherwise:
//
//	shares             a thousand-millionth (nano)
//	times              a microsecond
//	areas              a thousandth of a square millimetre
//	pages a piece      a thousand-millionth
//	counts             a millionth: pieces, hours, kWh, pages
//	rates              ratePlaces more places than the currency
//	amounts            the currency's own places, by its rounding rule
//
// An amount is always round(count x rate), so it can be worked again from the
// figures shown, which are the figures used.
const (
	nano        = 1_000_000_000
	micro       = 1_000_000
	perMicro    = nano / micro
	countPlaces = 6
	sharePlaces = 9
	areaPlaces  = 3
	ratePlaces  = 4
	rateScale   = 10_000 // 10^ratePlaces
)

// microsPerHour is the number of microseconds in an hour.
const microsPerHour = 3_600_000_000

// calc does arithmetic on non-negative int64 and remembers whether anything
// went beyond them; its owner looks at over once, at the end.
type calc struct {
	places int32
	rule   Rounding
	step   int64 // smallest charged amount, in minor units
	over   bool
}

// mulDiv returns a b / d, rounded by the rule; d > 0.
func (c *calc) mulDiv(a, b, d int64, rule Rounding) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi >= uint64(d) {
		c.over = true
		return 0
	}
	q, rest := bits.Div64(hi, lo, uint64(d))
	if roundsUp(q, rest, uint64(d), rule) {
		q++
	}
	if q > math.MaxInt64 {
		c.over = true
		return 0
	}
	return int64(q)
}

// roundsUp reports whether a quotient q with a rest goes up to q+1.
func roundsUp(q, rest, d uint64, rule Rounding) bool {
	switch {
	case rest == 0:
		return false
	case rule == Up:
		return true
	case rest != d-rest:
		return rest > d-rest
	case rule == HalfEven:
		return q%2 == 1
	}
	return true
}

// mul returns a b.
func (c *calc) mul(a, b int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi != 0 || lo > math.MaxInt64 {
		c.over = true
		return 0
	}
	return int64(lo)
}

// add returns a + b.
func (c *calc) add(a, b int64) int64 {
	s := a + b
	if s < 0 {
		c.over = true
		return 0
	}
	return s
}

// amount returns count x rate in minor units.
func (c *calc) amount(count, rate int64) int64 {
	return c.mulDiv(count, rate, micro*rateScale, c.rule)
}

// share returns the part s (in nano) of an amount.
func (c *calc) share(amount, s int64) int64 { return c.mulDiv(amount, s, nano, c.rule) }

// charged returns num x mul / den as an amount that can be charged: a
// multiple of the currency's step.
func (c *calc) charged(num, mul, den int64) int64 {
	return c.mul(c.mulDiv(num, mul, c.mul(den, c.step), c.rule), c.step)
}

// fixed returns d in units of 10^-places, half up.
func (c *calc) fixed(d decimal.Decimal, places int32) int64 {
	if d.Exponent() < -places {
		d = d.Round(places)
	}
	if d.NumDigits() > maxDigits {
		c.over = true
		return 0
	}
	n := d.CoefficientInt64()
	for shift := places + d.Exponent(); shift > 0; shift-- {
		n = c.mul(n, 10)
	}
	return n
}

// maxDigits is how many digits any int64 can hold.
const maxDigits = 18

// rate returns a price in rate units, and money an amount in minor units.
func (c *calc) rate(d decimal.Decimal) int64  { return c.fixed(d, c.places+ratePlaces) }
func (c *calc) money(d decimal.Decimal) int64 { return c.fixed(d, c.places) }

// nanos returns a share in nano; micros a time in microseconds.
func nanos(s unit.Share) int64     { return int64(math.Round(float64(s) * nano)) }
func micros(d unit.Duration) int64 { return int64(math.Round(d.S() * micro)) }

// area returns a rectangle's area in thousandths of a square millimetre.
func (c *calc) area(w, h unit.Length) int64 { return c.fixed(area(w, h), areaPlaces) }

// area is a rectangle's area in square millimetres.
func area(w, h unit.Length) decimal.Decimal {
	return decimal.NewFromFloat(w.MM()).Mul(decimal.NewFromFloat(h.MM()))
}

// toMoney, toRate, toShare and toCount turn inner figures into decimals.
func (c *calc) toMoney(v int64) decimal.Decimal { return decimal.New(v, -c.places) }
func (c *calc) toRate(v int64) decimal.Decimal  { return decimal.New(v, -c.places-ratePlaces) }
func toShare(v int64) decimal.Decimal           { return decimal.New(v, -sharePlaces) }
func toCount(v int64) decimal.Decimal           { return decimal.New(v, -countPlaces) }
