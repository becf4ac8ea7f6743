package sheet

import (
	"cmp"
	"slices"
	"testing"
)

// shelves is the naive rule for comparison: pieces as they are, by falling
// height, each on the first shelf that has room, else on a new shelf of the
// first sheet that has room for one (first-fit decreasing height in two
// levels; E. G. Coffman, M. R. Garey, D. S. Johnson, R. E. Tarjan,
// "Performance bounds for level-oriented two-dimensional packing algorithms",
// SIAM J. Computing 9(4), 1980, describe the shelves).
func shelves(t task) int {
	type shelf struct{ x, h, sheet int }
	var all []shelf
	var filled []int // height taken of each sheet
	items := newSearch(t, 0).items
	slices.SortStableFunc(items, func(a, b item) int { return cmp.Compare(b.h, a.h) })
next:
	for _, it := range items {
		for i := range all {
			if s := &all[i]; it.h <= s.h && s.x+it.w <= t.width {
				s.x += it.w
				continue next
			}
		}
		sheet := slices.IndexFunc(filled, func(y int) bool { return y+it.h <= t.height })
		if sheet < 0 {
			sheet = len(filled)
			filled = append(filled, 0)
		}
		filled[sheet] += it.h
		all = append(all, shelf{it.w, it.h, sheet})
	}
	return len(filled)
}

// BenchmarkAgainstShelves lays the sample of 50 and says how many sheets are
// saved against the naive rule, in per cent.
func BenchmarkAgainstShelves(b *testing.B) {
	all := publishedInstances(b)
	for _, turn := range []bool{false, true} {
		name := "as they are"
		if turn {
			name = "turning"
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				naive, found := 0, 0
				for _, in := range all {
					if in.number != 1 {
						continue
					}
					plan, err := Solve(in.turning(turn))
					if err != nil {
						b.Fatal(err)
					}
					naive += shelves(newTask(in.problem))
					found += plan.Sheets
				}
				b.ReportMetric(100*float64(naive-found)/float64(naive), "%saved")
				b.ReportMetric(float64(naive), "shelf-sheets")
				b.ReportMetric(float64(found), "sheets")
			}
		})
	}
}

func TestShelvesAreNeverBetter(t *testing.T) {

	for _, in := range publishedInstances(t) {
		if in.number != 2 || in.n > 40 {
			continue
		}
		p := in.problem
		p.Effort = quickEffort
		if plan, naive := solve(t, p), shelves(newTask(p)); plan.Sheets > naive {
			t.Errorf("class %d, n %d: %d sheets, shelves take %d", in.class, in.n, plan.Sheets, naive)
		}
	}
}
