package press_test

import (
	"testing"
	"time"

	"presshand/planner/press"
)

func TestDueInThePast(t *testing.T) {
	p := one(t, 4, twoStep())
	p.Orders[0].Due, p.Orders[0].Promised = monday(t, 9, 0).Add(-24*time.Hour), true
	plan := solve(t, p)
	if len(plan.Late) != 1 || plan.Late[0].By != 24*time.Hour+plan.Makespan {
		t.Fatalf("late: %+v, takes %s", plan.Late, plan.Makespan)
	}
	if last := plan.Late[0].Saves[len(plan.Late[0].Saves)-1]; last.Kind != press.SavePromise || !last.At.Equal(plan.Finish) {
		t.Errorf("saved by %+v, want a promise of %s", last, plan.Finish)
	}
}

// A promised order goes before one that is not, a priority before the next,
// and lateness is named with what would help.
func TestLate(t *testing.T) {
	p := one(t, 60, twoStep())
	p.Effort = 4
	b := p.Orders[0]
	b.ID, b.Due, b.Promised = "B", monday(t, 12, 15), true
	p.Orders = append(p.Orders, b)
	plan := solve(t, p)
	if len(plan.Late) != 0 {
		t.Errorf("B was promised and can be ready by 12:15: %+v", plan.Late)
	}

	p.Orders[0].Due, p.Orders[0].Promised = b.Due, true
	p.Orders[0].Priority, p.Orders[1].Priority = 2, 1
	plan = solve(t, p)
	if len(plan.Late) != 1 || plan.Late[0].Order != "A" {
		t.Fatalf("late: %+v, want A alone, priority 1 is B", plan.Late)
	}
	kinds := map[press.SavingKind]press.Saving{}
	for _, s := range plan.Late[0].Saves {
		kinds[s.Kind] = s
	}
	if s, ok := kinds[press.SaveRush]; ok {
		t.Errorf("A first would make B late: %v", s)
	}
	if s, ok := kinds[press.SavePromise]; !ok || !s.At.Equal(plan.Ready[0].At) {
		t.Errorf("no later promise in %v", plan.Late[0].Saves)
	}
}

func TestSplitAndPerson(t *testing.T) {
	p := one(t, 40, twoStep())
	p.Effort = 4
	p.Shop.People = p.Shop.People[:1]
	alone := solve(t, p)
	p.Orders[0].Due, p.Orders[0].Promised = alone.Finish.Add(-6*time.Minute), true
	plan := solve(t, p)
	if len(plan.Late) != 1 {
		t.Fatalf("one person can't do it: %+v", plan.Late)
	}
	var split, person bool
	for _, s := range plan.Late[0].Saves {
		switch s.Kind {
		case press.SavePerson:
			person = s.By < plan.Late[0].By
		case press.SaveSplit:
			split = s.Pieces > 0 && s.Pieces < 40
		}
		if s.String() == "" {
			t.Error("a saving without words")
		}
	}
	if !split || !person {
		t.Errorf("no split or no person in %v", plan.Late[0].Saves)
	}
}
