package sheet

import (
	"cmp"
	"slices"
)

// byValue improves a layout of many copies of few kinds.
//
// Sheets are filled one after the other, each with the pieces that are worth
// most together, and laid as often as the pieces left allow. A kind that ended
// on poorly filled sheets is worth more in the next round, so that it is laid
// early, while there are others to go with it: sequential value correction, G.
// Belov, G. Scheithauer, E. A. Mukhacheva, "One-dimensional heuristics adapted
// for two-dimensional rectangular strip packing", J. Operational Research
// Society 59(6), 2008.
func (t task) byValue(best layout, steps, bound int) layout {
	v := &valuer{task: t, worth: make([]float64, len(t.kinds)), page: t.newPage(), steps: steps}
	for k := range t.kinds {
		v.worth[k] = 1
		var alone []spot
		if t.kinds[k].count >= t.width*t.height/t.kinds[k].area()/2 {
			alone = t.perSheet(k)
		}
		v.alone = append(v.alone, alone)
	}
	for v.steps > 0 && len(best) > bound {
		if l := v.round(len(best)); l != nil {
			best = l
		}
	}
	return best
}

const (
	// fillTries fillings compete for each sheet.
	fillTries = 12

	// inertia is how slowly a kind's worth follows what its sheets wasted.
	inertia = 0.7

	// drawnPerStep kinds are put in order in about the time of a step.
	drawnPerStep = 4

	// worthNoise spreads the worths when an order is drawn, as a share.
	worthNoise = 0.5
)

type valuer struct {
	task   task
	worth  []float64 // by kind, of a unit of area
	alone  [][]spot  // the best sheet of each kind by itself, where there are enough pieces
	page   *page
	sky    skyline
	steps  int
	random random
}

// round fills sheets until no piece is left; nil where that takes as many
// sheets as the limit or more.
func (v *valuer) round(limit int) layout {
	left := make([]int, len(v.task.kinds))
	total := 0
	for k, kind := range v.task.kinds {
		left[k] = kind.count
		total += kind.count
	}
	on := make([]int, len(left))
	var l layout
	for total > 0 && len(l) < limit && v.steps > 0 {
		spots := v.fillSheet(left)
		clear(on)
		for _, s := range spots {
			on[s.piece]++
		}
		for v.task.spend(left, on) {
			l = append(l, spots)
			total -= len(spots)
		}
		v.correct(spots, on)
	}
	if total > 0 || len(l) >= limit {
		return nil
	}
	return l
}

// fillSheet returns the sheet of most worth that it finds.
func (v *valuer) fillSheet(left []int) []spot {
	var best []spot
	most := -1.0
	keep := func(spots []spot) {
		sum := 0.0
		for _, s := range spots {
			sum += float64(v.worth[s.piece] * float64(s.w*s.h))
		}
		if sum > most {
			best, most = slices.Clone(spots), sum
		}
	}
	for k, spots := range v.alone {
		if len(spots) > 0 && left[k] >= len(spots) {
			keep(spots)
		}
	}
	for n := range fillTries {
		if n%2 == 0 && !v.task.trimmer {
			keep(v.fillByHollow(left))
		} else {
			keep(v.fill(left))
		}
	}
	return best
}

// fill fills the page in an order drawn around the worths, with as many copies
// of each kind as fit or, every other time, at most a number drawn at random.
func (v *valuer) fill(left []int) []spot {
	left = slices.Clone(left)
	v.page.clear()
	v.page.rule = rule(v.random.below(int(ruleCount)))
	capped := v.random.below(2) == 0
	for _, k := range v.draw(left) {
		n := left[k]
		if capped {
			n = 1 + v.random.below(n)
		}
		laid := v.page.fill(v.task.item(k), k, n)
		v.steps -= laid + 1
		left[k] -= laid
	}
	if capped {
		for _, k := range v.draw(left) {
			v.steps -= v.page.fill(v.task.item(k), k, left[k]) + 1
		}
	}
	return v.page.spots
}

// fillByHollow fills a sheet from its top on: into the highest hollow goes the
// kind that fits it best, of equal ones the first in an order drawn around the
// worths.
func (v *valuer) fillByHollow(left []int) []spot {
	left = slices.Clone(left)
	order := v.draw(left)
	spots := v.page.spots[:0]
	v.sky.clear(v.task.width, v.task.height)
	for h, i := v.sky.lowest(); !h.full(); h, i = v.sky.lowest() {
		at, turned, best := -1, false, noFit
		v.steps -= 1 + len(order)/triesPerStep
		for _, k := range order {
			if left[k] == 0 {
				continue
			}
			it := v.task.item(k)
			if score, turn := h.score(&it); score > best {
				at, turned, best = k, turn, score
			}
			if best == perfectFit {
				break
			}
		}
		if at < 0 {
			v.sky.fillUp(i, h)
			continue
		}
		it := v.task.item(at)
		sp := spot{h.place(&it, turned), at}
		left[at]--
		spots = append(spots, sp)
		v.sky.raise(i, sp.rect)
	}
	v.page.spots = spots
	return spots
}

func (v *valuer) draw(left []int) []int {
	var order []int
	keys := make([]float64, len(left))
	m := measure(v.random.below(int(measureCount) + 1))
	for k, n := range left {
		if n == 0 {
			continue
		}
		order = append(order, k)
		kind := v.task.kinds[k]
		keys[k] = float64(v.worth[k] * float64(1+worthNoise*float64(v.random.below(100))/100))
		if m < measureCount {
			keys[k] = float64(keys[k] * float64(m.of(kind.w, kind.h)))
		}
	}
	v.steps -= len(order) / drawnPerStep
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(keys[b], keys[a]), cmp.Compare(a, b)) })
	return order
}

// correct moves the worth of the kinds on a sheet towards one over the share
// of the sheet that is used.
func (v *valuer) correct(spots []spot, on []int) {
	share := float64(area(spots)) / float64(v.task.width*v.task.height)
	for k, n := range on {
		if n > 0 {
			v.worth[k] = float64(inertia*v.worth[k]) + float64((1-inertia)/share)
		}
	}
}
