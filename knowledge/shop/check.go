package shop

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"

	"presshand/knowledge/document"
	"presshand/planner/unit"
)

// Check returns what is wrong with a profile, sorted. Load calls it; a
// profile made by hand has problems without places.
func Check(p *Profile) []Problem {
	return p.check(func(document.Pos) bool { return false }).Sort()
}

// Known holds the ids that a knowledge base has.
type Known struct {
	Methods []string // method ids
	Items   []string // words for blanks: "tee"
	Stock   []string // what methods use up: "transfer-sheet"
}

// CheckIDs returns a problem for each id of the profile that is not known.
func CheckIDs(p *Profile, known Known) []Problem {
	c := &checker{profile: p}
	is := func(path, what, id string, ids []string) {
		if !slices.Contains(ids, id) {
			c.report(path, "id", document.Suggest(id, ids), "%s %q is not in the knowledge base", what, id)
		}
	}
	for i, id := range p.Methods {
		is(fmt.Sprintf("methods[%d]", i), "method", id, known.Methods)
	}
	for i, b := range p.Blanks {
		is(fmt.Sprintf("blanks[%d].item", i), "blank", b.Item, known.Items)
	}
	for i, item := range p.Stock {
		is(fmt.Sprintf("stock[%d].id", i), "stock", item.ID, known.Stock)
	}
	return c.problems.Sort()
}

type checker struct {
	profile  *Profile
	reported func(document.Pos) bool
	problems Problems
}

func (p *Profile) check(reported func(document.Pos) bool) Problems {
	c := &checker{profile: p, reported: reported}
	c.time()
	c.machines()
	c.habits()
	c.money()
	c.stock()
	return c.problems
}

// report adds a problem at the place of a path, or of the nearest thing above
// it that has one.
func (c *checker) report(path, rule, mend, format string, args ...any) {
	problem := Problem{Message: fmt.Sprintf(format, args...), Rule: rule, Mend: mend}
	if o := c.profile.origin; o != nil {
		problem.Pos = o.place(path)
		if c.reported != nil && c.reported(problem.Pos) {
			return
		}
		problem.Line = o.file.Line(problem.Pos.Line)
	}
	c.problems = append(c.problems, problem)
}

func (o *origin) place(path string) document.Pos {
	for path != "" {
		if at, ok := o.places[path]; ok {
			return at
		}
		path = path[:max(0, strings.LastIndexAny(path, ".["))]
	}
	return o.places[""]
}

func (c *checker) time() {
	p := c.profile
	if p.Zone == nil {
		c.report("zone", "zone", "write a name of the time-zone database, such as America/New_York", "no time zone")
	}
	open := 0
	for _, spans := range p.Hours {
		open += len(spans)
		for _, s := range spans {
			c.span("hours", s)
		}
	}
	if open == 0 {
		c.report("hours", "hours", "write {mon-fri: 9:00-17:30}", "the shop is never open")
	}
	for i, date := range p.Closed {
		if _, err := time.Parse(time.DateOnly, date); err != nil {
			c.report(fmt.Sprintf("closed[%d]", i), "date", "write it as 2026-12-25", "%q is no date", date)
		}
	}
	for i, b := range p.Breaks {
		c.span(fmt.Sprintf("breaks[%d].at", i), b.Span)
	}
	if p.People < 1 {
		c.report("people", "people", "write how many people work here, at least 1", "no people: nobody to press")
	}
}

func (c *checker) span(path string, s Span) {
	if s.From < 0 || s.To > minutesOfDay || s.From >= s.To {
		c.report(path, "hours", "write the earlier time first, as in 9:00-17:30", "a stretch of the day ends before it begins")
	}
}

func (c *checker) machines() {
	p := c.profile
	if len(p.Presses) == 0 {
		c.report("presses", "press", "add at least one press", "no press: nothing can be pressed")
	}
	for i, m := range p.Presses {
		at := func(field string) string { return fmt.Sprintf("presses[%d].%s", i, field) }
		c.positive(at("width"), m.Width.MM())
		c.positive(at("height"), m.Height.MM())
		c.positive(at("heat"), m.Heat)
		c.positive(at("cool"), m.Cool)
		c.positive(at("life_hours"), m.LifeHours)
		c.positive(at("hours_year"), m.HoursYear)
		c.notNegative(at("power"), m.Power)
		c.share(at("duty"), m.Duty, 1)
		c.price(at("price"), m.Price)
		c.price(at("upkeep_year"), m.UpkeepYear)
		if m.Max <= m.Rest {
			c.report(at("max"), "press", "write the hottest the press goes, such as 430 F", "press %q gets no hotter than at rest", m.Name)
		}
	}
	for i, m := range p.Printers {
		at := func(field string) string { return fmt.Sprintf("printers[%d].%s", i, field) }
		c.positive(at("life_pages"), m.LifePages)
		c.notNegative(at("power"), m.Power)
		c.price(at("price"), m.Price)
		for _, paper := range slices.Sorted(maps.Keys(m.PagesPerMinute)) {
			c.positive(at("pages_per_minute."+paper), m.PagesPerMinute[paper])
		}
	}
	c.names("presses", len(p.Presses), func(i int) string { return p.Presses[i].Name })
	c.names("printers", len(p.Printers), func(i int) string { return p.Printers[i].Name })
}

// names reports a name that two machines share: a plan tells them apart by it.
func (c *checker) names(section string, n int, name func(int) string) {
	seen := map[string]bool{}
	for i := range n {
		if seen[name(i)] {
			c.report(fmt.Sprintf("%s[%d].name", section, i), "duplicate", "give each its own name", "name %q is taken", name(i))
		}
		seen[name(i)] = true
	}
}

func (c *checker) habits() {
	p := c.profile
	if p.Rack < 1 {
		c.report("rack", "rack", "write how many pieces can lie and cool, at least 1", "no place on the rack")
	}
	if p.Spoilage < 0 || p.Spoilage >= 1 {
		c.report("spoilage", "share", "write a share such as 3 %", "spoilage is not from 0 to below 100 %%")
	}
	if p.Confidence <= 0 || p.Confidence >= 1 {
		c.report("confidence", "share", "write a share such as 95 %; certainty is not to be had", "confidence is not between 0 and 100 %%")
	}
	c.share("work.allowance", p.Work.Allowance, 1)
	for _, channel := range slices.Sorted(maps.Keys(p.Art.Coverage)) {
		path := "art.coverage." + channel
		if !slices.Contains(channels(), channel) {
			c.report(path, "word", document.Suggest(channel, channels()), "unknown channel %q", channel)
		}
		c.share(path, p.Art.Coverage[channel], 1)
	}
}

func channels() []string { return []string{"c", "m", "y", "k", "white"} }

func (c *checker) money() {
	m := c.profile.Money
	if _, err := currency.ParseISO(m.Currency); err != nil {
		c.report("money.currency", "currency", `write a code of ISO 4217 such as USD or EUR`, "unknown currency %q", m.Currency)
	}
	for path, v := range map[string]decimal.Decimal{
		"labour": m.Labour, "energy_kwh": m.EnergyKWh, "minimum": m.Minimum, "setup": m.Setup,
	} {
		c.price("money."+path, v)
	}
	switch {
	case m.Margin != 0 && m.Markup != 0:
		c.report("money.markup", "margin", "keep one: margin is a share of the price, markup a share of the cost", "margin and markup are both given")
	case m.Margin == 0 && m.Markup == 0:
		c.report("money", "margin", `add "margin: 45 %" or "markup: 80 %"`, "neither margin nor markup is given")
	case m.Margin >= 1:
		c.report("money.margin", "margin", "write a share below 100 %; a markup may be more", "a margin of %s can't be: the price would have to be endless", unit.Style{}.Percent(m.Margin))
	case m.Margin < 0 || m.Markup < 0:
		c.report(cmp.Or(map[bool]string{true: "money.margin"}[m.Margin < 0], "money.markup"), "margin", "write a share above 0", "it would sell below cost")
	}
	c.share("money.overhead", m.Overhead, overheadMost)
	c.share("money.tax", m.Tax, 1)
	c.share("money.card_fee", m.CardFee, 1)
	if m.ValidDays < 1 {
		c.report("money.valid_days", "count", "write for how many days a quote holds, at least 1", "a quote holds for no day")
	}
	if m.SpareFrom < 0 {
		c.report("money.spare_from", "count", "write a quantity, or 0 for no such rule", "it is negative")
	}
	c.discounts(m)
}

// overheadMost is tenfold the cost: more is a slip of the decimal point.
const overheadMost = 10

func (c *checker) discounts(m Money) {
	for i, r := range m.Rush {
		if r.Days < 0 {
			c.report(fmt.Sprintf("money.rush[%d].days", i), "count", "write working days, 0 for the same day", "days are negative")
		}
		c.share(fmt.Sprintf("money.rush[%d].share", i), r.Share, overheadMost)
	}
	for i, b := range m.Breaks {
		at := fmt.Sprintf("money.breaks[%d]", i)
		if b.From < 1 || i > 0 && b.From <= m.Breaks[i-1].From {
			c.report(at+".from", "order", "write rising quantities", "quantity %d does not rise", b.From)
		}
		if b.Discount < 0 || b.Discount >= 1 {
			c.report(at+".discount", "share", "write a share from 0 to below 100 %", "discount is out of range")
		}
	}
	for i, q := range m.ShowAt {
		if q < 1 {
			c.report(fmt.Sprintf("money.show_at[%d]", i), "count", "write a quantity of at least 1", "quantity %d can't be ordered", q)
		}
	}
}

func (c *checker) stock() {
	p := c.profile
	ids := map[string]bool{}
	for i, item := range p.Stock {
		at := func(field string) string { return fmt.Sprintf("stock[%d].%s", i, field) }
		c.price(at("price"), item.Price)
		c.have(at("have"), item.Have)
		if item.Uses < 1 {
			c.report(at("uses"), "count", "write how often one can be used, at least 1", "%q can be used %d times", item.ID, item.Uses)
		}
		if ids[item.ID] {
			c.report(at("id"), "duplicate", "make one of the two", "stock %q is given twice", item.ID)
		}
		ids[item.ID] = true
	}
	for i, t := range p.Toner {
		at := func(field string) string { return fmt.Sprintf("toner[%d].%s", i, field) }
		c.price(at("price"), t.Price)
		c.positive(at("yield"), t.Yield)
		c.positive(at("at"), float64(t.At))
		c.share(at("at"), t.At, 1)
		key := "toner " + t.Set + " " + t.Channel
		if ids[key] {
			c.report(at("channel"), "duplicate", "make one of the two", "channel %q of the %s set is given twice", t.Channel, t.Set)
		}
		ids[key] = true
	}
	for i, b := range p.Blanks {
		c.blank(fmt.Sprintf("blanks[%d]", i), b, ids)
	}
}

func (c *checker) blank(at string, b Blank, seen map[string]bool) {
	if !b.Price.IsPositive() {
		c.report(at+".price", "price", "write what one costs the shop; leave out a blank whose price isn't known", "%q has no price above zero", b.Item)
	}
	for _, size := range slices.Sorted(maps.Keys(b.Extra)) {
		c.price(at+".extra."+size, b.Extra[size])
	}
	c.have(at+".have", b.Have)
	if b.LeadDays < 0 {
		c.report(at+".lead_days", "count", "write working days, 0 where it is in stock", "days are negative")
	}
	key := "blank " + b.Item + " " + b.Group
	if seen[key] {
		c.report(at+".item", "duplicate", "make one of the two, or tell them apart by group", "%q of group %q is given twice", b.Item, b.Group)
	}
	seen[key] = true
}

func (c *checker) have(path string, n int) {
	if n < Uncounted {
		c.report(path, "count", "write how many are there, or leave it out", "a stock of %d", n)
	}
}

func (c *checker) price(path string, v decimal.Decimal) {
	if v.IsNegative() {
		c.report(path, "price", "write what it costs, 0 or more", "price %s is negative", v)
	}
}

func (c *checker) positive(path string, x float64) {
	if !(x > 0) {
		c.report(path, "number", "write a number above 0", "%s is not above zero", lastStep(path))
	}
}

func (c *checker) notNegative(path string, x float64) {
	if x < 0 {
		c.report(path, "number", "write 0 or more", "%s is negative", lastStep(path))
	}
}

func (c *checker) share(path string, s, most unit.Share) {
	if s < 0 || s > most {
		c.report(path, "share", fmt.Sprintf("write a share from 0 to %s", unit.Style{}.Percent(most)), "%s is out of range", lastStep(path))
	}
}

func lastStep(path string) string { return path[strings.LastIndex(path, ".")+1:] }
