package sheet

import (
	"cmp"
	"slices"
)

// A measure is a size of a piece that pieces can be sorted by.
type measure int

const (
	byArea measure = iota
	byWidth
	byHeight
	byLongSide
	measureCount
)

func (m measure) of(w, h int) int {
	switch m {
	case byWidth:
		return w
	case byHeight:
		return h
	case byLongSide:
		return max(w, h)
	default:
		return w * h
	}
}

// A layout holds the pieces of each sheet; spot.piece is a kind.
type layout [][]spot

// construct returns the best layout of a few quick ones: for every measure
// and rule, sheets are filled one after the other, the largest kind first.
func (t task) construct(bound int) layout {
	var best layout
	for m := range measureCount {
		for r := range ruleCount {
			if best != nil && len(t.kinds) > manyKinds && m != byArea {
				return best
			}
			l := t.fillAll(m, r)
			if best == nil || len(l) < len(best) {
				best = l
			}
			if len(best) <= bound {
				return best
			}
		}
	}
	return best
}

// manyKinds are sorted by area only, to keep 2,000 different pieces below half
// a second: each order then takes as long as the search. It cost 2 sheets in
// 307.
const manyKinds = 1000

// fillAll fills sheets one after the other. A sheet is laid again as often as
// the pieces left allow, so that many copies cost no more than a few.
func (t task) fillAll(m measure, r rule) layout {
	order := make([]int, len(t.kinds))
	left := make([]int, len(t.kinds))
	total := 0
	for i, k := range t.kinds {
		order[i], left[i] = i, k.count
		total += k.count
	}
	slices.SortStableFunc(order, func(a, b int) int {
		ka, kb := t.kinds[a], t.kinds[b]
		return cmp.Or(cmp.Compare(m.of(kb.w, kb.h), m.of(ka.w, ka.h)), cmp.Compare(kb.area(), ka.area()))
	})
	p := t.newPage()
	p.rule = r
	on := make([]int, len(t.kinds))
	var l layout
	for total > 0 {
		p.clear()
		clear(on)
		order = slices.DeleteFunc(order, func(k int) bool { return left[k] == 0 })
		for _, k := range order {
			on[k] = p.fill(t.item(k), k, left[k])
		}
		spots := slices.Clone(p.spots)
		for t.spend(left, on) {
			l = append(l, spots)
			total -= len(spots)
		}
	}
	return l
}

// spend takes the pieces of a sheet from those left, if they are there.
func (t task) spend(left, on []int) bool {
	for k, n := range on {
		if n > left[k] {
			return false
		}
	}
	for k, n := range on {
		left[k] -= n
	}
	return true
}

func (t task) item(k int) item {
	kind := t.kinds[k]
	return item{w: kind.w, h: kind.h, turn: kind.turn, kind: k}
}

// fill lays up to limit copies of an item and returns how many.
func (p *page) fill(it item, index, limit int) int {
	for n := range limit {
		s, ok := p.fit(&it, index)
		if !ok {
			return n
		}
		p.put(s)
	}
	return limit
}
