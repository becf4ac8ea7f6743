package engine

// Bound returns a time that no schedule can end before. It is the larger of
// the longest chain of activities and, over every group of resources and
// every set of uses that begin no sooner than some head r and have a tail of
// at least q to follow,
//
//	T(r, work of the set) + q
//
// where T is when the group, on its calendar and from r on, has had room for
// the work. Machines lose at least the shortest set-up after each reset, and
// where everybody of a pool that tends each of its modes is away they can do
// no more than the longest stretch that needs nobody.
//
// Sources: the head-body-tail bound of J. Carlier, The one-machine sequencing
// problem, European Journal of Operational Research 11(1), 1982, 42-47, with
// m machines counted by capacity; on calendars it holds as T only counts open
// time.
func Bound(p *Problem) int64 {
	b := newBounder(p)
	b.heads()
	b.tails()
	best := int64(0)
	for i := range p.Activities {
		best = max(best, b.end[i], b.head[i]+b.length[i]+b.tail[i])
	}
	for _, g := range b.machineGroups() {
		best = max(best, g.bound())
	}
	for k := range p.Pools {
		g := b.poolGroup(k)
		best = max(best, g.bound())
	}
	for r := range p.Resources {
		if p.Resources[r].Capacity > 1 {
			g := b.amountGroup(r)
			best = max(best, g.bound())
		}
	}
	return best
}

// A bounder holds what is known of each activity without regard to the
// others' use of resources.
type bounder struct {
	p       *Problem
	relaxed Problem // without set-ups; their least is closed time
	list    []int
	head    []int64   // earliest start
	end     []int64   // earliest end
	partEnd [][]int64 // earliest end of each part
	length  []int64   // least, over modes
	tail    []int64   // least time from end to the end of the schedule
	after   [][]int64 // least time from the end of each part to the end of the schedule
}

func newBounder(p *Problem) *bounder {
	n := len(p.Activities)
	b := &bounder{p: p, head: make([]int64, n), end: make([]int64, n), partEnd: make([][]int64, n),
		length: make([]int64, n), tail: make([]int64, n), after: make([][]int64, n)}
	b.list, _ = p.order()
	b.relaxed = *p
	b.relaxed.Resources = make([]Resource, len(p.Resources))
	for r := range p.Resources {
		b.relaxed.Resources[r] = p.relaxedResource(r)
	}
	return b
}

// relaxedResource returns a machine without set-ups that is closed for the
// shortest one any activity needs, at the beginning and after each reset.
func (p *Problem) relaxedResource(r int) Resource {
	out := p.Resources[r]
	if out.Setup == nil {
		return out
	}
	known := map[int]int64{}
	least := func(state int) int64 {
		if state < 0 {
			return 0
		}
		if _, ok := known[state]; !ok {
			known[state] = p.leastSetup(r, state)
		}
		return known[state]
	}
	var closed []Closure
	add := func(from, to int64) {
		if n := len(closed); n > 0 && closed[n-1].To >= from {
			closed[n-1].To = max(closed[n-1].To, to)
		} else if from < to {
			closed = append(closed, Closure{From: from, To: to, Reset: keeps})
		}
	}
	add(0, least(out.State))
	for _, c := range out.Closed {
		add(c.From, c.To+least(c.Reset))
	}
	out.Closed, out.Setup = closed, nil
	return out
}

// leastSetup is the shortest set-up of machine r from a state to one that any
// activity on it needs.
func (p *Problem) leastSetup(r, state int) int64 {
	best := Forever
	for i := range p.Activities {
		for k := range p.Activities[i].Modes {
			if m := &p.Activities[i].Modes[k]; m.Machine == r+1 {
				best = min(best, p.Resources[r].Setup[state][m.State])
			}
		}
	}
	if best == Forever {
		return 0
	}
	return best
}

// heads finds the earliest start and ends of every activity as if it were the
// only one.
func (b *bounder) heads() {
	alone := newBuilder(&b.relaxed)
	alone.reset()
	for _, i := range b.list {
		a := &b.p.Activities[i]
		t := a.Release
		for _, l := range a.After {
			end := b.end[l.Pred]
			if l.Part >= 0 {
				end = b.partEnd[l.Pred][l.Part]
			}
			t = max(t, end+l.Wait)
		}
		parts := len(a.Modes[0].Parts)
		b.head[i], b.end[i], b.length[i] = Forever, Forever, Forever
		b.partEnd[i] = make([]int64, parts)
		for k := range b.partEnd[i] {
			b.partEnd[i][k] = Forever
		}
		for k := range a.Modes {
			m := &a.Modes[k]
			b.length[i] = min(b.length[i], m.length())
			if !alone.fit(m, t) {
				continue
			}
			b.head[i] = min(b.head[i], alone.now.parts[0])
			b.end[i] = min(b.end[i], alone.now.end)
			for j, s := range alone.now.parts {
				b.partEnd[i][j] = min(b.partEnd[i][j], s+m.Parts[j].Length)
			}
		}
	}
}

func (m *Mode) length() int64 {
	var t int64
	for k := range m.Parts {
		t += m.Parts[k].Length
	}
	return t
}

// tails finds the least time from the end of every part to the end of a
// schedule.
func (b *bounder) tails() {
	for k := len(b.list) - 1; k >= 0; k-- {
		i := b.list[k]
		a := &b.p.Activities[i]
		if b.after[i] == nil {
			b.after[i] = make([]int64, len(a.Modes[0].Parts))
		}
		after := b.after[i]
		b.tail[i] = after[len(after)-1]
		for j := len(after) - 2; j >= 0; j-- {
			least := Forever
			for k := range a.Modes {
				least = min(least, a.Modes[k].Parts[j+1].Length)
			}
			after[j] = max(after[j], least+after[j+1])
		}
		for _, l := range a.After {
			pred := b.after[l.Pred]
			if pred == nil {
				pred = make([]int64, len(b.p.Activities[l.Pred].Modes[0].Parts))
				b.after[l.Pred] = pred
			}
			j := l.Part
			if j < 0 {
				j = len(pred) - 1
			}
			pred[j] = max(pred[j], l.Wait+b.length[i]+b.tail[i])
		}
	}
}
