package press_test

import (
	"testing"

	"presshand/planner/press"
)

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
