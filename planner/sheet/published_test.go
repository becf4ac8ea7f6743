package sheet

import (
	"flag"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// Checked against the open data beside the repository: the 500 instances named
// at instance, best known values and published totals as collected there with
// their sources.

var (
	full   = flag.Bool("full", false, "run all 500 published instances at default effort (minutes; add -timeout 0 -v)")
	effort = flag.Int("effort", 0, "with -full: search steps an instance; 0 is the default of each")
	times  = flag.Int("times", 1, "with -full: that many times the default effort, on the sample of 50")
)

// quickEffort keeps the sample below a few seconds in the normal run.
const quickEffort = 15_000

// variant is one of the two published problems.
type variant struct {
	turn   bool
	letter string // in the tables of published totals
	best   string // column of the best known value
	target int    // total of the 500 at default effort
	least  int    // total of the published lower bounds: nothing goes below
}

func variants() []variant {
	return []variant{
		{false, "O", "best_known_oriented", 7247, 7138},
		{true, "R", "best_known_rotated", 6996, 6886},
	}
}

// TestPublishedSample runs the first instance of each group of ten.
func TestPublishedSample(t *testing.T) {
	best := readTable(t, filepath.Join(referenceDir(t, "2dbp_berkey_martello"), "best_known.csv"))
	for _, v := range variants() {
		total, known := 0, 0
		for r, in := range publishedInstances(t) {
			if in.number != 1 {
				continue
			}
			p := in.turning(v.turn)
			p.Effort = quickEffort
			plan := solve(t, p)
			checkAgainstBest(t, in, plan, best.number(t, r, v.best))
			total += plan.Sheets
			known += best.number(t, r, v.best)
		}
		if allowed := known + known/100; total > allowed {
			t.Errorf("turn %v: %d sheets on the sample, want at most %d (1 %% above best known)", v.turn, total, allowed)
		}
		t.Logf("turn %v: %d sheets on the sample of 50, best known %d", v.turn, total, known)
	}
}

// checkAgainstBest wants bound <= best known value, since that one is feasible.
func checkAgainstBest(t *testing.T, in instance, plan Plan, best int) {
	t.Helper()
	if plan.AtLeast > best {
		t.Errorf("class %d, n %d, number %d: said to need %d sheets, but %d are known to do", in.class, in.n, in.number, plan.AtLeast, best)
	}
	if plan.Fewest && plan.Sheets > best {
		t.Errorf("class %d, n %d, number %d: %d called the fewest, but %d are known to do", in.class, in.n, in.number, plan.Sheets, best)
	}
}

// TestPublishedFull prints the table of all 500 beside the published totals.
func TestPublishedFull(t *testing.T) {
	if !*full {
		t.Skip("takes minutes: run with -full -timeout 0 -v")
	}
	dir := referenceDir(t, "2dbp_berkey_martello")
	best := readTable(t, filepath.Join(dir, "best_known.csv"))
	published := publishedTotals(t, filepath.Join(dir, "published_group_totals.csv"))
	for _, v := range variants() {
		found, known, proven := map[group]int{}, map[group]int{}, 0
		for r, in := range publishedInstances(t) {
			p := in.turning(v.turn)
			p.Effort = *effort
			if *times > 1 {
				if in.number != 1 {
					continue
				}
				p.Effort = *times * DefaultEffort(p)
			}
			plan := solve(t, p)
			checkAgainstBest(t, in, plan, best.number(t, r, v.best))
			found[in.group] += plan.Sheets
			known[in.group] += best.number(t, r, v.best)
			if plan.Fewest {
				proven++
			}
		}
		total := report(t, v, found, known, published, proven)
		if *times == 1 && *effort == 0 {
			if total > v.target {
				t.Errorf("turn %v: %d sheets, want at most %d", v.turn, total, v.target)
			}
			if total < v.least {
				t.Errorf("turn %v: %d sheets is below the lower bound %d", v.turn, total, v.least)
			}
		}
	}
}

// published totals, by variant and algorithm, then group.
type totals map[[2]string]map[group]int

func publishedTotals(t *testing.T, path string) totals {
	t.Helper()
	tb := readTable(t, path)
	all := totals{}
	for r := range tb.rows {
		key := [2]string{tb.text(r, "variant"), tb.text(r, "algorithm")}
		if all[key] == nil {
			all[key] = map[group]int{}
		}
		all[key][group{tb.number(t, r, "class"), tb.number(t, r, "n")}] = tb.number(t, r, "total_bins_over_10_instances")
	}
	return all
}

// report prints one row a group and the sums, and returns the sum found. A
// published search is shown where it gives all groups.
func report(t *testing.T, v variant, found, known map[group]int, published totals, proven int) int {
	t.Helper()
	var algorithms []string
	for _, name := range []string{"BRKGA", "EA-LGFi", "GRASP/VND", "HHANO-R"} {
		if len(published[[2]string{v.letter, name}]) == len(found) && *times == 1 {
			algorithms = append(algorithms, name)
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "turn %v\n%5s %4s %6s %6s", v.turn, "class", "n", "found", "known")
	for _, a := range algorithms {
		fmt.Fprintf(&b, " %10s", a)
	}
	sum, sumKnown, sums := 0, 0, make([]int, len(algorithms))
	for class := 1; class <= 10; class++ {
		for n := 20; n <= 100; n += 20 {
			g := group{class, n}
			fmt.Fprintf(&b, "\n%5d %4d %6d %6d", class, n, found[g], known[g])
			sum, sumKnown = sum+found[g], sumKnown+known[g]
			for i, a := range algorithms {
				k := published[[2]string{v.letter, a}][g]
				fmt.Fprintf(&b, " %10d", k)
				sums[i] += k
			}
		}
	}
	fmt.Fprintf(&b, "\ntotal      %6d %6d", sum, sumKnown)
	for _, s := range sums {
		fmt.Fprintf(&b, " %10d", s)
	}
	fmt.Fprintf(&b, "\n%d proven to be the fewest", proven)
	t.Log(b.String())
	return sum
}
