package sheet

import (
	"path/filepath"
	"testing"
)

// The bounds in best_known.csv were computed apart from this package, with
// more families of dual feasible functions; this one may be above or below on
// an instance, but never above a layout that is known.
func TestBoundPublished(t *testing.T) {
	best := readTable(t, filepath.Join(referenceDir(t, "2dbp_berkey_martello"), "best_known.csv"))
	for _, v := range variants() {
		total, area := 0, 0
		for r, in := range publishedInstances(t) {
			if in.n > 20 && !*full {
				continue
			}
			got := Bound(in.turning(v.turn))
			if known := best.number(t, r, v.best); got > known {
				t.Errorf("class %d, n %d, number %d, turn %v: bound %d is above the known layout of %d", in.class, in.n, in.number, v.turn, got, known)
			}
			if byArea := best.number(t, r, "lb_area"); got < byArea {
				t.Errorf("class %d, n %d, number %d, turn %v: bound %d is below the one by area, %d", in.class, in.n, in.number, v.turn, got, byArea)
			}
			total += got
			area += best.number(t, r, "lb_area")
		}
		t.Logf("turn %v: bounds add up to %d, by area alone %d", v.turn, total, area)
	}
}

func TestBound(t *testing.T) {
	rows := []struct {
		name string
		p    Problem
		want int
	}{
		{"nothing to lay", Problem{Sheet: letter(0, 0)}, 0},
		// Each is wider and higher than half the sheet, so no two share one,
		// though by area 2 sheets would do.
		{"pieces above half", Problem{Sheet: Sheet{Width: 10, Height: 10}, Pieces: []Piece{{Width: 6, Height: 6, Count: 5}}}, 5},
		// 2 x 2 of each fit, 9 need 3 sheets; by area 9 x 16 / 100 = 1.44.
		{"pieces above a third", Problem{Sheet: Sheet{Width: 10, Height: 10}, Pieces: []Piece{{Width: 4, Height: 4, Count: 9}}}, 3},
		{"turning long pieces", Problem{Sheet: Sheet{Width: 10, Height: 10}, Pieces: []Piece{{Width: 10, Height: 6, Count: 4, Turn: true}}}, 4},
		{"the gap counts", Problem{Sheet: Sheet{Width: 10, Height: 10, Gap: 1}, Pieces: []Piece{{Width: 5, Height: 10, Count: 2}}}, 2},
		{"the gap lies between only", Problem{Sheet: Sheet{Width: 10, Height: 10, Gap: 1}, Pieces: []Piece{{Width: 4.5, Height: 10, Count: 2}}}, 1},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			if got := Bound(r.p); got != r.want {
				t.Errorf("Bound = %d, want %d", got, r.want)
			}
		})
	}
}
