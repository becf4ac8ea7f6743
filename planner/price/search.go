package price

import (
	"fmt"
	"math/bits"
	"slices"

	"github.com/shopspring/decimal"
)

// A Found is what a search over whole pieces came to.
type Found struct {
	Quantity int             // 0 where no quantity fits the budget
	Total    decimal.Decimal // of that quantity
	Each     decimal.Decimal // total / quantity, half up: what a piece comes to with everything on it
	Searched int             // every quantity from 1 to Searched was priced
	Least    decimal.Decimal // the least total of any of them
	LeastAt  int             // and its quantity, the smallest
}

// MostFor finds the largest quantity whose total is within the budget, the
// order's lines and sizes keeping their ratio. Every quantity from 1 to most
// is priced, since a total may fall past a break: the answer is exact over
// that range. Found.Quantity equal to most means that the range was too short.
func MostFor(p Problem, budget decimal.Decimal, most int) (Found, error) {
	return search(p, budget, most, func(int, int, int64, int64) bool { return true })
}

// BestUnder finds the quantity with the least price a piece, total / quantity,
// whose total is within the budget; of equal ones the largest. It prices every
// quantity from 1 to most.
func BestUnder(p Problem, budget decimal.Decimal, most int) (Found, error) {
	return search(p, budget, most, func(found, q int, sum, foundSum int64) bool {
		return found == 0 || !dearer(sum, q, foundSum, found)
	})
}

// dearer reports a / n > b / m, in whole numbers of 128 bits.
func dearer(a int64, n int, b int64, m int) bool {
	left, leftLow := bits.Mul64(uint64(a), uint64(m))
	right, rightLow := bits.Mul64(uint64(b), uint64(n))
	return left > right || left == right && leftLow > rightLow
}

// search prices 1..most pieces and keeps the last one within the budget that
// better accepts.
func search(p Problem, budget decimal.Decimal, most int, better func(found, q int, sum, foundSum int64) bool) (Found, error) {
	switch {
	case !budget.IsPositive():
		return Found{}, fmt.Errorf("a budget of %s buys nothing: give an amount above zero", budget)
	case most < 1 || most > MaxPieces:
		return Found{}, fmt.Errorf("a search up to %d pieces: give 1 to %d", most, MaxPieces)
	}
	j, err := ready(p)
	if err != nil {
		return Found{}, err
	}
	limit := j.fixed(budget.Truncate(j.places), j.places)
	t := newTill(j)
	cells := make([]int, len(j.base))
	var found, leastAt int
	var foundSum, least int64
	for q := 1; q <= most; q++ {
		award(j.base, cells)
		sum := t.ring(cells).total
		if leastAt == 0 || sum < least {
			leastAt, least = q, sum
		}
		if sum <= limit && better(found, q, sum, foundSum) {
			found, foundSum = q, sum
		}
	}
	if j.over {
		return Found{}, errTooLarge
	}
	out := Found{Quantity: found, Total: j.toMoney(foundSum), Searched: most, Least: j.toMoney(least), LeastAt: leastAt}
	if found > 0 {
		out.Each = out.Total.DivRound(decimal.NewFromInt(int64(found)), j.places)
	}
	return out, nil
}

// WithQuantity returns the problem for so many pieces in all, its lines and
// sizes in the ordered ratio (see apportion); lines left with none are
// dropped. The quantity must be 1 or more. Solve the result for the whole
// quote.
func (p Problem) WithQuantity(pieces int) Problem {
	type cell struct {
		line int
		size string
	}
	var cells []cell
	var counts []int
	for i := range p.Lines {
		l := &p.Lines[i]
		for _, size := range l.sizesInOrder() {
			n := l.Quantity
			if size != "" {
				n = l.Sizes[size]
			}
			cells, counts = append(cells, cell{i, size}), append(counts, n)
		}
	}
	lines := slices.Clone(p.Lines)
	for i := range lines {
		lines[i].Quantity = 0
		if lines[i].Sizes != nil {
			lines[i].Sizes = make(map[string]int, len(p.Lines[i].Sizes))
		}
	}
	for c, n := range apportion(counts, pieces) {
		l := &lines[cells[c].line]
		l.Quantity += n
		if cells[c].size != "" && n > 0 {
			l.Sizes[cells[c].size] = n
		}
	}
	p.Lines = slices.DeleteFunc(lines, func(l Line) bool { return l.Quantity == 0 })
	return p
}

// A Change is one figure of a what-if.
type Change struct {
	Name   string          `json:"name"`
	Before decimal.Decimal `json:"before"`
	After  decimal.Decimal `json:"after"`
	By     decimal.Decimal `json:"by"` // After - Before
}

// Compare lists what differs between two quotes, cost part by part and charge
// by charge, then the total. Cost rows are for the shop only.
func Compare(before, after Plan) []Change {
	var out []Change
	add := func(name string, x, y decimal.Decimal) {
		if !x.Equal(y) {
			out = append(out, Change{Name: name, Before: x, After: y, By: y.Sub(x)})
		}
	}
	was, now := before.Cost.parts(), after.Cost.parts()
	for i := range was {
		add(was[i].name, was[i].amount, now[i].amount)
	}
	add("subtotal", before.Subtotal, after.Subtotal)
	old, new := before.extras(), after.extras()
	for i := range old {
		add(old[i].name, old[i].amount, new[i].amount)
	}
	add("total", before.Total, after.Total)
	return out
}
