package price_test

import (
	"testing"

	"presshand/planner/price"
)

func TestTotalIsTheSumOfItsLines(t *testing.T) {
	p, err := price.Solve(teeOrder())
	if err != nil {
		t.Fatal(err)
	}
	sum := p.Subtotal.Add(p.Setup).Add(p.Rush).Add(p.MinimumTopup).Add(p.CardFee).Add(p.Tax).Sub(p.Discount)
	if !sum.Equal(p.Total) {
		t.Errorf("total %s, its lines add up to %s", p.Total, sum)
	}
}
