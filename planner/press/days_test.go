package press_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"presshand/planner/press"
)

var full = flag.Bool("full", false, "run every example day, every count of pieces, and the large ones")

// An example day: invented orders of the invented shop.
type day struct {
	Source string
	Start  time.Time
	Orders []struct {
		ID, Note string
		Priority int
		Pieces   int
		Prints   [][3]any // spot, recipe, pieces on a sheet
		Due      time.Time
		Promised bool
	}
}

func readDay(t testing.TB, path string) press.Problem {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var d day
	if err := json.Unmarshal(data, &d); err != nil {
		t.Fatal(path, err)
	}
	recipes := map[any]press.Recipe{"two-step": twoStep(), "sublimation": sublimation(), "mug": mug()}
	p := press.Problem{Start: d.Start, Shop: shop(t)}
	for _, o := range d.Orders {
		job := press.Job{Pieces: o.Pieces}
		for _, pr := range o.Prints {
			job.Prints = append(job.Prints, print(pr[0].(string), recipes[pr[1]], o.Pieces, int(pr[2].(float64))))
		}
		p.Orders = append(p.Orders, press.Order{ID: o.ID, Due: o.Due, Promised: o.Promised, Priority: o.Priority, Jobs: []press.Job{job}})
	}
	return p
}

func days(t testing.TB) []string {
	t.Helper()
	list, err := filepath.Glob("testdata/days/*.json")
	if err != nil || len(list) == 0 {
		t.Fatal("no example days", err)
	}
	return list
}

// Twenty orders, 500 pieces, two flat presses and one for mugs, two people.
func TestDays(t *testing.T) {
	const limit = 0.05 // of the bound
	for i, path := range days(t) {
		if !*full && i != 1 {
			continue
		}
		t.Run(strings.TrimSuffix(filepath.Base(path), ".json"), func(t *testing.T) {
			p := readDay(t, path)
			pieces := 0
			for _, o := range p.Orders {
				pieces += o.Jobs[0].Pieces
			}
			if len(p.Orders) != 20 || pieces != 500 {
				t.Fatalf("%d orders, %d pieces", len(p.Orders), pieces)
			}
			begin := time.Now()
			plan := solve(t, p)
			t.Logf("ends %s, bound %s, gap %.2f %%, %d late, %d changeovers, %s", plan.Finish.Format("Mon 15:04"),
				plan.Start.Add(plan.AtLeast).Format("Mon 15:04"), 100*plan.Gap(), len(plan.Late), plan.Changeovers, time.Since(begin).Round(time.Millisecond))
			if plan.Gap() > limit {
				t.Errorf("gap of %.2f %%, want at most %.0f %%", 100*plan.Gap(), 100*limit)
			}
		})
	}
}

// A day that is known to be possible: every order promised for an hour after
// it was ready in a plan without promises, whatever its priority. None may be
// late.
func TestPromisesThatCanBeKept(t *testing.T) {
	p := readDay(t, "testdata/days/sublimation.json")
	for i := range p.Orders {
		p.Orders[i].Due = time.Time{}
	}
	p.Effort = 1
	free := solve(t, p)
	for i := range p.Orders {
		p.Orders[i].Due, p.Orders[i].Promised, p.Orders[i].Priority = free.Ready[i].At.Add(time.Hour), true, i%3
	}
	if plan := solve(t, p); len(plan.Late) > 0 {
		t.Errorf("%d late: %+v", len(plan.Late), plan.Late)
	}
}
