package press

import (
	"errors"
	"fmt"
	"time"

	"presshand/planner/press/engine"
)

// Solve plans the problem.
func Solve(p Problem) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, fmt.Errorf("press plan: %w", err)
	}
	m := newModel(&p)
	if len(m.open) == 0 {
		return Plan{}, fmt.Errorf("press plan: %w", ErrClosed)
	}
	s, err := engine.Build(&m.engine, m.keys())
	if errors.Is(err, engine.ErrHorizon) {
		return Plan{}, fmt.Errorf("press plan: a step fits in no opening of the shop, people's hours and breaks considered: lengthen the hours or shorten the step: %w", err)
	}
	if err != nil {
		return Plan{}, fmt.Errorf("press plan: %w", err)
	}
	plan := m.plan(&s)
	plan.AtLeast = time.Duration(m.bound()) * time.Second
	return plan, nil
}

// keys orders the work by promise, priority, due time, stage and number.
func (m *model) keys() []int64 {
	rank := m.ranks()
	keys := make([]int64, len(m.tasks))
	for i := range m.tasks {
		t := &m.tasks[i]
		keys[i] = int64(rank[t.order])<<40 | int64(t.stage)<<32 | int64(t.unit)
	}
	return keys
}

func (m *model) ranks() []int {
	rank := make([]int, len(m.problem.Orders))
	for i := range rank {
		for k := range rank {
			if k != i && m.before(k, i) {
				rank[i]++
			}
		}
	}
	return rank
}

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

// bound is the longest chain of steps.
func (m *model) bound() int64 {
	ends := make([]int64, len(m.tasks))
	longest := int64(0)
	for i := range m.tasks {
		a := &m.engine.Activities[i]
		t := a.Release
		for _, l := range a.After {
			t = max(t, ends[l.Pred])
		}
		if a.After != nil && m.tasks[i].stage <= stageCut {
			t = a.Release // a sheet need not wait for the whole run
		}
		shortest := engine.Forever
		for _, mode := range a.Modes {
			sum := int64(0)
			for _, part := range mode.Parts {
				sum += part.Length
			}
			shortest = min(shortest, sum)
		}
		ends[i] = t + shortest
		longest = max(longest, ends[i])
	}
	return longest
}
