package press

import (
	"errors"
	"fmt"
	"time"

	"presshand/planner/press/engine"
)

// Progress is called while Solve searches: schedules built so far, how many
// there may be, and when the best one so far ends.
type Progress func(done, of int, finish time.Time)

// Solve plans the problem.
func Solve(p Problem) (Plan, error) { return SolveProgress(p, nil) }

// SolveProgress is Solve with a word on how far it is; nil says nothing.
func SolveProgress(p Problem, progress Progress) (Plan, error) {
	plan, tasks, err := solve(&p, progress)
	if err != nil {
		return Plan{}, fmt.Errorf("press plan: %w", err)
	}
	savings(&p, &plan, tasks)
	return plan, nil
}

// solve plans without looking for what would save late orders, and returns
// the number of activities as well.
func solve(p *Problem, progress Progress) (Plan, int, error) {
	if err := p.validate(); err != nil {
		return Plan{}, 0, err
	}
	m := newModel(p)
	if len(m.open) == 0 {
		return Plan{}, 0, ErrClosed
	}
	o := m.options()
	if progress != nil {
		o.Progress = func(done, of int, best *engine.Score) { progress(done, of, m.at(best.End)) }
	}
	r, err := engine.Solve(&m.engine, o)
	if errors.Is(err, engine.ErrHorizon) {
		return Plan{}, 0, fmt.Errorf("a step fits in no opening of the shop, people's hours and breaks considered: lengthen the hours or shorten the step: %w", err)
	}
	if err != nil {
		return Plan{}, 0, err
	}
	plan := m.plan(&r.Schedule)
	plan.AtLeast = time.Duration(r.AtLeast) * time.Second
	return plan, len(m.tasks), nil
}
