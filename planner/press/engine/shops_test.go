// Sources: job shops of H. Fisher, G. L. Thompson (1963) and S. Lawrence
// (1984) with operators as in A. Agnetis, M. Flamini, G. Nicosia, A. Pacifici,
// A job-shop problem with one additional resource type, Journal of Scheduling
// 14(3), 2011, 225-237. Flow shops with set-ups: R. Ruiz, C. Maroto, J.
// Alcaraz, Solving the flowshop scheduling problem with sequence dependent
// setup times using advanced metaheuristics, European Journal of Operational
// Research 165(1), 2005, 34-54, on the instances of E. Taillard (1993).
package engine_test

import (
	"path/filepath"
	"strconv"
	"testing"

	"presshand/planner/press/engine"
)

type jobShop struct {
	Name     string
	Machines int
	Jobs     [][][2]int64
}

// problem: every operation holds its machine and, where there are operators,
// one of them.
func (s *jobShop) problem(operators int) *engine.Problem {
	p := &engine.Problem{}
	for range s.Machines {
		p.Resources = append(p.Resources, engine.Resource{Capacity: 1})
	}
	if operators > 0 {
		p.Resources = append(p.Resources, engine.Resource{Capacity: operators})
	}
	for _, job := range s.Jobs {
		for k, op := range job {
			part := engine.Part{Length: op[1]}
			if operators > 0 {
				part.Uses = []engine.Use{{Resource: s.Machines, Amount: 1, To: op[1]}}
			}
			a := engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{part}, Machine: int(op[0]) + 1, Held: 1}}}
			if k > 0 {
				a.After = []engine.Link{{Pred: len(p.Activities) - 1, Part: -1}}
			}
			p.Activities = append(p.Activities, a)
		}
	}
	return p
}

func TestPublishedOperators(t *testing.T) {
	const limit = 0.04 // average gap; a general search, not one made for job shops
	dir := reference(t, "job_shop_operators")
	shops := map[string]jobShop{}
	for _, s := range readLines[jobShop](t, filepath.Join(dir, "instances.jsonl")) {
		shops[s.Name] = s
	}
	rows := table{set: "job shops with operators", budget: limit}
	for i, row := range readTable(t, filepath.Join(dir, "best_known.csv")) {
		if !*full && i%12 != 0 {
			continue
		}
		operators, _ := strconv.Atoi(row["operators"]) // "unlimited" is 0
		s := shops[row["instance"]]
		p := s.problem(operators)
		r, err := engine.Solve(p, engine.Options{Steps: engine.DefaultSteps})
		if err != nil {
			t.Fatal(err)
		}
		checkSchedule(t, p, &r.Schedule)
		known, lower := number(t, row["best_known"]), number(t, row["lower_bound"])
		end := r.Schedule.Score.End
		if end < lower || r.AtLeast > known {
			t.Fatalf("%s with %d operators: %d at least %d, proven %d", s.Name, operators, end, r.AtLeast, lower)
		}
		rows.add(end, known)
	}
	rows.report(t)
}

type setupShop struct {
	Name           string
	Jobs, Machines int
	P              [][]int64
	Setup          [][][]int64
}

// problem: a machine's state is the job done last. No order is forced to be
// the same on all machines.
func (s *setupShop) problem() (*engine.Problem, engine.Options) {
	p, o := &engine.Problem{}, engine.Options{Steps: engine.DefaultSteps}
	for k := range s.Machines {
		p.Resources = append(p.Resources, engine.Resource{Capacity: 1, State: -1, Setup: s.Setup[k]})
	}
	for j := range s.P {
		for k, d := range s.P[j] {
			a := engine.Activity{Modes: []engine.Mode{{Parts: []engine.Part{{Length: d}}, Machine: k + 1, Held: 1, State: j}}}
			if k > 0 {
				a.After = []engine.Link{{Pred: len(p.Activities) - 1, Part: -1}}
			}
			p.Activities = append(p.Activities, a)
			o.Lots = append(o.Lots, j)
		}
	}
	return p, o
}

// The best known values are for one order on all machines, which the engine
// does not force: it may end earlier, and is only held to its own bound.
func TestPublishedSetupFlowShops(t *testing.T) {
	const limit = 0.06 // average gap
	dir := reference(t, "flow_shop")
	best := map[string]int64{}
	for _, row := range readTable(t, filepath.Join(dir, "best_known.csv")) {
		best[row["instance"]] = number(t, row["best_known_makespan"])
	}
	rows := table{set: "flow shops with set-ups", budget: limit}
	for i, s := range readLines[setupShop](t, filepath.Join(dir, "sdst_20x5.jsonl")) {
		if !*full && i%10 != 0 {
			continue
		}
		p, o := s.problem()
		r, err := engine.Solve(p, o)
		if err != nil {
			t.Fatal(err)
		}
		checkSchedule(t, p, &r.Schedule)
		if r.Schedule.Score.End < r.AtLeast || r.AtLeast > best[s.Name] {
			t.Fatalf("%s: %d at least %d, best known %d", s.Name, r.Schedule.Score.End, r.AtLeast, best[s.Name])
		}
		rows.add(r.Schedule.Score.End, best[s.Name])
	}
	rows.report(t)
}

type tour struct {
	Name string
	N    int
	Cost [][]int64
}

// problem: one tick of work in each state; the first state comes first and,
// as an extra one, last.
func (s *tour) problem() *engine.Problem {
	p := &engine.Problem{Resources: []engine.Resource{{Capacity: 1, State: -1, Setup: s.Cost}}}
	for i := range s.N + 1 {
		p.Activities = append(p.Activities, engine.Activity{Modes: []engine.Mode{
			{Parts: []engine.Part{{Length: 1}}, Machine: 1, Held: 1, State: i % s.N}}})
		if i > 0 {
			p.Activities[i].After = []engine.Link{{Pred: 0, Part: -1}}
		}
	}
	last := &p.Activities[s.N]
	for i := 1; i < s.N; i++ {
		last.After = append(last.After, engine.Link{Pred: i, Part: -1})
	}
	return p
}

// Source: G. Reinelt, TSPLIB - a traveling salesman problem library, ORSA
// Journal on Computing 3(4), 1991, 376-384: the order of changeovers with the
// least total, in a cycle. The engine is no tour solver; it is held to finding
// good orders, never to better than the optimum.
func TestPublishedChangeovers(t *testing.T) {
	const limit = 0.12 // average gap; the nearest neighbour lies 1 to 44 % above
	dir := reference(t, "changeover_atsp")
	best := map[string]int64{}
	for _, row := range readTable(t, filepath.Join(dir, "best_known.csv")) {
		best[row["instance"]] = number(t, row["optimal_cycle"])
	}
	rows := table{set: "changeover cycles", budget: limit}
	for i, s := range readLines[tour](t, filepath.Join(dir, "instances.jsonl")) {
		if !*full && i != 2 {
			continue
		}
		p := s.problem()
		r, err := engine.Solve(p, engine.Options{Steps: 20_000})
		if err != nil {
			t.Fatal(err)
		}
		total := r.Schedule.Score.End - int64(len(p.Activities))
		if total < best[s.Name] {
			t.Fatalf("%s: %d, optimum %d", s.Name, total, best[s.Name])
		}
		rows.add(total, best[s.Name])
	}
	rows.report(t)
}
