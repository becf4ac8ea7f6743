package price

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// CustomerText is the quote as it may be sent to the customer: prices, what
// the larger order costs, how long it holds. It holds no cost, margin or
// profit.
func CustomerText(p Plan) string {
	f := p.Currency.Format
	var b strings.Builder
	for _, l := range p.Lines {
		fmt.Fprintf(&b, "%s: %s each, %s.\n", pieces(l.Quantity, l.Colour, l.Item), f(l.PriceEach), f(l.PriceTotal))
	}
	for _, one := range p.extras() {
		switch {
		case one.amount.IsZero():
		case one.sign == "-":
			fmt.Fprintf(&b, "Less %s: %s.\n", one.name, f(one.amount))
		default:
			fmt.Fprintf(&b, "%s: %s.\n", strings.ToUpper(one.name[:1])+one.name[1:], f(one.amount))
		}
	}
	fmt.Fprintf(&b, "In all %s %s.\n", f(p.Total), p.Currency.Code)
	b.WriteString(p.FallText())
	after := ""
	if p.From.Rates.Breaks.Kind == FromTable {
		after = " after the discount"
	}
	for _, at := range p.Breaks {
		if at.Quantity > p.pieces() {
			fmt.Fprintf(&b, "At %d: %s each%s.\n", at.Quantity, f(at.PriceEach), after)
		}
	}
	for _, l := range p.Lines {
		if l.AskSpare > 0 {
			fmt.Fprintf(&b, "Please bring %d spare with your own %s: a print can fail.\n", l.AskSpare, pieces(l.Quantity, l.Colour, l.Item))
		}
	}
	if ready, err := time.Parse(time.RFC3339, p.ReadyAt); err == nil {
		fmt.Fprintf(&b, "Ready %s.\n", ready.Format("Monday, January 2, 3:04 pm"))
	}
	if until, err := time.Parse(time.DateOnly, p.ValidUntil); err == nil {
		fmt.Fprintf(&b, "This price holds until %s.\n", until.Format("January 2, 2006"))
	}
	return b.String()
}

// FallText says which larger order costs less in all; "" where none does.
func (p *Plan) FallText() string {
	if len(p.Falls) == 0 {
		return ""
	}
	f := p.Falls[0]
	more, verb := strconv.Itoa(f.To), "costs"
	if l := &p.Lines[f.Line-1]; len(p.Lines) > 1 {
		more, verb = pieces(f.To, l.Colour, l.Item), "cost"
	}
	return fmt.Sprintf("%s %s less than %d: %s in all.\n", more, verb, f.From, p.Currency.Format(f.Total))
}

// pieces is the ordered quantity over all lines.
func (p *Plan) pieces() int {
	n := 0
	for _, l := range p.Lines {
		n += l.Quantity
	}
	return n
}

// pieces reads "24 black tees"; items come in the singular.
func pieces(n int, colour, item string) string {
	if n != 1 {
		item = plural(item)
	}
	return strings.Join(strings.Fields(strconv.Itoa(n)+" "+colour+" "+item), " ")
}

// plural forms the regular English plural.
func plural(item string) string {
	last := item[max(0, len(item)-1):]
	switch {
	case item == "":
		return ""
	case strings.Contains("sxz", last), strings.HasSuffix(item, "ch"), strings.HasSuffix(item, "sh"):
		return item + "es"
	case last == "y" && len(item) > 1 && !strings.ContainsAny(item[len(item)-2:len(item)-1], "aeiou"):
		return item[:len(item)-1] + "ies"
	}
	return item + "s"
}

// A Row is one line of the inner sheet.
type Row struct {
	Name   string `json:"name"`
	Detail string `json:"detail"` // the arithmetic in words
	Amount string `json:"amount"` // with the currency's places; "" where the row is no money
}

// InnerSheet is the quote as the shop sees it: cost by part, price, profit,
// margin, spares, risks. It is not for the customer.
func InnerSheet(p Plan) []Row {
	f := p.Currency.Format
	var rows []Row
	for _, part := range p.Cost.parts() {
		rows = append(rows, Row{Name: part.name, Detail: p.partDetail(Part(part.name)), Amount: f(part.amount)})
	}
	cost := p.Cost.Total()
	net := decimal.Sum(p.Subtotal, p.Setup, p.Rush, p.MinimumTopup).Sub(p.Discount)
	rows = append(rows, Row{Name: "cost", Amount: f(cost)}, Row{Name: "price before tax and card fee", Amount: f(net)})
	if !p.CardCost.IsZero() {
		rows = append(rows, Row{Name: "card fee borne by the shop", Amount: f(p.CardCost)})
	}
	rows = append(rows, Row{Name: "profit", Detail: gainWords(p.Profit, net, cost), Amount: f(p.Profit)})
	if p.PressHours.IsPositive() {
		rows = append(rows, Row{Name: "profit per press hour", Detail: hours(p.PressHours) + " on the presses, " + hours(p.HandsOn) + " hands-on", Amount: f(p.ProfitPerPressHour)})
	}
	rows = append(rows, Row{Name: "total", Detail: "with tax and card fee", Amount: f(p.Total)})
	rows = append(rows, p.spareRows()...)
	for _, r := range p.Risks {
		rows = append(rows, Row{Name: "risk", Detail: r})
	}
	for _, a := range p.Assumptions {
		rows = append(rows, Row{Name: "assumed", Detail: a})
	}
	return rows
}

// partDetail lists the charges of a part in words.
func (p *Plan) partDetail(part Part) string {
	var words []string
	for i := range p.Charges {
		c := &p.Charges[i]
		switch {
		case c.Part == part && c.Amount.IsPositive():
			words = append(words, p.chargeTitle(c)+": "+c.Words(p.Currency))
		case part == spoilagePart && c.WithSpares.GreaterThan(c.Amount):
			words = append(words, p.chargeTitle(c)+": "+p.spoilWords(c))
		}
	}
	return strings.Join(words, "; ")
}

// gainWords gives a profit both ways, so that margin and markup are not
// mistaken for each other.
func gainWords(profit, net, cost decimal.Decimal) string {
	if !net.IsPositive() || !cost.IsPositive() {
		return ""
	}
	return fmt.Sprintf("margin %s of the price, markup %s of the cost",
		percent(profit.DivRound(net, 3)), percent(profit.DivRound(cost, 3)))
}

func hours(h decimal.Decimal) string { return h.StringFixed(2) + " h" }

func (p *Plan) spareRows() []Row {
	rows := []Row{{Name: "make", Detail: fmt.Sprintf("%d pieces, %d spare prints; enough with %.1f %%; check the first piece before the rest", p.Make, p.Spares.Prints, 100*p.Spares.ChanceEnough)}}
	for _, one := range [...]struct {
		rule  SpareRule
		spare SpareBlanks
	}{{BySize, p.Spares.BySize}, {Commonest, p.Spares.Commonest}} {
		var sizes []string
		for _, s := range one.spare.Sizes {
			sizes = append(sizes, strings.Join(strings.Fields(strconv.Itoa(s.Count)+" "+s.Colour+" "+s.Size), " "))
		}
		detail := fmt.Sprintf("%d: %s; enough with %.1f %%", one.spare.Count, strings.Join(sizes, ", "), 100*one.spare.ChanceEnough)
		if one.spare.Count == 0 {
			detail = "none"
		}
		if one.rule == p.Spares.Rule {
			detail += "; this rule is charged"
		}
		rows = append(rows, Row{Name: "spare blanks, " + string(one.rule), Detail: detail})
	}
	return rows
}
