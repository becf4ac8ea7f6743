package price_test

import (
	"testing"

	"presshand/planner/price"
)

// solved solves and checks; every plan a test sees goes through Check.
func solved(t testing.TB, p price.Problem) price.Plan {
	t.Helper()
	plan, err := price.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := price.Check(p, plan); err != nil {
		t.Fatalf("the plan does not hold: %v", err)
	}
	return plan
}

func TestTotalIsTheSumOfItsLines(t *testing.T) {
	for name, problem := range map[string]price.Problem{"one line": teeOrder(), "five lines": fiveLines()} {
		p := solved(t, problem)
		sum := p.Subtotal.Add(p.Setup).Add(p.Rush).Add(p.MinimumTopup).Add(p.CardFee).Add(p.Tax).Sub(p.Discount)
		if !sum.Equal(p.Total) {
			t.Errorf("%s: total %s, its lines add up to %s", name, p.Total, sum)
		}
	}
}
