package sheet

import (
	"testing"

	"presshand/planner/unit"
)

func TestPerSheet(t *testing.T) {
	rows := []struct {
		name       string
		sheet      Sheet
		w, h       unit.Length
		turn       bool
		want, most int
	}{
		{"logos 3 x 3 in on letter, plain arithmetic 2 x 3", letter(5, 3), unit.Inches(3), unit.Inches(3), true, 6, 6},
		{"left chest 3.5 in on letter, 2 x 2", letter(5, 3), unit.Inches(3.5), unit.Inches(3.5), true, 4, 4},
		{"too large", letter(5, 3), unit.Inches(11), unit.Inches(9), true, 0, 0},
		{"only turned", letter(5, 3), unit.Inches(9), unit.Inches(7), true, 1, 1},
		{"not turned", letter(5, 3), unit.Inches(9), unit.Inches(7), false, 0, 0},
		{"rows and columns", Sheet{Width: 100, Height: 100}, 30, 20, false, 15, 15},
		// Four boxes of 3 x 2 round a hole: plain geometry.
		{"pinwheel", Sheet{Width: 5, Height: 5}, 3, 2, true, 4, 4},
		// Two pallets known to defeat division into five (from memory: they hold
		// 53 and 97): here one is missed, and not called the most.
		{"pallet 43 x 26 of 7 x 3", Sheet{Width: 43, Height: 26}, 7, 3, true, 52, 53},
		{"pallet 87 x 47 of 7 x 6", Sheet{Width: 87, Height: 47}, 7, 6, true, 96, 97},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			if got := PerSheet(r.sheet, r.w, r.h, r.turn); got != r.want {
				t.Errorf("PerSheet = %d, want %d", got, r.want)
			}
			if got := PerSheetAtMost(r.sheet, r.w, r.h, r.turn); got != r.most {
				t.Errorf("PerSheetAtMost = %d, want %d", got, r.most)
			}
		})
	}
}
