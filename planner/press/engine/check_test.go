package engine_test

import (
	"testing"

	"presshand/planner/press/engine"
)

// checkSchedule verifies a schedule tick by tick, without the engine's code:
// links, releases, amounts, machines, closures and set-ups.
func checkSchedule(t *testing.T, p *engine.Problem, s *engine.Schedule) {
	t.Helper()
	used := make([]map[int64]int, len(p.Resources))
	for r := range used {
		used[r] = map[int64]int{}
	}
	take := func(r, amount int, from, to int64) {
		for x := from; x < to; x++ {
			if used[r][x] += amount; used[r][x] > p.Resources[r].Capacity {
				t.Fatalf("resource %d is used %d times at %d", r, used[r][x], x)
			}
			for _, c := range p.Resources[r].Closed {
				if c.From <= x && x < c.To {
					t.Fatalf("resource %d is used at %d and closed", r, x)
				}
			}
		}
	}
	end := int64(0)
	for i, a := range p.Activities {
		slot := s.Slots[i]
		mode := a.Modes[slot.Mode]
		if slot.Parts[0] < a.Release {
			t.Fatalf("activity %d begins before its release", i)
		}
		for _, l := range a.After {
			pred := s.Slots[l.Pred]
			done := pred.End
			if l.Part >= 0 {
				done = pred.Parts[l.Part] + p.Activities[l.Pred].Modes[pred.Mode].Parts[l.Part].Length
			}
			if slot.Parts[0] < done+l.Wait {
				t.Fatalf("activity %d does not wait for %d", i, l.Pred)
			}
		}
		given := 0
		for k, part := range mode.Parts {
			from := slot.Parts[k]
			if k > 0 {
				before := slot.Parts[k-1] + mode.Parts[k-1].Length
				if from < before || from > before+part.Late {
					t.Fatalf("activity %d: part %d is torn off", i, k)
				}
			}
			for _, u := range part.Uses {
				amount := u.Amount
				if u.Pool > 0 {
					amount = 1
				}
				take(slot.Given[given], amount, from+u.From, from+u.To)
				given++
			}
			end = max(end, from+part.Length)
		}
		if mode.Machine > 0 {
			last := mode.Held - 1
			take(mode.Machine-1, 1, slot.Parts[0], slot.Parts[last]+mode.Parts[last].Length)
		}
	}
	checkSetups(t, p, s)
	if end != s.Score.End {
		t.Fatalf("ends at %d, not %d", end, s.Score.End)
	}
}

// checkSetups sees that between two activities that follow each other on a
// machine there is time for the set-up.
func checkSetups(t *testing.T, p *engine.Problem, s *engine.Schedule) {
	t.Helper()
	for r := range p.Resources {
		setup := p.Resources[r].Setup
		if setup == nil {
			continue
		}
		for i := range p.Activities {
			m := p.Activities[i].Modes[s.Slots[i].Mode]
			if m.Machine != r+1 {
				continue
			}
			from := s.Slots[i].Parts[0]
			before, state, at := int64(0), p.Resources[r].State, int64(-1)
			for k := range p.Activities {
				o := p.Activities[k].Modes[s.Slots[k].Mode]
				if k == i || o.Machine != r+1 || s.Slots[k].Parts[0] >= from || s.Slots[k].Parts[0] < at {
					continue
				}
				at = s.Slots[k].Parts[0]
				before, state = s.Slots[k].Parts[o.Held-1]+o.Parts[o.Held-1].Length, o.State
			}
			for _, c := range p.Resources[r].Closed {
				if c.Reset >= 0 && c.From >= before && c.To <= from {
					before, state = c.To, c.Reset
				}
			}
			if state >= 0 && from < before+setup[state][m.State] {
				t.Fatalf("activity %d begins at %d, set-up from %d", i, from, before)
			}
		}
	}
}
