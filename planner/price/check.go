package price

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"time"

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
	d.lines(a, &o, &plan)
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

func (d *differences) word(what, got, want string) {
	if got != want {
		d.addf("%s is %q, should be %q", what, got, want)
	}
}

// theirs works again what spoilage means for a customer's own blanks.
func (d *differences) theirs(a *audit, given *Line, l *LinePrice, at string) {
	ask, chance := 0, 0.0
	if given.Theirs {
		wanted := a.least(given.Quantity, 1)
		if from := a.p.Rates.SpareFrom; from > 0 && given.Quantity >= from && wanted == given.Quantity {
			wanted++
		}
		ask = max(0, wanted-given.Quantity-given.SpareBlanks)
		chance, _ = binomial(given.Quantity+given.SpareBlanks, given.Quantity, a.p.Rates.Spoilage).Float64()
	}
	if l.Theirs != given.Theirs {
		d.addf("%swhose blanks they are is mixed up", at)
	}
	d.count(at+"spare blanks to ask for", l.AskSpare, ask)
	d.chance(at+"enough of the customer's blanks", l.ChanceTheirs, chance)
}

func (d *differences) count(what string, got, want int) {
	if got != want {
		d.addf("%s is %d, worked again %d", what, got, want)
	}
}

func (d *differences) lines(a *audit, o *auditOrder, plan *Plan) {
	d.count("number of lines", len(plan.Lines), len(o.pieces))
	made, sheets := 0, 0
	for i := range min(len(plan.Lines), len(o.pieces)) {
		l, at := plan.Lines[i], fmt.Sprintf("line %d: ", i+1)
		given := &a.p.Lines[i]
		d.word(at+"item", l.Item, given.Item)
		d.word(at+"colour", l.Colour, given.Colour)
		d.word(at+"method", l.Method, given.Method)
		d.theirs(a, given, &l, at)
		d.money(at+"cost of the priced quantity", l.PricedOn, o.pricedOn[i])
		d.count(at+"quantity", l.Quantity, o.pieces[i])
		d.count(at+"pieces to make", l.Make, o.made[i])
		d.count(at+"sheets", l.Sheets, o.sheets[i])
		d.count(at+"priced at", l.PricedAt, o.pricedAt[i])
		d.money(at+"cost", l.Cost, o.cost[i])
		d.money(at+"part of the order's charges", l.Shared, o.shared[i])
		d.money(at+"price each", l.PriceEach, o.each[i])
		d.money(at+"price in all", l.PriceTotal, times(rat(l.Quantity), l.PriceEach.Rat()))
		made += o.made[i]
		sheets += o.sheets[i]
	}
	d.word("currency", plan.Currency.Code, a.p.Rates.Currency.Code)
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
	rates := map[key][]*big.Rat{}
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
		k := key{c.part, c.line + 1, c.name}
		enter(want, k, [4]*big.Rat{c.count, c.made, c.amount, c.withSpares})
		rates[k] = append(rates[k], c.rate)
	}
	sums := map[Part]*big.Rat{}
	spoilage := new(big.Rat)
	for _, c := range plan.Charges {
		k := key{c.Part, c.Line, c.Name}
		enter(got, k, [4]*big.Rat{c.Count.Rat(), c.Made.Rat(), c.Amount.Rat(), c.WithSpares.Rat()})
		if !slices.ContainsFunc(rates[k], func(r *big.Rat) bool { return r.Cmp(c.Rate.Rat()) == 0 }) {
			d.addf("rate %s of %s %q, line %d is not the one worked again", c.Rate, c.Part, c.Name, c.Line)
		}
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
	cost, press, hands := new(big.Rat), new(big.Rat), new(big.Rat)
	for _, c := range o.cost {
		cost.Add(cost, c)
	}
	profit := less(less(net, cost), o.borne)
	d.money("profit", plan.Profit, profit)
	for _, c := range o.charges {
		if c.part == Labour {
			hands.Add(hands, c.made)
		}
		if c.press {
			press.Add(press, c.made)
		}
	}
	d.money("press hours", plan.PressHours, press)
	d.money("hands-on hours", plan.HandsOn, hands)
	perHour := new(big.Rat)
	if press.Sign() > 0 {
		perHour = over(profit, press)
	}
	if off := less(plan.ProfitPerPressHour.Rat(), perHour); new(big.Rat).Abs(off).Cmp(halfUnit(a.places)) > 0 {
		d.addf("profit per press hour is %s, worked again %s", plan.ProfitPerPressHour, perHour.FloatString(6))
	}
	ready := ""
	if !a.p.ReadyAt.IsZero() {
		ready = a.p.ReadyAt.Format(time.RFC3339)
	}
	d.word("ready at", plan.ReadyAt, ready)
	if until := a.p.Now.AddDate(0, 0, a.p.Rates.ValidDays).Format("2006-01-02"); plan.ValidUntil != until {
		d.addf("valid until %s, should be %s", plan.ValidUntil, until)
	}
}

// halfUnit is half a unit of the last place.
func halfUnit(places int) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Mul(big.NewInt(2), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)))
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
	spares, rule := 0, a.p.Rates.SpareRule
	for i := range o.made {
		spares += o.made[i] - o.pieces[i]
	}
	d.count("spare prints", plan.Spares.Prints, spares)
	if rule == "" {
		rule = BySize
	}
	d.word("rule for spare blanks", string(plan.Spares.Rule), string(rule))
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
					d.word("colour of a spare blank", stated.said.Sizes[i].Colour, b.p.Lines[cell.line].Colour)
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

// others works the breaks and the falls again, and looks for missing ones.
func (d *differences) others(a *audit, counts []int, o *auditOrder, plan *Plan) {
	ordered := 0
	for _, n := range o.pieces {
		ordered += n
	}
	d.breaks(a, counts, ordered, plan)
	for i := range a.p.Lines {
		for _, b := range a.p.Rates.Breaks.At {
			switch a.p.Rates.Breaks.Kind {
			case FromCost:
				d.fall(a, counts, i, b.Quantity, o.total, plan)
			case FromTable:
				d.fall(a, counts, i, o.pieces[i]+b.Quantity-ordered, o.total, plan)
			}
		}
	}
	for k, f := range plan.Falls {
		if k > 0 && f.Total.LessThan(plan.Falls[k-1].Total) {
			d.addf("falls are not listed with the cheapest first")
		}
		if f.Line < 1 || f.Line > len(o.pieces) || f.From != o.pieces[f.Line-1] || f.To <= f.From || !f.Total.LessThan(plan.Total) {
			d.addf("line %d from %d to %d at %s is no fall", f.Line, f.From, f.To, f.Total)
		}
	}
}

func (d *differences) breaks(a *audit, counts []int, ordered int, plan *Plan) {
	wanted := slices.Clone(a.p.BreakAt)
	for _, b := range a.p.Rates.Breaks.At {
		wanted = append(wanted, b.Quantity)
	}
	slices.Sort(wanted)
	wanted = slices.DeleteFunc(slices.Compact(wanted), func(q int) bool { return q == ordered })
	if len(wanted) != len(plan.Breaks) {
		d.addf("%d breaks are stated, %d wanted", len(plan.Breaks), len(wanted))
		return
	}
	all := make([]int, len(counts))
	for c := range all {
		all[c] = c
	}
	for i, b := range plan.Breaks {
		at := fmt.Sprintf("at %d pieces: ", wanted[i])
		d.count(at+"quantity", b.Quantity, wanted[i])
		other := slices.Clone(counts)
		a.spread(other, all, wanted[i])
		again := a.order(other)
		each := toPlaces(over(less(again.subtotal, again.discount), rat(wanted[i])), a.places, HalfUp)
		d.money(at+"price each", b.PriceEach, each)
		d.money(at+"total", b.Total, again.total)
	}
}

// fall works the order again with one line at another quantity, and wants it
// among the falls just where it costs less.
func (d *differences) fall(a *audit, counts []int, line, to int, total *big.Rat, plan *Plan) {
	own := 0
	for c, cell := range a.cells {
		if cell.line == line {
			own += counts[c]
		}
	}
	if to <= own || to > MaxPieces {
		return
	}
	other := slices.Clone(counts)
	a.setLine(other, line, to)
	again := a.order(other)
	i := slices.IndexFunc(plan.Falls, func(f Fall) bool { return f.Line == line+1 && f.To == to })
	if falls := again.total.Cmp(total) < 0; falls != (i >= 0) {
		d.addf("%d of line %d come to %s in all: is it a fall? worked again %v, the plan says %v", to, line+1, again.total.FloatString(4), falls, i >= 0)
		return
	}
	if i >= 0 {
		d.money(fmt.Sprintf("total with %d of line %d", to, line+1), plan.Falls[i].Total, again.total)
	}
}
