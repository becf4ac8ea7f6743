package price

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"presshand/planner"
	"presshand/planner/unit"
)

// The sources a step may name.
const (
	fromShop     = "shop profile"
	fromWork     = "the plan's step times"
	fromBinomial = "exact binomial (W. Feller, An Introduction to Probability Theory, vol. 1, VI)"
	fromRate     = "definition of the cost accounting texts, straight-line depreciation"
	fromILO      = "G. Kanawaty (ed.), Introduction to Work Study, 4th ed., ILO 1992: allowances on hands-on time only"
)

// Steps opens the quote to its arithmetic, in the order it was worked: pieces
// to make, rates, what is used up, cost, price, total.
func (p Plan) Steps() []planner.Step {
	var out []planner.Step
	out = append(out, p.makeSteps()...)
	out = append(out, p.sheetSteps()...)
	out = append(out, p.rateSteps()...)
	for i := range p.Charges {
		out = append(out, p.chargeStep(&p.Charges[i]))
	}
	out = append(out, p.spoilageStep(), p.costStep())
	for i := range p.Lines {
		out = append(out, p.priceStep(i))
	}
	out = append(out, p.subtotalStep())
	out = append(out, p.extraSteps()...)
	return append(out, p.totalSteps()...)
}

// Words is the charge in words: "26 sheets at 1.95 = 50.70".
func (c *Charge) Words(cur Currency) string {
	return c.product(cur, c.Count) + " = " + cur.Format(c.Amount)
}

// product is the charge's arithmetic without its result: "26 sheets at 1.95".
func (c *Charge) product(cur Currency, count decimal.Decimal) string {
	if c.Unit == directCost {
		return percent(c.Rate) + " of " + cur.Format(count)
	}
	return counted(count, c.Unit) + " at " + rateText(c.Rate, cur)
}

// counted writes a count with its unit, in the singular for one.
func counted(n decimal.Decimal, unit string) string {
	if n.Equal(decimal.NewFromInt(1)) {
		unit = strings.TrimSuffix(unit, "s")
	}
	return trimmed(n) + " " + unit
}

// rateText writes a rate with the currency's places, and more where it has
// more.
func rateText(r decimal.Decimal, cur Currency) string {
	if s := r.StringFixed(cur.Places); decimal.RequireFromString(s).Equal(r) {
		return s
	}
	return trimmed(r)
}

func trimmed(d decimal.Decimal) string {
	s := d.String()
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

func percent(share decimal.Decimal) string { return trimmed(share.Shift(2)) + " %" }

func (p *Plan) makeSteps() []planner.Step {
	r := &p.From.Rates
	inputs := []planner.Input{
		{Name: "pieces ordered", Value: strconv.Itoa(p.pieces())},
		{Name: "spoilage", Value: percent(written(r.Spoilage))},
		{Name: "wanted chance", Value: percent(written(r.Confidence))},
	}
	formula := "smallest n with P(at least the ordered number good) >= wanted chance"
	if r.SpareFrom > 0 {
		formula += "; at least one spare from " + strconv.Itoa(r.SpareFrom) + " pieces on"
	}
	return []planner.Step{
		{Name: "pieces to make", Formula: formula, Inputs: inputs, Source: fromBinomial,
			Result: fmt.Sprintf("%d pieces, %d spare; the chance that they are enough is %.1f %%", p.Make, p.Spares.Prints, 100*p.Spares.ChanceEnough)},
		p.spareStep("spare blanks by size", BySize, p.Spares.BySize),
		p.spareStep("spare blanks in the two commonest sizes", Commonest, p.Spares.Commonest),
	}
}

func (p *Plan) spareStep(name string, rule SpareRule, s SpareBlanks) planner.Step {
	step := planner.Step{Name: name, Formula: "each size by its own spares, so that the wanted chance holds for all sizes together", Source: fromBinomial}
	if rule == Commonest {
		step.Formula, step.Source = "as many as spare prints, in the two commonest sizes", fromShop
	}
	for _, one := range s.Sizes {
		step.Inputs = append(step.Inputs, planner.Input{Name: strings.TrimSpace(fmt.Sprintf("line %d %s %s", one.Line, one.Colour, one.Size)), Value: strconv.Itoa(one.Count)})
	}
	step.Result = fmt.Sprintf("%d blanks; the chance that every size has enough is %.1f %%", s.Count, 100*s.ChanceEnough)
	if p.Spares.Rule == rule {
		step.Result += "; this rule is charged"
	}
	return step
}

// sheetSteps says how many sheets each line's pieces take.
func (p *Plan) sheetSteps() []planner.Step {
	var out []planner.Step
	for i, l := range p.Lines {
		step := planner.Step{
			Name: fmt.Sprintf("sheets, line %d", i+1), Formula: "as the layout comes out for the pieces to make", Source: "the sheet plan",
			Inputs: []planner.Input{{Name: "pieces to make", Value: strconv.Itoa(l.Make)}}, Result: strconv.Itoa(l.Sheets) + " sheets",
		}
		if given := &p.From.Lines[i]; given.Sheets == nil && given.PerSheet > 0 && l.Sheets == (l.Make+given.PerSheet-1)/given.PerSheet {
			step.Formula, step.Source = "ceil(pieces / pieces a sheet)", ""
			step.Inputs = append(step.Inputs, planner.Input{Name: "pieces a sheet", Value: strconv.Itoa(given.PerSheet)})
		}
		out = append(out, step)
	}
	return out
}

// rateSteps shows how the rates in use were built up.
func (p *Plan) rateSteps() []planner.Step {
	var out []planner.Step
	r, cur := &p.From.Rates, p.Currency
	for i := range r.Machines {
		m := &r.Machines[i]
		if !m.PerHour.IsZero() || !p.uses(MachinePart, m.Name) {
			continue
		}
		out = append(out, planner.Step{
			Name: "hour on the " + m.Name, Formula: "((price - residual) / life + upkeep + space) / productive hours", Source: fromRate,
			Inputs: []planner.Input{
				{Name: "price", Value: rateText(m.Price, cur)}, {Name: "residual", Value: rateText(m.Residual, cur)},
				{Name: "life", Value: trimmed(m.Life) + " years"}, {Name: "upkeep", Value: rateText(m.Upkeep, cur) + " a year"},
				{Name: "space", Value: rateText(m.Space, cur) + " a year"}, {Name: "productive hours", Value: trimmed(m.Hours) + " a year"},
			},
			Result: rateText(MachineHourRate(*m, cur.Places+ratePlaces), cur) + " an hour",
		})
	}
	seen := map[string]bool{}
	for _, l := range p.Lines {
		if !seen[l.Method] {
			seen[l.Method] = true
			out = append(out, p.methodSteps(r.method(l.Method))...)
		}
	}
	return out
}

func (p *Plan) uses(part Part, name string) bool {
	for i := range p.Charges {
		if p.Charges[i].Part == part && p.Charges[i].Name == name {
			return true
		}
	}
	return false
}

func (p *Plan) methodSteps(m *Method) []planner.Step {
	var out []planner.Step
	cur := p.Currency
	for _, c := range m.Covers {
		out = append(out, planner.Step{
			Name: "use of a " + c.Name, Formula: "price / uses", Source: fromShop,
			Inputs: []planner.Input{{Name: "price", Value: rateText(c.Price, cur)}, {Name: "uses", Value: strconv.Itoa(c.Uses)}},
			Result: rateText(c.Price.DivRound(decimal.NewFromInt(int64(c.Uses)), cur.Places+ratePlaces), cur) + " a use",
		})
	}
	for _, c := range m.Toner {
		if !p.uses(Toner, c.Channel) {
			continue
		}
		source := "yield by " + string(ByStandard)
		if c.Source == ByShop {
			source = "yield counted by the shop; no standard covers white or dye toner"
		}
		out = append(out, planner.Step{
			Name: "page of " + channelName(c.Channel) + " toner", Formula: "cartridge price / yield", Source: source,
			Inputs: []planner.Input{
				{Name: "cartridge price", Value: rateText(c.Price, cur)},
				{Name: "yield", Value: fmt.Sprintf("%d pages at %s cover", c.Yield, percent(written(c.AtCoverage)))},
			},
			Result: rateText(c.Price.DivRound(decimal.NewFromInt(int64(c.Yield)), cur.Places+ratePlaces), cur) + " a page",
		})
	}
	return out
}

// chargeStep opens one charge.
func (p *Plan) chargeStep(c *Charge) planner.Step {
	cur := p.Currency
	step := planner.Step{
		Name: p.chargeTitle(c), Formula: c.product(cur, c.Count), Result: cur.Format(c.Amount) + " " + cur.Code,
		Inputs: p.chargeInputs(c), Source: fromShop,
	}
	if !c.WithSpares.Equal(c.Amount) {
		step.Inputs = append(step.Inputs, planner.Input{Name: "with the spares", Value: c.product(cur, c.Made) + " = " + cur.Format(c.WithSpares)})
	}
	switch {
	case c.Part == Labour && c.Batch == 0:
		step.Source = fromILO
	case c.Part == MachinePart || c.Part == Energy:
		step.Source = fromWork
	}
	return step
}

// chargeTitle names a charge, with its line where there are several.
func (p *Plan) chargeTitle(c *Charge) string {
	if len(p.Lines) == 1 || c.Line == 0 {
		return chargeName(c)
	}
	return fmt.Sprintf("%s, line %d", chargeName(c), c.Line)
}

// spoilagePart is the part of a cost that spares make.
const spoilagePart Part = "spoilage"

// spoilWords is what the spares add to a charge: "43.40 - 37.20 = 6.20".
func (p *Plan) spoilWords(c *Charge) string {
	f := p.Currency.Format
	return f(c.WithSpares) + " - " + f(c.Amount) + " = " + f(c.WithSpares.Sub(c.Amount))
}

// spoilageStep sums what the spares add.
func (p *Plan) spoilageStep() planner.Step {
	step := planner.Step{Name: string(spoilagePart), Formula: "sum of (with the spares - for the ordered pieces)", Result: p.Currency.Format(p.Cost.Spoilage) + " " + p.Currency.Code}
	for i := range p.Charges {
		if c := &p.Charges[i]; !c.WithSpares.Equal(c.Amount) {
			step.Inputs = append(step.Inputs, planner.Input{Name: p.chargeTitle(c), Value: p.spoilWords(c)})
		}
	}
	return step
}

func chargeName(c *Charge) string {
	switch {
	case c.Batch > 0 && c.Part == MachinePart:
		return c.Name + ", machine time"
	case c.Batch > 0 && c.Part != Labour:
		return c.Name + ", " + string(c.Part)
	case c.Part == Blanks && c.Name == "":
		return "blanks"
	case c.Part == Blanks:
		return "blanks " + c.Name
	case c.Part == Toner:
		return channelName(c.Name) + " toner"
	case c.Part == Energy:
		return "energy of the " + c.Name
	case c.Part == MachinePart:
		return "time on the " + c.Name
	}
	return c.Name
}

// channelName is a channel as people say it.
func channelName(channel string) string {
	switch channel {
	case "c":
		return "cyan"
	case "m":
		return "magenta"
	case "y":
		return "yellow"
	case "k":
		return "black"
	}
	return channel
}

// chargeInputs says where a charge's count comes from.
func (p *Plan) chargeInputs(c *Charge) []planner.Input {
	switch {
	case c.Batch > 0:
		return p.batchInputs(c)
	case c.Line == 0:
		return nil
	}
	l := &p.From.Lines[c.Line-1]
	switch {
	case c.Part == Toner:
		return p.tonerInputs(c, l)
	case c.Part == Labour, c.Part == OverheadPart && c.Unit != directCost:
		return append(p.workInputs(l.Hands, c.Line), p.allowanceInput()...)
	case c.Part == MachinePart || c.Part == Energy:
		var runs []Work
		for _, w := range l.Runs {
			if w.Name == c.Name {
				runs = append(runs, w)
			}
		}
		return p.workInputs(runs, c.Line)
	}
	return nil
}

// batchInputs says what part of a batch the order is.
func (p *Plan) batchInputs(c *Charge) []planner.Input {
	for _, swap := range p.From.Changeovers {
		if swap.Name == c.Name {
			return []planner.Input{{Name: "shared over the batch", Value: fmt.Sprintf("%d of %d pieces", c.Batch-swap.OtherPieces, c.Batch)}}
		}
	}
	return nil
}

func (p *Plan) tonerInputs(c *Charge, l *Line) []planner.Input {
	inputs := []planner.Input{{Name: "pieces", Value: strconv.Itoa(l.Quantity)}}
	page, at := p.From.Rates.Page, unit.Share(0)
	for _, cartridge := range p.From.Rates.method(l.Method).Toner {
		if cartridge.Channel == c.Name {
			at = cartridge.AtCoverage
		}
	}
	yielded := area(page.Width, page.Height).Mul(written(at))
	for _, print := range l.Prints {
		known := "assumed"
		if print.Measured {
			known = "measured"
		}
		for _, cover := range print.Coverage {
			if cover.Channel != c.Name {
				continue
			}
			inputs = append(inputs, planner.Input{
				Name: strings.TrimSpace("pages a piece, " + print.Spot),
				Value: fmt.Sprintf("(%.6g x %.6g mm x %s, %s) / (%.6g x %.6g mm x %s) = %s",
					print.Width.MM(), print.Height.MM(), percent(written(cover.Share)), known, page.Width.MM(), page.Height.MM(), percent(written(at)),
					trimmed(area(print.Width, print.Height).Mul(written(cover.Share)).DivRound(yielded, countPlaces))),
			})
		}
	}
	return inputs
}

// workInputs lists the step times that a line's hours are the sum of.
func (p *Plan) workInputs(work []Work, line int) []planner.Input {
	l := &p.Lines[line-1]
	inputs := []planner.Input{{Name: "pieces", Value: strconv.Itoa(l.Quantity)}}
	for _, w := range work {
		var parts []string
		for _, one := range [...]struct {
			s   float64
			per string
		}{{w.PerLine.S(), "once"}, {w.PerSheet.S(), "a sheet"}, {w.PerPiece.S(), "a piece"}} {
			if one.s > 0 {
				parts = append(parts, fmt.Sprintf("%.6g s %s", one.s, one.per))
			}
		}
		if len(parts) > 0 {
			inputs = append(inputs, planner.Input{Name: w.Name, Value: strings.Join(parts, ", ")})
		}
	}
	return inputs
}

// allowanceInput names the allowance with the time it is a share of.
func (p *Plan) allowanceInput() []planner.Input {
	a := p.From.Rates.Allowance
	if a.Share == 0 {
		return nil
	}
	base := "of work time"
	if a.Of == OfShift {
		base = "of the shift"
	}
	return []planner.Input{{Name: "allowance on hands-on time", Value: percent(written(a.Share)) + " " + base}}
}

// parts lists a cost by part, as it is read out.
func (c Cost) parts() []struct {
	name   string
	amount decimal.Decimal
} {
	return []struct {
		name   string
		amount decimal.Decimal
	}{
		{"blanks", c.Blanks}, {"sheets", c.Sheets}, {"toner", c.Toner}, {"labour", c.Labour}, {"machine", c.Machine},
		{"energy", c.Energy}, {"spoilage", c.Spoilage}, {"overhead", c.Overhead},
	}
}

func (p *Plan) costStep() planner.Step {
	step := planner.Step{Name: "cost", Result: p.Currency.Format(p.Cost.Total()) + " " + p.Currency.Code}
	var terms []string
	for _, part := range p.Cost.parts() {
		step.Inputs = append(step.Inputs, planner.Input{Name: part.name, Value: p.Currency.Format(part.amount)})
		terms = append(terms, part.name)
	}
	step.Formula = strings.Join(terms, " + ")
	return step
}

func (p *Plan) priceStep(i int) planner.Step {
	l, g, f := &p.Lines[i], p.From.Rates.Gain, p.Currency.Format
	share := percent(written(g.Share))
	step := planner.Step{
		Name: fmt.Sprintf("price each, line %d", i+1), Source: fromShop, Result: f(l.PriceEach) + " " + p.Currency.Code,
		Inputs: []planner.Input{
			{Name: "cost of the line", Value: f(l.PricedOn)}, {Name: "pieces", Value: strconv.Itoa(l.PricedAt)}, {Name: string(g.By), Value: share},
		},
	}
	if l.PricedAt == l.Quantity && !l.Shared.IsZero() {
		step.Inputs = append(step.Inputs, planner.Input{Name: "of it shared with the order", Value: f(l.Shared)})
	}
	if g.By == ByMarkup {
		step.Formula = fmt.Sprintf("%s / %d x (1 + %s)", f(l.PricedOn), l.PricedAt, share)
	} else {
		step.Formula = fmt.Sprintf("%s / %d / (1 - %s)", f(l.PricedOn), l.PricedAt, share)
	}
	return step
}

func (p *Plan) subtotalStep() planner.Step {
	f := p.Currency.Format
	var terms []string
	step := planner.Step{Name: "subtotal", Result: f(p.Subtotal) + " " + p.Currency.Code}
	for i, l := range p.Lines {
		said := fmt.Sprintf("%d at %s", l.Quantity, f(l.PriceEach))
		terms = append(terms, said)
		step.Inputs = append(step.Inputs, planner.Input{Name: fmt.Sprintf("line %d", i+1), Value: said + " = " + f(l.PriceTotal)})
	}
	step.Formula = strings.Join(terms, " + ")
	return step
}

// extraSteps opens each amount between subtotal and total.
func (p *Plan) extraSteps() []planner.Step {
	r, f := &p.From.Rates, p.Currency.Format
	designs := 0
	for i := range p.From.Lines {
		designs += p.From.Lines[i].Designs
	}
	net := decimal.Sum(p.Subtotal, p.Setup, p.Rush).Sub(p.Discount)
	topped := net.Add(p.MinimumTopup)
	of := func(s unit.Share, d decimal.Decimal) string {
		return percent(written(s)) + " of " + f(d)
	}
	words := map[string]string{
		"discount":                of(r.Breaks.discount(p.pieces()), p.Subtotal),
		"set-up":                  counted(decimal.NewFromInt(int64(designs)), "designs") + " at " + f(r.Setup),
		"rush":                    of(rushShare(p.From), p.Subtotal),
		"up to the minimum order": f(r.Minimum) + " - " + f(net),
		"tax":                     of(r.Tax, topped),
		"card fee":                p.cardWords(topped.Add(p.Tax)),
	}
	var out []planner.Step
	for _, one := range p.extras() {
		if !one.amount.IsZero() {
			out = append(out, planner.Step{Name: one.name, Formula: words[one.name], Result: f(one.amount) + " " + p.Currency.Code, Source: fromShop})
		}
	}
	return out
}

// cardWords is a card fee that is taken of the whole payment, itself included.
func (p *Plan) cardWords(rest decimal.Decimal) string {
	c, f := p.From.Rates.Card, p.Currency.Format
	return fmt.Sprintf("(%s + %s) / (1 - %s) - %s", f(rest), f(c.Fixed), percent(written(c.Share)), f(rest))
}

func (p *Plan) totalSteps() []planner.Step {
	f, code := p.Currency.Format, " "+p.Currency.Code
	sum, added := f(p.Subtotal), []planner.Input{{Name: "subtotal", Value: f(p.Subtotal)}}
	for _, one := range p.extras() {
		if one.amount.IsZero() {
			continue
		}
		sum += " " + one.sign + " " + f(one.amount)
		added = append(added, planner.Input{Name: one.name, Value: f(one.amount)})
	}
	out := []planner.Step{
		{Name: "total", Formula: sum, Inputs: added, Result: f(p.Total) + code, Source: fromShop},
		p.profitStep(),
	}
	if p.PressHours.IsPositive() {
		out = append(out, planner.Step{
			Name: "profit per press hour", Formula: f(p.Profit) + " / " + trimmed(p.PressHours) + " h",
			Inputs: []planner.Input{{Name: "profit", Value: f(p.Profit)}, {Name: "press hours", Value: trimmed(p.PressHours)}},
			Result: f(p.ProfitPerPressHour) + code,
		})
	}
	return out
}

// profitStep is what stays of the price before tax and card fee.
func (p *Plan) profitStep() planner.Step {
	f := p.Currency.Format
	net := decimal.Sum(p.Subtotal, p.Setup, p.Rush, p.MinimumTopup).Sub(p.Discount)
	step := planner.Step{
		Name: "profit", Formula: f(net) + " - " + f(p.Cost.Total()), Result: f(p.Profit) + " " + p.Currency.Code,
		Inputs: []planner.Input{{Name: "price before tax and card fee", Value: f(net)}, {Name: "cost", Value: f(p.Cost.Total())}},
	}
	if !p.CardCost.IsZero() {
		step.Formula += " - " + f(p.CardCost)
		step.Inputs = append(step.Inputs, planner.Input{Name: "card fee borne by the shop", Value: f(p.CardCost)})
	}
	return step
}

// An extra is one amount between subtotal and total.
type extra struct {
	name, sign string
	amount     decimal.Decimal
}

func (p *Plan) extras() []extra {
	return []extra{
		{"discount", "-", p.Discount}, {"set-up", "+", p.Setup}, {"rush", "+", p.Rush}, {"up to the minimum order", "+", p.MinimumTopup},
		{"tax", "+", p.Tax}, {"card fee", "+", p.CardFee},
	}
}
