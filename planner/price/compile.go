package price

import (
	"maps"
	"slices"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// A job is a problem turned into whole numbers once, so that many quantities
// of it can be priced.
type job struct {
	calc
	p      Problem
	lines  []jobLine
	groups [][]int // lines that share a design, in order of their first line
	base   []int   // pieces by cell, as ordered
	swaps  []swap

	gain      int64 // nano
	overhead  int64 // nano of direct cost
	labour    rate  // an hour
	perHour   rate  // overhead a labour hour
	handsMul  int64 // micro-hours = microseconds x handsMul / handsDiv
	handsDiv  int64
	recipes   []recipe // by the Rates' methods; worked out for those in use
	hourRates []rate   // by the Rates' machines
	energy    rate
	page      int64   // area of the standard page
	areas     []int64 // of the prints of the line that is being worked out
	haste     int64   // nano of the subtotal
}

// A jobLine is a Line turned into whole numbers. Its cells are its sizes.
type jobLine struct {
	first, end int // its cells in the state
	sizes      []string
	kinds      []int // by cell: which of the prices its blank has
	prices     []blankPrice
	tolls      []toll
}

// A blankPrice is the price that some sizes of a line share.
type blankPrice struct {
	rate rate
	name string // the sizes; "" where all of the line cost the same
}

// blank is the rate of the c-th size of the line.
func (l *jobLine) blank(c int) int64 { return l.prices[l.kinds[c]].rate.units }

// A toll is one thing a line uses up: so much for the line, for each sheet
// and for each piece, at a rate.
type toll struct {
	part       Part
	name, unit string
	perLine    int64
	perSheet   int64
	perPiece   int64
	mul, div   int64 // count in millionths = (sum of the above) x mul / div
	rate       rate
	press      bool // hours on a press
}

// A rate is a price for one unit of a count: in whole rate units, and as it
// is shown.
type rate struct {
	units int64
	shown decimal.Decimal
}

// newRate takes a price as a rate.
func (j *job) newRate(d decimal.Decimal) rate {
	r := rate{units: j.rate(d), shown: d}
	if d.Exponent() < -j.places-ratePlaces {
		r.shown = j.toRate(r.units)
	}
	return r
}

// part is one n-th of a price.
func (j *job) part(d decimal.Decimal, n int) rate {
	units := j.mulDiv(j.rate(d), 1, int64(n), HalfUp)
	return rate{units, j.toRate(units)}
}

// A recipe is what a method uses up, apart from the art: tolls for sheets and
// covers, and the rate of a page by cartridge.
type recipe struct {
	known bool
	tolls []toll
	pages []rate
}

// recipe works a method's rates out once.
func (j *job) recipe(m int) *recipe {
	r, method := &j.recipes[m], &j.p.Rates.Methods[m]
	if r.known {
		return r
	}
	r.known = true
	for _, s := range method.Sheets {
		r.tolls = append(r.tolls, toll{part: Sheets, name: s.Name, unit: "sheets", perSheet: micro, mul: 1, div: 1, rate: j.newRate(s.Price)})
	}
	for _, c := range method.Covers {
		r.tolls = append(r.tolls, toll{part: Sheets, name: c.Name, unit: "uses",
			perSheet: int64(c.PerSheet) * micro, perPiece: int64(c.PerPiece) * micro, mul: 1, div: 1, rate: j.part(c.Price, c.Uses)})
	}
	for _, c := range method.Toner {
		r.pages = append(r.pages, j.part(c.Price, c.Yield))
	}
	return r
}

// hourRate works a machine's rate out once.
func (j *job) hourRate(m int) rate {
	if j.hourRates[m].units == 0 {
		j.hourRates[m] = j.newRate(MachineHourRate(j.p.Rates.Machines[m], j.places+ratePlaces))
	}
	return j.hourRates[m]
}

// A swap is a changeover: hours borne by lines of one method.
type swap struct {
	method string // "" for all lines
	other  int64  // pieces of other orders in the batch
	tolls  []toll // perLine is the whole; mul and div as in a toll
}

// newJob turns a faultless problem into whole numbers.
func newJob(p Problem) *job {
	r := p.Rates
	j := &job{p: p, gain: nanos(r.Gain.Share), overhead: nanos(r.Overhead.Share)}
	j.places, j.rule, j.step = r.Currency.Places, r.Currency.Rounding, 1
	if !r.Currency.Step.IsZero() {
		j.step = j.money(r.Currency.Step)
	}
	j.labour, j.perHour, j.energy = j.newRate(r.LabourPerHour), j.newRate(r.Overhead.PerLabourHour), j.newRate(r.EnergyPerKWh)
	j.recipes, j.hourRates = make([]recipe, len(r.Methods)), make([]rate, len(r.Machines))
	j.page = j.area(r.Page.Width, r.Page.Height)
	j.handsMul, j.handsDiv = handsFactor(r.Allowance)
	j.haste = nanos(rushShare(p))

	byDesign := make(map[string]int, len(p.Lines))
	j.lines = make([]jobLine, 0, len(p.Lines))
	for i := range p.Lines {
		l := j.line(&p.Lines[i])
		g, shared := byDesign[p.Lines[i].Design]
		if !shared || p.Lines[i].Design == "" {
			g = len(j.groups)
			j.groups = append(j.groups, nil)
			byDesign[p.Lines[i].Design] = g
		}
		j.groups[g] = append(j.groups[g], i)
		j.lines = append(j.lines, l)
	}
	for _, c := range p.Changeovers {
		j.swaps = append(j.swaps, j.swap(c))
	}
	return j
}

// handsFactor returns the factors from microseconds of normal time to
// micro-hours of standard time.
func handsFactor(a Allowance) (mul, div int64) {
	if a.Of == OfShift {
		// t / (1-a): both factors are cut by 10^8 to stay inside int64.
		const cut = 100_000_000
		return nano * (nano / cut), (nano - nanos(a.Share)) * (microsPerHour / cut) * perMicro
	}
	return nano + nanos(a.Share), microsPerHour * perMicro
}

func (j *job) line(l *Line) jobLine {
	m := j.p.Rates.methodIndex(l.Method)
	out := jobLine{first: len(j.base)}
	j.cells(&out, l)
	out.end = len(j.base)

	j.areas = j.areas[:0]
	for i := range l.Prints {
		j.areas = append(j.areas, j.area(l.Prints[i].Width, l.Prints[i].Height))
	}
	r := j.recipe(m)
	out.tolls = make([]toll, 0, len(r.tolls)+len(r.pages)+3*len(l.Runs)+3)
	out.tolls = append(out.tolls, r.tolls...)
	for i := range r.pages {
		if t := j.toner(l, &j.p.Rates.Methods[m].Toner[i]); t.perPiece > 0 {
			t.rate = r.pages[i]
			out.tolls = append(out.tolls, t)
		}
	}
	var hands toll
	for _, w := range l.Hands {
		hands.perLine = j.add(hands.perLine, micros(w.PerLine))
		hands.perSheet = j.add(hands.perSheet, micros(w.PerSheet))
		hands.perPiece = j.add(hands.perPiece, micros(w.PerPiece))
	}
	out.tolls = j.handsTolls(out.tolls, hands)
	for _, w := range l.Runs {
		run := toll{perLine: micros(w.PerLine), perSheet: micros(w.PerSheet), perPiece: micros(w.PerPiece)}
		out.tolls = j.runTolls(out.tolls, run, j.p.Rates.machineIndex(w.Name))
	}
	return out
}

// cells lays out the sizes of a line, smallest first.
func (j *job) cells(out *jobLine, l *Line) {
	out.sizes = l.sizesInOrder()
	for _, size := range out.sizes {
		n := l.Quantity
		if size != "" {
			n = l.Sizes[size]
		}
		j.base = append(j.base, n)
		out.price(j.blankRate(l, size), size)
	}
	if len(out.prices) == 1 {
		out.prices[0].name = ""
	}
}

// price enters the rate of the next size.
func (l *jobLine) price(r rate, size string) {
	kind := slices.IndexFunc(l.prices, func(p blankPrice) bool { return p.rate.units == r.units })
	if kind < 0 {
		kind = len(l.prices)
		l.prices = append(l.prices, blankPrice{rate: r, name: size})
	} else {
		l.prices[kind].name += ", " + size
	}
	l.kinds = append(l.kinds, kind)
}

// blankRate is the price of a blank of ours in one size; none for theirs.
func (j *job) blankRate(l *Line, size string) rate {
	extra, dearer := l.Blank.Extra[size]
	switch {
	case l.Theirs:
		return rate{}
	case dearer:
		return j.newRate(l.Blank.Each.Add(extra))
	}
	return j.newRate(l.Blank.Each)
}

// sizesInOrder lists the sizes, smallest first; one nameless size where none
// were given.
func (l *Line) sizesInOrder() []string {
	if len(l.Sizes) == 0 {
		return []string{""}
	}
	return slices.SortedFunc(maps.Keys(l.Sizes), sizeOrder)
}

// toner is one channel's use in standard pages a piece:
//
//	pages = sum over prints of (area x coverage) / (page area x coverage of the yield page)
func (j *job) toner(l *Line, c *Cartridge) toll {
	t := toll{part: Toner, name: c.Channel, unit: "pages", mul: 1, div: perMicro}
	page := j.mulDiv(j.page, nanos(c.AtCoverage), nano, HalfUp)
	if page == 0 {
		j.over = true
		return t
	}
	for i := range l.Prints {
		for _, cover := range l.Prints[i].Coverage {
			if cover.Channel == c.Channel {
				t.perPiece = j.add(t.perPiece, j.mulDiv(j.areas[i], nanos(cover.Share), page, HalfUp))
			}
		}
	}
	return t
}

// handsTolls adds hands-on time, and the overhead that goes by it.
func (j *job) handsTolls(tolls []toll, t toll) []toll {
	t.mul, t.div, t.unit = j.handsMul, j.handsDiv, "h"
	if t.perLine == 0 && t.perSheet == 0 && t.perPiece == 0 {
		return tolls
	}
	t.part, t.name, t.rate = Labour, "hands-on", j.labour
	tolls = append(tolls, t)
	if j.perHour.units > 0 {
		t.part, t.name, t.rate = OverheadPart, "overhead by the hour", j.perHour
		tolls = append(tolls, t)
	}
	return tolls
}

// runTolls adds machine time and the energy it draws.
func (j *job) runTolls(tolls []toll, t toll, machine int) []toll {
	m := &j.p.Rates.Machines[machine]
	if t.perLine == 0 && t.perSheet == 0 && t.perPiece == 0 {
		return tolls
	}
	t.name, t.press = m.Name, m.Press
	t.part, t.unit, t.mul, t.div = MachinePart, "h", 1, microsPerHour/micro
	t.rate = j.hourRate(machine)
	tolls = append(tolls, t)
	if m.Power.IsPositive() && m.Duty > 0 {
		t.part, t.unit = Energy, "kWh"
		t.mul, t.div = j.mulDiv(j.fixed(m.Power, sharePlaces), nanos(m.Duty), nano, HalfUp), microsPerHour*perMicro
		t.rate = j.energy
		tolls = append(tolls, t)
	}
	return tolls
}

func (j *job) swap(c Changeover) swap {
	s := swap{method: c.Method, other: int64(c.OtherPieces)}
	s.tolls = j.handsTolls(s.tolls, toll{perLine: micros(c.Hands)})
	if c.Machine != "" {
		s.tolls = j.runTolls(s.tolls, toll{perLine: micros(c.Run)}, j.p.Rates.machineIndex(c.Machine))
	}
	for i := range s.tolls {
		s.tolls[i].name = c.Name
	}
	return s
}

// rushShare is the share of the least early tier that the due time falls in;
// where haste was asked for without one, the mildest.
func rushShare(p Problem) unit.Share {
	best, mild := -1, -1
	for i, t := range p.Rates.Rush {
		if p.HasDue && p.DueIn <= t.Within && (best < 0 || t.Within < p.Rates.Rush[best].Within) {
			best = i
		}
		if mild < 0 || t.Within > p.Rates.Rush[mild].Within {
			mild = i
		}
	}
	switch {
	case best >= 0:
		return p.Rates.Rush[best].Share
	case p.Rush && mild >= 0:
		return p.Rates.Rush[mild].Share
	}
	return 0
}

// methodIndex and machineIndex find by name; -1 where there is none.
func (r *Rates) methodIndex(id string) int {
	return slices.IndexFunc(r.Methods, func(m Method) bool { return m.ID == id })
}

func (r *Rates) machineIndex(name string) int {
	return slices.IndexFunc(r.Machines, func(m Machine) bool { return m.Name == name })
}

// method finds a method by name; nil where there is none.
func (r *Rates) method(id string) *Method {
	if i := r.methodIndex(id); i >= 0 {
		return &r.Methods[i]
	}
	return nil
}
