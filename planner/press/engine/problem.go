package engine

import "fmt"

// Forever stands for "at no time": no schedule reaches it.
const Forever int64 = 1 << 60

// A Problem is a set of activities to be timed on resources. Times are whole
// ticks from 0; the caller says what a tick is.
type Problem struct {
	Resources  []Resource
	Pools      [][]int // each a choice of resources of capacity 1; a Use may name one
	Activities []Activity
	Dues       []Due
	Levels     int   // number of levels that the Dues count in; 0 where there are none
	Horizon    int64 // nothing may end later; 0 means Forever
}

// A Resource is something of which a limited amount is there at a time.
type Resource struct {
	Capacity int
	Closed   []Closure // sorted, disjoint; nothing runs across one
	State    int       // state at time 0, for a machine; -1: any, so that the first set-up is free
	Setup    [][]int64 // Setup[a][b]: ticks from state a to state b; nil: no set-ups
	Tender   int       // 1 + number of the pool of which one tends a set-up from its start to its end; 0: none
}

// A Closure is a time at which a resource is not there. A machine is in state
// Reset afterwards; Reset below 0 leaves it as it was.
type Closure struct {
	From, To int64
	Reset    int
}

// An Activity is done once, in one of its modes, not before Release.
type Activity struct {
	Modes   []Mode
	After   []Link
	Release int64
	Kind    int // activities of one kind > 0 have equal Modes; 0: of its own kind
	Due     int // 1 + index into Problem.Dues; 0: none
}

// A Link makes an activity wait until Wait ticks after the end of part Part of
// activity Pred; Part below 0 means the last one.
type Link struct {
	Pred, Part int
	Wait       int64
}

// A Mode is one way to do an activity: parts one after the other, without a
// gap except before a part that may be late.
type Mode struct {
	Parts   []Part
	Machine int // 1 + resource of capacity 1 that is held from the first part on; 0: none
	Held    int // number of parts, from the first, that the machine is held for
	State   int // state the machine must be in
}

// A Part is a rigid stretch of a mode with its own use of resources.
type Part struct {
	Length int64
	Late   int64 // it may start up to so much later than the part before ended, the machine held meanwhile
	Uses   []Use
}

// A Use takes Amount of a resource, or one resource out of a pool, from From
// to To, counted from the start of the part.
type Use struct {
	Resource int // resource index, where Pool is 0
	Pool     int // 1 + pool index
	Amount   int // of Resource; a pool always gives one
	From, To int64
}

// A Due is a time by which a group of activities should be done.
type Due struct {
	At    int64
	Level int // lateness is counted by level, 0 first
}

// Validate reports the first fault of the problem: an index out of range, a
// negative time, a use that no capacity can meet, or links that run in a ring.
func (p *Problem) Validate() error {
	for i, r := range p.Resources {
		if r.Capacity < 1 {
			return fmt.Errorf("resource %d has capacity %d: give it at least 1", i, r.Capacity)
		}
		for k, c := range r.Closed {
			if c.To < c.From || k > 0 && c.From < r.Closed[k-1].To {
				return fmt.Errorf("resource %d: closure %d is out of order", i, k)
			}
		}
		if r.Tender > len(p.Pools) {
			return fmt.Errorf("resource %d is tended by pool %d, which is not there", i, r.Tender)
		}
	}
	for i, pool := range p.Pools {
		if len(pool) == 0 {
			return fmt.Errorf("pool %d is empty", i)
		}
		for _, r := range pool {
			if r < 0 || r >= len(p.Resources) || p.Resources[r].Capacity != 1 {
				return fmt.Errorf("pool %d: resource %d is not there or has not capacity 1", i, r)
			}
		}
	}
	for i := range p.Activities {
		if err := p.validate(i); err != nil {
			return fmt.Errorf("activity %d: %w", i, err)
		}
	}
	if _, err := p.order(); err != nil {
		return err
	}
	return nil
}

func (p *Problem) validate(i int) error {
	a := &p.Activities[i]
	if len(a.Modes) == 0 {
		return fmt.Errorf("no way to do it: give it a mode")
	}
	if a.Release < 0 || a.Due < 0 || a.Due > len(p.Dues) || a.Kind < 0 {
		return fmt.Errorf("release %d, due %d or kind %d out of range", a.Release, a.Due, a.Kind)
	}
	for _, l := range a.After {
		if l.Pred < 0 || l.Pred >= len(p.Activities) || l.Wait < 0 {
			return fmt.Errorf("link to %d with wait %d is out of range", l.Pred, l.Wait)
		}
		if l.Part >= len(p.Activities[l.Pred].Modes[0].Parts) {
			return fmt.Errorf("link to part %d of activity %d, which is not there", l.Part, l.Pred)
		}
	}
	for k := range a.Modes {
		if err := p.validateMode(&a.Modes[k], len(a.Modes[0].Parts)); err != nil {
			return fmt.Errorf("mode %d: %w", k, err)
		}
	}
	return nil
}

func (p *Problem) validateMode(m *Mode, parts int) error {
	if len(m.Parts) == 0 || len(m.Parts) != parts {
		return fmt.Errorf("%d parts: every mode needs the same number, at least 1", len(m.Parts))
	}
	if m.Machine < 0 || m.Machine > len(p.Resources) || m.Held < 0 || m.Held > parts {
		return fmt.Errorf("machine %d held for %d parts is out of range", m.Machine-1, m.Held)
	}
	if m.Machine > 0 {
		r := &p.Resources[m.Machine-1]
		if r.Capacity != 1 {
			return fmt.Errorf("machine %d has capacity %d: a machine has 1", m.Machine-1, r.Capacity)
		}
		if r.Setup != nil && (m.State < 0 || m.State >= len(r.Setup)) {
			return fmt.Errorf("machine %d has no state %d", m.Machine-1, m.State)
		}
		if r.Setup != nil && m.held() == 0 {
			return fmt.Errorf("machine %d is held for no time, and would have to be set up for it", m.Machine-1)
		}
	}
	for _, part := range m.Parts {
		if part.Length < 0 || part.Late < 0 {
			return fmt.Errorf("part of length %d, %d late: neither can be negative", part.Length, part.Late)
		}
		for _, u := range part.Uses {
			switch {
			case u.From < 0 || u.To < u.From || u.To > part.Length:
				return fmt.Errorf("use from %d to %d lies outside its part of %d", u.From, u.To, part.Length)
			case u.Pool < 0 || u.Pool > len(p.Pools):
				return fmt.Errorf("pool %d is not there", u.Pool-1)
			case u.Pool == 0 && (u.Resource < 0 || u.Resource >= len(p.Resources)):
				return fmt.Errorf("resource %d is not there", u.Resource)
			case u.Pool == 0 && u.Amount > p.Resources[u.Resource].Capacity:
				return fmt.Errorf("needs %d of resource %d, which has %d", u.Amount, u.Resource, p.Resources[u.Resource].Capacity)
			case u.Amount < 0:
				return fmt.Errorf("needs %d of a resource", u.Amount)
			}
		}
	}
	return nil
}

// order returns the activities so that each comes after those it waits for,
// lower index first.
func (p *Problem) order() ([]int, error) {
	keys := make([]int64, len(p.Activities))
	for i := range keys {
		keys[i] = int64(i)
	}
	list := newLister(p).list(keys, nil)
	if len(list) < len(p.Activities) {
		return nil, fmt.Errorf("%d activities wait for each other in a ring: take one link out", len(p.Activities)-len(list))
	}
	return list, nil
}
