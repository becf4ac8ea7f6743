package sheet

import (
	"path/filepath"
	"testing"

	"presshand/planner/unit"
)

// Strip packing with a known optimum. C: E. Hopper, B. C. H. Turton, "An
// empirical investigation of meta-heuristic and heuristic algorithms for a 2D
// packing problem", European J. Operational Research 128(1), 2001. N: E. K.
// Burke, G. Kendall, G. Whitwell, "A new placement heuristic for the
// orthogonal stock-cutting problem", Operations Research 52(4), 2004. Both
// were cut from a full rectangle, so that the optimum holds with turning too.
// The normal run leaves out the largest and searches for less long.
func TestStripPacking(t *testing.T) {
	dir := referenceDir(t, "strip_packing")
	instances, items := readTable(t, filepath.Join(dir, "instances.csv")), readTable(t, filepath.Join(dir, "items.csv"))
	problems := map[string]*Problem{}
	for r := range items.rows {
		name := items.text(r, "instance")
		p := problems[items.text(r, "set")+name]
		if p == nil {
			p = &Problem{Endless: true, Sheet: Sheet{Width: unit.Length(items.number(t, r, "strip_w"))}}
			problems[items.text(r, "set")+name] = p
		}
		p.Pieces = append(p.Pieces, Piece{
			Name:   name,
			Width:  unit.Length(items.number(t, r, "item_w")),
			Height: unit.Length(items.number(t, r, "item_h")),
			Count:  items.number(t, r, "copies"),
			Turn:   true,
		})
	}
	const within = 3.0 // per cent, on average
	for _, set := range []string{"HopperTurton_C", "Burke_N"} {
		sum, n := 0.0, 0
		for r := range instances.rows {
			if instances.text(r, "set") != set {
				continue
			}
			p := *problems[set+instances.text(r, "instance")]
			if !*full {
				if len(p.Pieces) > 100 {
					continue
				}
				p.Effort = quickEffort
			}
			plan := solve(t, p)
			best := instances.number(t, r, "optimal_height")
			if plan.Length < unit.Length(best)-tolerance {
				t.Errorf("%s: length %g is below the optimum %d", instances.text(r, "instance"), plan.Length, best)
			}
			gap := 100 * (float64(plan.Length)/float64(best) - 1)
			t.Logf("%s: %g, optimum %d, %.2f %% above", instances.text(r, "instance"), plan.Length, best, gap)
			sum += gap
			n++
		}
		if mean := sum / float64(n); mean > within {
			t.Errorf("%s: %.2f %% above the optimum on average, want at most %g %%", set, mean, within)
		} else {
			t.Logf("%s: %.2f %% above the optimum on average", set, mean)
		}
	}
}
