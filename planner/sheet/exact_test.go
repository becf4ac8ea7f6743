package sheet

import "testing"

func TestExactlySettlesSmallProblems(t *testing.T) {
	square := func(side int, counts ...kind) task {
		return task{width: side, height: side, kinds: counts}
	}
	rows := []struct {
		name   string
		task   task
		sheets int
		fits   bool
	}{
		// Four 3 x 2 dominoes lie round a hole in a 5 x 5 square, a layout
		// that no edge-to-edge cut takes apart.
		{"pinwheel", square(5, kind{w: 3, h: 2, turn: true, count: 4}, kind{w: 1, h: 1, count: 1}), 1, true},
		{"pinwheel without turning", square(5, kind{w: 3, h: 2, count: 4}, kind{w: 1, h: 1, count: 1}), 1, false},
		{"two of three thirds by area", square(6, kind{w: 4, h: 4, count: 2}), 1, false},
		{"two sheets for them", square(6, kind{w: 4, h: 4, count: 2}), 2, true},
		{"nothing left over", square(7, kind{w: 4, h: 3, turn: true, count: 4}, kind{w: 1, h: 1, count: 1}), 1, true},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			l, proven := r.task.exactly(r.sheets, 100_000)
			if !proven {
				t.Fatal("not settled")
			}
			if got := l != nil; got != r.fits {
				t.Errorf("fits on %d sheets = %v, want %v", r.sheets, got, r.fits)
			}
		})
	}
}

// The exact search must never say that a layout is impossible where there is
// one: it is asked for as many sheets as the search found.
func TestExactlyFindsWhatTheSearchFound(t *testing.T) {
	for i, in := range publishedInstances(t) {
		if in.n > 20 || i%5 != 0 {
			continue
		}
		for _, turn := range []bool{false, true} {
			task := newTask(in.turning(turn))
			sheets := len(task.construct(0))
			if l, proven := task.exactly(sheets, 20_000); proven && l == nil {
				t.Errorf("class %d, number %d, turn %v: %d sheets called impossible", in.class, in.number, turn, sheets)
			}
		}
	}
}
