package engine

import "math/rand/v2"

// A search holds the best schedule so far.
type search struct {
	p        *Problem
	o        Options
	b        *builder
	lister   *lister
	dispatch *dispatcher
	members  [][]int // activities of each lot
	bundles  [][]int // lots of each bundle
	keys     []int64 // of activities
	list     []int
	rand     *rand.Rand
	best     Schedule
	found    bool
	genome   genome // of the best schedule
	score    Score  // of the last schedule built
	late     []int  // bundles with late activities in the best schedule
	steps    int
}

// Seeds of the pseudo-random sequence: any fixed pair does.
const (
	seedHigh = 0x9e3779b97f4a7c15
	seedLow  = 0xbf58476d1ce4e5b9
)

func newSearch(p *Problem, o Options) *search {
	if o.Lots == nil {
		o.Lots = sequence(len(p.Activities))
	}
	lots := 0
	for _, l := range o.Lots {
		lots = max(lots, l+1)
	}
	if o.Bundles == nil {
		o.Bundles = sequence(lots)
	}
	bundles := 0
	for _, b := range o.Bundles {
		bundles = max(bundles, b+1)
	}
	s := &search{p: p, o: o, b: newBuilder(p), lister: newLister(p), members: make([][]int, lots),
		bundles: make([][]int, bundles), keys: make([]int64, len(p.Activities)),
		rand: rand.New(rand.NewPCG(seedHigh, seedLow))}
	for i, l := range o.Lots {
		s.members[l] = append(s.members[l], i)
	}
	s.b.lot = o.Lots
	s.dispatch = newDispatcher(s.b, s.members)
	for l, b := range o.Bundles {
		s.bundles[b] = append(s.bundles[b], l)
	}
	return s
}

// starts builds a schedule for every start, or one by index where there is
// none.
func (s *search) starts(atLeast int64) error {
	list := s.o.Starts
	if len(list) == 0 {
		keys := make([]int64, len(s.members))
		for i := range keys {
			keys[i] = int64(i)
		}
		list = [][]int64{keys}
	}
	windows := append([]int64{byList}, s.o.Windows...)
	for _, keys := range list {
		for _, w := range windows {
			s.try(genome{spread(keys), make([]int, len(s.bundles)), w})
			if s.settled(atLeast) {
				return nil
			}
		}
	}
	if !s.found {
		return ErrHorizon
	}
	return nil
}

// try builds the schedule of a genome and keeps it where it is no worse than
// the best.
func (s *search) try(g genome) bool {
	s.restrict(g.only)
	var kept bool
	if g.window == byList {
		for l, list := range s.members {
			for _, i := range list {
				s.keys[i] = g.keys[l]
			}
		}
		s.list = s.lister.list(s.keys, s.list)
		kept = s.build(s.list)
	} else {
		kept = s.keep(s.dispatch.build(s.lister, g.keys, g.window))
	}
	if kept {
		s.genome = g
	}
	return kept
}

// restrict limits the activities of each bundle to one mode.
func (s *search) restrict(only []int) {
	s.b.only = nil
	for b, mode := range only {
		if mode == 0 {
			continue
		}
		if s.b.only == nil {
			s.b.only = make([]int, len(s.p.Activities))
		}
		for _, l := range s.bundles[b] {
			for _, i := range s.members[l] {
				if mode <= len(s.p.Activities[i].Modes) {
					s.b.only[i] = mode
				}
			}
		}
	}
}

// build places a list and keeps the schedule where it is no worse than the
// best; it reports whether it was kept.
func (s *search) build(list []int) bool { return s.keep(s.b.build(list)) }

// keep keeps the schedule just built where it is no worse than the best.
func (s *search) keep(built bool) bool {
	s.steps++
	kept := false
	if built {
		s.score = s.b.score()
		if !s.found || !s.best.Score.Less(&s.score) {
			s.found, kept = true, true
			s.best = s.b.copySchedule(s.score)
			s.lateBundles()
		}
	}
	if s.o.Progress != nil {
		s.o.Progress(min(s.steps, s.total()), s.total(), &s.best.Score)
	}
	return kept
}

func (s *search) total() int {
	return s.o.Steps + max(1, len(s.o.Starts))*(1+len(s.o.Windows))
}

// settled reports whether the best schedule is late nowhere and ends as early
// as any can.
func (s *search) settled(atLeast int64) bool {
	return s.found && s.punctual() && s.best.Score.End <= atLeast
}

func (s *search) punctual() bool {
	for _, late := range s.best.Score.Late {
		if late > 0 {
			return false
		}
	}
	return true
}
