package engine_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"presshand/planner/press/engine"
)

// drawProblem draws machines with set-ups and closures, people in a pool, a
// rack, and activities of several parts and modes.
func drawProblem(t *rapid.T) *engine.Problem {
	int64n := func(name string, low, high int) int64 { return int64(rapid.IntRange(low, high).Draw(t, name)) }
	const states = 3
	p := &engine.Problem{Levels: 2}
	for range 2 {
		r := engine.Resource{Capacity: 1, State: rapid.IntRange(-1, states-1).Draw(t, "state")}
		if rapid.Bool().Draw(t, "set-ups") {
			r.Tender = rapid.IntRange(0, 1).Draw(t, "tended")
			for a := range states {
				var row []int64
				for b := range states {
					if a == b {
						row = append(row, 0)
					} else {
						row = append(row, int64n("set-up", 0, 9))
					}
				}
				r.Setup = append(r.Setup, row)
			}
		}
		p.Resources = append(p.Resources, r)
	}
	for range 2 {
		p.Resources = append(p.Resources, engine.Resource{Capacity: 1})
	}
	p.Resources = append(p.Resources, engine.Resource{Capacity: rapid.IntRange(1, 3).Draw(t, "rack")})
	p.Pools = [][]int{{2, 3}}
	if rapid.Bool().Draw(t, "closes") {
		for r := range p.Resources {
			at := int64(0)
			for range rapid.IntRange(0, 3).Draw(t, "closures") {
				c := engine.Closure{From: at + int64n("open for", 40, 80), Reset: rapid.IntRange(-1, states-1).Draw(t, "reset")}
				c.To = c.From + int64n("closed for", 1, 20)
				if r > 1 {
					c.Reset = -1
				}
				p.Resources[r].Closed = append(p.Resources[r].Closed, c)
				at = c.To
			}
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "dues") {
		p.Dues = append(p.Dues, engine.Due{At: int64n("due", 0, 100), Level: rapid.IntRange(0, 1).Draw(t, "level")})
	}
	for i := range rapid.IntRange(1, 14).Draw(t, "activities") {
		p.Activities = append(p.Activities, drawActivity(t, p, i))
	}
	return p
}

func drawActivity(t *rapid.T, p *engine.Problem, i int) engine.Activity {
	int64n := func(name string, low, high int) int64 { return int64(rapid.IntRange(low, high).Draw(t, name)) }
	a := engine.Activity{Release: int64n("release", 0, 5), Due: rapid.IntRange(0, len(p.Dues)).Draw(t, "due")}
	parts := rapid.IntRange(1, 3).Draw(t, "parts")
	modes := rapid.IntRange(1, 2).Draw(t, "modes")
	free := rapid.Bool().Draw(t, "no machine")
	for k := range modes {
		m := engine.Mode{State: rapid.IntRange(0, 2).Draw(t, "wants")}
		if !free {
			m.Machine, m.Held = k+1, rapid.IntRange(1, parts).Draw(t, "held")
		}
		for range parts {
			part := engine.Part{Length: int64n("length", 1, 8), Late: int64n("late", 0, 6)}
			if rapid.Bool().Draw(t, "hands") {
				part.Uses = append(part.Uses, engine.Use{Pool: 1, From: part.Length / 2, To: part.Length})
			}
			if rapid.Bool().Draw(t, "rack") {
				part.Uses = append(part.Uses, engine.Use{Resource: 4, Amount: 1, To: part.Length})
			}
			m.Parts = append(m.Parts, part)
		}
		a.Modes = append(a.Modes, m)
	}
	for pred := range i {
		if rapid.IntRange(0, 3).Draw(t, "linked") == 0 {
			last := len(p.Activities[pred].Modes[0].Parts) - 1
			a.After = append(a.After, engine.Link{Pred: pred, Part: rapid.IntRange(-1, last).Draw(t, "part"), Wait: int64n("wait", 0, 12)})
		}
	}
	return a
}

// Every schedule holds, is never earlier than the bound, and comes again.
func TestAnyProblem(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		o := engine.Options{Steps: rapid.IntRange(0, 40).Draw(t, "steps"), Windows: []int64{0, 10}}
		r, err := engine.Solve(p, o)
		if err != nil {
			t.Fatal(err)
		}
		checkSchedule(outer, p, &r.Schedule)
		if r.Schedule.Score.End < r.AtLeast {
			t.Fatalf("ends at %d, at least %d", r.Schedule.Score.End, r.AtLeast)
		}
		if n := len(p.Activities); n <= 4 {
			permute(n, func(order []int) {
				if end := endOf(p, order); end < r.AtLeast {
					t.Fatalf("list %v ends at %d, at least %d", order, end, r.AtLeast)
				}
			})
		}
		again, err := engine.Solve(p, o)
		if err != nil || again.Schedule.Score.End != r.Schedule.Score.End || !slices.Equal(again.Schedule.Score.Late, r.Schedule.Score.Late) {
			t.Fatalf("again %v, %v, first %v", again.Schedule.Score, err, r.Schedule.Score)
		}
	})
}

// endOf is the end of the schedule that a list builds.
func endOf(p *engine.Problem, order []int) int64 {
	keys := make([]int64, len(order))
	for rank, i := range order {
		keys[i] = int64(rank)
	}
	r, err := engine.Solve(p, engine.Options{Starts: [][]int64{keys}})
	if err != nil {
		return engine.Forever
	}
	return r.Schedule.Score.End
}

// Plain problems small enough to be searched in full: the genetic search never
// ends earlier than what is proven best.
func TestProvenIsBest(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		p := &engine.Problem{Resources: []engine.Resource{{Capacity: 2}, {Capacity: 1}}}
		n := rapid.IntRange(2, 6).Draw(t, "activities")
		for i := range n {
			d := int64(rapid.IntRange(1, 9).Draw(t, "length"))
			part := engine.Part{Length: d, Uses: []engine.Use{
				{Resource: 0, Amount: rapid.IntRange(0, 2).Draw(t, "of two"), To: d},
				{Resource: 1, Amount: rapid.IntRange(0, 1).Draw(t, "of one"), To: d}}}
			a := engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{part}}}}
			if i > 0 && rapid.Bool().Draw(t, "linked") {
				a.After = []engine.Link{{Pred: rapid.IntRange(0, i-1).Draw(t, "pred"), Part: -1, Wait: int64(rapid.IntRange(0, 9).Draw(t, "wait"))}}
			}
			p.Activities = append(p.Activities, a)
		}
		r, err := engine.Solve(p, engine.Options{Steps: 2000})
		if err != nil {
			t.Fatal(err)
		}
		checkSchedule(outer, p, &r.Schedule)
		if !r.Proven || r.AtLeast != r.Schedule.Score.End {
			t.Fatalf("%d activities not proven", n)
		}
		best := engine.Forever
		permute(n, func(order []int) {
			best = min(best, endOf(p, order))
		})
		if best != r.AtLeast {
			t.Fatalf("proven %d, all lists give %d", r.AtLeast, best)
		}
	})
}

func TestInvalid(t *testing.T) {
	part := []engine.Part{{Length: 2, Uses: []engine.Use{{Resource: 0, Amount: 1, To: 2}}}}
	rows := []struct {
		name, want string
		change     func(p *engine.Problem)
	}{
		{"ring", "in a ring", func(p *engine.Problem) {
			p.Activities[0].After = []engine.Link{{Pred: 1, Part: -1}}
			p.Activities[1].After = []engine.Link{{Pred: 0, Part: -1}}
		}},
		{"itself", "in a ring", func(p *engine.Problem) { p.Activities[0].After = []engine.Link{{Pred: 0, Part: -1}} }},
		{"too much", "which has 1", func(p *engine.Problem) { p.Activities[0].Modes[0].Parts[0].Uses[0].Amount = 2 }},
		{"no mode", "give it a mode", func(p *engine.Problem) { p.Activities[0].Modes = nil }},
		{"no capacity", "at least 1", func(p *engine.Problem) { p.Resources[0].Capacity = 0 }},
		{"outside", "outside its part", func(p *engine.Problem) { p.Activities[0].Modes[0].Parts[0].Uses[0].To = 3 }},
		{"no such activity", "out of range", func(p *engine.Problem) { p.Activities[0].After = []engine.Link{{Pred: 7}} }},
		{"no such part", "not there", func(p *engine.Problem) { p.Activities[0].After = []engine.Link{{Pred: 1, Part: 4}} }},
		{"closures crosswise", "out of order", func(p *engine.Problem) {
			p.Resources[0].Closed = []engine.Closure{{From: 5, To: 9}, {From: 3, To: 4}}
		}},
		{"closed for ever", "no place", func(p *engine.Problem) { p.Resources[0].Closed = []engine.Closure{{From: 1, To: engine.Forever}} }},
		{"beyond the horizon", "no place", func(p *engine.Problem) { p.Horizon = 3 }},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			p := &engine.Problem{Resources: []engine.Resource{{Capacity: 1}}}
			for range 2 {
				own := []engine.Part{{Length: 2, Uses: slices.Clone(part[0].Uses)}}
				p.Activities = append(p.Activities, engine.Activity{Modes: []engine.Mode{{Parts: own}}})
			}
			row.change(p)
			if _, err := engine.Solve(p, engine.Options{Steps: 10}); err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want something with %q", err, row.want)
			}
		})
	}
}
