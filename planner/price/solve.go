package price

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"
)

// Solve prices an order.
//
// Invariants: those of [Plan]. Cost never falls when a line's quantity, a
// printed size or the spoilage rises, as long as the lines' own sheets and times
// do not fall and no surcharge is above half the blank's price. By the rule of
// the two commonest sizes it needs sizes of one price, or the same two sizes
// before and after: a spare may otherwise move to a cheaper one.
// PriceTotal and Total may fall past a break: see Plan.Falls.
//
// Ties: of two equally common sizes, and of two at the same price, the earlier
// line's, then the smaller size is taken; of two larger orders that cost the same, the one on
// the earlier line, then the smaller is named as a fall.
//
// What does not hold: by size, each size is given the same chance
// (confidence^(1/sizes)), which is simple to say and never falls short, but
// may take a spare more than the least possible over all sizes together.
func Solve(p Problem) (Plan, error) {
	j, err := ready(p)
	if err != nil {
		return Plan{}, err
	}
	t := newTill(j)
	plan := j.plan(t.ring(j.base))
	plan.Breaks = t.breaks()
	plan.Falls = t.falls(j.base, plan.Total)
	if j.over || t.over {
		return Plan{}, errTooLarge
	}
	return plan, nil
}

var errTooLarge = errors.New("the amounts of this order are too large to work with: look for a slip in a price or a quantity")

// ready checks a problem and turns it into a job.
func ready(p Problem) (*job, error) {
	if err := p.Faults(); err != nil {
		return nil, fmt.Errorf("this order can't be priced: %w", err)
	}
	j := newJob(p)
	for i := range j.lines {
		if err := j.checkSheets(i); err != nil {
			return nil, fmt.Errorf("this order can't be priced: %w", err)
		}
	}
	if j.over {
		return nil, errTooLarge
	}
	return j, nil
}

// checkSheets refuses a sheet count that no layout can have.
func (j *job) checkSheets(i int) error {
	q := j.p.Lines[i].Quantity
	if n := j.p.Lines[i].sheetsFor(q); n < 1 || n > maxUses {
		return &Fault{fmt.Sprintf("lines[%d].sheets", i), fmt.Sprintf("%d pieces came out as %d sheets", q, n), "lay the pieces on sheets again"}
	}
	return nil
}

// plan writes an outcome out as a Plan.
func (j *job) plan(o *outcome) Plan {
	m := j.toMoney
	p := Plan{
		Currency: j.p.Rates.Currency, From: j.p,
		Subtotal: m(o.subtotal), Setup: m(o.setup), Rush: m(o.rush), MinimumTopup: m(o.topUp), Discount: m(o.discount),
		CardFee: m(o.cardFee), Tax: m(o.tax), Total: m(o.total), CardCost: m(o.cardCost),
	}
	p.From.Lines = slices.Clone(j.p.Lines)
	p.Lines = make([]LinePrice, 0, len(j.lines))
	for i := range j.lines {
		l := &j.p.Lines[i]
		p.Lines = append(p.Lines, LinePrice{
			Quantity: l.Quantity, Item: l.Item, Colour: l.Colour, Method: l.Method,
			PriceEach: m(o.each[i]), PriceTotal: m(o.lines[i]), Cost: m(o.bill.lineCost[i]), Shared: m(o.bill.shared[i]),
			PricedAt: o.pricedAt[i], PricedOn: m(o.pricedOn[i]), Make: o.bill.made[i], Sheets: o.bill.sheets[i],
			Theirs: l.Theirs,
		})
		if l.Theirs {
			j.theirs(l, &p.Lines[i])
		}
		p.Sheets += o.bill.sheets[i]
		p.Make += o.bill.made[i]
	}
	p.Charges = j.charges(o.bill)
	p.Cost = j.cost(o.bill)
	net := o.subtotal + o.setup + o.rush + o.topUp - o.discount
	p.Profit = m(net - o.bill.total - o.cardCost)
	j.hours(&p, o.bill)
	p.Spares = j.spares(o.bill)
	if !j.p.ReadyAt.IsZero() {
		p.ReadyAt = j.p.ReadyAt.Format(time.RFC3339)
	}
	p.ValidUntil = j.p.Now.AddDate(0, 0, j.p.Rates.ValidDays).Format(time.DateOnly)
	j.remarks(&p)
	return p
}

// theirs says what spoilage means for blanks the customer brings.
func (j *job) theirs(l *Line, p *LinePrice) {
	r := &j.p.Rates
	p.ChanceTheirs = ChanceEnough(l.Quantity+l.SpareBlanks, l.Quantity, r.Spoilage)
	wanted := WithFloor(copies(l.Quantity, 1, r.Spoilage, r.Confidence), l.Quantity, r.SpareFrom)
	p.AskSpare = max(0, wanted-l.Quantity-l.SpareBlanks)
}

func (j *job) charges(b *bill) []Charge {
	out := make([]Charge, 0, len(b.items))
	for i := 0; i < len(b.items); i++ {
		it := b.items[i]
		c := Charge{Part: it.part, Line: it.line + 1, Name: it.name, Unit: it.unit, Rate: it.rate.shown, Batch: int(it.batch)}
		if it.cut > 0 {
			it, i = merged(b.items, i)
			c.Line = 0
		}
		if it.unit == directCost {
			c.Count, c.Made = pair(it.count, it.made, j.toMoney)
		} else {
			c.Count, c.Made = pair(it.count, it.made, toCount)
		}
		c.Amount, c.WithSpares = pair(it.amount, it.madeAmount, j.toMoney)
		out = append(out, c)
	}
	return out
}

// merged puts the lines' cuts of one charge together again; they stand side by
// side from i on. It returns the place of the last.
func merged(items []item, i int) (item, int) {
	sum := items[i]
	for ; i+1 < len(items) && items[i+1].cut == sum.cut; i++ {
		next := &items[i+1]
		sum.count, sum.made = sum.count+next.count, sum.made+next.made
		sum.amount, sum.madeAmount = sum.amount+next.amount, sum.madeAmount+next.madeAmount
	}
	return sum, i
}

// pair turns two figures into decimals, and only one where they are equal.
func pair(x, y int64, to func(int64) decimal.Decimal) (a, b decimal.Decimal) {
	a = to(x)
	if x == y {
		return a, a
	}
	return a, to(y)
}

func (j *job) cost(b *bill) Cost {
	sums := make(map[Part]int64, 8)
	for i := range b.items {
		sums[b.items[i].part] += b.items[i].amount
	}
	m := func(p Part) decimal.Decimal { return j.toMoney(sums[p]) }
	return Cost{
		Blanks: m(Blanks), Sheets: m(Sheets), Toner: m(Toner), Labour: m(Labour), Machine: m(MachinePart),
		Energy: m(Energy), Overhead: m(OverheadPart), Spoilage: j.toMoney(b.total - b.ordered),
	}
}

// hours sums hands-on and press hours, with spares, and what a press hour
// earns.
func (j *job) hours(p *Plan, b *bill) {
	var hands, press int64
	for i := range b.items {
		it := &b.items[i]
		switch {
		case it.part == Labour:
			hands += it.made
		case it.part == MachinePart && it.press:
			press += it.made
		}
	}
	p.HandsOn, p.PressHours = toCount(hands), toCount(press)
	if press > 0 {
		p.ProfitPerPressHour = p.Profit.DivRound(p.PressHours, j.places)
	}
}

// spares states the spares by both rules.
func (j *job) spares(b *bill) Spares {
	s := Spares{ChanceEnough: j.enoughPrints(b), Rule: j.spareRule()}
	for i, n := range b.made {
		s.Prints += n - b.pieces[i]
	}
	kept := slices.Clone(b.spare)
	for _, rule := range [...]SpareRule{BySize, Commonest} {
		clear(b.spare)
		j.spareBlanks(j.base, b, rule)
		stated := SpareBlanks{ChanceEnough: j.enoughBlanks(j.base, b)}
		for i, l := range j.lines {
			for c, size := range l.sizes {
				if n := b.spare[l.first+c]; n > 0 {
					stated.Sizes = append(stated.Sizes, SizeSpare{Line: i + 1, Colour: j.p.Lines[i].Colour, Size: size, Count: n})
					stated.Count += n
				}
			}
		}
		if rule == BySize {
			s.BySize = stated
		} else {
			s.Commonest = stated
		}
	}
	copy(b.spare, kept)
	return s
}

// breaks prices the order at the shop's breaks and at the quantities asked
// for, its lines and sizes in the ordered ratio.
func (t *till) breaks() []BreakPrice {
	at := slices.Clone(t.p.BreakAt)
	for _, b := range t.p.Rates.Breaks.At {
		at = append(at, b.Quantity)
	}
	slices.Sort(at)
	at = slices.Compact(at)
	ordered := 0
	for _, n := range t.base {
		ordered += n
	}
	var out []BreakPrice
	for _, q := range at {
		if q != ordered {
			out = append(out, t.breakPrice(apportion(t.base, q), q))
		}
	}
	return out
}

func (t *till) breakPrice(cells []int, q int) BreakPrice {
	o := t.ring(cells)
	return BreakPrice{
		Quantity:  q,
		PriceEach: t.toMoney(o.subtotal-o.discount).DivRound(decimal.NewFromInt(int64(q)), t.places),
		Total:     t.toMoney(o.total),
	}
}

// falls looks at each line's next quantities up to a break of the shop's and
// names those whose whole order costs less than this one, the cheapest first.
func (t *till) falls(base []int, total decimal.Decimal) []Fall {
	if t.p.Rates.Breaks.Kind == NoBreaks {
		return nil
	}
	pieces := 0
	for _, n := range base {
		pieces += n
	}
	var out []Fall
	for i := range t.lines {
		q := t.p.Lines[i].Quantity
		for _, b := range t.p.Rates.Breaks.At {
			to := b.Quantity
			if t.p.Rates.Breaks.Kind == FromTable {
				to = q + b.Quantity - pieces
			}
			if to <= q || to > MaxPieces {
				continue
			}
			cells := slices.Clone(base)
			t.scaleLine(cells, i, to)
			if sum := t.toMoney(t.ring(cells).total); sum.LessThan(total) {
				out = append(out, Fall{Line: i + 1, From: q, To: to, Total: sum})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Fall) int { return a.Total.Cmp(b.Total) })
	return out
}
