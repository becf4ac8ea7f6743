package engine

// A genome is what the iterated search changes: the order of lots and the mode
// each bundle is restricted to.
type genome struct {
	keys   []int64 // by lot
	only   []int   // by bundle
	window int64   // of the dispatcher; below 0: a list decides
}

func (g *genome) clone() genome {
	return genome{append([]int64(nil), g.keys...), append([]int(nil), g.only...), g.window}
}

// byList is the window of a genome whose list decides alone.
const byList = -1

// spacing is the distance between neighbouring keys, wide enough for moves to
// put others between them.
const spacing = 1 << 20

// spread replaces keys by spaced ranks.
func spread(keys []int64) []int64 {
	order := sortedBy(keys)
	out := make([]int64, len(keys))
	for rank, i := range order {
		out[i] = int64(rank+1) * spacing
	}
	return out
}

// iterate changes the best genome by one random move at a time and keeps what
// is no worse: an iterated local search (H. R. Lourenço, O. C. Martin,
// T. Stützle, Iterated local search, in: Handbook of Metaheuristics, Kluwer
// 2003, 320-353) with moves on random keys (J. C. Bean, Genetic algorithms and
// random keys for sequencing and optimization, ORSA Journal on Computing 6(2),
// 1994, 154-160).
func (s *search) iterate(atLeast int64) {
	begin, current := s.steps, s.genome
	for s.steps < begin+s.o.Steps && !s.settled(atLeast) {
		g := current.clone()
		s.mutate(&g)
		room := s.best.Score.End * deviationPart / deviationWhole * int64(begin+s.o.Steps-s.steps) / int64(s.o.Steps)
		s.try(g)
		if s.b.placed && s.score.near(&s.best.Score, room) {
			current = g
		}
	}
}

// How much later than the best a schedule may end for the search to go on from
// it, at the beginning; it falls to nothing in equal steps (record-to-record
// travel: G. Dueck, New optimization heuristics, Journal of Computational
// Physics 104(1), 1993, 86-92).
const (
	deviationPart  = 1
	deviationWhole = 100
)

// near reports whether a schedule is no later than the best at any level and
// ends at most room later.
func (s *Score) near(best *Score, room int64) bool {
	for i := range s.Late {
		if s.Late[i] > best.Late[i] {
			return false
		}
	}
	return s.End <= best.End+room
}

// mutate makes one move: a lot beside another one, a bundle beside another
// one, a bundle onto one machine or any, or another window.
func (s *search) mutate(g *genome) {
	const lotMove, bundleMove, windowMove = 4, 4, 1 // out of ten moves; the rest changes machines
	if len(s.late) > 0 && s.rand.IntN(2) == 0 {
		s.hurry(g)
		return
	}
	switch n := s.rand.IntN(10); {
	case n < lotMove, len(s.bundles) == 1 && n < lotMove+bundleMove:
		l, to := s.rand.IntN(len(g.keys)), s.rand.IntN(len(g.keys))
		g.keys[l] = g.keys[to] + s.beside()
	case n < lotMove+bundleMove:
		s.shift(g, s.rand.IntN(len(s.bundles)), s.rand.IntN(len(s.bundles)))
	case n < lotMove+bundleMove+windowMove && len(s.o.Windows) > 0:
		g.window = byList
		if k := s.rand.IntN(len(s.o.Windows) + 1); k > 0 {
			g.window = s.o.Windows[k-1]
		}
	default:
		b := s.rand.IntN(len(s.bundles))
		g.only[b] = s.rand.IntN(s.modes(b) + 1)
	}
}

// shift moves bundle a beside bundle b.
func (s *search) shift(g *genome, a, b int) {
	by := g.keys[s.bundles[b][0]] - g.keys[s.bundles[a][0]] + s.beside()
	for _, l := range s.bundles[a] {
		g.keys[l] += by
	}
}

// hurry moves a late bundle ahead, beside one that goes before it.
func (s *search) hurry(g *genome) {
	a := s.late[s.rand.IntN(len(s.late))]
	for range len(s.bundles) {
		b := s.rand.IntN(len(s.bundles))
		if g.keys[s.bundles[b][0]] < g.keys[s.bundles[a][0]] {
			s.shift(g, a, b)
			return
		}
	}
}

// lateBundles notes which bundles are late in the schedule just built.
func (s *search) lateBundles() {
	s.late = s.late[:0]
	for b, lots := range s.bundles {
		for _, l := range lots {
			i := s.members[l][len(s.members[l])-1]
			if d := s.p.Activities[i].Due; d > 0 && s.b.slots[i].End > s.p.Dues[d-1].At {
				s.late = append(s.late, b)
				break
			}
		}
	}
}

func (s *search) beside() int64 {
	if s.rand.IntN(2) == 0 {
		return -1 - s.rand.Int64N(spacing/2)
	}
	return 1 + s.rand.Int64N(spacing/2)
}

// modes is the largest number of modes in a bundle.
func (s *search) modes(b int) int {
	n := 0
	for _, l := range s.bundles[b] {
		n = max(n, len(s.p.Activities[s.members[l][0]].Modes))
	}
	return n
}
