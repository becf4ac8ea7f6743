package price

import "presshand/planner/unit"

// An outcome is what an order is charged at one state of its cells, in minor
// units.
type outcome struct {
	bill     *bill
	each     []int64 // by line
	lines    []int64 // by line: quantity x each
	pricedAt []int   // by line: the quantity whose cost made the price
	pricedOn []int64 // by line: the cost of that quantity
	subtotal int64
	setup    int64
	rush     int64
	discount int64
	topUp    int64
	cardFee  int64 // charged
	cardCost int64 // borne by the shop
	tax      int64
	total    int64
}

// A till prices states of a job; it keeps its workings so that a search does
// not allocate anew for each quantity.
type till struct {
	*job
	now    outcome
	main   bill
	other  bill
	lists  []*job   // by line: the line by itself
	listed []listed // costs of list prices worked out so far
}

func newTill(j *job) *till { return &till{job: j} }

// ring prices the given cells. The outcome is valid until the next ring.
//
//	each     = cost of the priced quantity / that quantity, with margin or markup
//	net      = subtotal + setup + rush - discount, topped up to the minimum
//	total    = net + tax + card fee
func (t *till) ring(cells []int) *outcome {
	o := &t.now
	t.bill(cells, &t.main)
	n := len(t.lines)
	o.bill = &t.main
	o.each, o.lines = zeroed(o.each, n), zeroed(o.lines, n)
	o.pricedAt, o.pricedOn = zeroed(o.pricedAt, n), zeroed(o.pricedOn, n)
	o.subtotal, o.setup = 0, 0
	pieces := 0
	for i, q := range t.main.pieces {
		if q == 0 {
			continue
		}
		pieces += q
		o.pricedAt[i], o.pricedOn[i] = q, t.main.lineCost[i]
		if at := t.p.Rates.Breaks.pricedAt(q); at > 0 {
			o.pricedAt[i], o.pricedOn[i] = at, t.alone(cells, i, at)
		}
		o.each[i] = t.each(o.pricedOn[i], o.pricedAt[i])
		o.lines[i] = t.mul(int64(q), o.each[i])
		o.subtotal = t.add(o.subtotal, o.lines[i])
		o.setup = t.add(o.setup, t.mul(int64(t.p.Lines[i].Designs), t.money(t.p.Rates.Setup)))
	}
	o.discount = t.charged(o.subtotal, nanos(t.p.Rates.Breaks.discount(pieces)), nano)
	o.rush = t.charged(o.subtotal, t.haste, nano)
	t.settle(o)
	return o
}

// settle goes from the parts of the net price to the total.
func (t *till) settle(o *outcome) {
	r := &t.p.Rates
	net := t.add(t.add(o.subtotal, o.setup), o.rush) - o.discount
	o.topUp = max(0, t.money(r.Minimum)-net)
	net = t.add(net, o.topUp)
	o.tax = t.charged(net, nanos(r.Tax), nano)
	fee := t.cardFee(t.add(net, o.tax))
	o.cardFee, o.cardCost = 0, fee
	if r.Card.Charged {
		o.cardFee, o.cardCost = fee, 0
	}
	o.total = t.add(t.add(net, o.tax), o.cardFee)
}

// cardFee is what a payment costs. Where it is charged on, the fee is taken
// of the whole payment, itself included, so that the shop is left with the
// rest: fee = (share x rest + fixed) / (1 - share).
func (t *till) cardFee(rest int64) int64 {
	card := &t.p.Rates.Card
	s, fixed := nanos(card.Share), t.money(card.Fixed)
	if s == 0 && fixed == 0 {
		return 0
	}
	if !card.Charged {
		return t.add(t.share(rest, s), fixed)
	}
	// (rest + fixed) / (1-s) - rest, in one division; the same sum.
	whole := t.charged(t.add(rest, fixed), nano, nano-s)
	return max(0, whole-rest)
}

// pricedAt is the quantity of the shop's list whose cost makes the price of q
// pieces of a line; 0 where q is priced from its own cost.
func (b *Breaks) pricedAt(q int) (at int) {
	switch b.Kind {
	case FromTable:
		return b.Base
	case FromCost:
		for _, one := range b.At {
			if one.Quantity <= q {
				at = one.Quantity
			}
		}
	}
	return at
}

// alone is the cost, with spares, of so many pieces of line i ordered by
// themselves, at the average price of the line's blanks: a list price does not
// hang on what else is ordered, and a small list quantity has no sizes.
func (t *till) alone(cells []int, i, pieces int) int64 {
	blank := t.averageBlank(cells, i)
	for _, known := range t.listed {
		if known.line == i && known.pieces == pieces && known.blank == blank {
			return known.cost
		}
	}
	if t.lists == nil {
		t.lists = make([]*job, len(t.lines))
	}
	if t.lists[i] == nil {
		p := t.p
		p.Lines = []Line{p.Lines[i]}
		p.Lines[0].Sizes, p.Lines[0].Quantity = nil, pieces
		t.lists[i] = newJob(p)
	}
	t.lists[i].lines[0].prices[0].rate.units = blank
	t.lists[i].bill([]int{pieces}, &t.other)
	t.over = t.over || t.lists[i].over
	t.listed = append(t.listed, listed{i, pieces, blank, t.other.total})
	return t.other.total
}

// averageBlank is the average rate of a line's blanks.
func (t *till) averageBlank(cells []int, i int) int64 {
	l := &t.lines[i]
	var sum, pieces int64
	for c := range l.kinds {
		n := int64(cells[l.first+c])
		sum, pieces = t.add(sum, t.mul(n, l.blank(c))), pieces+n
	}
	return t.mulDiv(sum, 1, pieces, HalfUp)
}

// listed is a cost that a list price is made from.
type listed struct {
	line, pieces int
	blank, cost  int64
}

// scaleLine sets line i to so many pieces, its sizes in the ordered ratio.
func (t *till) scaleLine(cells []int, i, pieces int) {
	l := &t.lines[i]
	copy(cells[l.first:l.end], apportion(t.base[l.first:l.end], pieces))
}

// each is the price of one piece.
func (t *till) each(cost int64, pieces int) int64 {
	if t.p.Rates.Gain.By == ByMarkup {
		return t.charged(cost, nano+t.gain, t.mul(int64(pieces), nano))
	}
	return t.charged(cost, nano, t.mul(int64(pieces), nano-t.gain))
}

// discount is the share off the subtotal for so many pieces.
func (b *Breaks) discount(pieces int) (off unit.Share) {
	if b.Kind != FromTable {
		return 0
	}
	for _, at := range b.At {
		if at.Quantity <= pieces {
			off = at.Discount
		}
	}
	return off
}
