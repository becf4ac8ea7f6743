package sheet

import (
	"testing"

	"pgregory.net/rapid"

	"presshand/planner/unit"
)

// drawProblem draws a small problem of whole tenths of a millimetre.
func drawProblem(t *rapid.T) Problem {
	tenths := func(low, high int, label string) unit.Length {
		return unit.Length(rapid.IntRange(low, high).Draw(t, label)) / 10
	}
	p := Problem{
		Sheet: Sheet{
			Width: tenths(600, 3000, "sheet width"), Height: tenths(600, 3000, "sheet height"),
			Margin: tenths(0, 60, "margin"), Gap: tenths(0, 40, "gap"),
		},
		Cut:    Cut(rapid.IntRange(0, 1).Draw(t, "cut")),
		Bleed:  tenths(0, 20, "bleed") * unit.Length(rapid.IntRange(0, 1).Draw(t, "any bleed")),
		Effort: 2000,
	}
	for range rapid.IntRange(1, 6).Draw(t, "kinds") {
		p.Pieces = append(p.Pieces, drawPiece(t, p))
	}
	return p
}

func drawPiece(t *rapid.T, p Problem) Piece {
	room := func(side unit.Length) int { return int((side - 2*p.Sheet.Margin - 2*p.Bleed) * 10) }
	return Piece{
		Name:   rapid.StringMatching(`[a-c]`).Draw(t, "name"),
		Width:  unit.Length(rapid.IntRange(1, room(p.Sheet.Width)).Draw(t, "width")) / 10,
		Height: unit.Length(rapid.IntRange(1, room(p.Sheet.Height)).Draw(t, "height")) / 10,
		Count:  rapid.IntRange(1, 5).Draw(t, "count"),
		Turn:   rapid.Bool().Draw(t, "turn"),
		Order:  rapid.StringMatching(`[x-z]?`).Draw(t, "order"),
	}
}

func mustSolve(t *rapid.T, p Problem) Plan {
	plan, err := Solve(p)
	if err != nil {
		t.Fatalf("Solve: %v", err)
	}
	if err := Check(p, plan); err != nil {
		t.Fatalf("Check: %v", err)
	}
	return plan
}

func withTurn(p Problem, turn bool) Problem {
	p.Pieces = append([]Piece(nil), p.Pieces...)
	for i := range p.Pieces {
		p.Pieces[i].Turn = turn
	}
	return p
}

func TestEveryPlanPassesItsCheck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { mustSolve(t, drawProblem(t)) })
}

func TestAnotherPieceNeverLowersTheBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		before := Bound(p)
		p.Pieces = append(p.Pieces, drawPiece(t, p))
		if after := Bound(p); after < before {
			t.Fatalf("bound fell from %d to %d", before, after)
		}
	})
}

func TestLeaveToTurnNeverCostsASheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		fixed, free := mustSolve(t, withTurn(p, false)), mustSolve(t, withTurn(p, true))
		if free.Sheets > fixed.Sheets {
			t.Fatalf("%d sheets with leave to turn, %d without", free.Sheets, fixed.Sheets)
		}
		if b := Bound(withTurn(p, true)); b > Bound(withTurn(p, false)) {
			t.Fatalf("bound with leave to turn, %d, is above the one without", b)
		}
	})
}

func TestTwiceTheSizeIsTheSamePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		double := p
		double.Sheet.Width, double.Sheet.Height = 2*p.Sheet.Width, 2*p.Sheet.Height
		double.Sheet.Margin, double.Sheet.Gap, double.Bleed = 2*p.Sheet.Margin, 2*p.Sheet.Gap, 2*p.Bleed
		double.Pieces = append([]Piece(nil), p.Pieces...)
		for i := range double.Pieces {
			double.Pieces[i].Width *= 2
			double.Pieces[i].Height *= 2
		}
		one, two := mustSolve(t, p), mustSolve(t, double)
		if one.Sheets != two.Sheets || one.AtLeast != two.AtLeast || len(one.Places) != len(two.Places) {
			t.Fatalf("%d sheets at least %d, twice the size %d at least %d", one.Sheets, one.AtLeast, two.Sheets, two.AtLeast)
		}
		for i, a := range one.Places {
			b := two.Places[i]
			if near := func(x, y unit.Length) bool { return x-y < tolerance && y-x < tolerance }; !near(2*a.X, b.X) || !near(2*a.Y, b.Y) || a.Sheet != b.Sheet || a.Name != b.Name {
				t.Fatalf("place %d: %v, twice the size %v", i, a, b)
			}
		}
	})
}
