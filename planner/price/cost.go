package price

import "slices"

// Part is one of the heads that cost is kept under.
type Part string

// The parts of a cost. What spares cost on top is kept apart, as spoilage.
const (
	Blanks       Part = "blanks"
	Sheets       Part = "sheets" // transfer, adhesive and cover sheets, paper
	Toner        Part = "toner"
	Labour       Part = "labour"
	MachinePart  Part = "machine"
	Energy       Part = "energy"
	OverheadPart Part = "overhead"
)

// An item is one worked amount, in inner units: for the ordered pieces, and
// for the pieces made.
type item struct {
	part        Part
	line        int
	name, unit  string
	count, made int64 // millionths
	rate        rate
	amount      int64
	madeAmount  int64
	batch       int64 // pieces of the batch that a changeover is shared over
	cut         int   // above zero: a line's cut of the order's charge of that number
	press       bool
}

// directCost is the unit of an overhead that is a share of it.
const directCost = "direct cost"

// A bill is what an order costs at one state of its cells.
type bill struct {
	items      []item
	pieces     []int   // by line
	made       []int   // by line
	sheets     []int   // by line, for the pieces made
	spare      []int   // spare blanks by cell, as charged
	groupMade  []int   // prints by group
	direct     []int64 // by line, for the ordered pieces; no overhead
	directMade []int64 // by line, with spares; no overhead
	lineCost   []int64 // by line, with spares
	shared     []int64 // by line: its cuts of the order's charges, with spares
	ordered    int64   // cost of the ordered pieces
	total      int64   // cost with spares
	cuts       int     // charges of the whole order so far
}

// reset makes room for a job's lines.
func (b *bill) reset(j *job) {
	n := len(j.lines)
	if b.items == nil {
		b.items = make([]item, 0, j.itemCount())
	}
	b.items = b.items[:0]
	b.pieces = zeroed(b.pieces, n)
	b.made = zeroed(b.made, n)
	b.sheets = zeroed(b.sheets, n)
	b.spare = zeroed(b.spare, len(j.base))
	b.lineCost = zeroed(b.lineCost, n)
	b.groupMade = zeroed(b.groupMade, len(j.groups))
	b.shared = zeroed(b.shared, n)
	b.direct, b.directMade = zeroed(b.direct, n), zeroed(b.directMade, n)
	b.ordered, b.total, b.cuts = 0, 0, 0
}

// itemCount is the most items a bill of the job can have.
func (j *job) itemCount() int {
	n := len(j.base)
	for i := range j.lines {
		n += len(j.lines[i].tolls) + 1
	}
	for i := range j.swaps {
		n += len(j.swaps[i].tolls) * len(j.lines)
	}
	return n
}

func zeroed[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// bill works out the cost of the given cells into b.
func (j *job) bill(cells []int, b *bill) {
	b.reset(j)
	for i, l := range j.lines {
		for _, n := range cells[l.first:l.end] {
			b.pieces[i] += n
		}
	}
	j.makeCounts(b)
	j.spareBlanks(cells, b, j.spareRule())
	for i := range j.lines {
		j.lineItems(i, cells, b)
	}
	j.swapItems(b)
	for i := range b.items {
		it := &b.items[i]
		j.enter(it, b)
		if it.part != OverheadPart {
			b.direct[it.line] = j.add(b.direct[it.line], it.amount)
			b.directMade[it.line] = j.add(b.directMade[it.line], it.madeAmount)
		}
	}
	j.overheadItems(b)
}

// enter adds an item to the sums.
func (j *job) enter(it *item, b *bill) {
	b.lineCost[it.line] = j.add(b.lineCost[it.line], it.madeAmount)
	if it.cut > 0 {
		b.shared[it.line] += it.madeAmount
	}
	b.ordered, b.total = j.add(b.ordered, it.amount), j.add(b.total, it.madeAmount)
}

// makeCounts says how many prints of each design are made: the wanted chance
// holds for all designs of the order together. A design's spares stand on its
// first line with pieces.
func (j *job) makeCounts(b *bill) {
	r := &j.p.Rates
	whole := 0
	for _, n := range b.pieces {
		whole += n
	}
	copy(b.made, b.pieces)
	designs := 0
	for g, lines := range j.groups {
		for _, i := range lines {
			b.groupMade[g] += b.pieces[i]
		}
		if b.groupMade[g] > 0 {
			designs++
		}
	}
	for g, lines := range j.groups {
		q := b.groupMade[g]
		if q == 0 {
			continue
		}
		n := copies(q, designs, r.Spoilage, r.Confidence)
		if r.SpareFrom > 0 && whole >= r.SpareFrom {
			n = max(n, q+1)
		}
		b.groupMade[g] = n
		home := slices.IndexFunc(lines, func(i int) bool { return b.pieces[i] > 0 })
		b.made[lines[home]] += n - q
	}
}

// lineItems adds what one line uses up.
func (j *job) lineItems(i int, cells []int, b *bill) {
	l := &j.lines[i]
	q, made := int64(b.pieces[i]), int64(b.made[i])
	if q == 0 {
		return
	}
	sheets, madeSheets := j.sheets(i, b.pieces[i], b.made[i])
	b.sheets[i] = int(madeSheets)
	j.blankItems(i, cells, b)
	for k := range l.tolls {
		t := &l.tolls[k]
		it := item{part: t.part, line: i, name: t.name, unit: t.unit, rate: t.rate,
			press: t.press, count: j.count(t, q, sheets), made: j.count(t, made, madeSheets)}
		it.amount, it.madeAmount = j.amount(it.count, t.rate.units), j.amount(it.made, t.rate.units)
		b.items = append(b.items, it)
	}
}

// blankItems adds the blanks of a line of ours, one item for each price.
func (j *job) blankItems(i int, cells []int, b *bill) {
	l := &j.lines[i]
	for k := range l.prices {
		p := &l.prices[k]
		it := item{part: Blanks, line: i, name: p.name, unit: "blanks", rate: p.rate}
		for c, kind := range l.kinds {
			if kind == k {
				it.count += int64(cells[l.first+c]) * micro
				it.made += int64(cells[l.first+c]+b.spare[l.first+c]) * micro
			}
		}
		if p.rate.units == 0 || it.made == 0 {
			continue
		}
		it.amount, it.madeAmount = j.amount(it.count, p.rate.units), j.amount(it.made, p.rate.units)
		b.items = append(b.items, it)
	}
}

// count is how much of a toll so many pieces and sheets use, in millionths.
func (j *job) count(t *toll, pieces, sheets int64) int64 {
	raw := j.mul(t.perPiece, pieces)
	raw = j.add(raw, j.mul(t.perSheet, sheets))
	if pieces > 0 {
		raw = j.add(raw, t.perLine)
	}
	return j.mulDiv(raw, t.mul, t.div, HalfUp)
}

// sheets asks the line how many sheets the ordered and the made pieces take.
// A layout search may need fewer sheets for more pieces by luck; whatever
// holds more pieces holds fewer too, so the smaller count serves both.
func (j *job) sheets(i, pieces, made int) (ordered, all int64) {
	l := &j.p.Lines[i]
	all = int64(l.sheetsFor(made))
	return min(int64(l.sheetsFor(pieces)), all), all
}

func (l *Line) sheetsFor(pieces int) int {
	if l.Sheets != nil {
		return l.Sheets(pieces)
	}
	return (pieces + l.PerSheet - 1) / l.PerSheet
}

// swapItems adds the changeovers. A changeover is a charge of the whole order;
// its lines bear it by pieces. Counts and amounts are cut from running sums,
// so that the cuts add up to the whole, and the whole never falls when a line
// grows.
func (j *job) swapItems(b *bill) {
	for _, s := range j.swaps {
		batch := s.other
		for i := range j.lines {
			if j.swapped(&s, i) {
				batch += int64(b.pieces[i])
			}
		}
		if batch == 0 {
			continue
		}
		for k := range s.tolls {
			j.spread(&s, &s.tolls[k], batch, b)
		}
	}
}

func (j *job) swapped(s *swap, i int) bool {
	return s.method == "" || s.method == j.p.Lines[i].Method
}

func (j *job) spread(s *swap, t *toll, batch int64, b *bill) {
	b.cuts++
	whole := j.mulDiv(t.perLine, t.mul, t.div, HalfUp)
	var pieces, count, amount int64
	for i := range j.lines {
		if b.pieces[i] == 0 || !j.swapped(s, i) {
			continue
		}
		pieces += int64(b.pieces[i])
		countNow := j.mulDiv(whole, pieces, batch, HalfUp)
		amountNow := j.amount(countNow, t.rate.units)
		b.items = append(b.items, item{part: t.part, line: i, name: t.name, unit: t.unit, rate: t.rate,
			count: countNow - count, made: countNow - count,
			amount: amountNow - amount, madeAmount: amountNow - amount,
			press: t.press, batch: batch, cut: b.cuts})
		count, amount = countNow, amountNow
	}
}

// overheadItems adds the overhead that is a share of direct cost: a charge of
// the whole order, cut from running sums like the changeovers.
func (j *job) overheadItems(b *bill) {
	if j.overhead == 0 {
		return
	}
	b.cuts++
	var base, madeBase, amount, madeAmount int64
	for i := range j.lines {
		base, madeBase = j.add(base, b.direct[i]), j.add(madeBase, b.directMade[i])
		now, madeNow := j.share(base, j.overhead), j.share(madeBase, j.overhead)
		it := item{part: OverheadPart, line: i, name: "overhead", unit: directCost, rate: rate{j.overhead, toShare(j.overhead)},
			count: b.direct[i], made: b.directMade[i], amount: now - amount, madeAmount: madeNow - madeAmount, cut: b.cuts}
		amount, madeAmount = now, madeNow
		b.items = append(b.items, it)
		j.enter(&it, b)
	}
}

// spareRule is the rule that is charged.
func (j *job) spareRule() SpareRule {
	if j.p.Rates.SpareRule == "" {
		return BySize
	}
	return j.p.Rates.SpareRule
}

// spareBlanks writes the spare blanks of each cell into b.spare.
func (j *job) spareBlanks(cells []int, b *bill, rule SpareRule) {
	if rule == Commonest {
		for g := range j.groups {
			j.commonest(g, cells, b)
		}
		return
	}
	j.bySize(cells, b)
}

// bySize gives each size of each line the spares it needs, so that the wanted
// chance holds for all of them together.
func (j *job) bySize(cells []int, b *bill) {
	r := &j.p.Rates
	kinds := 0
	for i, l := range j.lines {
		for _, n := range cells[l.first:l.end] {
			if n > 0 && !j.p.Lines[i].Theirs {
				kinds++
			}
		}
	}
	for i, l := range j.lines {
		if j.p.Lines[i].Theirs {
			continue
		}
		for c := l.first; c < l.end; c++ {
			b.spare[c] = copies(cells[c], kinds, r.Spoilage, r.Confidence) - cells[c]
		}
	}
	for g := range j.groups {
		j.atLeastOne(g, cells, b)
	}
}

// atLeastOne keeps a spare blank wherever a spare print is kept: of the lowest
// price, on the first line that has it, in the commonest size of that price.
// It is kept whether or not other sizes have spares, so that it does not move
// and cost does not fall when a size comes to need its own.
func (j *job) atLeastOne(g int, cells []int, b *bill) {
	q, least, price := 0, -1, int64(0)
	for _, i := range j.groups[g] {
		q += b.pieces[i]
		l := &j.lines[i]
		c := l.cheapest(cells)
		if c >= 0 && !j.p.Lines[i].Theirs && (least < 0 || l.blank(c) < price) {
			least, price = l.first+c, l.blank(c)
		}
	}
	if least >= 0 && b.groupMade[g] > q {
		b.spare[least] = max(1, b.spare[least])
	}
}

// cheapest is the size with the lowest price, of those the commonest, then the
// smallest; -1 where the line has no pieces.
func (l *jobLine) cheapest(cells []int) int {
	best := -1
	for c := range l.kinds {
		n := cells[l.first+c]
		if n == 0 {
			continue
		}
		if best < 0 || l.blank(c) < l.blank(best) || l.blank(c) == l.blank(best) && n > cells[l.first+best] {
			best = c
		}
	}
	return best
}

// commonest puts a design's spares into its two commonest sizes, the odd one
// into the commonest.
func (j *job) commonest(g int, cells []int, b *bill) {
	spares := b.groupMade[g]
	for _, i := range j.groups[g] {
		spares -= b.pieces[i]
	}
	first, second := j.twoCommonest(g, cells)
	switch {
	case first < 0:
	case second < 0:
		b.spare[first] = spares
	default:
		b.spare[first], b.spare[second] = (spares+1)/2, spares/2
	}
}

// twoCommonest returns the cells of our own blanks with the most pieces; -1
// where there is none. Ties go to the earlier line and the smaller size.
func (j *job) twoCommonest(g int, cells []int) (first, second int) {
	first, second = -1, -1
	for _, i := range j.groups[g] {
		if j.p.Lines[i].Theirs {
			continue
		}
		for c := j.lines[i].first; c < j.lines[i].end; c++ {
			switch {
			case cells[c] == 0:
			case first < 0 || cells[c] > cells[first]:
				first, second = c, first
			case second < 0 || cells[c] > cells[second]:
				second = c
			}
		}
	}
	return first, second
}

// enoughBlanks is the chance that the spares in b cover every size of ours.
func (j *job) enoughBlanks(cells []int, b *bill) float64 {
	chance := 1.0
	for i, l := range j.lines {
		if j.p.Lines[i].Theirs {
			continue
		}
		for c := l.first; c < l.end; c++ {
			chance *= ChanceEnough(cells[c]+b.spare[c], cells[c], j.p.Rates.Spoilage)
		}
	}
	return chance
}

// enoughPrints is the chance that the copies made cover every design.
func (j *job) enoughPrints(b *bill) float64 {
	chance := 1.0
	for g, lines := range j.groups {
		q := 0
		for _, i := range lines {
			q += b.pieces[i]
		}
		chance *= ChanceEnough(b.groupMade[g], q, j.p.Rates.Spoilage)
	}
	return chance
}
