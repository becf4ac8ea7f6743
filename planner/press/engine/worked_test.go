// Sources: the file examples.json names one for each example (S. M. Johnson
// 1954; L. G. Mitten 1959; W. Yu, H. Hoogeveen, J. K. Lenstra 2004; E. D.
// Wikum, D. C. Llewellyn, G. L. Nemhauser 1994; textbooks; some constructed);
// every optimum was found by complete enumeration.
package engine_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"presshand/planner/press/engine"
)

type example struct {
	Name, Problem string
	P             [][]int64
	Delay         []int64
	Jobs          [][]struct {
		D    int64
		Use  []string
		Wait int64
	}
	Setup              [][]int64
	Optimal            int64 `json:"optimal_makespan"`
	OptimalPermutation int64 `json:"optimal_permutation_makespan"`
	OptimalAnyOrder    int64 `json:"optimal_makespan_any_order_on_each_machine"`
	OptimalTotal       int64 `json:"optimal_total"`
}

// exactSteps lets every worked example be searched in full.
const exactSteps = 20000

func TestPublishedWorkedExamples(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(reference(t, "worked_examples"), "examples.json"))
	if err != nil {
		t.Fatal(err)
	}
	var examples []example
	if err := json.Unmarshal(data, &examples); err != nil {
		t.Fatal(err)
	}
	if len(examples) != 16 {
		t.Errorf("%d examples, want 16", len(examples))
	}
	rows := table{set: "worked examples"}
	for _, e := range examples {
		rows.n++
		t.Run(e.Name, func(t *testing.T) {
			switch {
			case e.Jobs != nil:
				solveExactly(t, operatorShop(&e), e.Optimal, true)
			case e.Setup != nil:
				p := families(e.Setup)
				solveExactly(t, p, e.OptimalTotal+int64(len(e.Setup)), false)
			case e.Problem[0] == '1':
				solveExactly(t, coupled(&e), e.Optimal, true)
			case e.OptimalAnyOrder > 0:
				solveExactly(t, flowShop(&e), e.OptimalAnyOrder, true)
				if got := bestPermutation(t, &e); got != e.OptimalPermutation {
					t.Errorf("one order on both machines: %d, want %d", got, e.OptimalPermutation)
				}
			default:
				solveExactly(t, flowShop(&e), e.Optimal, true)
			}
			if !t.Failed() {
				rows.atBest++
			}
		})
	}
	rows.report(t)
}

func solveExactly(t *testing.T, p *engine.Problem, want int64, proven bool) {
	t.Helper()
	r, err := engine.Solve(p, engine.Options{Steps: exactSteps})
	if err != nil {
		t.Fatal(err)
	}
	checkSchedule(t, p, &r.Schedule)
	if r.Schedule.Score.End != want {
		t.Errorf("ends at %d, optimum %d", r.Schedule.Score.End, want)
	}
	if r.Proven != proven || r.AtLeast > want {
		t.Errorf("proven %v, at least %d", r.Proven, r.AtLeast)
	}
}

// flowShop: machine after machine, with a least wait between the first two.
func flowShop(e *example) *engine.Problem {
	p := &engine.Problem{}
	for range e.P[0] {
		p.Resources = append(p.Resources, engine.Resource{Capacity: 1})
	}
	for j, times := range e.P {
		for k, d := range times {
			a := engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{{Length: d}}, Machine: k + 1, Held: 1}}}
			if k > 0 {
				wait := int64(0)
				if e.Delay != nil {
					wait = e.Delay[j]
				}
				a.After = []engine.Link{{Pred: len(p.Activities) - 1, Part: -1, Wait: wait}}
			}
			p.Activities = append(p.Activities, a)
		}
	}
	return p
}

// coupled: both operations of a job on one machine, a least wait between.
func coupled(e *example) *engine.Problem {
	p := flowShop(e)
	p.Resources = p.Resources[:1]
	for i := range p.Activities {
		p.Activities[i].Modes[0].Machine = 1
	}
	return p
}

func operatorShop(e *example) *engine.Problem {
	names := []string{"printer", "press", "operator"}
	p := &engine.Problem{Resources: []engine.Resource{{Capacity: 1}, {Capacity: 1}, {Capacity: 1}}}
	for _, job := range e.Jobs {
		for k, op := range job {
			part := engine.Part{Length: op.D}
			for _, u := range op.Use {
				part.Uses = append(part.Uses, engine.Use{Resource: slices.Index(names, u), Amount: 1, To: op.D})
			}
			a := engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{part}}}}
			if k > 0 {
				a.After = []engine.Link{{Pred: len(p.Activities) - 1, Part: -1, Wait: op.Wait}}
			}
			p.Activities = append(p.Activities, a)
		}
	}
	return p
}

// families: one tick of work in each state, so that the end is the number of
// families more than the changeovers.
func families(setup [][]int64) *engine.Problem {
	p := &engine.Problem{Resources: []engine.Resource{{Capacity: 1, State: -1, Setup: setup}}}
	for i := range setup {
		p.Activities = append(p.Activities, engine.Activity{Modes: []engine.Mode{
			{Parts: []engine.Part{{Length: 1}}, Machine: 1, Held: 1, State: i}}})
	}
	return p
}

// bestPermutation builds every common order of the jobs with the engine, the
// order held by links.
func bestPermutation(t *testing.T, e *example) int64 {
	t.Helper()
	best := engine.Forever
	permute(len(e.P), func(order []int) {
		p := flowShop(e)
		machines := len(e.P[0])
		for n := 1; n < len(order); n++ {
			for k := range machines {
				a := &p.Activities[order[n]*machines+k]
				a.After = append(a.After, engine.Link{Pred: order[n-1]*machines + k, Part: -1})
			}
		}
		r, err := engine.Solve(p, engine.Options{})
		if err != nil {
			t.Fatal(err)
		}
		best = min(best, r.Schedule.Score.End)
	})
	return best
}

func permute(n int, visit func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var swap func(k int)
	swap = func(k int) {
		if k == n {
			visit(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			swap(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	swap(0)
}
