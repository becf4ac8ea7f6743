package engine_test

import "testing"

// A table adds up how far schedules end from published values. The whole of it:
//
//	go test ./planner/press/engine -run Published -full -v
type table struct {
	set                string
	n, atBest          int
	sum, worst, budget float64
}

func (b *table) add(end, known int64) {
	gap := float64(end-known) / float64(known)
	b.n++
	b.sum += gap
	b.worst = max(b.worst, gap)
	if end <= known {
		b.atBest++
	}
}

// report writes the row and fails the test where the average gap is larger
// than the budget.
func (b *table) report(t *testing.T) {
	t.Helper()
	if b.n == 0 {
		t.Fatal("no instances")
	}
	average := b.sum / float64(b.n)
	t.Logf("%-34s %4d instances %4d at best known   average gap %6.3f %%   worst %6.2f %%", b.set, b.n, b.atBest, 100*average, 100*b.worst)
	if average > b.budget {
		t.Errorf("average gap %.3f %%, want at most %.1f %%", 100*average, 100*b.budget)
	}
}
