package sheet

import (
	"cmp"
	"slices"
)

// A layout holds the pieces of each sheet.
type layout [][]spot

// search returns the best layout it finds.
func (t task) search(effort int) layout {
	var best layout
	for _, order := range [](func(a, b kind) int){
		func(a, b kind) int { return cmp.Compare(b.area(), a.area()) },
		func(a, b kind) int { return cmp.Compare(b.h, a.h) },
		func(a, b kind) int { return cmp.Compare(b.w, a.w) },
		func(a, b kind) int { return cmp.Compare(max(b.w, b.h), max(a.w, a.h)) },
	} {
		l := t.firstFit(order)
		if best == nil || len(l) < len(best) {
			best = l
		}
	}
	return best
}

func (t task) firstFit(order func(a, b kind) int) layout {
	index := make([]int, len(t.kinds))
	for i := range index {
		index[i] = i
	}
	slices.SortStableFunc(index, func(a, b int) int { return order(t.kinds[a], t.kinds[b]) })
	var pages []*page
	for _, k := range index {
		first := 0
		for range t.kinds[k].count {
			for {
				if first == len(pages) {
					p := &page{}
					p.clear(t.width, t.height)
					pages = append(pages, p)
				}
				if s, ok := pages[first].fit(t.kinds[k], k); ok {
					pages[first].put(s)
					break
				}
				first++
			}
		}
	}
	l := make(layout, len(pages))
	for i, p := range pages {
		l[i] = p.spots
	}
	return l
}

// fit finds the free rectangle whose shorter leftover is least; ties go to the
// topmost, then the leftmost.
func (p *page) fit(k kind, index int) (spot, bool) {
	var best spot
	bestScore, found := [3]int{}, false
	try := func(f rect, w, h int) {
		if w > f.w || h > f.h {
			return
		}
		score := [3]int{min(f.w-w, f.h-h), f.y, f.x}
		if !found || slices.Compare(score[:], bestScore[:]) < 0 {
			best, bestScore, found = spot{rect{f.x, f.y, w, h}, index}, score, true
		}
	}
	for _, f := range p.free {
		try(f, k.w, k.h)
		if k.turn {
			try(f, k.h, k.w)
		}
	}
	return best, found
}
