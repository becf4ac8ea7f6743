package price_test

import (
	"sync"
	"testing"
	"time"

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

func TestExpired(t *testing.T) {
	p := solved(t, teeOrder()) // 2026-11-25, 30 days
	zone := time.FixedZone("", -5*3600)
	for _, row := range []struct {
		now  time.Time
		want bool
	}{
		{time.Date(2026, 11, 25, 9, 0, 0, 0, zone), false},
		{time.Date(2026, 12, 25, 23, 59, 0, 0, zone), false},
		{time.Date(2026, 12, 26, 0, 0, 0, 0, zone), true},
	} {
		if got := p.Expired(row.now); got != row.want {
			t.Errorf("at %s expired: %v, want %v", row.now, got, row.want)
		}
	}
}

// Solve changes nothing that its callers share.
func TestSolveAtOnce(t *testing.T) {
	p := tamperedOrder()
	want := solved(t, p).Total
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if plan, err := price.Solve(p); err != nil || !plan.Total.Equal(want) {
				t.Errorf("total %s (%v), want %s", plan.Total, err, want)
			}
		})
	}
	wait.Wait()
}

// The sheets of a search that finds fewer for more pieces by luck: the smaller
// count serves the ordered pieces too.
func TestFewerSheetsForMorePieces(t *testing.T) {
	p := teeOrder() // 24 ordered, 26 made
	p.Lines[0].Sheets = func(pieces int) int {
		if pieces < 26 {
			return 13
		}
		return 12
	}
	plan := solved(t, p)
	if plan.Sheets != 12 {
		t.Errorf("%d sheets, want 12", plan.Sheets)
	}
	for _, c := range plan.Charges {
		if c.Unit == "sheets" && !c.Count.Equal(d("12")) {
			t.Errorf("%s: %s sheets for the ordered pieces, want 12", c.Name, c.Count)
		}
	}
}
