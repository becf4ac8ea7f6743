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
	// in 58 bits: the search adds up those of up to four sheets, or takes one
	// twenty times (leeway). It is reached at 536 mm, and there only by sides
	// without a common divisor; then the grid is the least power of ten
	// nanometres that isn't. Pieces that lie off such a grid count as up to a
	// step larger than they are, which no cutter notices.
	gridLimit = 1 << 29
)

func nanometres(l unit.Length) int { return int(math.Round(float64(l) * nanometresPerMM)) }

func lengthOf(nm int) unit.Length { return unit.Length(float64(nm) / nanometresPerMM) }

// grid turns lengths into whole numbers and back.
type grid struct {
	step   int // nanometres a unit of the grid
	margin int // nanometres from the edge of the sheet to the first bleed
	bleed  int // nanometres
}

func (g grid) up(nm int) int   { return (nm + g.step - 1) / g.step }
func (g grid) down(nm int) int { return nm / g.step }

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
	widths        []int // of each as it is, by index of Problem.Pieces
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
	if p.Endless {
		height = width // of no account for the grid
	}
	sides := []int{width, height}
	for _, piece := range p.Pieces {
		sides = append(sides, nanometres(piece.Width)+2*bleed+gap, nanometres(piece.Height)+2*bleed+gap)
	}
	t := task{grid: grid{step: gridStep(sides), margin: margin, bleed: bleed}, trimmer: p.Cut == Trimmer}
	t.width, t.height = t.grid.down(width), t.grid.down(height)
	if p.Endless {
		t.height = endless
	}
	// A piece as long as the sheet must not outgrow it by rounding.
	side := func(nm int) int {
		u := t.grid.up(nm)
		switch {
		case u == t.width+1 && nm <= width:
			return t.width
		case u == t.height+1 && nm <= height:
			return t.height
		}
		return u
	}
	index := map[kind]int{}
	for i, piece := range p.Pieces {
		k := kind{w: side(sides[2+2*i]), h: side(sides[3+2*i]), turn: piece.Turn}
		t.widths = append(t.widths, k.w)
		k.turn = k.turn && k.w != k.h
		if k.turn && k.w < k.h {
			k.w, k.h = k.h, k.w
		}
		at, ok := index[k]
		if !ok {
			at = len(t.kinds)
			index[k] = at
			t.kinds = append(t.kinds, k)
		}
		t.kinds[at].count += piece.Count
		t.kindOf = append(t.kindOf, at)
	}
	return t
}

// gridStep is the greatest common divisor of the sides, in nanometres, or a
// power of ten where that leaves too many units.
func gridStep(sides []int) int {
	step, longest := 0, 0
	for _, s := range sides {
		step, longest = divisor(s, step), max(longest, s)
	}
	if longest/step <= gridLimit {
		return step
	}
	step = 1
	for longest/step > gridLimit {
		step *= 10
	}
	return step
}

func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
