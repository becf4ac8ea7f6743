package engine

import "sort"

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
