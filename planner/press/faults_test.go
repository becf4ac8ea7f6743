package press_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"presshand/planner/press"
	"presshand/planner/unit"
)

// Every fault is said plainly and nothing hangs.
func TestFaults(t *testing.T) {
	rows := []struct {
		name, want string
		change     func(p *press.Problem)
	}{
		{"no start", "no start", func(p *press.Problem) { p.Start = time.Time{} }},
		{"no orders", "no orders", func(p *press.Problem) { p.Orders = nil }},
		{"zero people", "zero people", func(p *press.Problem) { p.Shop.People = nil }},
		{"no printer", "no printer", func(p *press.Problem) { p.Shop.Printers = nil }},
		{"a dwell of no time", "not above 0", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].Recipe.Press = &press.Dwell{} }},
		{"printed in no time", "0 s", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].PageTime = 0 }},
		{"no such press", `needs a "flat" press`, func(p *press.Problem) { p.Shop.Presses = p.Shop.Presses[2:] }},
		{"hotter than any press", "hotter than any", func(p *press.Problem) {
			r := &p.Orders[0].Jobs[0].Prints[0].Recipe
			r.Press = &press.Dwell{Temperature: unit.Fahrenheit(500), Time: unit.Seconds(30)}
		}},
		{"offset puts it out of reach", "hotter than any", func(p *press.Problem) {
			for i := range p.Shop.Presses {
				p.Shop.Presses[i].Offset = 100
			}
		}},
		{"closed all week", "never open", func(p *press.Problem) { p.Shop.Hours = press.Week{} }},
		{"people never there", "fits in no opening", func(p *press.Problem) {
			for i := range p.Shop.People {
				p.Shop.People[i].Hours = &press.Week{}
			}
		}},
		{"a dwell longer than a day", "fits in no opening", func(p *press.Problem) {
			p.Orders[0].Jobs[0].Prints[0].Recipe.Press = &press.Dwell{Temperature: unit.Fahrenheit(310), Time: unit.Hours(9)}
		}},
		{"no rack", "rack has no place", func(p *press.Problem) { p.Shop.Rack = 0 }},
		{"no heating rate", "must be above 0", func(p *press.Problem) { p.Shop.Presses[0].HeatRate = 0 }},
		{"hours turned round", "hours", func(p *press.Problem) { p.Shop.Hours[1] = []press.Span{{From: 7200, To: 3600}} }},
		{"break turned round", "a break ends", func(p *press.Problem) { p.Shop.People[0].Breaks = []press.Span{{From: 7200, To: 3600}} }},
		{"negative allowance", "allowance", func(p *press.Problem) { p.Shop.Allowance = -0.1 }},
		{"not a number", "not a number", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].Recipe.Load = unit.Duration(math.NaN()) }},
		{"longer than anybody lives", "longer than ten years", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].Recipe.CoolWait = 1e300 }},
		{"never hot", "fits in no opening", func(p *press.Problem) {
			for i := range p.Shop.Presses {
				p.Shop.Presses[i].HeatRate = 1e-300
			}
		}},
		{"too many", "at most", func(p *press.Problem) { p.Orders[0].Jobs[0].Pieces = 1 << 40 }},
		{"blanks never come", "fits in no opening", func(p *press.Problem) { p.Orders[0].Release = p.Start.AddDate(80, 0, 0) }},
		{"same order twice", "stands there twice", func(p *press.Problem) { p.Orders = append(p.Orders, p.Orders[0]) }},
		{"same line twice", "stands there twice", func(p *press.Problem) {
			j := p.Orders[0].Jobs[0]
			j.Line = 1
			p.Orders[0].Jobs = []press.Job{j, j}
		}},
		{"no pieces", "at least 1", func(p *press.Problem) { p.Orders[0].Jobs[0].Pieces = 0 }},
		{"no jobs", "no jobs", func(p *press.Problem) { p.Orders[0].Jobs = nil }},
		{"no prints", "no print", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints = nil }},
		{"a sheet that isn't printed", "sheet 9 of", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].SheetOf[1] = 9 }},
		{"a piece without a sheet", "says for", func(p *press.Problem) {
			j := &p.Orders[0].Jobs[0].Prints[0]
			j.SheetOf = j.SheetOf[1:]
		}},
		{"an unknown peel", "is not known", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].Recipe.Peel = "soon" }},
		{"no press step", "no press step", func(p *press.Problem) { p.Orders[0].Jobs[0].Prints[0].Recipe.Press = nil }},
		{"negative priority", "priority", func(p *press.Problem) { p.Orders[0].Priority = -1 }},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			p := one(t, 4, twoStep())
			row.change(&p)
			_, err := press.Solve(p)
			if err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want something with %q", err, row.want)
			}
		})
	}
}

// Check must be able to fail: each of these corrupts one thing in a sound plan.
func TestCheckFindsFaults(t *testing.T) {
	step := func(plan *press.Plan, word string) *press.Step {
		for i := range plan.Steps {
			if plan.Steps[i].Word == word {
				return &plan.Steps[i]
			}
		}
		t.Fatal("no step ", word)
		return nil
	}
	shift := func(s *press.Step, d time.Duration) {
		s.From, s.To = s.From.Add(d), s.To.Add(d)
		for i := range s.Uses {
			s.Uses[i].From, s.Uses[i].To = s.Uses[i].From.Add(d), s.Uses[i].To.Add(d)
		}
	}
	rows := []struct {
		name, want string
		recipe     press.Recipe
		change     func(plan *press.Plan)
	}{
		{"a step left out", "no step", twoStep(), func(p *press.Plan) { p.Steps = p.Steps[:len(p.Steps)-1] }},
		{"a step twice", "twice", twoStep(), func(p *press.Plan) { p.Steps = append(p.Steps, *step(p, "check")) }},
		{"a step too many", "nobody asked for", twoStep(), func(p *press.Plan) {
			s := *step(p, "check")
			s.Piece = 99
			p.Steps = append(p.Steps, s)
		}},
		{"peeled too soon", "before it may", twoStep(), func(p *press.Plan) { shift(step(p, "peel"), -5*time.Minute) }},
		{"hot peel waits", "may not wait", sublimation(), func(p *press.Plan) { shift(step(p, "peel"), time.Second) }},
		{"pull waits", "may not wait", twoStep(), func(p *press.Plan) { shift(step(p, "pull"), time.Second) }},
		{"before the start", "before the start", twoStep(), func(p *press.Plan) { shift(step(p, "print"), -time.Hour) }},
		{"nobody peels", "nobody", twoStep(), func(p *press.Plan) { step(p, "peel").Uses = nil }},
		{"nobody loads", "nobody", twoStep(), func(p *press.Plan) { s := step(p, "marry"); s.Uses = s.Uses[:1] }},
		{"no press", "no press", twoStep(), func(p *press.Plan) { s := step(p, "finish"); s.Uses = s.Uses[1:] }},
		{"too cold", "on the dial", twoStep(), func(p *press.Plan) { step(p, "press").Temperature = 100 }},
		{"cooled too short", "lasts", twoStep(), func(p *press.Plan) {
			s := step(p, "cool")
			s.To = s.To.Add(-time.Minute)
			s.Uses[0].To = s.To
		}},
		{"one person twice", "is used", twoStep(), func(p *press.Plan) {
			for i := range p.Steps {
				for k := range p.Steps[i].Uses {
					if p.Steps[i].Uses[k].Resource == "person-2" {
						p.Steps[i].Uses[k].Resource = "person-1"
					}
				}
			}
		}},
		{"warm-up left out", "wants", twoStep(), func(p *press.Plan) {
			for i := range p.Steps {
				if p.Steps[i].Word == "heat" {
					p.Steps = append(p.Steps[:i], p.Steps[i+1:]...)
					return
				}
			}
		}},
		{"changeover left out", "toner", sublimation(), func(p *press.Plan) {
			for i := range p.Steps {
				if p.Steps[i].Word == "changeover" {
					p.Steps = append(p.Steps[:i], p.Steps[i+1:]...)
					return
				}
			}
		}},
		{"wrong makespan", "don't agree", twoStep(), func(p *press.Plan) { p.Makespan++ }},
		{"wrong ready time", "is ready", twoStep(), func(p *press.Plan) { p.Ready[0].At = p.Start }},
		{"invented lateness", "late", twoStep(), func(p *press.Plan) { p.Late = []press.Late{{Order: "A"}} }},
		{"bound above the plan", "less than the least", twoStep(), func(p *press.Plan) { p.AtLeast = p.Makespan + 1 }},
		{"after closing", "outside of its hours", twoStep(), func(p *press.Plan) {
			for i := range p.Steps {
				shift(&p.Steps[i], 8*time.Hour)
			}
		}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			p := one(t, 10, row.recipe)
			p.Effort = 1
			plan := solve(t, p)
			row.change(&plan)
			if err := press.Check(p, plan); err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want something with %q", err, row.want)
			}
		})
	}
}
