package price

import (
	"maps"
	"slices"

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

	gain     int64 // nano
	overhead int64 // nano of direct cost
	labour   int64 // rate an hour
	perHour  int64 // overhead rate a labour hour
	handsMul int64 // nano-hours = microseconds x handsMul / handsDiv
	handsDiv int64
	rush     int64 // nano of the subtotal
}

// A jobLine is a Line turned into whole numbers. Its cells are its sizes.
type jobLine struct {
	first, end int // its cells in the state
	sizes      []string
	blanks     []int64 // rate by cell
	tolls      []toll
	group      int
}

// A toll is one thing a line uses up: so much for the line, for each sheet
// and for each piece, at a rate.
type toll struct {
	part       Part
	name, unit string
	perLine    int64
	perSheet   int64
	perPiece   int64
	mul, div   int64 // count in nano = (sum of the above) x mul / div
	rate       int64
	press      bool // hours on a press
}

// A swap is a changeover: hours borne by lines of one method.
type swap struct {
	name, method string
	other        int64
	tolls        []toll // perLine is the whole; mul and div as in a toll
}

// newJob turns a faultless problem into whole numbers.
func newJob(p Problem) *job {
	r := p.Rates
	j := &job{p: p, gain: nanos(r.Gain.Share), overhead: nanos(r.Overhead.Share)}
	j.places, j.rule, j.step = r.Currency.Places, r.Currency.Rounding, 1
	if !r.Currency.Step.IsZero() {
		j.step = j.money(r.Currency.Step)
	}
	j.labour, j.perHour = j.rate(r.LabourPerHour), j.rate(r.Overhead.PerLabourHour)
	j.handsMul, j.handsDiv = handsFactor(r.Allowance)
	j.rush = nanos(rushShare(p))

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
		l.group = g
		j.groups[g] = append(j.groups[g], i)
		j.lines = append(j.lines, l)
	}
	for _, c := range p.Changeovers {
		j.swaps = append(j.swaps, j.swap(c))
	}
	return j
}

// handsFactor returns the factors from microseconds of normal time to
// nano-hours of standard time.
func handsFactor(a Allowance) (mul, div int64) {
	if a.Of == OfShift {
		// t / (1-a): both factors are cut by 10^8 to stay inside int64.
		const cut = 100_000_000
		return nano * (nano / cut), (nano - nanos(a.Share)) * (microsPerHour / cut)
	}
	return nano + nanos(a.Share), microsPerHour
}

func (j *job) line(l *Line) jobLine {
	m := j.p.Rates.method(l.Method)
	out := jobLine{first: len(j.base), tolls: make([]toll, 0, 16)}
	j.cells(&out, l)
	out.end = len(j.base)

	for _, s := range m.Sheets {
		out.tolls = append(out.tolls, toll{part: Sheets, name: s.Name, unit: "sheets", perSheet: nano, mul: 1, div: 1, rate: j.rate(s.Price)})
	}
	for _, c := range m.Covers {
		out.tolls = append(out.tolls, toll{part: Sheets, name: c.Name, unit: "uses",
			perSheet: int64(c.PerSheet) * nano, perPiece: int64(c.PerPiece) * nano, mul: 1, div: 1, rate: j.coverRate(c)})
	}
	for i := range m.Toner {
		if t := j.toner(l, &m.Toner[i]); t.perPiece > 0 {
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
		out.tolls = j.runTolls(out.tolls, run, j.p.Rates.machine(w.Name))
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
		rate := int64(0)
		if !l.Theirs {
			rate = j.rate(l.Blank.Each.Add(l.Blank.Extra[size]))
		}
		out.blanks = append(out.blanks, rate)
	}
}

// sizesInOrder lists the sizes, smallest first; one nameless size where none
// were given.
func (l *Line) sizesInOrder() []string {
	if len(l.Sizes) == 0 {
		return []string{""}
	}
	return slices.SortedFunc(maps.Keys(l.Sizes), sizeOrder)
}

// coverRate is the price of one use.
func (j *job) coverRate(c Cover) int64 {
	return j.mulDiv(j.rate(c.Price), 1, int64(c.Uses), HalfUp)
}

// toner is one channel's use: standard pages a piece, at price / yield.
//
//	pages = sum over prints of (area x coverage) / (page area x coverage of the yield page)
func (j *job) toner(l *Line, c *Cartridge) toll {
	page := j.mulDiv(area(j.p.Rates.Page.Width, j.p.Rates.Page.Height), nanos(c.AtCoverage), nano, HalfUp)
	t := toll{part: Toner, name: c.Channel, unit: "pages", mul: 1, div: 1,
		rate: j.mulDiv(j.rate(c.Price), 1, int64(c.Yield), HalfUp)}
	for i := range l.Prints {
		for _, cover := range l.Prints[i].Coverage {
			if cover.Channel == c.Channel && page > 0 {
				t.perPiece = j.add(t.perPiece, j.mulDiv(area(l.Prints[i].Width, l.Prints[i].Height), nanos(cover.Share), page, HalfUp))
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
	if j.perHour > 0 {
		t.part, t.name, t.rate = OverheadPart, "overhead by the hour", j.perHour
		tolls = append(tolls, t)
	}
	return tolls
}

// runTolls adds machine time and the energy it draws.
func (j *job) runTolls(tolls []toll, t toll, m *Machine) []toll {
	if t.perLine == 0 && t.perSheet == 0 && t.perPiece == 0 {
		return tolls
	}
	t.name, t.press = m.Name, m.Press
	t.part, t.unit, t.mul, t.div = MachinePart, "h", nano, microsPerHour
	t.rate = j.rate(MachineHourRate(*m, j.places+ratePlaces))
	tolls = append(tolls, t)
	if m.Power.IsPositive() && m.Duty > 0 {
		t.part, t.unit = Energy, "kWh"
		t.mul = j.mulDiv(j.fixed(m.Power, 9), nanos(m.Duty), nano, HalfUp)
		t.rate = j.rate(j.p.Rates.EnergyPerKWh)
		tolls = append(tolls, t)
	}
	return tolls
}

func (j *job) swap(c Changeover) swap {
	s := swap{name: c.Name, method: c.Method, other: int64(c.OtherPieces)}
	s.tolls = j.handsTolls(s.tolls, toll{perLine: micros(c.Hands)})
	if c.Machine != "" {
		s.tolls = j.runTolls(s.tolls, toll{perLine: micros(c.Run)}, j.p.Rates.machine(c.Machine))
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

// method and machine find by name; validation has made sure they exist.
func (r *Rates) method(id string) *Method {
	for i := range r.Methods {
		if r.Methods[i].ID == id {
			return &r.Methods[i]
		}
	}
	return nil
}

func (r *Rates) machine(name string) *Machine {
	for i := range r.Machines {
		if r.Machines[i].Name == name {
			return &r.Machines[i]
		}
	}
	return nil
}
