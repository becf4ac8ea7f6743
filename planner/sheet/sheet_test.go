package sheet

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"presshand/planner/unit"
)

func letter(margin, gap unit.Length) Sheet {
	s, _ := Known("letter")
	s.Margin, s.Gap = margin, gap
	return s
}

func solve(t *testing.T, p Problem) Plan {
	t.Helper()
	plan, err := Solve(p)
	if err != nil {
		t.Fatalf("Solve: %v", err)
	}
	if err := Check(p, plan); err != nil {
		t.Fatalf("Check: %v", err)
	}
	return plan
}

func TestTooLarge(t *testing.T) {
	p := Problem{Sheet: letter(5, 3), Pieces: []Piece{{Name: "banner", Width: 260, Height: 130, Count: 1}}}
	_, err := Solve(p)
	large, ok := errors.AsType[*TooLargeError](err)
	if !ok {
		t.Fatalf("error = %v, want a *TooLargeError", err)
	}
	if !large.TurnFits || !strings.Contains(err.Error(), "turn") {
		t.Errorf("%v: want the turn that makes it fit", err)
	}
	if got := float64(large.MaxWidth); got < 205.89 || got > 205.91 {
		t.Errorf("largest width = %g, want 205.9", got)
	}
}

func TestPlanJSON(t *testing.T) {
	plan := solve(t, Problem{Sheet: letter(5, 3), Pieces: []Piece{{Name: "crest", Width: 90, Height: 60, Count: 1, Turn: true}}})
	got, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"sheet":{"width":215.9,"height":279.4,"margin":5,"gap":3},"sheets":1,"at_least":1,"fewest":true,"used":0.0895,` +
		`"places":[{"sheet":1,"name":"crest","x":5,"y":5,"width":90,"height":60,"turned":false}]}`
	if string(got) != want {
		t.Errorf("JSON =\n%s\nwant\n%s", got, want)
	}
}
