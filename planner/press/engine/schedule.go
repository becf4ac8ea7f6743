package engine

// A Schedule says when and how each activity is done.
type Schedule struct {
	Slots []Slot // one an activity
	Score Score
}

// A Slot is the place of one activity in a schedule.
type Slot struct {
	Mode  int
	Parts []int64 // start of each part
	End   int64
	Given []int // resource of each Use in order of parts and uses, after that the tender of the set-up, or -1
}

// Start returns the start of the first part.
func (s *Slot) Start() int64 { return s.Parts[0] }

// A builder makes schedules out of lists: the serial schedule generation
// scheme. Each activity in turn is placed at its earliest start, gaps between
// earlier ones included.
type builder struct {
	p        *Problem
	lanes    []lane
	profiles []profile
	hints    [][]hint // by kind and mode
	slots    []Slot
	best     trial
	now      trial
	lot      []int // by activity, for dispatching
	placed   bool  // the last list could be placed
	only     []int // by activity: 1 + the mode it is restricted to; 0 or nil: any
}

// A hint says that an activity of a kind, ready at ready, could not start
// before start. Resources only fill up while a schedule grows, so no later
// one of the kind that is ready no sooner can.
type hint struct {
	ready, start int64
}

// A trial is a possible place of the activity that is to be placed next.
type trial struct {
	parts []int64
	end   int64
	setup int64
	cost  int64 // of the set-up, for choosing: none where a reset makes everyone need one
	gap   int
}

func newBuilder(p *Problem) *builder {
	b := &builder{p: p, lanes: make([]lane, len(p.Resources)), profiles: make([]profile, len(p.Resources))}
	kinds := 0
	for i := range p.Activities {
		kinds = max(kinds, p.Activities[i].Kind)
	}
	b.hints = make([][]hint, kinds+1)
	for i := range p.Activities {
		if k := p.Activities[i].Kind; k > 0 && b.hints[k] == nil {
			b.hints[k] = make([]hint, len(p.Activities[i].Modes))
		}
	}
	b.slots = make([]Slot, len(p.Activities))
	return b
}

func (b *builder) reset() {
	for i := range b.p.Resources {
		r := &b.p.Resources[i]
		if r.Capacity == 1 {
			b.lanes[i].reset(r)
		} else {
			b.profiles[i].reset(r)
		}
	}
	for _, h := range b.hints {
		for k := range h {
			h[k] = hint{ready: Forever}
		}
	}
}

// build places the activities of a list. It reports false where one can't be
// placed before the horizon.
func (b *builder) build(list []int) bool {
	b.reset()
	b.placed = false
	for _, i := range list {
		if !b.place(i) {
			return false
		}
	}
	b.placed = true
	return true
}

// ready returns the earliest start that links and release allow.
func (b *builder) ready(a *Activity) int64 {
	t := a.Release
	for _, l := range a.After {
		s := &b.slots[l.Pred]
		end := s.End
		if l.Part >= 0 {
			end = s.Parts[l.Part] + b.p.Activities[l.Pred].Modes[s.Mode].Parts[l.Part].Length
		}
		t = max(t, end+l.Wait)
	}
	return t
}

// place puts activity i at the mode and start that end earliest, a set-up
// counted twice as it costs the machine time, the lower mode among equals.
func (b *builder) place(i int) bool {
	mode := b.choose(i)
	if mode < 0 {
		return false
	}
	b.commit(i, mode)
	return true
}

// earliest returns when activity i would start, the time of its set-up on top so
// that work in the same state goes first; Forever where it can't.
func (b *builder) earliest(i int) int64 {
	if b.choose(i) < 0 {
		return Forever
	}
	return b.best.parts[0] + b.best.cost
}

// choose finds the mode and place of activity i and leaves the place in
// b.best; -1 where there is none.
func (b *builder) choose(i int) int {
	a := &b.p.Activities[i]
	ready := b.ready(a)
	chosen := -1
	for k := range a.Modes {
		if b.only != nil && b.only[i] > 0 && b.only[i] != k+1 {
			continue
		}
		from := ready
		var h *hint
		if a.Kind > 0 {
			h = &b.hints[a.Kind][k]
			if h.ready <= ready {
				from = max(from, h.start)
			}
		}
		if !b.fit(&a.Modes[k], from) {
			continue
		}
		if h != nil {
			*h = hint{ready, b.now.parts[0]}
		}
		if chosen < 0 || b.now.end+b.now.cost < b.best.end+b.best.cost {
			chosen = k
			b.now, b.best = b.best, b.now
		}
	}
	return chosen
}

func (b *builder) horizon() int64 {
	if b.p.Horizon > 0 {
		return b.p.Horizon
	}
	return Forever
}

// fit finds the earliest place of a mode from time t on and leaves it in
// b.now.
func (b *builder) fit(m *Mode, t int64) bool {
	n := &b.now
	if cap(n.parts) < len(m.Parts) {
		n.parts = make([]int64, len(m.Parts))
	}
	n.parts = n.parts[:len(m.Parts)]
	if m.Machine == 0 {
		n.setup, n.cost = 0, 0
		end, ok := b.fitParts(m, t, Forever, -1)
		n.end = end
		return ok && end <= b.horizon()
	}
	machine := &b.p.Resources[m.Machine-1]
	lane := &b.lanes[m.Machine-1]
	held := m.held()
	for gap := lane.at(t); ; gap++ {
		from, limit, setup, ok := lane.gap(machine, gap, t, m.State)
		if ok && from+held <= limit {
			tender := -1
			if setup > 0 && machine.Tender > 0 {
				tender = machine.Tender - 1
			}
			n.setup, n.cost, n.gap = setup, setup, gap
			if lane.fresh(gap) && machine.Tender == 0 {
				n.cost = 0
			}
			if end, fits := b.fitParts(m, from, limit, tender); fits {
				n.end = end
				return end <= b.horizon()
			}
		}
		if gap >= len(lane.taken) {
			return false
		}
	}
}

func (m *Mode) held() int64 {
	var t int64
	for _, part := range m.Parts[:m.Held] {
		t += part.Length
	}
	return t
}

// fitParts places the parts of a mode from t on, its machine free until
// limit. It reports the end, and false where the machine would be held beyond
// limit.
func (b *builder) fitParts(m *Mode, t, limit int64, tender int) (int64, bool) {
	for first := 0; first < len(m.Parts); {
		last := first + 1
		for last < len(m.Parts) && m.Parts[last].Late == 0 {
			last++
		}
		from := b.fitRigid(m, first, last, t, tender)
		if from >= Forever {
			return from, false
		}
		if over := from - t - m.Parts[first].Late; first > 0 && over > 0 {
			// It would be too late: begin all of it later.
			t, first = b.now.parts[0]+over, 0
			continue
		}
		t = from
		for k := first; k < last; k++ {
			b.now.parts[k] = t
			t += m.Parts[k].Length
			if k+1 == m.Held && t > limit {
				return t, false
			}
		}
		first = last
	}
	return t, true
}

// fitRigid returns the earliest start, t or later, at which all uses of parts
// first to last are free, and the tender of the set-up before them if one is
// needed.
func (b *builder) fitRigid(m *Mode, first, last int, t int64, tender int) int64 {
	for moved := true; moved && t < Forever; {
		moved = false
		if tender >= 0 && first == 0 {
			from := t - b.now.setup
			if free := b.next(&Use{Pool: tender + 1}, from, b.now.setup); free > from {
				t, moved = free+b.now.setup, true
			}
		}
		at := t
		for k := first; k < last && !moved; k++ {
			part := &m.Parts[k]
			for u := range part.Uses {
				use := &part.Uses[u]
				from := at + use.From
				if free := b.next(use, from, use.To-use.From); free > from {
					t, moved = t+free-from, true
					break
				}
			}
			at += part.Length
		}
	}
	return t
}

// next returns when a use may begin, t or later.
func (b *builder) next(u *Use, t, length int64) int64 {
	if length == 0 {
		return t
	}
	if u.Pool == 0 {
		if b.p.Resources[u.Resource].Capacity == 1 {
			if u.Amount == 0 {
				return t
			}
			return b.lanes[u.Resource].next(t, length)
		}
		return b.profiles[u.Resource].next(t, length, u.Amount)
	}
	best := Forever
	for _, r := range b.p.Pools[u.Pool-1] {
		if best = min(best, b.lanes[r].next(t, length)); best == t {
			break
		}
	}
	return best
}

// gap describes the free stretch before taken stretch i, or behind the last
// one: the earliest start from t on in the given state, the time by which the
// machine must be free, and the set-up needed first.
func (l *lane) gap(r *Resource, i int, t int64, state int) (from, limit, setup int64, ok bool) {
	free := int64(0)
	if i > 0 {
		free = l.taken[i-1].to
	}
	limit = Forever
	if i < len(l.taken) {
		limit = l.taken[i].from - l.taken[i].setup
	}
	if r.Setup == nil {
		return max(t, free), limit, 0, true
	}
	before := l.stateBefore(i, r.State)
	if before >= 0 {
		setup = r.Setup[before][state]
	}
	if next := l.following(i); next >= 0 {
		if r.Tender > 0 {
			// The set-up after it has its own time and tender, already placed.
			return max(t, free+setup), limit, setup, before == state
		}
		after := r.Setup[state][l.taken[next].state]
		if next > i && after > l.taken[next].from-l.taken[next-1].to {
			return 0, 0, 0, false // a closure lies between, and no set-up runs across one
		}
		limit = min(limit, l.taken[next].from-after)
	}
	return max(t, free+setup), limit, setup, true
}

// stateBefore returns the state the machine is in before taken stretch i.
func (l *lane) stateBefore(i, start int) int {
	for i--; i >= 0; i-- {
		if l.taken[i].state != keeps {
			return int(l.taken[i].state)
		}
	}
	return start
}

// fresh reports whether nothing was done between the last reset, or the
// beginning, and taken stretch i.
func (l *lane) fresh(i int) bool {
	for i--; i >= 0; i-- {
		if !l.taken[i].closed {
			return false
		}
		if l.taken[i].state != keeps {
			return true
		}
	}
	return true
}

// following returns the stretch whose set-up depends on the state left before
// taken stretch i, or -1.
func (l *lane) following(i int) int {
	for ; i < len(l.taken); i++ {
		if s := &l.taken[i]; s.state != keeps {
			if s.closed {
				return -1
			}
			return i
		}
	}
	return -1
}

// commit takes what b.best found for activity i.
func (b *builder) commit(i, mode int) {
	m := &b.p.Activities[i].Modes[mode]
	s := &b.slots[i]
	s.Mode, s.End = mode, b.best.end
	s.Parts = append(s.Parts[:0], b.best.parts...)
	s.Given = s.Given[:0]
	for k := range m.Parts {
		for u := range m.Parts[k].Uses {
			use := &m.Parts[k].Uses[u]
			s.Given = append(s.Given, b.take(use, s.Parts[k]+use.From, use.To-use.From))
		}
	}
	tender := -1
	if m.Machine > 0 {
		setup := int64(0)
		if pool := b.p.Resources[m.Machine-1].Tender; pool > 0 && b.best.setup > 0 {
			setup = b.best.setup
			tender = b.take(&Use{Pool: pool}, s.Parts[0]-setup, setup)
		}
		end := s.Parts[m.Held-1] + m.Parts[m.Held-1].Length
		b.lanes[m.Machine-1].insert(b.best.gap, stretch{from: s.Parts[0], to: end, setup: setup, state: int32(m.State)})
	}
	s.Given = append(s.Given, tender)
}

// take marks a use and returns the resource that was taken: of a pool the one
// that has been free for the shortest time, so that long gaps stay whole.
func (b *builder) take(u *Use, t, length int64) int {
	if u.Pool == 0 {
		if b.p.Resources[u.Resource].Capacity > 1 {
			b.profiles[u.Resource].take(t, t+length, u.Amount)
		} else if u.Amount > 0 {
			b.lanes[u.Resource].take(t, t+length)
		}
		return u.Resource
	}
	chosen, since := -1, int64(-1)
	for _, r := range b.p.Pools[u.Pool-1] {
		l := &b.lanes[r]
		if l.next(t, length) != t {
			continue
		}
		free := int64(0)
		if i := l.at(t); i > 0 {
			free = l.taken[i-1].to
		}
		if chosen < 0 || free > since {
			chosen, since = r, free
		}
	}
	b.lanes[chosen].take(t, t+length)
	return chosen
}
