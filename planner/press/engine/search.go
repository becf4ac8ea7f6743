package engine

import "errors"

// ErrHorizon says that an activity finds no place before the horizon.
var ErrHorizon = errors.New("an activity finds no place before the horizon")

// Build places the activities in the order of keys, lowest first, as far as
// links allow.
func Build(p *Problem, keys []int64) (Schedule, error) {
	if err := p.Validate(); err != nil {
		return Schedule{}, err
	}
	b := newBuilder(p)
	if !b.build(newLister(p).list(keys, nil)) {
		return Schedule{}, ErrHorizon
	}
	return b.copySchedule(b.score()), nil
}
