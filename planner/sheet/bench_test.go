package sheet

import (
	"fmt"
	"runtime"
	"testing"

	"presshand/planner/unit"
)

// gang is a day's work of a small shop: designs between a sleeve print and a
// full front, on letter with 5 mm margin and 3 mm gap. Sizes are invented.
func gang(designs, pieces int) Problem {
	p := Problem{Sheet: letter(5, 3)}
	random := random{7}
	for i := range designs {
		p.Pieces = append(p.Pieces, Piece{
			Name:   fmt.Sprintf("design %d", i+1),
			Width:  unit.Length(20 + random.below(130)),
			Height: unit.Length(20 + random.below(150)),
			Count:  pieces / designs,
			Turn:   true,
		})
	}
	return p
}

func BenchmarkDay(b *testing.B) {
	for _, size := range []struct{ designs, pieces int }{{10, 200}, {1, 2000}, {10, 2000}, {50, 2000}, {200, 2000}, {2000, 2000}} {
		b.Run(fmt.Sprintf("%d designs, %d pieces", size.designs, size.pieces), func(b *testing.B) {
			p := gang(size.designs, size.pieces)
			b.ReportAllocs()
			for b.Loop() {
				plan, err := Solve(p)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(plan.Sheets), "sheets")
				b.ReportMetric(float64(plan.AtLeast), "at_least")
			}
		})
	}
}

// All that is allocated, freed or not, bounds the memory in use.
func TestMemoryStaysSmall(t *testing.T) {
	const most = 100 << 20
	for _, designs := range []int{1, 10, 50} {
		p := gang(designs, 2000)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		solve(t, p)
		runtime.ReadMemStats(&after)
		if used := after.TotalAlloc - before.TotalAlloc; used > most {
			t.Errorf("%d designs: %d bytes allocated, want at most %d", designs, used, most)
		}
	}
}
