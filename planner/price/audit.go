package price

import (
	"cmp"
	"maps"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// An audit works an order out a second time for [Check], in fractions and
// from the definitions. It shares no arithmetic with Solve: only the
// Problem's own types, the reading order of sizes, and the places at which
// fixed.go says that figures are rounded.
type audit struct {
	p      Problem
	places int
	cells  []auditCell
}

// An auditCell is one size of one line.
type auditCell struct {
	line  int
	size  string
	count int // as ordered
}

// An auditOrder is an order as it was worked out again.
type auditOrder struct {
	pieces, made, sheets []int
	spare                []int // by cell
	charges              []auditCharge
	cost                 []*big.Rat // by line, with spares
	shared               []*big.Rat // by line: its part of the order's charges
	each                 []*big.Rat
	pricedAt             []int
	pricedOn             []*big.Rat
	subtotal, setup      *big.Rat
	rush, discount       *big.Rat
	topUp, tax, fee      *big.Rat
	borne, total         *big.Rat
}

// An auditCharge is one amount of cost.
type auditCharge struct {
	part               Part
	line               int // wholeOrder for a charge of the order
	name               string
	count, made        *big.Rat
	rate               *big.Rat
	amount, withSpares *big.Rat
	press              bool // machine hours on a press
}

// wholeOrder is the line of a charge that belongs to none.
const wholeOrder = -1

func newAudit(p Problem) *audit {
	a := &audit{p: p, places: int(p.Rates.Currency.Places)}
	for i, l := range p.Lines {
		if len(l.Sizes) == 0 {
			a.cells = append(a.cells, auditCell{i, "", l.Quantity})
		}
		for _, size := range slices.SortedFunc(maps.Keys(l.Sizes), sizeOrder) {
			a.cells = append(a.cells, auditCell{i, size, l.Sizes[size]})
		}
	}
	return a
}

// order works the order out for so many pieces in each cell.
func (a *audit) order(counts []int) auditOrder {
	o := a.counted(counts)
	a.charge(&o, counts)
	for i, q := range o.pieces {
		at, cost := q, o.cost[i]
		if listed := a.listedAt(q); listed > 0 && q > 0 {
			at, cost = listed, a.alone(counts, i, listed)
		}
		o.pricedAt, o.pricedOn = append(o.pricedAt, at), append(o.pricedOn, cost)
		o.each = append(o.each, a.each(cost, o.pricedAt[i]))
	}
	a.sum(&o)
	return o
}

// alone is the cost of so many pieces of one line ordered by themselves, at the
// average price of its blanks.
func (a *audit) alone(counts []int, i, pieces int) *big.Rat {
	p := a.p
	p.Lines = []Line{a.p.Lines[i]}
	l := &p.Lines[0]
	sum, n := new(big.Rat), 0
	for c, cell := range a.cells {
		if cell.line == i && !l.Theirs {
			sum = plus(sum, times(rat(counts[c]), a.blankRate(c)))
			n += counts[c]
		}
	}
	l.Quantity, l.Sizes = pieces, nil
	if n > 0 {
		average := toPlaces(over(sum, rat(n)), a.places+ratePlaces, HalfUp)
		l.Blank = Blank{Each: decimal.RequireFromString(average.FloatString(a.places + ratePlaces))}
	}
	single := newAudit(p)
	again := single.counted([]int{pieces})
	single.charge(&again, []int{pieces})
	return again.cost[0]
}

// counted fills in pieces, prints, sheets and spare blanks.
func (a *audit) counted(counts []int) auditOrder {
	n := len(a.p.Lines)
	o := auditOrder{pieces: make([]int, n), made: make([]int, n), sheets: make([]int, n), spare: make([]int, len(counts))}
	total := 0
	for c, k := range counts {
		o.pieces[a.cells[c].line] += k
		total += k
	}
	copy(o.made, o.pieces)
	designs := slices.DeleteFunc(a.designs(), func(lines []int) bool {
		return !slices.ContainsFunc(lines, func(i int) bool { return o.pieces[i] > 0 })
	})
	for _, lines := range designs {
		q, home := 0, -1
		for _, i := range lines {
			q += o.pieces[i]
			if home < 0 && o.pieces[i] > 0 {
				home = i
			}
		}
		spare := a.least(q, len(designs)) - q
		if spare == 0 && a.p.Rates.SpareFrom > 0 && total >= a.p.Rates.SpareFrom {
			spare = 1
		}
		o.made[home] += spare
		a.spareBlanks(lines, counts, spare, o.spare)
	}
	for i := range a.p.Lines {
		if o.made[i] > 0 {
			o.sheets[i] = a.sheets(i, o.made[i])
		}
	}
	return o
}

// designs groups lines by their art.
func (a *audit) designs() [][]int {
	var out [][]int
	at := map[string]int{}
	for i, l := range a.p.Lines {
		if g, ok := at[l.Design]; ok && l.Design != "" {
			out[g] = append(out[g], i)
			continue
		}
		at[l.Design] = len(out)
		out = append(out, []int{i})
	}
	return out
}

// spareBlanks spreads the spare blanks of one design over its cells.
func (a *audit) spareBlanks(lines, counts []int, prints int, spare []int) {
	var own []int // cells of our blanks with pieces
	kinds := 0
	for c, cell := range a.cells {
		if counts[c] == 0 || a.p.Lines[cell.line].Theirs {
			continue
		}
		kinds++
		if slices.Contains(lines, cell.line) {
			own = append(own, c)
		}
	}
	if len(own) == 0 {
		return
	}
	byCount := slices.Clone(own)
	slices.SortStableFunc(byCount, func(x, y int) int { return cmp.Compare(counts[y], counts[x]) })
	if a.p.Rates.SpareRule == Commonest {
		for k := range prints {
			spare[byCount[k%min(2, len(byCount))]]++
		}
		return
	}
	for _, c := range own {
		spare[c] = a.least(counts[c], kinds) - counts[c]
	}
	cheapest := slices.MinFunc(own, func(x, y int) int {
		return cmp.Or(a.blankRate(x).Cmp(a.blankRate(y)), cmp.Compare(a.cells[x].line, a.cells[y].line), cmp.Compare(counts[y], counts[x]))
	})
	if prints > 0 && spare[cheapest] == 0 {
		spare[cheapest] = 1
	}
}

// auditBits is the precision of the binomial sums here: a tie shows up as a
// difference of about 1e-75, far below auditTie.
const auditBits = 256

// least is the smallest n whose chance of q good pieces, to the power of
// parts, reaches the wanted one. It sums the bad pieces:
// P = sum_{b=0..n-q} C(n, b) s^b (1-s)^(n-b).
func (a *audit) least(q, parts int) int {
	if q == 0 {
		return 0
	}
	wanted := precise(exactDecimal(a.p.Rates.Confidence))
	for n := q; ; n++ {
		chance := binomial(n, q, a.p.Rates.Spoilage)
		all := precise(big.NewRat(1, 1))
		for range parts {
			all.Mul(all, chance)
		}
		auditTie := new(big.Float).SetMantExp(precise(big.NewRat(1, 1)), -auditBits*3/4)
		if all.Add(all, auditTie).Cmp(wanted) >= 0 {
			return n
		}
	}
}

func precise(r *big.Rat) *big.Float { return new(big.Float).SetPrec(auditBits).SetRat(r) }

// binomial is the chance of at least q good among n.
func binomial(n, q int, spoilage unit.Share) *big.Float {
	bad := precise(exactDecimal(spoilage))
	good := precise(big.NewRat(1, 1))
	good.Sub(good, bad)
	powers := make([]*big.Float, n+1) // of good
	powers[0] = precise(big.NewRat(1, 1))
	for i := 1; i <= n; i++ {
		powers[i] = precise(big.NewRat(0, 1)).Mul(powers[i-1], good)
	}
	sum, badPower := precise(big.NewRat(0, 1)), precise(big.NewRat(1, 1))
	for b := 0; b <= n-q; b++ {
		ways := precise(new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(b))))
		sum.Add(sum, ways.Mul(ways, badPower).Mul(ways, powers[n-b]))
		badPower.Mul(badPower, bad)
	}
	return sum
}

func (a *audit) sheets(line, pieces int) int {
	l := a.p.Lines[line]
	if l.Sheets != nil {
		return l.Sheets(pieces)
	}
	n := pieces / l.PerSheet
	if pieces%l.PerSheet > 0 {
		n++
	}
	return n
}

// charge lists what the order uses up and sums it by line.
func (a *audit) charge(o *auditOrder, counts []int) {
	n := len(a.p.Lines)
	direct, directMade := zeros(n), zeros(n)
	o.shared, o.cost = zeros(n), zeros(n)
	a.blankCharges(o, counts)
	for i := range a.p.Lines {
		if o.pieces[i] > 0 {
			a.lineCharges(o, i)
		}
	}
	for _, c := range o.charges {
		if c.part == OverheadPart {
			continue // by the hour; no direct cost
		}
		direct[c.line].Add(direct[c.line], c.amount)
		directMade[c.line].Add(directMade[c.line], c.withSpares)
	}
	a.changeoverCharges(o, direct, directMade)
	a.overheadCharge(o, direct, directMade)
	for i := range o.cost {
		own := new(big.Rat)
		for _, c := range o.charges {
			if c.line == i {
				own.Add(own, c.withSpares)
			}
		}
		o.cost[i] = plus(own, o.shared[i])
	}
}

// zeros returns n fractions of zero.
func zeros(n int) []*big.Rat {
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = new(big.Rat)
	}
	return out
}

// blankCharges enters one charge for each price a line of ours has.
func (a *audit) blankCharges(o *auditOrder, counts []int) {
	for i, l := range a.p.Lines {
		if l.Theirs {
			continue
		}
		prices := map[string][]int{} // cells by rate
		var order []string
		for c, cell := range a.cells {
			if cell.line != i {
				continue
			}
			key := a.blankRate(c).RatString()
			if prices[key] == nil {
				order = append(order, key)
			}
			prices[key] = append(prices[key], c)
		}
		for _, key := range order {
			a.blankCharge(o, counts, i, prices[key], len(order) == 1)
		}
	}
}

func (a *audit) blankCharge(o *auditOrder, counts []int, line int, cells []int, all bool) {
	var sizes []string
	n, made := 0, 0
	for _, c := range cells {
		n, made = n+counts[c], made+counts[c]+o.spare[c]
		sizes = append(sizes, a.cells[c].size)
	}
	if all {
		sizes = nil
	}
	if made > 0 {
		a.enter(o, Blanks, line, strings.Join(sizes, ", "), rat(n), rat(made), a.blankRate(cells[0]))
	}
}

// blankRate is the price of a blank of ours in one cell.
func (a *audit) blankRate(cell int) *big.Rat {
	at := a.cells[cell]
	b := a.p.Lines[at.line].Blank
	return toPlaces(plus(b.Each.Rat(), b.Extra[at.size].Rat()), a.places+ratePlaces, HalfUp)
}

// enter adds a charge of count at rate, rate in its own places.
func (a *audit) enter(o *auditOrder, part Part, line int, name string, count, made, rate *big.Rat) {
	rate = toPlaces(rate, a.places+ratePlaces, HalfUp)
	count, made = toPlaces(count, countPlaces, HalfUp), toPlaces(made, countPlaces, HalfUp)
	o.charges = append(o.charges, auditCharge{part, line, name, count, made, rate,
		a.money(times(count, rate)), a.money(times(made, rate)), false})
}

func (a *audit) money(r *big.Rat) *big.Rat {
	return toPlaces(r, a.places, a.p.Rates.Currency.Rounding)
}

func (a *audit) lineCharges(o *auditOrder, i int) {
	l, r := a.p.Lines[i], a.p.Rates
	m := r.Methods[slices.IndexFunc(r.Methods, func(m Method) bool { return m.ID == l.Method })]
	q, made := rat(o.pieces[i]), rat(o.made[i])
	madeSheets := rat(o.sheets[i])
	sheets := rat(min(a.sheets(i, o.pieces[i]), o.sheets[i]))

	for _, s := range m.Sheets {
		a.enter(o, Sheets, i, s.Name, sheets, madeSheets, s.Price.Rat())
	}
	for _, c := range m.Covers {
		uses := func(pieces, sheets *big.Rat) *big.Rat {
			return plus(times(pieces, rat(c.PerPiece)), times(sheets, rat(c.PerSheet)))
		}
		rate := over(toPlaces(c.Price.Rat(), a.places+ratePlaces, HalfUp), rat(c.Uses))
		a.enter(o, Sheets, i, c.Name, uses(q, sheets), uses(made, madeSheets), rate)
	}
	for _, c := range m.Toner {
		pages := a.pages(l, c)
		rate := over(toPlaces(c.Price.Rat(), a.places+ratePlaces, HalfUp), rat(c.Yield))
		if pages.Sign() > 0 {
			a.enter(o, Toner, i, c.Channel, times(q, pages), times(made, pages), rate)
		}
	}
	seconds := a.seconds(l.Hands, q, sheets)
	madeSeconds := a.seconds(l.Hands, made, madeSheets)
	a.handsCharges(o, i, "", seconds, madeSeconds)
	for _, w := range l.Runs {
		run := []Work{w}
		a.machineCharges(o, i, w.Name, "", a.seconds(run, q, sheets), a.seconds(run, made, madeSheets))
	}
}

// pages is the standard pages of one channel a piece.
func (a *audit) pages(l Line, c Cartridge) *big.Rat {
	pageArea := times(rectangle(a.p.Rates.Page.Width, a.p.Rates.Page.Height), share(c.AtCoverage))
	pageArea = toPlaces(pageArea, 3, HalfUp)
	sum := new(big.Rat)
	for _, p := range l.Prints {
		size := rectangle(p.Width, p.Height)
		for _, cover := range p.Coverage {
			if cover.Channel == c.Channel {
				sum.Add(sum, toPlaces(over(times(size, share(cover.Share)), pageArea), 9, HalfUp))
			}
		}
	}
	return sum
}

// seconds sums step times.
func (a *audit) seconds(work []Work, pieces, sheets *big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, w := range work {
		sum.Add(sum, clock(w.PerLine))
		sum.Add(sum, times(clock(w.PerSheet), sheets))
		sum.Add(sum, times(clock(w.PerPiece), pieces))
	}
	return sum
}

// secondsPerHour turns seconds into hours.
func secondsPerHour() *big.Rat { return big.NewRat(3600, 1) }

func (a *audit) handsHours(seconds *big.Rat) *big.Rat {
	hours := over(seconds, secondsPerHour())
	one, s := big.NewRat(1, 1), share(a.p.Rates.Allowance.Share)
	if a.p.Rates.Allowance.Of == OfShift {
		return over(hours, new(big.Rat).Sub(one, s))
	}
	return times(hours, plus(one, s))
}

func (a *audit) handsCharges(o *auditOrder, line int, name string, seconds, made *big.Rat) {
	if made.Sign() == 0 {
		return
	}
	a.enter(o, Labour, line, cmp.Or(name, "hands-on"), a.handsHours(seconds), a.handsHours(made), a.p.Rates.LabourPerHour.Rat())
	if a.p.Rates.Overhead.PerLabourHour.IsPositive() {
		a.enter(o, OverheadPart, line, cmp.Or(name, "overhead by the hour"), a.handsHours(seconds), a.handsHours(made), a.p.Rates.Overhead.PerLabourHour.Rat())
	}
}

func (a *audit) machineOf(name string) Machine {
	return a.p.Rates.Machines[slices.IndexFunc(a.p.Rates.Machines, func(m Machine) bool { return m.Name == name })]
}

// hourRate is (price - residual) / life / hours + (upkeep + space) / hours.
func (a *audit) hourRate(m Machine) *big.Rat {
	if m.PerHour.IsPositive() {
		return m.PerHour.Rat()
	}
	rate := over(plus(m.Upkeep.Rat(), m.Space.Rat()), m.Hours.Rat())
	if loss := m.Price.Sub(m.Residual); loss.IsPositive() {
		rate.Add(rate, over(loss.Rat(), times(m.Life.Rat(), m.Hours.Rat())))
	}
	return rate
}

func (a *audit) machineCharges(o *auditOrder, line int, machine, name string, seconds, made *big.Rat) {
	if made.Sign() == 0 {
		return
	}
	m := a.machineOf(machine)
	a.enter(o, MachinePart, line, cmp.Or(name, machine), over(seconds, secondsPerHour()), over(made, secondsPerHour()), a.hourRate(m))
	o.charges[len(o.charges)-1].press = m.Press
	if m.Power.IsPositive() && m.Duty > 0 {
		kW := toPlaces(times(toPlaces(m.Power.Rat(), 9, HalfUp), share(m.Duty)), 9, HalfUp)
		a.enter(o, Energy, line, cmp.Or(name, machine), times(over(seconds, secondsPerHour()), kW), times(over(made, secondsPerHour()), kW), a.p.Rates.EnergyPerKWh.Rat())
	}
}

// changeoverCharges works each changeover out for this order's part of the
// batch, and shares it among its lines.
func (a *audit) changeoverCharges(o *auditOrder, direct, directMade []*big.Rat) {
	for _, c := range a.p.Changeovers {
		weights := make([]*big.Rat, len(a.p.Lines))
		own := 0
		for i, l := range a.p.Lines {
			weights[i] = new(big.Rat)
			if c.Method == "" || c.Method == l.Method {
				weights[i] = rat(o.pieces[i])
				own += o.pieces[i]
			}
		}
		if own == 0 {
			continue
		}
		var full auditOrder
		a.handsCharges(&full, 0, c.Name, clock(c.Hands), clock(c.Hands))
		if c.Machine != "" {
			a.machineCharges(&full, 0, c.Machine, c.Name, clock(c.Run), clock(c.Run))
		}
		batch := own + c.OtherPieces
		for _, all := range full.charges {
			all.line = wholeOrder
			perPiece := over(all.count, rat(batch))
			all.count = toPlaces(times(perPiece, rat(own)), countPlaces, HalfUp)
			all.amount = a.money(times(all.count, all.rate))
			all.made, all.withSpares = all.count, all.amount
			o.charges = append(o.charges, all)
			cuts := a.cuts(weights, func(w *big.Rat) *big.Rat {
				return a.money(times(toPlaces(times(perPiece, w), countPlaces, HalfUp), all.rate))
			})
			for i, cut := range cuts {
				o.shared[i].Add(o.shared[i], cut)
				if all.part != OverheadPart {
					direct[i].Add(direct[i], cut)
					directMade[i].Add(directMade[i], cut)
				}
			}
		}
	}
}

// cuts shares an amount out by running sums of weights: each line's cut is the
// amount up to it less the amount before it.
func (a *audit) cuts(weights []*big.Rat, amount func(*big.Rat) *big.Rat) []*big.Rat {
	out := zeros(len(weights))
	sum, before := new(big.Rat), new(big.Rat)
	for i, w := range weights {
		sum = plus(sum, w)
		now := amount(sum)
		out[i], before = less(now, before), now
	}
	return out
}

// overheadCharge takes the share of direct cost, and shares it among the lines
// by theirs.
func (a *audit) overheadCharge(o *auditOrder, direct, directMade []*big.Rat) {
	rate := share(a.p.Rates.Overhead.Share)
	if rate.Sign() == 0 {
		return
	}
	of := func(base *big.Rat) *big.Rat { return a.money(times(base, rate)) }
	all, allMade := total(direct), total(directMade)
	o.charges = append(o.charges, auditCharge{OverheadPart, wholeOrder, "overhead", all, allMade, rate, of(all), of(allMade), false})
	for i, cut := range a.cuts(directMade, of) {
		o.shared[i].Add(o.shared[i], cut)
	}
}

func total(list []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, r := range list {
		sum.Add(sum, r)
	}
	return sum
}

// listedAt is the quantity of the shop's list that prices q pieces; 0 where
// q is priced from its own cost.
func (a *audit) listedAt(q int) int {
	b := a.p.Rates.Breaks
	if b.Kind == FromTable {
		return b.Base
	}
	reached := 0
	for _, at := range b.At {
		if b.Kind == FromCost && at.Quantity <= q {
			reached = at.Quantity
		}
	}
	return reached
}

// each is the price of one piece.
func (a *audit) each(cost *big.Rat, pieces int) *big.Rat {
	if pieces == 0 {
		return new(big.Rat)
	}
	unitCost, g, one := over(cost, rat(pieces)), share(a.p.Rates.Gain.Share), big.NewRat(1, 1)
	if a.p.Rates.Gain.By == ByMargin {
		return a.chargeable(over(unitCost, less(one, g)))
	}
	return a.chargeable(times(unitCost, plus(one, g)))
}

// chargeable rounds to what the currency can be charged in.
func (a *audit) chargeable(r *big.Rat) *big.Rat {
	if a.p.Rates.Currency.Step.IsZero() {
		return a.money(r)
	}
	step := a.p.Rates.Currency.Step.Rat()
	return times(toPlaces(over(r, step), 0, a.p.Rates.Currency.Rounding), step)
}

// sum goes from the lines to the total.
func (a *audit) sum(o *auditOrder) {
	r := a.p.Rates
	o.subtotal, o.setup = new(big.Rat), new(big.Rat)
	pieces := 0
	for i, q := range o.pieces {
		pieces += q
		o.subtotal.Add(o.subtotal, times(rat(q), o.each[i]))
		if q > 0 {
			o.setup.Add(o.setup, times(rat(a.p.Lines[i].Designs), toPlaces(r.Setup.Rat(), a.places, HalfUp)))
		}
	}
	off := unit.Share(0)
	for _, b := range r.Breaks.At {
		if r.Breaks.Kind == FromTable && b.Quantity <= pieces {
			off = b.Discount
		}
	}
	o.discount = a.chargeable(times(o.subtotal, share(off)))
	o.rush = a.chargeable(times(o.subtotal, share(a.rushShare())))
	net := less(plus(plus(o.subtotal, o.setup), o.rush), o.discount)
	o.topUp = new(big.Rat)
	if short := less(toPlaces(r.Minimum.Rat(), a.places, HalfUp), net); short.Sign() > 0 {
		o.topUp = short
	}
	net = plus(net, o.topUp)
	o.tax = a.chargeable(times(net, share(r.Tax)))
	a.cardFee(o, plus(net, o.tax))
	o.total = plus(plus(net, o.tax), o.fee)
}

func (a *audit) cardFee(o *auditOrder, rest *big.Rat) {
	c := a.p.Rates.Card
	o.fee, o.borne = new(big.Rat), new(big.Rat)
	s, fixed := share(c.Share), toPlaces(c.Fixed.Rat(), a.places, HalfUp)
	switch {
	case s.Sign() == 0 && fixed.Sign() == 0:
	case !c.Charged:
		o.borne = plus(a.money(times(rest, s)), fixed)
	default:
		whole := a.chargeable(over(plus(rest, fixed), less(big.NewRat(1, 1), s)))
		if fee := less(whole, rest); fee.Sign() > 0 {
			o.fee = fee
		}
	}
}

// rushShare takes the tightest tier the due time falls in.
func (a *audit) rushShare() unit.Share {
	tiers := slices.SortedStableFunc(slices.Values(a.p.Rates.Rush), func(x, y RushShare) int { return cmp.Compare(x.Within, y.Within) })
	for _, t := range tiers {
		if a.p.HasDue && a.p.DueIn <= t.Within {
			return t.Share
		}
	}
	if a.p.Rush && len(tiers) > 0 {
		widest := tiers[len(tiers)-1].Within
		return tiers[slices.IndexFunc(tiers, func(t RushShare) bool { return t.Within == widest })].Share
	}
	return 0
}

// setLine gives one line so many pieces, its sizes in the ordered ratio.
func (a *audit) setLine(counts []int, line, pieces int) {
	var own []int
	for c, cell := range a.cells {
		if cell.line == line {
			own = append(own, c)
		}
	}
	a.spread(counts, own, pieces)
}

// spread gives the cells so many pieces in the ordered ratio: the largest
// quotients count / 1, count / 3, count / 5, ... each win one.
func (a *audit) spread(counts, cells []int, pieces int) {
	type claim struct {
		cell, count, odd int
	}
	var claims []claim
	for _, c := range cells {
		counts[c] = 0
		for k := range pieces {
			claims = append(claims, claim{c, a.cells[c].count, 2*k + 1})
		}
	}
	slices.SortStableFunc(claims, func(x, y claim) int {
		return cmp.Or(cmp.Compare(y.count*x.odd, x.count*y.odd), cmp.Compare(y.count, x.count), cmp.Compare(x.cell, y.cell))
	})
	for _, c := range claims[:pieces] {
		counts[c.cell]++
	}
}

// The small change of fractions.

func rat(n int) *big.Rat             { return big.NewRat(int64(n), 1) }
func plus(x, y *big.Rat) *big.Rat    { return new(big.Rat).Add(x, y) }
func less(x, y *big.Rat) *big.Rat    { return new(big.Rat).Sub(x, y) }
func times(x, y *big.Rat) *big.Rat   { return new(big.Rat).Mul(x, y) }
func over(x, y *big.Rat) *big.Rat    { return new(big.Rat).Quo(x, y) }
func share(s unit.Share) *big.Rat    { return toPlaces(exactDecimal(s), 9, HalfUp) }
func clock(d unit.Duration) *big.Rat { return toPlaces(exactDecimal(unit.Share(d.S())), 6, HalfUp) }

// writtenPlaces is how many places a share, a length or a time is read to.
const writtenPlaces = 12

// rectangle is an area in square millimetres.
func rectangle(w, h unit.Length) *big.Rat {
	return toPlaces(times(exactDecimal(unit.Share(w)), exactDecimal(unit.Share(h))), areaPlaces, HalfUp)
}

// exactDecimal is a float as the decimal it was written as.
func exactDecimal(s unit.Share) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(float64(s), 'f', writtenPlaces, 64))
	return r
}

// toPlaces rounds a fraction of zero or more.
func toPlaces(r *big.Rat, places int, rule Rounding) *big.Rat {
	ten := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
	scaled := times(r, ten)
	floor := new(big.Int).Div(scaled.Num(), scaled.Denom())
	rest := less(scaled, new(big.Rat).SetInt(floor))
	half := rest.Cmp(big.NewRat(1, 2))
	up := half >= 0
	switch rule {
	case HalfEven:
		up = half > 0 || half == 0 && floor.Bit(0) == 1
	case Up:
		up = rest.Sign() > 0
	}
	if up {
		floor.Add(floor, big.NewInt(1))
	}
	return over(new(big.Rat).SetInt(floor), ten)
}
