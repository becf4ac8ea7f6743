package price

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
)

// kept is a Plan without its script form, so that all of it is written.
type kept Plan

// Keep writes the whole quote as JSON, with the prices and rules it was made
// with, so that it can be shown and explained later whatever prices do in the
// meantime. The line's function from pieces to sheets is not kept: a kept
// quote can be read, not worked at other quantities.
func (p Plan) Keep() ([]byte, error) {
	data, err := json.Marshal(kept(p))
	if err != nil {
		return nil, fmt.Errorf("keep a quote: %w", err)
	}
	return data, nil
}

// Kept reads what [Plan.Keep] wrote. A record that lacks what its figures are
// explained by is an error; that its figures are right is for [Check] to say.
func Kept(data []byte) (Plan, error) {
	var p kept
	if err := json.Unmarshal(data, &p); err != nil {
		return Plan{}, fmt.Errorf("read a kept quote: %w", err)
	}
	if err := whole(p); err != nil {
		return Plan{}, fmt.Errorf("read a kept quote: the record is damaged: %w", err)
	}
	return Plan(p), nil
}

// whole reports what a kept quote lacks for its figures to be explained.
func whole(p kept) error {
	from := p.From
	from.Lines = slices.Clone(from.Lines)
	for i := range from.Lines {
		from.Lines[i].PerSheet = max(1, from.Lines[i].PerSheet) // stands in for the function that is not kept
	}
	if err := from.Faults(); err != nil {
		return err
	}
	if len(p.Lines) != len(from.Lines) {
		return fmt.Errorf("%d lines are priced and %d were ordered", len(p.Lines), len(from.Lines))
	}
	for i := range p.Lines {
		if p.Lines[i].Method != from.Lines[i].Method {
			return fmt.Errorf("line %d is priced by %q and ordered by %q", i+1, p.Lines[i].Method, from.Lines[i].Method)
		}
	}
	for _, d := range p.figures() {
		if d.Exponent() < -maxDigits || d.NumDigits()+int(d.Exponent()) > maxDigits {
			return errors.New("a figure has too many digits")
		}
	}
	for i := range p.Charges {
		if n := p.Charges[i].Line; n < 0 || n > len(p.Lines) {
			return fmt.Errorf("charge %d belongs to line %d of %d", i+1, n, len(p.Lines))
		}
	}
	for i := range p.Falls {
		if n := p.Falls[i].Line; n < 1 || n > len(p.Lines) {
			return fmt.Errorf("fall %d belongs to line %d of %d", i+1, n, len(p.Lines))
		}
	}
	return nil
}

// figures lists every amount, rate and count of a kept quote.
func (p *kept) figures() []decimal.Decimal {
	out := []decimal.Decimal{
		p.Subtotal, p.Setup, p.Rush, p.MinimumTopup, p.Discount, p.CardFee, p.Tax, p.Total,
		p.Profit, p.CardCost, p.HandsOn, p.PressHours, p.ProfitPerPressHour,
	}
	for _, part := range p.Cost.parts() {
		out = append(out, part.amount)
	}
	for _, l := range p.Lines {
		out = append(out, l.PriceEach, l.PriceTotal, l.Cost, l.Shared, l.PricedOn)
	}
	for _, c := range p.Charges {
		out = append(out, c.Count, c.Made, c.Rate, c.Amount, c.WithSpares)
	}
	for _, b := range p.Breaks {
		out = append(out, b.PriceEach, b.Total)
	}
	for _, f := range p.Falls {
		out = append(out, f.Total)
	}
	return out
}
