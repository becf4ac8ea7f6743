package press_test

import (
	"testing"
	"time"

	"presshand/planner/press"
)

// One piece, worked by hand with 15 % on manual work, rounded up to seconds:
// load 18, unload 10, pull 12, cut 23; load 18, lay 18, unload 10; peel 10;
// load 18, unload 10; check 12: 159 s of hands. The press warms up for 960 s,
// then 120 s + 10 s + 30 s + 20 s of dwells and 600 s of cooling pass as well.
func TestOnePiece(t *testing.T) {
	p := one(t, 1, twoStep())
	plan := solve(t, p)
	if want := 159 * time.Second; plan.HandsOn != want {
		t.Errorf("hands on for %s, want %s", plan.HandsOn, want)
	}
	if want := (960 + 159 + 180 + 600) * time.Second; plan.Makespan != want || plan.AtLeast != want {
		t.Errorf("takes %s, at least %s, want %s", plan.Makespan, plan.AtLeast, want)
	}
	if want := plan.Makespan - plan.HandsOn; plan.Waiting != want {
		t.Errorf("waits %s, want %s", plan.Waiting, want)
	}
	if got := plan.Ready[0].At; !got.Equal(plan.Finish) {
		t.Errorf("ready at %s, done at %s", got, plan.Finish)
	}
	if b := plan.Busy[0]; b.Resource != "press-2" && b.Resource != "press-1" {
		t.Errorf("busiest is %s, want a press", b.Resource)
	}
}

func TestOneOrder(t *testing.T) {
	rows := []struct {
		name   string
		recipe press.Recipe
	}{{"two-step", twoStep()}, {"sublimation", sublimation()}, {"mug", mug()}}
	for _, row := range rows {
		for _, n := range []int{1, 24, 200} {
			p := one(t, n, row.recipe)
			p.Effort = 2
			plan := solve(t, p)
			if plan.Makespan < plan.AtLeast {
				t.Errorf("%s, %d pieces: %s, less than %s", row.name, n, plan.Makespan, plan.AtLeast)
			}
		}
	}
}
