package price

import (
	"fmt"
	"strconv"
)

// remarks writes the assumptions a quote rests on and the risks it leaves.
func (j *job) remarks(p *Plan) {
	for i := range j.p.Lines {
		l := &j.p.Lines[i]
		for k := range l.Prints {
			if !l.Prints[k].Measured {
				p.Assumptions = append(p.Assumptions, "toner cover of line "+strconv.Itoa(i+1)+" is assumed, not measured from the art")
				break
			}
		}
		if l.Unique {
			p.Assumptions = append(p.Assumptions, "line "+strconv.Itoa(i+1)+" carries names or numbers: a spoiled piece is printed again, none is printed ahead")
		}
		if l.Theirs {
			p.Risks = append(p.Risks, theirRisk(i, &p.Lines[i], l.SpareBlanks))
		}
	}
	if j.shopYield() {
		p.Assumptions = append(p.Assumptions, "yields of white and dye toner are the shop's own counts: no standard covers them")
	}
	if p.Spares.Prints > 0 {
		p.Assumptions = append(p.Assumptions, "spares are charged whether they are wanted or not; what is left over stays with the shop")
		p.Assumptions = append(p.Assumptions, "pieces spoil one by one; a wrong setting spoils a run: check the first piece before the rest")
	}
}

// shopYield reports whether a yield in use rests on the shop's own count.
func (j *job) shopYield() bool {
	for i := range j.p.Lines {
		for _, c := range j.p.Rates.method(j.p.Lines[i].Method).Toner {
			if c.Source == ByShop {
				return true
			}
		}
	}
	return false
}

// theirRisk says what spoilage means for blanks the customer brings.
func theirRisk(i int, l *LinePrice, spare int) string {
	said := fmt.Sprintf("line %d: the customer's own blanks, %d and %d spare: the chance that %d come out good is %.0f %%",
		i+1, l.Quantity, spare, l.Quantity, 100*l.ChanceTheirs)
	if l.AskSpare > 0 {
		said += fmt.Sprintf("; ask for %d more, or agree on what a spoiled blank is worth", l.AskSpare)
	}
	return said
}
