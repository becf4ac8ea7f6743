package engine

import "sort"

// Sizes of the genetic search. The population and the chance of a mutation are
// those S. Hartmann found best at about 1000 schedules; with justification a
// larger population only costs time on projects of 30 to 60 activities.
const (
	population    = 40
	mutationShare = 0.05
	// samplingDraws is how many candidates a draw picks the most urgent of:
	// more is greedier, one is blind.
	samplingDraws = 2
)

// breed runs a genetic search on activity lists: two-point crossover that
// keeps lists feasible and mutation by neighbours (S. Hartmann, A competitive
// genetic algorithm for resource-constrained project scheduling, Naval
// Research Logistics 45(7), 1998, 733-750); every schedule is justified to the
// right and to the left again (V. Valls, F. Ballestín, S. Quintanilla,
// Justification and RCPSP: a technique that pays, European Journal of
// Operational Research 165(2), 2005, 375-386), and its list is then the order
// of its starts.
func (s *search) breed(atLeast int64) {
	j := newJustifier(s)
	end := s.steps + s.o.Steps
	enough := func() bool { return s.steps >= end || s.settled(atLeast) }
	var herd []individual
	for len(herd) < population && !enough() {
		herd = append(herd, j.raise(j.sample()))
	}
	for !enough() {
		parents := len(herd)
		for n := 0; n < parents/2 && !enough(); n++ {
			a, b := s.rand.IntN(parents), s.rand.IntN(parents)
			herd = append(herd, j.raise(j.cross(herd[a].list, herd[b].list)), j.raise(j.cross(herd[b].list, herd[a].list)))
		}
		sort.SliceStable(herd, func(i, k int) bool { return herd[i].score.Less(&herd[k].score) })
		herd = thin(herd)
	}
}

// An individual is a list with the score of its schedule.
type individual struct {
	list  []int
	score Score
}

// thin drops schedules that look like one before, then all beyond the
// population.
func thin(herd []individual) []individual {
	out := herd[:0]
	for _, h := range herd {
		if n := len(out); n > 1 && out[n-1].score.End == h.score.End && out[n-1].score.Sum == h.score.Sum && len(herd)-n > population {
			continue
		}
		out = append(out, h)
	}
	return out[:min(len(out), population)]
}

// A justifier builds schedules forwards and backwards.
type justifier struct {
	*search
	back   *builder
	order  *lister
	mirror Problem
	latest []int64 // latest end of each activity, for sampling
	keys   []int64
	in     []bool
}

func newJustifier(s *search) *justifier {
	n := len(s.p.Activities)
	j := &justifier{search: s, mirror: s.p.mirrored(), keys: make([]int64, n), in: make([]bool, n), latest: make([]int64, n)}
	j.back = newBuilder(&j.mirror)
	j.order = newLister(&j.mirror)
	b := newBounder(s.p)
	b.heads()
	b.tails()
	for i := range j.latest {
		j.latest[i] = -b.tail[i]
	}
	s.b.only = nil
	return j
}

// raise builds, justifies and keeps a list.
func (j *justifier) raise(list []int) individual {
	j.search.build(list)
	for i := range j.keys {
		j.keys[i] = -j.b.slots[i].End
	}
	j.steps++
	if !j.back.build(j.order.list(j.keys, nil)) {
		return individual{list, j.b.score()}
	}
	for i := range j.keys {
		j.keys[i] = -j.back.slots[i].End
	}
	j.search.build(j.lister.list(j.keys, nil))
	for i := range j.keys {
		j.keys[i] = j.b.slots[i].Start()
	}
	return individual{j.lister.list(j.keys, nil), j.b.score()}
}

// sample draws a list: of those that may come next one with an early latest
// end is more likely.
func (j *justifier) sample() []int {
	left := append([]int32(nil), j.lister.preds...)
	var free, out []int
	for i, k := range left {
		if k == 0 {
			free = append(free, i)
		}
	}
	for len(free) > 0 {
		at := j.rand.IntN(len(free))
		for n := 1; n < samplingDraws; n++ {
			if k := j.rand.IntN(len(free)); j.latest[free[k]] < j.latest[free[at]] {
				at = k
			}
		}
		i := free[at]
		free = append(free[:at], free[at+1:]...)
		out = append(out, i)
		for _, k := range j.lister.next[i] {
			if left[k]--; left[k] == 0 {
				free = append(free, int(k))
			}
		}
	}
	return out
}

// cross takes the first stretch of a list from the mother, the next from the
// father, the rest from the mother, each in its order, and swaps some
// neighbours that don't wait for each other.
func (j *justifier) cross(mother, father []int) []int {
	n := len(mother)
	one, two := j.rand.IntN(n+1), j.rand.IntN(n+1)
	if one > two {
		one, two = two, one
	}
	clear(j.in)
	out := make([]int, 0, n)
	take := func(from []int, upTo int) {
		for _, i := range from {
			if len(out) == upTo {
				return
			}
			if !j.in[i] {
				j.in[i] = true
				out = append(out, i)
			}
		}
	}
	take(mother, one)
	take(father, two)
	take(mother, n)
	for k := 0; k+1 < n; k++ {
		if j.rand.Float64() < mutationShare && !j.waits(out[k+1], out[k]) {
			out[k], out[k+1] = out[k+1], out[k]
		}
	}
	return out
}

func (j *justifier) waits(i, pred int) bool {
	for _, l := range j.p.Activities[i].After {
		if l.Pred == pred {
			return true
		}
	}
	return false
}

// mirrored returns a plain problem with time running backwards.
func (p *Problem) mirrored() Problem {
	out := Problem{Resources: p.Resources, Pools: p.Pools, Activities: make([]Activity, len(p.Activities))}
	for i := range p.Activities {
		out.Activities[i].Modes = []Mode{p.Activities[i].Modes[0].mirrored()}
	}
	for i := range p.Activities {
		for _, l := range p.Activities[i].After {
			a := &out.Activities[l.Pred]
			a.After = append(a.After, Link{Pred: i, Part: -1, Wait: l.Wait})
		}
	}
	return out
}

// mirrored turns a mode round. The machine it holds becomes a plain use.
func (m *Mode) mirrored() Mode {
	var out Mode
	for k := len(m.Parts) - 1; k >= 0; k-- {
		part := Part{Length: m.Parts[k].Length}
		for _, u := range m.Parts[k].Uses {
			u.From, u.To = part.Length-u.To, part.Length-u.From
			part.Uses = append(part.Uses, u)
		}
		if m.Machine > 0 && k < m.Held {
			part.Uses = append(part.Uses, Use{Resource: m.Machine - 1, Amount: 1, To: part.Length})
		}
		out.Parts = append(out.Parts, part)
	}
	return out
}
