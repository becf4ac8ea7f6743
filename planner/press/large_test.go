package press_test

import (
	"fmt"
	"testing"
	"time"

	"presshand/planner/press"
)

// large is many orders of every recipe, made by a rule of arithmetic so that
// it is the same everywhere.
func large(t testing.TB, orders, pieces int) press.Problem {
	p := press.Problem{Start: monday(t, 9, 0), Shop: shop(t)}
	recipes := []press.Recipe{twoStep(), sublimation(), twoStep(), mug()}
	left := pieces
	for i := range orders {
		n := left / (orders - i)
		if i < orders-1 {
			n += (i*7)%21 - 10
		}
		left -= n
		j := press.Job{Pieces: n, Prints: []press.Print{print("front", recipes[i%4], n, 1+i%3)}}
		if i%10 == 0 {
			j.Prints = append(j.Prints, print("back", twoStep(), n, 1))
			j.Prints[0] = print("front", twoStep(), n, 4)
		}
		o := press.Order{ID: fmt.Sprintf("O%03d", i+1), Priority: i % 4, Jobs: []press.Job{j}}
		if i%3 == 0 {
			o.Due, o.Promised = p.Start.AddDate(0, 0, 3+i/4), i%6 == 0
		}
		p.Orders = append(p.Orders, o)
	}
	return p
}

// A hundred orders, 5,000 pieces, within ten seconds and with word of how far
// it is.
func TestLarge(t *testing.T) {
	if !*full {
		t.Skip("takes seconds: run with -full")
	}
	p := large(t, 100, 5000)
	said, last := 0, 0
	begin := time.Now()
	plan, err := press.SolveProgress(p, func(done, of int, finish time.Time) {
		said++
		if done < last || done > of || finish.Before(p.Start) {
			t.Errorf("progress %d of %d after %d, %s", done, of, last, finish)
		}
		last = done
	})
	took := time.Since(begin)
	if err != nil {
		t.Fatal(err)
	}
	if err := press.Check(p, plan); err != nil {
		t.Fatal(err)
	}
	t.Log(plan.Busy)
	t.Logf("ends %s, gap %.1f %%, %d late, %d steps, in %s", plan.Finish.Format(time.RFC3339), 100*plan.Gap(), len(plan.Late), len(plan.Steps), took)
	if took > 10*time.Second || said < 2 {
		t.Errorf("took %s, spoke %d times", took, said)
	}
}
