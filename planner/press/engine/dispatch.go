package engine

// A dispatcher builds schedules in the order of time rather than of a list:
// of all lots the next activity that can start soonest goes next, or, within a
// window after that, the one whose lot comes first. With no window nothing
// that could be begun is kept waiting (the parallel scheme: non-delay
// schedules); with an endless one the order of lots decides (the serial
// scheme). In between lie parameterized active schedules: C. Bierwirth, D. C.
// Mattfeld, Production scheduling and rescheduling with genetic algorithms,
// Evolutionary Computation 7(1), 1999, 1-17.
type dispatcher struct {
	b     *builder
	lots  [][]int
	order []int   // lots, first one first
	next  []int   // by lot: place of its next activity
	soon  []int64 // by lot: its next activity starts no sooner; Forever: not free yet
	fresh []int   // by lot: number of activities placed when soon was found
	left  []int32 // by activity: links still open
	count int
	tree  []int32 // tournament of lots by soon: tree[k] beats tree[2k] and tree[2k+1]
}

func newDispatcher(b *builder, lots [][]int) *dispatcher {
	n := len(lots)
	return &dispatcher{b: b, tree: make([]int32, 2*n), lots: lots, next: make([]int, n), soon: make([]int64, n), fresh: make([]int, n),
		left: make([]int32, len(b.p.Activities))}
}

// build places all activities. It reports false where one can't be placed, or
// where lots wait for each other crosswise.
func (d *dispatcher) build(l *lister, keys []int64, window int64) bool {
	d.b.reset()
	d.b.placed = false
	d.order = sortedBy(keys)
	copy(d.left, l.preds)
	for i := range d.lots {
		d.next[i], d.fresh[i] = 0, -1
		d.tree[len(d.lots)+i] = int32(i)
		d.open(i)
	}
	for k := len(d.lots) - 1; k > 0; k-- {
		d.tree[k] = d.winner(k)
	}
	for d.count = 0; d.count < len(d.left); d.count++ {
		lot := d.choose(window)
		if lot < 0 {
			return false
		}
		i := d.lots[lot][d.next[lot]]
		if !d.b.place(i) {
			return false
		}
		d.next[lot]++
		d.open(lot)
		for _, k := range l.next[i] {
			d.left[k]--
		}
		for _, k := range l.next[i] {
			if d.left[k] == 0 {
				d.opened(int(k))
			}
		}
	}
	d.b.placed = true
	return true
}

// open finds out whether the next activity of a lot is free of links.
func (d *dispatcher) open(lot int) {
	d.fresh[lot] = -1
	if n := d.next[lot]; n < len(d.lots[lot]) && d.left[d.lots[lot][n]] == 0 {
		d.set(lot, 0)
	} else {
		d.set(lot, Forever)
	}
}

// set notes that a lot's next activity starts no sooner than t.
func (d *dispatcher) set(lot int, t int64) {
	if d.soon[lot] == t {
		return
	}
	d.soon[lot] = t
	for k := (len(d.lots) + lot) / 2; k > 0; k /= 2 {
		d.tree[k] = d.winner(k)
	}
}

// winner returns the lot below place k of the tournament that starts first,
// the lower one among equals.
func (d *dispatcher) winner(k int) int32 {
	a, b := d.tree[2*k], d.tree[2*k+1]
	if d.soon[b] < d.soon[a] || d.soon[b] == d.soon[a] && b < a {
		return b
	}
	return a
}

// opened notes that activity i is free of links now.
func (d *dispatcher) opened(i int) {
	lot := d.b.lot[i]
	if n := d.next[lot]; d.soon[lot] == Forever && d.lots[lot][n] == i {
		d.set(lot, 0)
		d.fresh[lot] = -1
	}
}

// choose returns the lot whose next activity goes next, -1 where none can.
func (d *dispatcher) choose(window int64) int {
	first := d.soonest()
	if first < 0 {
		return -1
	}
	limit := d.soon[first] + window
	for _, lot := range d.order {
		if d.soon[lot] <= limit && d.refresh(lot) <= limit {
			return lot
		}
	}
	return first
}

// soonest returns the lot whose next activity can start first.
func (d *dispatcher) soonest() int {
	for {
		lot := int(d.tree[1])
		at := d.soon[lot]
		if at == Forever {
			return -1
		}
		if d.refresh(lot) == at {
			return lot
		}
	}
}

// refresh finds the start of a lot's next activity as things are.
func (d *dispatcher) refresh(lot int) int64 {
	if d.fresh[lot] != d.count {
		d.fresh[lot] = d.count
		d.set(lot, max(d.soon[lot], d.b.earliest(d.lots[lot][d.next[lot]])))
	}
	return d.soon[lot]
}
