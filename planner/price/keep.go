package price

import (
	"encoding/json"
	"fmt"
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

// Kept reads what [Plan.Keep] wrote.
func Kept(data []byte) (Plan, error) {
	var p kept
	if err := json.Unmarshal(data, &p); err != nil {
		return Plan{}, fmt.Errorf("read a kept quote: %w", err)
	}
	for i := range p.Charges {
		if n := p.Charges[i].Line; n < 0 || n > len(p.From.Lines) || n > len(p.Lines) {
			return Plan{}, fmt.Errorf("read a kept quote: charge %d belongs to line %d, and there are %d lines: the record is damaged", i+1, n, len(p.Lines))
		}
	}
	for i := range p.Lines {
		if p.From.Rates.method(p.Lines[i].Method) == nil {
			return Plan{}, fmt.Errorf("read a kept quote: line %d is by %q, whose prices are not in it: the record is damaged", i+1, p.Lines[i].Method)
		}
	}
	return Plan(p), nil
}
