package sheet

import "testing"

func TestPublishedInstances(t *testing.T) {
	for _, turn := range []bool{false, true} {
		total := 0
		for _, in := range publishedInstances(t) {
			p := in.turning(turn)
			plan, err := Solve(p)
			if err != nil {
				t.Fatal(err)
			}
			if err := Check(p, plan); err != nil {
				t.Errorf("class %d, n %d, number %d: %v", in.class, in.n, in.number, err)
			}
			total += plan.Sheets
		}
		t.Logf("turn %v: %d sheets", turn, total)
	}
}
