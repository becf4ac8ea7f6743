package sheet

import (
	"cmp"
	"math"
	"slices"
)

// shortest lays all pieces on one endless sheet, as short as it finds.
//
// Pieces go one by one into the lowest hollow of the skyline, the best fitting
// kind first and of equal ones the earlier in a sequence of the kinds; the
// sequence is then changed at random, and a change is kept when the strip
// doesn't get worse. Best fit into the lowest hollow is by E. K. Burke, G.
// Kendall, G. Whitwell, "A new placement heuristic for the orthogonal
// stock-cutting problem", Operations Research 52(4), 2004; scoring the fit and
// searching over sequences by S. C. H. Leung, D. Zhang, K. M. Sim, "A
// two-stage intelligent search algorithm for the two-dimensional strip packing
// problem", European J. Operational Research 215(1), 2011.
//
// One step is skylineTries kinds tried in a hollow.
func (t task) shortest(effort int) []spot {
	if effort == 0 {
		effort = t.defaultSteps()
	}
	s := newStrip(t)
	tries := effort * skylineTries
	best := s.bestSorted()
	s.sequence = slices.Clone(best.sequence)
	var random random
	current := best
	least := t.leastLength()
	for s.tries < tries && best.length > least {
		undo := s.change(&random)
		next := s.lay(current)
		if next.spots == nil {
			undo()
			continue
		}
		current = next
		if current.less(best) {
			best = current
		}
	}
	return best.spots
}

// skylineTries kinds are tried in a hollow in about the time that one piece
// takes on a page.
const skylineTries = 50

// leastLength is a length no strip goes below: by area, or by the piece that
// reaches furthest however it lies.
func (t task) leastLength() int {
	var sum float64
	reach := 0
	for _, k := range t.kinds {
		sum += float64(float64(k.area()) * float64(k.count))
		if k.turn && k.w <= t.width {
			reach = max(reach, min(k.w, k.h))
		} else {
			reach = max(reach, k.h)
		}
	}
	return max(reach, int(math.Ceil(sum/float64(t.width)*(1-slack))))
}

// A strip lays sequences of kinds; its memory is used again and again.
type strip struct {
	task     task
	sequence []int // kinds
	left     []int // by kind
	sky      skyline
	tries    int
}

// A laid strip with what it is judged by.
type laid struct {
	spots    []spot
	sequence []int
	length   int
	hollow   float64 // area under the skyline; less means fewer holes
}

func (l laid) less(o laid) bool {
	return cmp.Or(cmp.Compare(l.length, o.length), cmp.Compare(l.hollow, o.hollow)) < 0
}

func newStrip(t task) *strip {
	return &strip{task: t, left: make([]int, len(t.kinds))}
}

// bestSorted lays the kinds sorted by each measure.
func (s *strip) bestSorted() laid {
	best := laid{length: math.MaxInt}
	for m := range measureCount {
		s.sequence = s.sequence[:0]
		for k := range s.task.kinds {
			s.sequence = append(s.sequence, k)
		}
		slices.SortStableFunc(s.sequence, func(a, b int) int {
			ka, kb := s.task.kinds[a], s.task.kinds[b]
			return cmp.Or(cmp.Compare(m.of(kb.w, kb.h), m.of(ka.w, ka.h)), cmp.Compare(kb.area(), ka.area()))
		})
		if l := s.lay(best); l.spots != nil && l.less(best) {
			best = l
		}
	}
	return best
}

// change exchanges two kinds in the sequence, or moves one; undo takes it
// back.
func (s *strip) change(r *random) (undo func()) {
	n := len(s.sequence)
	a, b := r.below(n), r.below(n)
	if r.below(2) == 0 {
		s.sequence[a], s.sequence[b] = s.sequence[b], s.sequence[a]
		return func() { s.sequence[a], s.sequence[b] = s.sequence[b], s.sequence[a] }
	}
	move(s.sequence, a, b)
	return func() { move(s.sequence, b, a) }
}

func move(s []int, from, to int) {
	v := s[from]
	if from < to {
		copy(s[from:to], s[from+1:to+1])
	} else {
		copy(s[to+1:from+1], s[to:from])
	}
	s[to] = v
}

// lay lays the sequence; the result has no spots where it gets worse than the
// limit.
func (s *strip) lay(limit laid) laid {
	n := 0
	for k, kind := range s.task.kinds {
		s.left[k] = kind.count
		n += kind.count
	}
	s.sky.clear(s.task.width, endless)
	l := laid{spots: make([]spot, 0, n)}
	for len(l.spots) < n {
		h, i := s.sky.lowest()
		sp, ok := s.bestFor(h)
		if !ok {
			s.sky.fillUp(i, h)
			continue
		}
		s.left[sp.piece]--
		s.sky.raise(i, sp.rect)
		l.spots = append(l.spots, sp)
		l.length = max(l.length, sp.y+sp.h)
		if l.length > limit.length {
			return laid{}
		}
	}
	for _, e := range s.sky.ledges {
		l.hollow += float64(float64(e.w) * float64(e.y))
	}
	if limit.spots != nil && limit.less(l) {
		return laid{}
	}
	l.sequence = slices.Clone(s.sequence)
	return l
}

// bestFor returns the best fitting kind for a hollow, of equal ones the first
// in the sequence.
func (s *strip) bestFor(h hollow) (spot, bool) {
	var best spot
	bestScore := noFit
	for _, k := range s.sequence {
		if s.left[k] == 0 {
			continue
		}
		s.tries++
		it := s.task.item(k)
		if score, turned := h.score(&it); score > bestScore {
			best, bestScore = spot{h.place(&it, turned), k}, score
		}
		if bestScore == perfectFit {
			break
		}
	}
	return best, bestScore > noFit
}
