package answer

import (
	"fmt"

	"presshand/planner"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// packs counts the sheets of an order line for any number of pieces, all
// prints of a piece ganged: a sleeve goes beside the front where there is room.
//
// One print alone is counted in closed form, ceil(n / copies a sheet). Several
// are laid out: for the number that is made, whole; for any other number in
// blocks, which is never less than the least and quick enough to search over
// quantities. Counts never fall as n rises.
type packs struct {
	on    sheet.Sheet
	sizes []sheet.Piece // one a print, of count 1
	per   int           // copies of the only print on a sheet; 0 where there are several
	block map[int]int   // laid out so far, up to packBlock pieces
	whole map[int]int   // laid out whole
	plans map[int]sheet.Plan
}

// packBlock is how many pieces are laid out at once where the exact number is
// not worth the time: a dozen, in which small prints find their neighbours.
const packBlock = 12

// packsOf returns the counts of a line's prints on a sheet; ok is false where
// one of them does not fit it.
func packsOf(on sheet.Sheet, prints []planner.Print) (p *packs, ok bool) {
	p = &packs{on: on, block: map[int]int{}, whole: map[int]int{}, plans: map[int]sheet.Plan{}}
	for _, pr := range prints {
		w, h := unit.Millimetres(pr.Width), unit.Millimetres(pr.Height)
		per := sheet.PerSheet(on, w, h, true)
		if per == 0 {
			return nil, false
		}
		if len(prints) == 1 {
			p.per = per
		}
		p.sizes = append(p.sizes, sheet.Piece{Name: pr.Spot, Width: w, Height: h, Count: 1, Turn: true})
	}
	return p, len(prints) > 0
}

// problem is the layout of n pieces.
func (p *packs) problem(n int) sheet.Problem {
	q := sheet.Problem{Sheet: p.on}
	for _, s := range p.sizes {
		s.Count = n
		q.Pieces = append(q.Pieces, s)
	}
	return q
}

// count returns the sheets for n pieces.
func (p *packs) count(n int) int {
	if n <= 0 {
		return 0
	}
	if p.per > 0 {
		return ceilDiv(n, p.per)
	}
	if c, ok := p.whole[n]; ok {
		return c
	}
	c := n / packBlock * p.laid(packBlock)
	if rest := n % packBlock; rest > 0 {
		c += p.laid(rest)
	}
	for m, known := range p.whole { // never more than for a larger number, nor less than for a smaller
		if n < m {
			c = min(c, known)
		} else {
			c = max(c, known)
		}
	}
	return c
}

// laid lays out a block; where that fails, which sizes that fit never do, each
// print has sheets of its own.
func (p *packs) laid(n int) int {
	if c, ok := p.block[n]; ok {
		return c
	}
	c := 0
	if plan, err := sheet.Solve(p.problem(n)); err == nil {
		c = plan.Sheets
	} else {
		for _, s := range p.sizes {
			c += ceilDiv(n, max(1, sheet.PerSheet(p.on, s.Width, s.Height, true)))
		}
	}
	p.block[n] = c
	return c
}

// settle lays out the number that is made, whole, and keeps its count.
func (p *packs) settle(n int) (sheet.Plan, error) {
	if plan, ok := p.plans[n]; ok {
		return plan, nil
	}
	plan, err := sheet.Solve(p.problem(n))
	if err != nil {
		return plan, fmt.Errorf("laying out %d pieces: %w", n, err)
	}
	p.whole[n], p.plans[n] = plan.Sheets, plan
	return plan, nil
}

// sheetsOfPieces says for each of n pieces the sheet that carries the last of
// its transfers: copies of a print are taken in the order of the sheets.
func sheetsOfPieces(plan sheet.Plan, prints, n int) []int {
	of := make([]int, n)
	next := make([]int, prints)
	for _, place := range plan.Places {
		k := place.Piece
		if k < prints && next[k] < n {
			of[next[k]] = max(of[next[k]], place.Sheet)
			next[k]++
		}
	}
	return of
}
