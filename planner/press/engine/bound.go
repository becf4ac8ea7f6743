package engine

import "sort"

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

// An item is one use: it can't begin before head, and tail must follow its
// end. Work counts length times amount.
type item struct {
	head, work, tail int64
}

// A group is a set of resources and all that only they can do.
type group struct {
	items []item
	open  []rate
}

// A rate is how much work a group can do each tick from a time on.
type rate struct {
	from  int64
	speed int64
}

// machineGroups returns a group for each set of machines that some activity
// may choose between.
func (b *bounder) machineGroups() []group {
	var sets [][]bool
	for i := range b.p.Activities {
		if set := b.machinesOf(i); set != nil && !hasSet(sets, set) {
			sets = append(sets, set)
		}
	}
	var out []group
	for _, set := range sets {
		g := group{open: b.machineRates(set)}
		for i := range b.p.Activities {
			if own := b.machinesOf(i); own != nil && within(own, set) {
				g.items = append(g.items, b.machineItem(i))
			}
		}
		out = append(out, g)
	}
	return out
}

// machinesOf returns the machines an activity may use, nil where a mode uses
// none.
func (b *bounder) machinesOf(i int) []bool {
	var set []bool
	for k := range b.p.Activities[i].Modes {
		m := &b.p.Activities[i].Modes[k]
		if m.Machine == 0 {
			return nil
		}
		if set == nil {
			set = make([]bool, len(b.p.Resources))
		}
		set[m.Machine-1] = true
	}
	return set
}

func hasSet(sets [][]bool, set []bool) bool {
	for _, s := range sets {
		if within(s, set) && within(set, s) {
			return true
		}
	}
	return false
}

func within(a, b []bool) bool {
	for i := range a {
		if a[i] && !b[i] {
			return false
		}
	}
	return true
}

func (b *bounder) machineItem(i int) item {
	it := item{head: b.head[i], work: Forever, tail: Forever}
	for k := range b.p.Activities[i].Modes {
		m := &b.p.Activities[i].Modes[k]
		it.work = min(it.work, m.held())
		it.tail = min(it.tail, b.after[i][m.Held-1])
	}
	return it
}

// poolGroup counts what the people, or whatever a pool holds, have to do.
func (b *bounder) poolGroup(pool int) group {
	var lanes [][]Closure
	for _, r := range b.p.Pools[pool] {
		lanes = append(lanes, b.relaxed.Resources[r].Closed)
	}
	g := group{open: rates(lanes, 1)}
	for i := range b.p.Activities {
		g.items = b.appendUses(g.items, i, func(u *Use) int64 {
			if u.Pool == pool+1 {
				return 1
			}
			return 0
		})
	}
	return g
}

func (b *bounder) amountGroup(r int) group {
	g := group{open: rates([][]Closure{b.relaxed.Resources[r].Closed}, int64(b.p.Resources[r].Capacity))}
	for i := range b.p.Activities {
		g.items = b.appendUses(g.items, i, func(u *Use) int64 {
			if u.Pool == 0 && u.Resource == r {
				return int64(u.Amount)
			}
			return 0
		})
	}
	return g
}

// appendUses appends the uses that amount says are of the group. They are
// taken from the mode with the least work; its times are sure to hold for all
// modes only where all have the same uses, else the activity is one item
// without a head or tail of its own beyond the activity's.
func (b *bounder) appendUses(items []item, i int, amount func(*Use) int64) []item {
	a := &b.p.Activities[i]
	if len(a.Modes) > 1 {
		it := item{head: b.head[i], work: Forever, tail: b.tail[i]}
		for k := range a.Modes {
			work := int64(0)
			for j := range a.Modes[k].Parts {
				for u := range a.Modes[k].Parts[j].Uses {
					use := &a.Modes[k].Parts[j].Uses[u]
					work += amount(use) * (use.To - use.From)
				}
			}
			it.work = min(it.work, work)
		}
		if it.work > 0 {
			items = append(items, it)
		}
		return items
	}
	at := int64(0)
	for j := range a.Modes[0].Parts {
		part := &a.Modes[0].Parts[j]
		for u := range part.Uses {
			use := &part.Uses[u]
			if n := amount(use); n > 0 && use.To > use.From {
				items = append(items, item{b.head[i] + at + use.From, n * (use.To - use.From), part.Length - use.To + b.after[i][j]})
			}
		}
		at += part.Length
	}
	return items
}

// machineRates adds up the open time of machines, less what they lose while
// everybody that every mode on them needs is away.
func (b *bounder) machineRates(set []bool) []rate {
	var lanes [][]Closure
	for r := range set {
		if set[r] {
			lanes = append(lanes, b.withoutHands(r))
		}
	}
	return rates(lanes, 1)
}

// withoutHands returns the closures of machine r with those of the pool added
// that every mode on it needs, shortened by the longest stretch in which no
// mode needs anybody.
func (b *bounder) withoutHands(r int) []Closure {
	closed := b.relaxed.Resources[r].Closed
	pool, alone := b.tending(r)
	if pool < 0 {
		return closed
	}
	away := b.relaxed.Resources[b.p.Pools[pool][0]].Closed
	for _, other := range b.p.Pools[pool][1:] {
		away = intersect(away, b.relaxed.Resources[other].Closed)
	}
	var out []Closure
	for _, c := range away {
		// The machine may go on alone for a while at either end, in all no
		// longer than alone.
		if c.From+alone < c.To {
			out = append(out, Closure{From: c.From + alone, To: c.To})
		}
	}
	return union(closed, out)
}

// tending returns the pool that every mode on a machine begins with, and the
// longest stretch on the machine without a use of it; -1 where there is none.
func (b *bounder) tending(r int) (pool int, alone int64) {
	pool = -1
	for i := range b.p.Activities {
		for k := range b.p.Activities[i].Modes {
			m := &b.p.Activities[i].Modes[k]
			if m.Machine != r+1 {
				continue
			}
			first, longest := m.tending()
			if first < 0 || pool >= 0 && first != pool {
				return -1, 0
			}
			pool, alone = first, max(alone, longest)
		}
	}
	return pool, alone
}

// tending returns the pool a mode begins with and the longest stretch,
// while its machine is held, without a use of that pool.
func (m *Mode) tending() (pool int, longest int64) {
	uses := m.Parts[0].Uses
	if len(uses) == 0 || uses[0].Pool == 0 || uses[0].From > 0 || uses[0].To == 0 {
		return -1, 0
	}
	pool = uses[0].Pool - 1
	at, last := int64(0), int64(0)
	for k := range m.Parts[:m.Held] {
		for _, u := range m.Parts[k].Uses {
			if u.Pool-1 == pool && u.To > u.From {
				longest = max(longest, at+u.From-last)
				last = max(last, at+u.To)
			}
		}
		at += m.Parts[k].Length
	}
	return pool, max(longest, at-last)
}

func intersect(a, b []Closure) []Closure {
	var out []Closure
	for i, k := 0, 0; i < len(a) && k < len(b); {
		if from, to := max(a[i].From, b[k].From), min(a[i].To, b[k].To); from < to {
			out = append(out, Closure{From: from, To: to})
		}
		if a[i].To < b[k].To {
			i++
		} else {
			k++
		}
	}
	return out
}

func union(a, b []Closure) []Closure {
	all := append(append([]Closure(nil), a...), b...)
	sort.Slice(all, func(i, k int) bool { return all[i].From < all[k].From })
	var out []Closure
	for _, c := range all {
		if n := len(out); n > 0 && out[n-1].To >= c.From {
			out[n-1].To = max(out[n-1].To, c.To)
		} else {
			out = append(out, c)
		}
	}
	return out
}

// rates adds up resources, each with its closures and a speed.
func rates(lanes [][]Closure, speed int64) []rate {
	change := []rate{{0, speed * int64(len(lanes))}}
	for _, closed := range lanes {
		for _, c := range closed {
			change = append(change, rate{c.From, -speed}, rate{c.To, speed})
		}
	}
	sort.Slice(change, func(i, k int) bool { return change[i].from < change[k].from })
	var out []rate
	now := int64(0)
	for _, c := range change {
		now += c.speed
		if n := len(out); n > 0 && out[n-1].from == c.from {
			out[n-1].speed = now
		} else {
			out = append(out, rate{c.from, now})
		}
	}
	return out
}

// boundHeads is how many different heads the bound tries: spread evenly over
// those that occur, as each one costs a pass over all items.
const boundHeads = 12

// bound is the best of T(r, work) + q over heads r and tails q.
func (g *group) bound() int64 {
	if len(g.items) == 0 {
		return 0
	}
	sort.Slice(g.items, func(i, k int) bool { return g.items[i].tail > g.items[k].tail })
	heads := make([]int64, len(g.items))
	for i := range heads {
		heads[i] = g.items[i].head
	}
	sort.Slice(heads, func(i, k int) bool { return heads[i] < heads[k] })
	best := int64(0)
	for n := 0; n < boundHeads; n++ {
		r := heads[n*len(heads)/boundHeads]
		best = max(best, g.boundFrom(r))
	}
	return best
}

// boundFrom takes the items with head r or later in order of falling tail and
// returns the best T(r, work) + q.
func (g *group) boundFrom(r int64) int64 {
	best, work := int64(0), int64(0)
	at, k := r, sort.Search(len(g.open), func(i int) bool { return g.open[i].from > r })-1
	for i := range g.items {
		it := &g.items[i]
		if it.head < r {
			continue
		}
		work += it.work
		for work > 0 { // move on in time until the work so far is done
			end := Forever
			if k+1 < len(g.open) {
				end = g.open[k+1].from
			}
			speed := g.open[k].speed
			if speed > 0 && (end-at) >= (work+speed-1)/speed {
				break
			}
			if end == Forever {
				return best // the calendar is too short to say
			}
			work -= speed * (end - at)
			at, k = end, k+1
		}
		done := at
		if work > 0 {
			done += (work + g.open[k].speed - 1) / g.open[k].speed
		}
		best = max(best, done+it.tail)
	}
	return best
}
