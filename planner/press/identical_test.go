package press_test

import (
	"testing"

	"presshand/planner/press"
)

// One press, hands enough, open around the clock: Solve against the closed
// form that the doc of Pace derives and proves.
func TestIdenticalPieces(t *testing.T) {
	always := []press.Span{{From: 0, To: press.At(24, 0)}}
	s := shop(t)
	s.Hours = press.Week{always, always, always, always, always, always, always}
	s.People = make([]press.Person, 4)
	flat, mugs := s.Presses[1], s.Presses[2]
	rows := []struct {
		name     string
		press    press.Press
		recipe   press.Recipe
		perSheet int
	}{
		{"two-step", flat, twoStep(), 1},
		{"two-step, four on a sheet", flat, twoStep(), 4},
		{"two-step on a press that opens itself", s.Presses[0], twoStep(), 1},
		{"sublimation", flat, sublimation(), 1},
		{"mug", mugs, mug(), 2},
	}
	for i, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			s.Presses = []press.Press{row.press}
			for n := 1; n <= 200; n++ {
				if !*full && i > 0 && n > 3 && n%20 > 0 {
					continue
				}
				job := print("front", row.recipe, n, row.perSheet)
				pace, err := press.PaceOf(s, 0, job)
				if err != nil {
					t.Fatal(err)
				}
				p := press.Problem{Start: monday(t, 9, 0), Shop: s, Orders: []press.Order{
					{ID: "A", Jobs: []press.Job{{Pieces: n, Prints: []press.Print{job}}}}}}
				plan, err := press.Solve(p)
				if err != nil {
					t.Fatal(err)
				}
				if *full || n < 10 || n%20 == 0 { // the check takes longer than the plan
					if err := press.Check(p, plan); err != nil {
						t.Fatal(err)
					}
				}
				if want := pace.Time(n, job.Sheets); plan.Makespan != want {
					t.Fatalf("%d pieces on %d sheets: planned %s, closed form %s, bound %s", n, job.Sheets, plan.Makespan, want, plan.AtLeast)
				}
			}
		})
	}
}

func TestHiddenFrom(t *testing.T) {
	s := shop(t)
	pace, err := press.PaceOf(s, 1, print("front", twoStep(), 1, 1))
	if err != nil {
		t.Fatal(err)
	}
	n, ok := pace.HiddenFrom()
	if !ok {
		t.Fatal("cooling is never hidden although pieces are finished")
	}
	// Worked by hand: wait 600 s and peel 8 s x 1.15 = 10 s; finish 15 x 1.15 = 18 s,
	// 20 s and 8 x 1.15 = 10 s, in all 48 s; 1 + ceil(610 / 48) = 14.
	if n != 14 {
		t.Errorf("hidden from %d, want 14", n)
	}
	each := pace.Marry + pace.Main + pace.Finish
	if d := pace.Time(n+1, n+1) - pace.Time(n, n); d != each {
		t.Errorf("one piece more takes %s, press time %s", d, each)
	}
	if d := pace.Time(n-1, n-1) - pace.Time(n-2, n-2); d != each-pace.Finish {
		t.Errorf("one piece more takes %s where cooling still costs, want %s", d, each-pace.Finish)
	}
	pace, err = press.PaceOf(s, 2, print("wrap", mug(), 1, 1))
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := pace.HiddenFrom(); ok {
		t.Error("mugs are not finished: the last one always cools")
	}
}
