package price

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"
)

// chanceTolerance is how far a stated chance may be from the true one.
const chanceTolerance = 1e-8

// Check works the problem out again, in fractions and from the definitions,
// and compares every figure of the plan with it; it shares no arithmetic with
// Solve. It returns all differences, joined; nil means that the plan holds.
func Check(p Problem, plan Plan) error {
	if err := p.Faults(); err != nil {
		return err
	}
	a := newAudit(p)
	counts := make([]int, len(a.cells))
	for c, cell := range a.cells {
		counts[c] = cell.count
	}
	o := a.order(counts)
	d := &differences{}
	d.lines(&o, &plan)
	d.charges(a, &o, &plan)
	d.totals(a, &o, &plan)
	d.chances(a, counts, &o, &plan)
	d.others(a, counts, &o, &plan)
	return errors.Join(d.list...)
}

// differences gathers what does not agree.
type differences struct{ list []error }

func (d *differences) addf(format string, args ...any) {
	d.list = append(d.list, fmt.Errorf(format, args...))
}

func (d *differences) money(what string, got decimal.Decimal, want *big.Rat) {
	if got.Rat().Cmp(want) != 0 {
		d.addf("%s is %s, worked again %s", what, got, want.FloatString(9))
	}
}

func (d *differences) count(what string, got, want int) {
	if got != want {
		d.addf("%s is %d, worked again %d", what, got, want)
	}
}

func (d *differences) lines(o *auditOrder, plan *Plan) {
	d.count("number of lines", len(plan.Lines), len(o.pieces))
	made, sheets := 0, 0
	for i := range min(len(plan.Lines), len(o.pieces)) {
		l, at := plan.Lines[i], fmt.Sprintf("line %d: ", i+1)
		d.count(at+"quantity", l.Quantity, o.pieces[i])
		d.count(at+"pieces to make", l.Make, o.made[i])
		d.count(at+"sheets", l.Sheets, o.sheets[i])
		d.count(at+"priced at", l.PricedAt, o.pricedAt[i])
		d.money(at+"cost", l.Cost, o.cost[i])
		d.money(at+"price each", l.PriceEach, o.each[i])
		d.money(at+"price in all", l.PriceTotal, times(rat(l.Quantity), l.PriceEach.Rat()))
		made += o.made[i]
		sheets += o.sheets[i]
	}
	d.count("pieces to make", plan.Make, made)
	d.count("sheets", plan.Sheets, sheets)
}

// charges compares the charges by part, line and name, and the cost with what
// the plan's own charges add up to.
func (d *differences) charges(a *audit, o *auditOrder, plan *Plan) {
	type key struct {
		part Part
		line int
		name string
	}
	var order []key
	got, want := map[key][4]*big.Rat{}, map[key][4]*big.Rat{}
	enter := func(m map[key][4]*big.Rat, k key, v [4]*big.Rat) {
		if old, ok := m[k]; ok {
			for i := range v {
				v[i] = plus(v[i], old[i])
			}
		} else {
			order = append(order, k)
		}
		m[k] = v
	}
	for _, c := range o.charges {
		enter(want, key{c.part, c.line + 1, c.name}, [4]*big.Rat{c.count, c.made, c.amount, c.withSpares})
	}
	sums := map[Part]*big.Rat{}
	spoilage := new(big.Rat)
	for _, c := range plan.Charges {
		enter(got, key{c.Part, c.Line, c.Name}, [4]*big.Rat{c.Count.Rat(), c.Made.Rat(), c.Amount.Rat(), c.WithSpares.Rat()})
		if sums[c.Part] == nil {
			sums[c.Part] = new(big.Rat)
		}
		sums[c.Part].Add(sums[c.Part], c.Amount.Rat())
		spoilage.Add(spoilage, less(c.WithSpares.Rat(), c.Amount.Rat()))
	}
	for _, k := range order {
		g, inPlan := got[k]
		w, again := want[k]
		if !inPlan || !again {
			d.addf("%s %q of line %d stands in only one of the two workings", k.part, k.name, k.line)
			continue
		}
		for i, what := range [...]string{"count", "count with spares", "amount", "amount with spares"} {
			if g[i].Cmp(w[i]) != 0 {
				d.addf("%s of %s %q, line %d is %s, worked again %s", what, k.part, k.name, k.line, g[i].FloatString(9), w[i].FloatString(9))
			}
		}
	}
	c := plan.Cost
	for _, part := range [...]struct {
		part Part
		cost decimal.Decimal
	}{{Blanks, c.Blanks}, {Sheets, c.Sheets}, {Toner, c.Toner}, {Labour, c.Labour}, {MachinePart, c.Machine}, {Energy, c.Energy}, {OverheadPart, c.Overhead}} {
		if sums[part.part] == nil {
			sums[part.part] = new(big.Rat)
		}
		d.money("cost of "+string(part.part), part.cost, sums[part.part])
	}
	d.money("cost of spoilage", c.Spoilage, spoilage)
}

func (d *differences) totals(a *audit, o *auditOrder, plan *Plan) {
	d.money("subtotal", plan.Subtotal, o.subtotal)
	d.money("set-up", plan.Setup, o.setup)
	d.money("rush", plan.Rush, o.rush)
	d.money("discount", plan.Discount, o.discount)
	d.money("top-up to the minimum", plan.MinimumTopup, o.topUp)
	d.money("tax", plan.Tax, o.tax)
	d.money("card fee", plan.CardFee, o.fee)
	d.money("card fee borne", plan.CardCost, o.borne)
	d.money("total", plan.Total, o.total)
	for _, one := range [...]decimal.Decimal{plan.Subtotal, plan.Setup, plan.Rush, plan.Discount, plan.MinimumTopup, plan.Tax, plan.CardFee, plan.Total} {
		if !one.Equal(one.Truncate(int32(a.places))) {
			d.addf("%s has more places than %s", one, plan.Currency.Code)
		}
	}
	net := less(less(o.total, o.tax), o.fee)
	cost, press := new(big.Rat), new(big.Rat)
	for _, c := range o.cost {
		cost.Add(cost, c)
	}
	profit := less(less(net, cost), o.borne)
	d.money("profit", plan.Profit, profit)
	for _, c := range o.charges {
		if c.press {
			press.Add(press, c.made)
		}
	}
	d.money("press hours", plan.PressHours, press)
	if until := a.p.Now.AddDate(0, 0, a.p.Rates.ValidDays).Format("2006-01-02"); plan.ValidUntil != until {
		d.addf("valid until %s, should be %s", plan.ValidUntil, until)
	}
}

// chances compares both rules' spare blanks and the chances stated.
func (d *differences) chances(a *audit, counts []int, o *auditOrder, plan *Plan) {
	prints := 1.0
	for _, lines := range a.designs() {
		q, n := 0, 0
		for _, i := range lines {
			q, n = q+o.pieces[i], n+o.made[i]
		}
		one, _ := binomial(n, q, a.p.Rates.Spoilage).Float64()
		prints *= one
	}
	d.chance("enough prints", plan.Spares.ChanceEnough, prints)
	for _, stated := range [...]struct {
		rule SpareRule
		said SpareBlanks
	}{{BySize, plan.Spares.BySize}, {Commonest, plan.Spares.Commonest}} {
		b := *a
		b.p.Rates.SpareRule = stated.rule
		spare := b.counted(counts).spare
		chance, sum := 1.0, 0
		for c, cell := range b.cells {
			if b.p.Lines[cell.line].Theirs {
				continue
			}
			one, _ := binomial(counts[c]+spare[c], counts[c], b.p.Rates.Spoilage).Float64()
			chance *= one
			sum += spare[c]
			i := slices.IndexFunc(stated.said.Sizes, func(s SizeSpare) bool { return s.Line == cell.line+1 && s.Size == cell.size })
			if got := 0; i >= 0 || spare[c] > 0 {
				if i >= 0 {
					got = stated.said.Sizes[i].Count
				}
				d.count(fmt.Sprintf("spare blanks %s of size %q, line %d", stated.rule, cell.size, cell.line+1), got, spare[c])
			}
		}
		d.count("spare blanks "+string(stated.rule), stated.said.Count, sum)
		d.chance("enough blanks "+string(stated.rule), stated.said.ChanceEnough, chance)
	}
}

func (d *differences) chance(what string, got, want float64) {
	if !(math.Abs(got-want) <= chanceTolerance) {
		d.addf("chance of %s is %v, worked again %v", what, got, want)
	}
}

// others works the breaks and the falls again.
func (d *differences) others(a *audit, counts []int, o *auditOrder, plan *Plan) {
	all := make([]int, len(counts))
	for c := range all {
		all[c] = c
	}
	last := 0
	for _, b := range plan.Breaks {
		at := fmt.Sprintf("at %d pieces: ", b.Quantity)
		if b.Quantity <= last {
			d.addf("%sout of order", at)
		}
		last = b.Quantity
		other := slices.Clone(counts)
		a.spread(other, all, b.Quantity)
		again := a.order(other)
		each := toPlaces(over(less(again.subtotal, again.discount), rat(b.Quantity)), a.places, HalfUp)
		d.money(at+"price each", b.PriceEach, each)
		d.money(at+"total", b.Total, again.total)
	}
	for _, f := range plan.Falls {
		if f.Line < 1 || f.Line > len(o.pieces) {
			d.addf("a fall on line %d, which is none", f.Line)
			continue
		}
		other := slices.Clone(counts)
		a.setLine(other, f.Line-1, f.To)
		again := a.order(other)
		d.money(fmt.Sprintf("total with %d of line %d", f.To, f.Line), f.Total, again.total)
		if f.To <= f.From || again.total.Cmp(o.total) >= 0 {
			d.addf("%d of line %d cost no less than %d", f.To, f.Line, f.From)
		}
	}
}
