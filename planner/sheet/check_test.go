package sheet

import (
	"strings"
	"testing"

	"presshand/planner/unit"
)

// A check that can't fail proves nothing: each row breaks one promise of a
// good plan.
func TestCheckFindsFaults(t *testing.T) {
	p := Problem{
		Sheet: letter(5, 3), Cut: Trimmer,
		Pieces: []Piece{
			{Name: "crest", Width: 90, Height: 60, Count: 7},
			{Name: "bun", Width: 40, Height: 40, Count: 5, Turn: true},
		},
	}
	rows := []struct {
		name  string
		spoil func(*Plan)
		says  string
	}{
		{"a piece lost", func(plan *Plan) { plan.Places = plan.Places[1:] }, "laid"},
		{"a piece too many", func(plan *Plan) { plan.Places = append(plan.Places, plan.Places[0]) }, ""},
		{"one on another", func(plan *Plan) { plan.Places[1].X, plan.Places[1].Y = plan.Places[0].X, plan.Places[0].Y }, "gap"},
		{"half a gap", func(plan *Plan) { plan.Places[1].X -= 1.5 }, "gap"},
		{"into the margin", func(plan *Plan) { plan.Places[0].X = 4.9 }, "margin"},
		{"off the sheet", func(plan *Plan) { plan.Places[0].Y = 270 }, "margin"},
		{"no such sheet", func(plan *Plan) { plan.Places[0].Sheet = plan.Sheets + 1 }, "lies on sheet"},
		{"smaller than asked", func(plan *Plan) { plan.Places[0].Width -= 1 }, "want"},
		{"turned without leave", func(plan *Plan) {
			for i := range plan.Places {
				if plan.Places[i].Name == "crest" {
					plan.Places[i].Turned = true
				}
			}
		}, "may not"},
		{"an empty sheet", func(plan *Plan) { plan.Sheets++; plan.Fewest = false }, "empty"},
		{"a false verdict", func(plan *Plan) { plan.Fewest = !plan.Fewest }, "fewest"},
		{"a bound above the plan", func(plan *Plan) { plan.AtLeast = plan.Sheets + 1 }, "at least"},
		{"a cut left out", func(plan *Plan) { plan.Cuts = plan.Cuts[1:] }, ""},
		{"a cut through a piece", func(plan *Plan) {
			for i := range plan.Cuts {
				plan.Cuts[i].At -= 20
			}
		}, ""},
		{"a cut that stops short", func(plan *Plan) { plan.Cuts[0].To /= 2 }, "no part"},
		{"the wrong share used", func(plan *Plan) { plan.Used /= 2 }, "used"},
		{"free room over a piece", func(plan *Plan) {
			last := plan.Places[len(plan.Places)-1]
			plan.Free = Rect{X: last.X, Y: last.Y, Width: 10, Height: 10}
		}, "free"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			plan := solve(t, p)
			r.spoil(&plan)
			err := Check(p, plan)
			if err == nil {
				t.Fatal("the fault was not found")
			}
			if !strings.Contains(err.Error(), r.says) {
				t.Errorf("%q does not say %q", err, r.says)
			}
		})
	}
}

func TestCheckWantsAnEndlessSheetItsLength(t *testing.T) {
	p := Problem{Endless: true, Effort: 1000, Sheet: Sheet{Width: 300, Margin: 5, Gap: 3}, Pieces: []Piece{{Name: "a", Width: 100, Height: 80, Count: 7, Turn: true}}}
	plan := solve(t, p)
	plan.Length -= unit.Length(1)
	if err := Check(p, plan); err == nil {
		t.Error("a strip too short for its pieces was not found")
	}
}
