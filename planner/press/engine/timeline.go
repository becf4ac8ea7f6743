package engine

// A stretch is a time at which a resource of capacity 1 is taken.
type stretch struct {
	from, to int64
	setup    int64 // ticks of tended set-up that directly precede from
	state    int32 // state the machine is in afterwards
	closed   bool
}

// keeps marks a closure that leaves the machine's state alone.
const keeps = -1

// A lane holds the taken stretches of a resource of capacity 1, sorted.
type lane struct {
	taken []stretch
}

func (l *lane) reset(r *Resource) {
	l.taken = l.taken[:0]
	for _, c := range r.Closed {
		l.taken = append(l.taken, stretch{from: c.From, to: c.To, state: int32(max(c.Reset, keeps)), closed: true})
	}
}

// at returns the index of the first stretch that ends after t.
func (l *lane) at(t int64) int {
	lo, hi := 0, len(l.taken)
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if l.taken[mid].to > t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// next returns the earliest start, t or later, of a free stretch of the given
// length.
func (l *lane) next(t, length int64) int64 {
	for i := l.at(t); i < len(l.taken); i++ {
		if s := &l.taken[i]; t+length <= s.from-s.setup {
			return t
		}
		t = max(t, l.taken[i].to)
	}
	return t
}

// take marks from..to as taken. Neighbours that touch become one, unless they
// carry a state.
func (l *lane) take(from, to int64) {
	if from == to {
		return
	}
	i := l.at(from)
	before := i > 0 && l.taken[i-1].to == from && !l.taken[i-1].closed
	behind := i < len(l.taken) && l.taken[i].from == to && !l.taken[i].closed
	switch {
	case before && behind:
		l.taken[i-1].to = l.taken[i].to
		l.taken = append(l.taken[:i], l.taken[i+1:]...)
	case before:
		l.taken[i-1].to = to
	case behind:
		l.taken[i].from = from
	default:
		l.insert(i, stretch{from: from, to: to})
	}
}

func (l *lane) insert(i int, s stretch) {
	l.taken = append(l.taken, stretch{})
	copy(l.taken[i+1:], l.taken[i:])
	l.taken[i] = s
}

// A level is the amount of a resource taken from a time on.
type level struct {
	from int64
	used int
}

// A profile holds the amount taken of a resource of capacity above 1 over
// time: the first level starts at 0.
type profile struct {
	levels []level
	free   int
}

func (p *profile) reset(r *Resource) {
	p.free = r.Capacity
	p.levels = append(p.levels[:0], level{0, 0})
	for _, c := range r.Closed {
		p.take(c.From, c.To, r.Capacity)
	}
}

// at returns the index of the level that holds at t.
func (p *profile) at(t int64) int {
	lo, hi := 0, len(p.levels)
	for hi-lo > 1 {
		mid := int(uint(lo+hi) >> 1)
		if p.levels[mid].from <= t {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func (p *profile) next(t, length int64, amount int) int64 {
	if length == 0 || amount == 0 {
		return t
	}
	room := p.free - amount
	for i := p.at(t); i < len(p.levels) && p.levels[i].from < t+length; i++ {
		if p.levels[i].used > room {
			if i+1 == len(p.levels) {
				return Forever
			}
			t = p.levels[i+1].from
		}
	}
	return t
}

func (p *profile) take(from, to int64, amount int) {
	if from == to || amount == 0 {
		return
	}
	i := p.split(from)
	for ; i < len(p.levels) && p.levels[i].from < to; i++ {
		if i+1 == len(p.levels) || p.levels[i+1].from > to {
			p.insert(i+1, level{to, p.levels[i].used})
		}
		p.levels[i].used += amount
	}
}

// split makes a level begin at t and returns its index.
func (p *profile) split(t int64) int {
	i := p.at(t)
	if p.levels[i].from == t {
		return i
	}
	p.insert(i+1, level{t, p.levels[i].used})
	return i + 1
}

func (p *profile) insert(i int, l level) {
	p.levels = append(p.levels, level{})
	copy(p.levels[i+1:], p.levels[i:])
	p.levels[i] = l
}
