package sheet

import (
	"testing"

	"presshand/planner/unit"
)

func TestGridKeepsWhatFitsExactly(t *testing.T) {
	rows := []struct {
		name  string
		sheet Sheet
		w, h  unit.Length
		count int // all on one sheet
	}{
		{"16 of 35/64 in across 8.75 in", Sheet{Width: unit.Inches(8.75), Height: unit.Inches(1)}, unit.Inches(35.0 / 64), unit.Inches(1), 16},
		{"thirds of a millimetre", Sheet{Width: 100, Height: 100}, 100.0 / 3, 100, 3},
		{"half of ten metres beside odd sizes", Sheet{Width: 10_000, Height: 33.333333}, 5000, 33.333333, 2},
		{"a piece as large as an odd sheet", Sheet{Width: 12_345.678901, Height: 9_876.543219}, 12_345.678901, 9_876.543219, 1},
		{"a grain on a hall floor", Sheet{Width: MaxSide, Height: MaxSide}, minSide, 33.3333331, 5},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			plan := solve(t, Problem{Sheet: r.sheet, Pieces: []Piece{{Name: "a", Width: r.w, Height: r.h, Count: r.count}}})
			if plan.Sheets != 1 {
				t.Errorf("%d sheets, want 1", plan.Sheets)
			}
		})
	}
}
