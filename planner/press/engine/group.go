package engine

import "sort"

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
