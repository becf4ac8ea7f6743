package sheet

import (
	"math"

	"presshand/planner/unit"
)

// The search computes in whole numbers, so that sums of lengths are exact and
// the same everywhere. A length is rounded to the nearest nanometre, which
// holds every millimetre of six decimals and every 64th of an inch exactly;
// then all lengths are divided by their greatest common divisor.

const (
	nanometresPerMM = 1e6

	// gridLimit bounds the sides of a sheet on the grid, so that an area fits
	// in 52 bits and the areas of 2,000 sheets in 63. Where the common divisor
	// leaves more, the grid is made ten times as coarse until it fits; on a
	// sheet of 300 mm it is never coarser than 10 nm.
	gridLimit = 1 << 26
)

func nanometres(l unit.Length) int { return int(math.Round(float64(l) * nanometresPerMM)) }

func lengthOf(nm int) unit.Length { return unit.Length(float64(nm) / nanometresPerMM) }

// grid turns lengths into whole numbers and back.
type grid struct {
	step   int // nanometres a unit of the grid
	margin int // nanometres from the edge of the sheet to the first bleed
	bleed  int // nanometres
}

func (g grid) units(nm int) int { return int(math.Round(float64(nm) / float64(g.step))) }

// place returns where a coordinate of the search lies on the sheet: there,
// pieces carry their bleed and, to the right and below, the gap.
func (g grid) place(at int) unit.Length {
	return lengthOf(at*g.step + g.margin + g.bleed)
}

// A task is a Problem on the grid. Gap and bleed are part of the pieces, and
// one gap is part of the sheet: a piece of width w between two others needs
// w + 2 bleed + gap, and the last one in a row leaves its gap beyond the
// printable area.
type task struct {
	grid          grid
	width, height int // room of a sheet; height is endless where the problem is
	kinds         []kind
	kindOf        []int // by index of Problem.Pieces
	trimmer       bool
}

// A kind is all pieces of one size: for the search they are the same.
type kind struct {
	w, h  int // w >= h where it may turn
	turn  bool
	count int
}

func (k kind) area() int { return k.w * k.h }

// endless is the height of a sheet without end, on the grid.
const endless = 1 << 50

func newTask(p Problem) task {
	gap, bleed, margin := nanometres(p.Sheet.Gap), nanometres(p.Bleed), nanometres(p.Sheet.Margin)
	width := nanometres(p.Sheet.Width) - 2*margin + gap
	height := nanometres(p.Sheet.Height) - 2*margin + gap
	step := width
	if !p.Endless {
		step = divisor(step, height)
	}
	for _, piece := range p.Pieces {
		step = divisor(step, nanometres(piece.Width)+2*bleed+gap)
		step = divisor(step, nanometres(piece.Height)+2*bleed+gap)
	}
	longest := width
	if !p.Endless {
		longest = max(width, height)
	}
	for longest/step > gridLimit {
		step *= 10
	}
	t := task{grid: grid{step: step, margin: margin, bleed: bleed}, trimmer: p.Cut == Trimmer}
	t.width, t.height = t.grid.units(width), t.grid.units(height)
	if p.Endless {
		t.height = endless
	}
	type key struct {
		w, h int
		turn bool
	}
	index := map[key]int{}
	for _, piece := range p.Pieces {
		k := key{t.grid.units(nanometres(piece.Width) + 2*bleed + gap), t.grid.units(nanometres(piece.Height) + 2*bleed + gap), piece.Turn}
		k.turn = t.mayTurn(k.w, k.h, k.turn)
		if k.turn && k.w < k.h {
			k.w, k.h = k.h, k.w
		}
		i, ok := index[k]
		if !ok {
			i = len(t.kinds)
			index[k] = i
			t.kinds = append(t.kinds, kind{w: k.w, h: k.h, turn: k.turn})
		}
		t.kinds[i].count += piece.Count
		t.kindOf = append(t.kindOf, i)
	}
	return t
}

// mayTurn reports whether turning makes a difference. A piece that fits only
// turned keeps the leave to turn.
func (t task) mayTurn(w, h int, turn bool) bool {
	return turn && w != h
}

func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
