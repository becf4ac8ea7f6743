package press

import "slices"

// How many seconds after the soonest start the order of lots decides what goes
// next, beside no window at all: about as long as a dwell, so that the next
// loading follows the order, and as a warm-up, so that a temperature or toner
// set is kept rather than a gap filled. Longer ones gained nothing on the
// example days.
const (
	dwellWindow  = 60
	warmUpWindow = 1200
)

// windows are those that every start is tried with.
func (m *model) windows() []int64 {
	if len(m.tasks) > manyTasks {
		return []int64{0, warmUpWindow}
	}
	return []int64{0, dwellWindow, warmUpWindow}
}

// manyTasks is the number of activities from which every schedule counts.
const manyTasks = 10_000

// checksLast is added to the turn of checks, in seconds: more than any plan
// takes, so that checks fill what all else leaves free.
const checksLast = daysAhead * secondsADay

// starts are the arrangements that the search begins with. All of them take
// orders by promise, priority and due time, or, which is best while nothing
// need be late, by due time alone; some after orders of the same toner set and
// temperature are put together or those for each kind of press queue on their
// own; what follows a wait comes with its order, or with the next one and
// checks last of all.
func (m *model) starts(lots []lot) [][]int64 {
	rank, family := m.ranks(), m.families()
	grouped := ranked(len(rank), func(i, k int) bool {
		return family[i] < family[k] || family[i] == family[k] && rank[i] < rank[k]
	})
	byDue := ranked(len(rank), func(i, k int) bool {
		p, q := m.problem.Orders[i].Due, m.problem.Orders[k].Due
		if p.Equal(q) {
			return rank[i] < rank[k]
		}
		return !p.IsZero() && (q.IsZero() || p.Before(q))
	})
	overlap := func(rank []int, l *lot) (int, int, int) {
		r := rank[l.order]
		if l.stage >= stagePeel {
			r++
		}
		if l.stage == stageCheck {
			r += len(rank)
		}
		return r, l.print, int(l.stage)
	}
	strict := func(rank []int, l *lot) (int, int, int) { return rank[l.order], l.print, int(l.stage) }
	rules := []func(l *lot) (int, int, int){
		func(l *lot) (int, int, int) { return strict(rank, l) },
		func(l *lot) (int, int, int) { return strict(byDue, l) },
		func(l *lot) (int, int, int) { return overlap(rank, l) },
		func(l *lot) (int, int, int) { return overlap(byDue, l) },
		func(l *lot) (int, int, int) { return overlap(grouped, l) },
	}
	if turn, takes, kinds := m.queues(rank); kinds > 1 {
		rules = append(rules, func(l *lot) (int, int, int) {
			t := turn[l.order]
			if l.stage >= stagePeel {
				t += takes[l.order]
			}
			if l.stage == stageCheck {
				t += checksLast
			}
			return int(t), l.print*int(stages) + int(l.stage), rank[l.order]
		})
	}
	if len(rank) == 1 {
		rules = rules[:1]
	}
	var out [][]int64
	for _, rule := range rules {
		keys := make([]int64, len(lots))
		for i := range lots {
			a, b, c := rule(&lots[i])
			keys[i] = int64(a)<<40 | int64(b)<<20 | int64(c)
		}
		if !slices.ContainsFunc(out, func(have []int64) bool { return slices.Equal(have, keys) }) {
			out = append(out, keys)
		}
	}
	return out
}

// families numbers orders by toner set and press temperature of their first
// print, the family of the most urgent order first.
func (m *model) families() []int {
	type kind struct {
		toner string
		dial  float64
	}
	rank := m.ranks()
	var kinds []kind
	out := make([]int, len(rank))
	for _, i := range byRank(rank) {
		r := &m.problem.Orders[i].Jobs[0].Prints[0].Recipe
		k := kind{r.TonerSet, r.Press.Temperature.C()}
		if index(kinds, k) < 0 {
			kinds = append(kinds, k)
		}
		out[i] = index(kinds, k)
	}
	return out
}

// queues tells for each order when, in seconds, its turn comes if the orders
// for each kind of press stand in a queue of their own, by rank, and all
// presses are always busy; how long it then takes; and how many kinds there
// are. An order that needs several kinds stands in the longest of its queues.
func (m *model) queues(rank []int) (turn, takes []int64, kinds int) {
	presses := map[string]int64{}
	for _, p := range m.problem.Shop.Presses {
		presses[p.Kind]++
	}
	type share struct {
		order int
		kind  string
	}
	work := map[share]int64{}
	seen := map[string]bool{}
	for i := range m.tasks {
		mode := &m.engine.Activities[i].Modes[0]
		if m.tasks[i].stage == stagePrint || mode.Machine == 0 {
			continue
		}
		kind := m.recipe(i).PressKind
		seen[kind] = true
		for _, part := range mode.Parts[:mode.Held] {
			work[share{m.tasks[i].order, kind}] += part.Length
		}
	}
	turn, takes = make([]int64, len(rank)), make([]int64, len(rank))
	queue := map[string]int64{}
	for _, i := range byRank(rank) {
		for kind := range seen {
			if w := work[share{i, kind}]; w > 0 {
				turn[i], takes[i] = max(turn[i], queue[kind]), max(takes[i], w/presses[kind])
				queue[kind] += w / presses[kind]
			}
		}
	}
	return turn, takes, len(seen)
}

// ranked numbers n things from 0 by how many go before.
func ranked(n int, before func(i, k int) bool) []int {
	rank := make([]int, n)
	for i := range rank {
		for k := range rank {
			if k != i && before(k, i) {
				rank[i]++
			}
		}
	}
	return rank
}

// byRank lists the orders by rank.
func byRank(rank []int) []int {
	out := make([]int, len(rank))
	for i, r := range rank {
		out[r] = i
	}
	return out
}

// recipe is the recipe of activity i.
func (m *model) recipe(i int) *Recipe {
	t := &m.tasks[i]
	return &m.problem.Orders[t.order].Jobs[t.job].Prints[t.print].Recipe
}

// ranks numbers the orders from 0 by promise, priority and due time.
func (m *model) ranks() []int { return ranked(len(m.problem.Orders), m.before) }

// before reports whether order a goes before order b where nothing else
// decides.
func (m *model) before(a, b int) bool {
	p, q := &m.problem.Orders[a], &m.problem.Orders[b]
	if p.Promised != q.Promised {
		return p.Promised
	}
	if x, y := p.rank(), q.rank(); x != y {
		return x < y
	}
	if p.Due.IsZero() != q.Due.IsZero() {
		return q.Due.IsZero()
	}
	if !p.Due.Equal(q.Due) {
		return p.Due.Before(q.Due)
	}
	return a < b
}

// rank is the priority with none as the last.
func (o *Order) rank() int {
	if o.Priority == 0 {
		return int(^uint(0) >> 1)
	}
	return o.Priority
}
