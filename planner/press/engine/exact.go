package engine

// exactActivities is the largest problem that is searched in full; the number
// of lists grows faster than exponentially.
const exactActivities = 16

// exactNodes bounds the full search. It is in proportion to Options.Steps so
// that a caller in a hurry is served.
const exactNodes = 25

// exact builds all schedules by branch and bound over lists in the order of
// starts. Every active schedule is built by such a list, and for an objective
// that never falls when an activity ends later some active schedule is optimal
// (A. Sprecher, R. Kolisch, A. Drexl, Semi-active, active and non-delay
// schedules for the resource-constrained project scheduling problem, European
// Journal of Operational Research 80(1), 1995, 94-102). It reports whether the
// search was completed and shows that nothing is better; with set-ups or
// several modes active schedules need not contain the best one, and then it
// makes no such claim.
func (s *search) exact(atLeast int64) bool {
	bound := newBounder(s.p)
	bound.heads()
	bound.tails()
	e := &enumeration{search: s, bound: bound, atLeast: atLeast, nodes: exactNodes * s.o.Steps,
		placed: make([]bool, len(s.p.Activities))}
	s.b.only = nil
	e.branch(0)
	return e.nodes > 0 && s.p.active()
}

// active reports whether some schedule of earliest starts is sure to be best.
func (p *Problem) active() bool {
	for i := range p.Resources {
		if p.Resources[i].Setup != nil {
			return false
		}
	}
	for i := range p.Activities {
		if len(p.Activities[i].Modes) > 1 {
			return false
		}
		for _, part := range p.Activities[i].Modes[0].Parts {
			if part.Late > 0 {
				return false
			}
		}
	}
	return true
}

// An enumeration is the state of a full search.
type enumeration struct {
	*search
	bound   *bounder
	atLeast int64
	nodes   int
	placed  []bool
	prefix  []int
}

// branch tries every activity that may come next, given that the last one
// began at last.
func (e *enumeration) branch(last int64) {
	if len(e.prefix) == len(e.placed) {
		e.build(e.prefix)
		return
	}
	for i := range e.placed {
		if e.placed[i] || !e.free(i) || e.nodes <= 0 || e.settled(e.atLeast) {
			continue
		}
		e.nodes--
		if !e.rebuild() || !e.b.place(i) {
			continue
		}
		start := e.b.slots[i].Start()
		if start < last || e.hopeless(i) {
			continue
		}
		e.placed[i] = true
		e.prefix = append(e.prefix, i)
		e.branch(start)
		e.prefix = e.prefix[:len(e.prefix)-1]
		e.placed[i] = false
	}
}

// free reports whether everything that i waits for is placed.
func (e *enumeration) free(i int) bool {
	for _, l := range e.p.Activities[i].After {
		if !e.placed[l.Pred] {
			return false
		}
	}
	return true
}

func (e *enumeration) rebuild() bool { return e.b.build(e.prefix) }

// hopeless reports whether the schedule with i placed last, and all others no
// sooner than that, can't be better than the best. Lateness may still be
// improved where the end can't, so the end only counts where nothing is late.
func (e *enumeration) hopeless(i int) bool {
	if !e.punctual() {
		return false
	}
	start := e.b.slots[i].Start()
	end := e.b.slots[i].End + e.bound.tail[i]
	for k := range e.placed {
		if k == i {
			continue
		}
		if e.placed[k] {
			end = max(end, e.b.slots[k].End+e.bound.tail[k])
		} else {
			end = max(end, max(start, e.bound.head[k])+e.bound.length[k]+e.bound.tail[k])
		}
	}
	return end >= e.best.Score.End
}
