package sheet

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

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

func TestSameProblemSamePlan(t *testing.T) {
	for _, cut := range []Cut{Free, Trimmer} {
		p := gang(6, 60)
		p.Cut = cut
		one, two := solve(t, p), solve(t, p)
		if diff := cmp.Diff(one, two); diff != "" {
			t.Errorf("%v: two runs differ:\n%s", cut, diff)
		}
	}
}

func TestSolveRefuses(t *testing.T) {
	good := Problem{Sheet: letter(5, 3), Pieces: []Piece{{Name: "a", Width: 50, Height: 50, Count: 1}}}
	nan := unit.Length(math.NaN())
	rows := []struct {
		name  string
		spoil func(*Problem)
		says  string
	}{
		{"no sheet", func(p *Problem) { p.Sheet.Width = 0 }, "sheet width"},
		{"sheet of no number", func(p *Problem) { p.Sheet.Height = nan }, "sheet height"},
		{"sheet without end", func(p *Problem) { p.Sheet.Width = unit.Length(math.Inf(1)) }, "sheet width"},
		{"huge sheet", func(p *Problem) { p.Sheet.Width = 2 * MaxSide }, "largest"},
		{"negative margin", func(p *Problem) { p.Sheet.Margin = -1 }, "margin"},
		{"margin that leaves nothing", func(p *Problem) { p.Sheet.Margin = 110 }, "leaves nothing"},
		{"gap of no number", func(p *Problem) { p.Sheet.Gap = nan }, "gap"},
		{"negative bleed", func(p *Problem) { p.Bleed = -1 }, "bleed"},
		{"unknown way of cutting", func(p *Problem) { p.Cut = 7 }, "cutting"},
		{"negative effort", func(p *Problem) { p.Effort = -1 }, "effort"},
		{"piece of no size", func(p *Problem) { p.Pieces[0].Height = 0 }, "height"},
		{"piece of no number", func(p *Problem) { p.Pieces[0].Width = nan }, "width"},
		{"no copies", func(p *Problem) { p.Pieces[0].Count = 0 }, "count"},
		{"too many copies", func(p *Problem) { p.Pieces[0].Count = MaxPieces + 1 }, "count"},
		{"bleed that makes it too large", func(p *Problem) { p.Bleed = 90 }, "larger than"},
		{"an endless sheet for a trimmer", func(p *Problem) { p.Endless, p.Cut = true, Trimmer }, "endless"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			p := good
			p.Pieces = []Piece{good.Pieces[0]}
			r.spoil(&p)
			_, err := Solve(p)
			if err == nil || !strings.Contains(err.Error(), r.says) {
				t.Errorf("error = %v, want one that says %q", err, r.says)
			}
		})
	}
}

func TestFreeRoomIsKept(t *testing.T) {
	// Five 100 x 80 pieces on A4 without margin fill two thirds of the first
	// sheet in rows of two; plain geometry leaves the rest in one piece.
	a4, _ := Known("a4")
	rows := []struct {
		name   string
		pieces []Piece
		least  float64 // mm2 of free room in one piece
	}{
		{"one small piece in a corner", []Piece{{Width: 50, Height: 20, Count: 1, Turn: true}}, 210 * 277},
		{"two rows of two", []Piece{{Width: 100, Height: 80, Count: 4}}, 210 * 137},
		{"the last sheet holds the rest only", []Piece{{Width: 200, Height: 280, Count: 2}, {Width: 100, Height: 80, Count: 1}}, 210 * 217},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			plan := solve(t, Problem{Sheet: a4, Pieces: r.pieces})
			if got := float64(plan.Free.Width) * float64(plan.Free.Height); got < r.least-1 {
				t.Errorf("free room = %v x %v, %.0f mm2, want at least %.0f", plan.Free.Width, plan.Free.Height, got, r.least)
			}
		})
	}
}

func TestRoom(t *testing.T) {
	s := Sheet{Width: 100, Height: 100, Gap: 2}
	plan := solve(t, Problem{Sheet: s, Pieces: []Piece{{Width: 100, Height: 49, Count: 1}}})
	rows := []struct {
		name string
		w, h unit.Length
		want int
	}{
		{"the other half", 100, 49, 1},
		{"a gap too large", 100, 50, 0},
		{"two side by side", 49, 49, 2},
		{"turned", 49, 100, 1},
		{"too large", 101, 10, 0},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			if got := Room(s, plan, r.w, r.h); got != r.want {
				t.Errorf("Room = %d, want %d", got, r.want)
			}
		})
	}
}

func TestOrdersStayTogether(t *testing.T) {
	// Two orders of the same two sizes: four of each fill a sheet.
	s := Sheet{Width: 100, Height: 100}
	p := Problem{Sheet: s}
	for _, order := range []string{"choir", "bakery"} {
		p.Pieces = append(p.Pieces,
			Piece{Name: order + " front", Width: 50, Height: 50, Count: 4, Order: order},
			Piece{Name: order + " back", Width: 100, Height: 50, Count: 2, Order: order})
	}
	plan := solve(t, p)
	sheets := map[string]map[int]bool{}
	for _, place := range plan.Places {
		order := p.Pieces[place.Piece].Order
		if sheets[order] == nil {
			sheets[order] = map[int]bool{}
		}
		sheets[order][place.Sheet] = true
	}
	if plan.Sheets != 4 || len(sheets["choir"]) != 2 || len(sheets["bakery"]) != 2 {
		t.Errorf("%d sheets, choir on %d, bakery on %d; want 4, 2, 2", plan.Sheets, len(sheets["choir"]), len(sheets["bakery"]))
	}
}
