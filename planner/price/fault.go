package price

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// A Fault is one thing wrong with a Problem. Path leads to the field by its
// JSON name, as in "rates.machines[1].hours" or "lines[0].blank.each", so that
// whoever read the figure from a file can add the place. Solve joins all
// faults with errors.Join; take one out with errors.As.
type Fault struct {
	Path string // where
	What string // what is wrong
	Mend string // how to mend it
}

// Error reads "path: what: mend".
func (f *Fault) Error() string { return f.Path + ": " + f.What + ": " + f.Mend }

const (
	// maxPriceDigits bounds a single price, in digits before the point of the
	// currency's main unit and after it. It keeps products inside 64 bits and catches slips
	// of typing.
	maxPriceDigits = 9
	// maxTime bounds one step's time: a month.
	maxTime = 30 * 24 * unit.Duration(3600)
	// maxSide bounds a printed side: 10 m, far beyond any sheet.
	maxSide unit.Length = 10_000
	// maxPerPiece bounds uses a piece or a sheet.
	maxPerPiece = 1000
	// maxShare bounds shares that may be above 100 %: a markup of 1000 times
	// the cost is a slip.
	maxShare unit.Share = 1000
	// maxUses bounds counts of uses and yields.
	maxUses = 10_000_000
)

// faults gathers what is wrong.
type faults struct{ list []error }

func (f *faults) add(at *place, name, what, mend string) {
	f.list = append(f.list, &Fault{at.field(name), what, mend})
}

// A place leads from the root to a part of a problem. It is written out only
// where a fault is found, since a quote is checked far oftener than it fails.
type place struct {
	up    *place
	name  string
	index int // noItem where the part is no item of a list
}

const noItem = -1

// field writes the path of a field of the part; nil is the root.
func (at *place) field(name string) string {
	if at == nil {
		return name
	}
	here := at.up.field(at.name)
	if at.index != noItem {
		here += "[" + strconv.Itoa(at.index) + "]"
	}
	return here + "." + name
}

// Faults returns every fault of the rates, joined, with paths such as
// "machines[1].hours"; nil where there is none. A shop profile's loader calls
// it and adds line and column.
func (r Rates) Faults() error {
	var f faults
	f.rates(&r, nil)
	return errors.Join(f.list...)
}

// Faults returns every fault of the problem, joined; nil where there is none.
func (p Problem) Faults() error {
	var f faults
	f.rates(&p.Rates, &place{nil, "rates", noItem})
	f.lines(&p)
	for i := range p.Changeovers {
		f.changeover(&p, i)
	}
	for i, q := range p.BreakAt {
		if q < 1 || q > MaxPieces {
			f.add(nil, fmt.Sprintf("break_at[%d]", i), fmt.Sprintf("is %d", q), fmt.Sprintf("give 1 to %d pieces", MaxPieces))
		}
	}
	return errors.Join(f.list...)
}

func (f *faults) rates(r *Rates, at *place) {
	f.currency(&r.Currency, &place{at, "currency", noItem})
	f.needed(at, "labour_per_hour", r.LabourPerHour)
	f.under(at, "allowance.share", r.Allowance.Share)
	f.oneOf(at, "allowance.of", string(r.Allowance.Of), "", string(OfWork), string(OfShift))
	for i := range r.Machines {
		f.machine(&r.Machines[i], &place{at, "machines", i})
		f.needsEnergy(r, i, at)
	}
	f.notNegative(at, "energy_per_kwh", r.EnergyPerKWh)
	f.side(at, "page.width", r.Page.Width)
	f.side(at, "page.height", r.Page.Height)
	for i := range r.Methods {
		f.method(&r.Methods[i], &place{at, "methods", i})
	}
	f.anyShare(at, "overhead.share", r.Overhead.Share)
	f.notNegative(at, "overhead.per_labour_hour", r.Overhead.PerLabourHour)
	f.gain(r.Gain, &place{at, "gain", noItem})
	f.notNegative(at, "setup", r.Setup)
	f.notNegative(at, "minimum", r.Minimum)
	f.breaks(&r.Breaks, &place{at, "breaks", noItem})
	for i, t := range r.Rush {
		here := &place{at, "rush", i}
		f.anyShare(here, "share", t.Share)
		f.count(here, "within", t.Within, 0, MaxPieces)
	}
	f.anyShare(at, "tax", r.Tax)
	f.under(at, "card.share", r.Card.Share)
	f.notNegative(at, "card.fixed", r.Card.Fixed)
	f.spares(r, at)
	f.count(at, "valid_days", r.ValidDays, 0, MaxPieces)
}

func (f *faults) currency(c *Currency, at *place) {
	known, err := CurrencyOf(c.Code)
	switch {
	case c.Code == "":
		f.add(at, "code", "is missing", "write the three letters of ISO 4217, such as USD, EUR or JPY")
	case err != nil || known.Code != c.Code:
		f.add(at, "code", fmt.Sprintf("%q is no currency in use", c.Code), "write the three capitals of ISO 4217, such as USD, EUR or JPY")
	case c.Places != known.Places:
		f.add(at, "places", fmt.Sprintf("is %d", c.Places), fmt.Sprintf("ISO 4217 gives %s %d places", c.Code, known.Places))
	}
	f.oneOf(at, "rounding", string(c.Rounding), "", string(HalfUp), string(HalfEven), string(Up))
	if f.notNegative(at, "step", c.Step) && !c.Step.Equal(c.Step.Truncate(known.Places)) {
		f.add(at, "step", "is "+c.Step.String(), fmt.Sprintf("give a multiple of the smallest amount, %d places", known.Places))
	}
}

func (f *faults) machine(m *Machine, at *place) {
	if m.Name == "" {
		f.add(at, "name", "is missing", "name the machine")
	}
	built, known := false, true
	for _, part := range []struct {
		name  string
		value decimal.Decimal
	}{
		{"price", m.Price}, {"residual", m.Residual}, {"life", m.Life}, {"upkeep", m.Upkeep}, {"space", m.Space}, {"hours", m.Hours},
	} {
		known = f.notNegative(at, part.name, part.value) && known
		built = built || !part.value.IsZero()
	}
	f.notNegative(at, "per_hour", m.PerHour)
	f.notNegative(at, "power", m.Power)
	f.upTo(at, "duty", m.Duty, 1)
	switch {
	case !m.PerHour.IsZero() && built:
		f.add(at, "per_hour", "is given beside price, life, upkeep, space or hours", "give either the rate or what it is built from")
	case !m.PerHour.IsZero():
	case !m.Hours.IsPositive():
		f.add(at, "hours", "is missing or zero", "give the productive hours a year, or per_hour outright")
	case known && m.Residual.GreaterThan(m.Price):
		f.add(at, "residual", "is above the price", "give what the machine is worth at the end of its life")
	case known && !m.Life.IsPositive() && !m.Price.Equal(m.Residual):
		f.add(at, "life", "is missing or zero", "give the years the machine lasts, or per_hour outright")
	}
}

func (f *faults) needsEnergy(r *Rates, i int, at *place) {
	if r.Machines[i].Power.IsPositive() && r.Machines[i].Duty > 0 && r.EnergyPerKWh.IsZero() {
		f.add(at, "energy_per_kwh", "is missing", fmt.Sprintf("give the price of a kWh, since %s draws power", r.Machines[i].Name))
	}
}

func (f *faults) method(m *Method, at *place) {
	if m.ID == "" {
		f.add(at, "id", "is missing", "name the method")
	}
	for i := range m.Sheets {
		f.needed(&place{at, "sheets", i}, "price", m.Sheets[i].Price)
	}
	for i := range m.Covers {
		c, here := &m.Covers[i], &place{at, "covers", i}
		f.needed(here, "price", c.Price)
		f.count(here, "uses", c.Uses, 1, maxUses)
		f.count(here, "per_piece", c.PerPiece, 0, maxPerPiece)
		f.count(here, "per_sheet", c.PerSheet, 0, maxPerPiece)
	}
	for i := range m.Toner {
		f.cartridge(&m.Toner[i], m.Dye, &place{at, "toner", i})
	}
}

func (f *faults) cartridge(c *Cartridge, dye bool, at *place) {
	if c.Channel == "" {
		f.add(at, "channel", "is missing", "name the colour the cartridge prints")
	}
	f.needed(at, "price", c.Price)
	f.count(at, "yield", c.Yield, 1, maxUses)
	if !(c.AtCoverage > 0 && c.AtCoverage <= 1) {
		f.add(at, "at_coverage", fmt.Sprintf("is %v %%", c.AtCoverage.Percent()), "give the coverage of the page the yield was counted at, above 0 up to 100 %")
	}
	f.oneOf(at, "source", string(c.Source), string(ByStandard), string(ByShop))
	if c.Source == ByStandard && (dye || c.Channel == white) {
		f.add(at, "source", "names a standard that covers neither white nor dye toner",
			"count the pages of a cartridge yourself and write the source as shop")
	}
}

// white is the channel that no yield standard covers.
const white = "white"

func (f *faults) gain(g Gain, at *place) {
	switch g.By {
	case ByMargin:
		if !(g.Share >= 0 && g.Share < 1) {
			f.add(at, "share", fmt.Sprintf("a margin of %v %% leaves no price", g.Share.Percent()),
				"a margin is a share of the price: give 0 to under 100 %, or write it as a markup")
		}
	case ByMarkup:
		f.anyShare(at, "share", g.Share)
	default:
		f.add(at, "by", fmt.Sprintf("%q is neither margin nor markup", string(g.By)), "give one of the two: margin is a share of the price, markup of the cost")
	}
}

func (f *faults) breaks(b *Breaks, at *place) {
	f.oneOf(at, "kind", string(b.Kind), string(NoBreaks), string(FromTable), string(FromCost))
	f.count(at, "base", b.Base, 0, MaxPieces)
	for i, one := range b.At {
		here := &place{at, "at", i}
		f.count(here, "quantity", one.Quantity, 1, MaxPieces)
		f.under(here, "discount", one.Discount)
		if i > 0 && one.Quantity <= b.At[i-1].Quantity {
			f.add(here, "quantity", fmt.Sprintf("%d does not follow %d", one.Quantity, b.At[i-1].Quantity), "list the breaks by rising quantity, each once")
		}
	}
}

func (f *faults) spares(r *Rates, at *place) {
	if !(r.Spoilage >= 0 && r.Spoilage <= maxSpoilage) {
		f.add(at, "spoilage", fmt.Sprintf("is %v %%", r.Spoilage.Percent()), fmt.Sprintf("give 0 to %v %%", maxSpoilage.Percent()))
	}
	f.upTo(at, "confidence", r.Confidence, maxConfidence)
	f.count(at, "spare_from", r.SpareFrom, 0, MaxPieces)
	f.oneOf(at, "spare_rule", string(r.SpareRule), "", string(BySize), string(Commonest))
}

func (f *faults) lines(p *Problem) {
	if len(p.Lines) == 0 {
		f.add(nil, "lines", "are missing", "give at least one line with a quantity and a blank")
	}
	for i := range p.Lines {
		f.line(p, &p.Lines[i], &place{nil, "lines", i})
	}
}

func (f *faults) line(p *Problem, l *Line, at *place) {
	f.count(at, "quantity", l.Quantity, 1, MaxPieces)
	m := p.Rates.method(l.Method)
	if m == nil {
		f.add(at, "method", fmt.Sprintf("%q has no prices", l.Method), "add its sheets and toner to the rates, or choose another method")
	}
	f.sizes(l, at)
	f.blank(l, &place{at, "blank", noItem})
	f.count(at, "designs", l.Designs, 0, MaxPieces)
	f.count(at, "spare_blanks", l.SpareBlanks, 0, MaxPieces)
	if len(l.Prints) == 0 {
		f.add(at, "prints", "are missing", "say what is printed and how large")
	}
	for i := range l.Prints {
		f.print(&l.Prints[i], m, &place{at, "prints", i})
	}
	if l.Sheets == nil && l.PerSheet < 1 {
		f.add(at, "per_sheet", "is missing", "say how many pieces one sheet serves, or give the sheets by pieces")
	}
	for i := range l.Hands {
		f.work(&l.Hands[i], &place{at, "hands", i})
	}
	for i := range l.Runs {
		here := &place{at, "runs", i}
		f.work(&l.Runs[i], here)
		if p.Rates.machineIndex(l.Runs[i].Name) < 0 {
			f.add(here, "name", fmt.Sprintf("%q is no machine with a rate", l.Runs[i].Name), "add the machine to the rates")
		}
	}
}

func (f *faults) sizes(l *Line, at *place) {
	if len(l.Sizes) == 0 {
		return
	}
	sum := 0
	for _, size := range l.sizesInOrder() {
		n := l.Sizes[size]
		if size == "" || n < 0 || n > MaxPieces {
			f.add(at, "sizes", fmt.Sprintf("size %q has %d pieces", size, n), "give each size by name with its count")
			return
		}
		sum += n
	}
	if sum != l.Quantity {
		f.add(at, "sizes", fmt.Sprintf("add up to %d, not to the quantity %d", sum, l.Quantity), "count the sizes again")
	}
}

func (f *faults) blank(l *Line, at *place) {
	switch {
	case l.Theirs:
		return
	case l.Blank.Each.IsZero():
		f.add(at, "each", "the blank is free", "give its price, or say that the customer brings the blanks")
		return
	case !f.notNegative(at, "each", l.Blank.Each):
		return
	}
	for _, size := range l.sizesInOrder() {
		extra := l.Blank.Extra[size]
		if !workable(extra) || !l.Blank.Each.Add(extra).IsPositive() {
			f.add(at, "extra."+size, "is "+digits(extra), "give a surcharge that leaves a price above zero")
		}
	}
}

func (f *faults) print(p *Print, m *Method, at *place) {
	f.side(at, "width", p.Width)
	f.side(at, "height", p.Height)
	for i, c := range p.Coverage {
		here := &place{at, "coverage", i}
		f.upTo(here, "share", c.Share, 1)
		if m != nil && c.Share > 0 && !m.prints(c.Channel) {
			f.add(here, "channel", fmt.Sprintf("%q has no cartridge in %s", c.Channel, m.ID), "add the cartridge's price and yield to the rates")
		}
	}
}

func (m *Method) prints(channel string) bool {
	for i := range m.Toner {
		if m.Toner[i].Channel == channel {
			return true
		}
	}
	return false
}

func (f *faults) work(w *Work, at *place) {
	for _, d := range [...]struct {
		name string
		time unit.Duration
	}{{"per_line", w.PerLine}, {"per_sheet", w.PerSheet}, {"per_piece", w.PerPiece}} {
		f.time(at, d.name, d.time)
	}
}

func (f *faults) changeover(p *Problem, i int) {
	c, at := &p.Changeovers[i], &place{nil, "changeovers", i}
	f.time(at, "hands", c.Hands)
	f.time(at, "run", c.Run)
	f.count(at, "other_pieces", c.OtherPieces, 0, MaxPieces)
	if c.Machine != "" && p.Rates.machineIndex(c.Machine) < 0 {
		f.add(at, "machine", fmt.Sprintf("%q is no machine with a rate", c.Machine), "add the machine to the rates")
	}
}

// needed wants a price above zero.
func (f *faults) needed(at *place, name string, d decimal.Decimal) {
	if d.IsZero() {
		f.add(at, name, "is missing or zero", "give a price above zero")
		return
	}
	f.notNegative(at, name, d)
}

// notNegative wants a price of zero or more, and reports whether it is one.
func (f *faults) notNegative(at *place, name string, d decimal.Decimal) bool {
	switch {
	case d.IsNegative():
		f.add(at, name, "is negative: "+digits(d), "give zero or more")
	case !workable(d):
		f.add(at, name, "is "+digits(d), fmt.Sprintf("give at most %d digits before the point and %d after", maxPriceDigits, maxPriceDigits))
	default:
		return true
	}
	return false
}

// workable reports whether d is zero or has no more digits than a price may;
// a decimal may have an exponent of millions, which no arithmetic survives.
func workable(d decimal.Decimal) bool {
	return d.Exponent() >= -maxPriceDigits && d.NumDigits()+int(d.Exponent()) <= maxPriceDigits
}

// digits writes d without spelling its exponent out.
func digits(d decimal.Decimal) string {
	if workable(d) {
		return d.String()
	}
	return fmt.Sprintf("%se%d", d.Coefficient(), d.Exponent())
}

// under wants a share of 0 up to 1, 1 excluded.
func (f *faults) under(at *place, name string, s unit.Share) {
	if !(s >= 0 && s < 1) {
		f.add(at, name, fmt.Sprintf("is %v %%", s.Percent()), "give 0 to under 100 %")
	}
}

// anyShare wants a share of 0 or more that may well be above 100 %.
func (f *faults) anyShare(at *place, name string, s unit.Share) { f.upTo(at, name, s, maxShare) }

func (f *faults) upTo(at *place, name string, s, most unit.Share) {
	if !(s >= 0 && s <= most) {
		f.add(at, name, fmt.Sprintf("is %v %%", s.Percent()), fmt.Sprintf("give 0 to %v %%", most.Percent()))
	}
}

func (f *faults) count(at *place, name string, n, least, most int) {
	if n < least || n > most {
		f.add(at, name, fmt.Sprintf("is %d", n), fmt.Sprintf("give %d to %d", least, most))
	}
}

func (f *faults) time(at *place, name string, d unit.Duration) {
	if !(d >= 0 && d <= maxTime) || math.IsNaN(d.S()) {
		f.add(at, name, fmt.Sprintf("is %v s", d.S()), fmt.Sprintf("give 0 to %v s", maxTime.S()))
	}
}

func (f *faults) side(at *place, name string, l unit.Length) {
	if !(l > 0 && l <= maxSide) {
		f.add(at, name, fmt.Sprintf("is %v mm", l.MM()), fmt.Sprintf("give a size above 0 up to %v mm", maxSide.MM()))
	}
}

func (f *faults) oneOf(at *place, name, got string, words ...string) {
	for _, w := range words {
		if got == w {
			return
		}
	}
	f.add(at, name, fmt.Sprintf("%q is not a word known here", got), fmt.Sprintf("give one of %q", words))
}
