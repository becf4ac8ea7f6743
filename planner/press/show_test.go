package press_test

import (
	"presshand/planner/press"
	"testing"
)

func TestShow(t *testing.T) {
	p := one(t, 3, twoStep())
	p.Orders[0].Jobs[0].Item = "shirt"
	plan := solve(t, p)
	for _, l := range press.RunList(plan) {
		t.Log(l)
	}
}
