package price

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// A Turn is a quantity from which one of two ways costs less.
type Turn struct {
	From  int // pieces; the first Turn is at 1
	First bool
	// Cost and Other are the costs of the first and of the second way there,
	// spares included.
	Cost, Other decimal.Decimal
}

// BreakEven compares what two ways of doing one order cost (two methods, two
// blanks) at every quantity from 1 to most, their sizes keeping their ratio,
// and returns the turning points: the first at 1, one more wherever the other
// way becomes the cheaper. Equal costs stay with the way that was cheaper
// before; at 1, with the first. Sheets come whole, so there may be several.
func BreakEven(first, second Problem, most int) ([]Turn, error) {
	if most < 1 || most > MaxPieces {
		return nil, fmt.Errorf("a comparison up to %d pieces: give 1 to %d", most, MaxPieces)
	}
	var jobs [2]*job
	var cells [2][]int
	for i, p := range [...]Problem{first, second} {
		j, err := ready(p)
		if err != nil {
			return nil, err
		}
		jobs[i], cells[i] = j, make([]int, len(j.base))
	}
	var bills [2]bill
	var turns []Turn
	for q := 1; q <= most; q++ {
		for i, j := range jobs {
			award(j.base, cells[i])
			j.bill(cells[i], &bills[i])
		}
		cost, other := bills[0].total, bills[1].total
		now := cost < other
		if cost == other {
			now = len(turns) == 0 || turns[len(turns)-1].First
		}
		if len(turns) == 0 || turns[len(turns)-1].First != now {
			turns = append(turns, Turn{From: q, First: now, Cost: jobs[0].toMoney(cost), Other: jobs[1].toMoney(other)})
		}
	}
	if jobs[0].over || jobs[1].over {
		return nil, errTooLarge
	}
	return turns, nil
}

// TurnText says in words which way costs less from where on: "sublimation
// costs less up to 13, two-step transfer from 14 on". first and second name the
// two ways.
func TurnText(turns []Turn, first, second string) string {
	name := func(t Turn) string {
		if t.First {
			return first
		}
		return second
	}
	var parts []string
	for i, t := range turns {
		switch {
		case len(turns) == 1:
			return name(t) + " never costs more"
		case i == 0:
			parts = append(parts, fmt.Sprintf("%s costs less up to %d", name(t), turns[1].From-1))
		case i == len(turns)-1:
			parts = append(parts, fmt.Sprintf("%s from %d on", name(t), t.From))
		default:
			parts = append(parts, fmt.Sprintf("%s from %d to %d", name(t), t.From, turns[i+1].From-1))
		}
	}
	return strings.Join(parts, ", ")
}
