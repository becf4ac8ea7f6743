package price

import (
	"fmt"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// MarkupOf returns the markup that a margin amounts to: g / (1 - g). The
// margin is 0 to under 1.
func MarkupOf(margin unit.Share) (unit.Share, error) {
	if !(margin >= 0 && margin < 1) {
		return 0, fmt.Errorf("a margin of %v %% has no markup: give 0 to under 100 %%", margin.Percent())
	}
	return margin / (1 - margin), nil
}

// MarginOf returns the margin that a markup amounts to: m / (1 + m). The
// markup is 0 or more.
func MarginOf(markup unit.Share) (unit.Share, error) {
	if !(markup >= 0) {
		return 0, fmt.Errorf("a markup of %v %%: give 0 %% or more", markup.Percent())
	}
	return markup / (1 + markup), nil
}

// Price returns the price of a cost, rounded half up to places:
// cost / (1 - share) by margin, cost (1 + share) by markup.
func (g Gain) Price(cost decimal.Decimal, places int32) (decimal.Decimal, error) {
	var f faults
	f.gain(g, &place{nil, "gain", noItem})
	if len(f.list) > 0 {
		return decimal.Decimal{}, f.list[0]
	}
	one, share := decimal.NewFromInt(1), written(g.Share)
	if g.By == ByMarkup {
		return cost.Mul(one.Add(share)).Round(places), nil
	}
	return cost.DivRound(one.Sub(share), places), nil
}

// MachineHourRate returns what an hour on the machine costs, power apart,
// rounded half up to places:
//
//	((price - residual) / life + upkeep + space) / productive hours,
//
// or PerHour where that is given. The definition is that of the cost
// accounting texts; depreciation is straight-line. A machine without hours, or
// with a price to write off but no life, has no rate: it returns zero, and
// [Rates.Faults] refuses it.
func MachineHourRate(m Machine, places int32) decimal.Decimal {
	if !m.PerHour.IsZero() {
		return m.PerHour.Round(places)
	}
	loss := m.Price.Sub(m.Residual)
	if !m.Hours.IsPositive() || !loss.IsZero() && !m.Life.IsPositive() {
		return decimal.Decimal{}
	}
	years := m.Life
	if loss.IsZero() {
		years = decimal.NewFromInt(1)
	}
	// One division, so that nothing is rounded twice:
	// (loss + (upkeep + space) life) / (life hours).
	yearly := m.Upkeep.Add(m.Space).Mul(years)
	return loss.Add(yearly).DivRound(years.Mul(m.Hours), places)
}

// BreakEvenUnits returns the least whole quantity at which sales cover a fixed
// cost: ceil(fixed / (price - variable)). Source: C. T. Horngren and others,
// Cost Accounting, chapter on cost-volume-profit. Fixed is zero or more; price
// must exceed variable, or no quantity ever pays.
func BreakEvenUnits(fixed, price, variable decimal.Decimal) (int64, error) {
	each := price.Sub(variable)
	if fixed.IsNegative() || !each.IsPositive() {
		return 0, fmt.Errorf("break-even of fixed cost %s at price %s and variable cost %s: the price must exceed the variable cost, and the fixed cost be zero or more",
			fixed, price, variable)
	}
	whole, rest := fixed.QuoRem(each, 0)
	n := whole.IntPart()
	if rest.IsPositive() {
		n++
	}
	return n, nil
}
