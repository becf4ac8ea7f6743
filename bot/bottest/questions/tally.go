package questions

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// A Tally counts verdicts of one set, by topic.
type Tally struct {
	all     map[Kind]int
	topics  map[string]map[Kind]int
	decline int // questions that must be declined
	heeded  int // of them, declined
}

// Add counts one verdict.
func (t *Tally) Add(c Case, v Verdict) {
	if t.all == nil {
		t.all, t.topics = map[Kind]int{}, map[string]map[Kind]int{}
	}
	name := "any"
	if len(c.Topic) > 0 {
		name = c.Topic[0]
	}
	if t.topics[name] == nil {
		t.topics[name] = map[Kind]int{}
	}
	t.all[v.Kind]++
	t.topics[name][v.Kind]++
	if len(c.Outcome) == 1 && c.Outcome[0] == "declined" {
		t.decline++
		if v.Kind == Right {
			t.heeded++
		}
	}
}

// Count returns how many verdicts of a kind there are.
func (t *Tally) Count(k Kind) int { return t.all[k] }

// Rate returns the share of right answers, 0 to 1.
func (t *Tally) Rate() float64 { return share(t.all[Right], total(t.all)) }

// Heeded returns the share, 0 to 1, of questions that must be declined and
// were.
func (t *Tally) Heeded() float64 { return share(t.heeded, t.decline) }

func total(counts map[Kind]int) int {
	sum := 0
	for _, n := range counts {
		sum += n
	}
	return sum
}

func share(n, of int) float64 {
	if of == 0 {
		return 1
	}
	return float64(n) / float64(of)
}

// kinds is the order of the table's columns.
var kinds = []Kind{Right, WrongAnswer, WrongNumber, WronglyDeclined, WronglyAnswered}

// Print writes the counts of a set by topic.
func (t *Tally) Print(w io.Writer, title string) {
	fmt.Fprintf(w, "%-10s %6s", title, "asked")
	for _, k := range kinds {
		fmt.Fprintf(w, " %16s", k)
	}
	fmt.Fprintln(w)
	row := func(name string, counts map[Kind]int) {
		fmt.Fprintf(w, "%-10s %6d", name, total(counts))
		for _, k := range kinds {
			fmt.Fprintf(w, " %16d", counts[k])
		}
		fmt.Fprintln(w)
	}
	for _, name := range slices.Sorted(maps.Keys(t.topics)) {
		row(name, t.topics[name])
	}
	row("all", t.all)
	fmt.Fprintf(w, "right %.1f %%, must be declined and were %d of %d (%.1f %%)\n", 100*t.Rate(), t.heeded, t.decline, 100*t.Heeded())
}

// Line describes a failure in one line.
func Line(c Case, v Verdict) string {
	ask := strings.Join(append(slices.Clone(c.After), c.Ask), " >> ")
	return fmt.Sprintf("%s: %s: %s: %s", c.File, v.Kind, ask, v.Detail)
}
