package press_test

import (
	"os"
	"presshand/planner/press"
	"testing"
)

func TestShow(t *testing.T) {
	for n, p := range map[string]press.Problem{"one": one(t, 10, twoStep()), "day": readDay(t, "testdata/days/half-and-half.json")} {
		plan := solve(t, p)
		f, _ := os.Create("/tmp/press_" + n + ".png")
		if err := press.Draw(plan).PNG(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
}
