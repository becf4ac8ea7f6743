package answer

import (
	"fmt"
	"time"

	"github.com/shopspring/decimal"

	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// ratesOf turns the shop profile into what the price planner reads.
func ratesOf(base *knowledge.Base, p *shop.Profile) (price.Rates, error) {
	currency, err := price.CurrencyOf(p.Money.Currency)
	if err != nil {
		return price.Rates{}, fmt.Errorf("shop profile: money.currency: %w", err)
	}
	page, _ := sheet.Known("a4") // the page of the yield standard
	r := price.Rates{
		Currency: currency, LabourPerHour: p.Money.Labour,
		Allowance:    price.Allowance{Share: p.Work.Allowance},
		EnergyPerKWh: p.Money.EnergyKWh,
		Page:         price.Page{Width: page.Width, Height: page.Height},
		Overhead:     price.Overhead{Share: p.Money.Overhead},
		Setup:        p.Money.Setup, Minimum: p.Money.Minimum, Tax: p.Money.Tax,
		Card:     price.CardFee{Share: p.Money.CardFee, Charged: true},
		Spoilage: p.Spoilage, Confidence: p.Confidence, SpareFrom: p.Money.SpareFrom,
		SpareRule: price.SpareRule(p.Money.SpareRule), ValidDays: p.Money.ValidDays,
	}
	switch {
	case p.Money.Markup > 0:
		r.Gain = price.Gain{By: price.ByMarkup, Share: p.Money.Markup}
	default:
		r.Gain = price.Gain{By: price.ByMargin, Share: p.Money.Margin}
	}
	if len(p.Money.Breaks) > 0 {
		r.Breaks.Kind = price.FromTable
		for _, b := range p.Money.Breaks {
			r.Breaks.At = append(r.Breaks.At, price.Break{Quantity: b.From, Discount: b.Discount})
		}
	}
	for _, x := range p.Money.Rush {
		r.Rush = append(r.Rush, price.RushShare{Within: x.Days - 1, Share: x.Share}) // inside two working days: tomorrow at the latest
	}
	for _, x := range p.Presses {
		r.Machines = append(r.Machines, price.Machine{
			Name: x.Name, Press: true, Price: x.Price,
			Life: years(x.LifeHours, x.HoursYear), Upkeep: x.UpkeepYear, Hours: decimal.NewFromFloat(x.HoursYear),
			Power: decimal.NewFromFloat(x.Power / wattsPerKilowatt), Duty: x.Duty,
		})
	}
	for _, id := range p.Methods {
		m, ok := base.Method(id)
		if !ok {
			continue
		}
		r.Methods = append(r.Methods, methodRates(m, p))
	}
	return r, nil
}

const wattsPerKilowatt = 1000

func years(life, perYear float64) decimal.Decimal {
	if perYear <= 0 {
		return decimal.Zero
	}
	return decimal.NewFromFloat(life / perYear).Round(4)
}

// methodRates is what one printed sheet, and one piece, of a method uses up.
func methodRates(m *knowledge.Method, p *shop.Profile) price.Method {
	out := price.Method{ID: m.ID, Dye: m.TonerSet == "dye"}
	for _, id := range m.Stock {
		for _, s := range p.Stock {
			if s.ID != id {
				continue
			}
			if s.Uses > 1 {
				out.Covers = append(out.Covers, price.Cover{Name: s.ID, Price: s.Price, Uses: s.Uses, PerPiece: 1})
			} else {
				out.Sheets = append(out.Sheets, price.Sheet{Name: s.ID, Price: s.Price})
			}
		}
	}
	for _, t := range p.Toner {
		if t.Set != m.TonerSet || m.TonerSet == "" {
			continue
		}
		source := price.ByShop
		if !t.Measured {
			source = price.ByStandard
		}
		out.Toner = append(out.Toner, price.Cartridge{Channel: t.Channel, Price: t.Price, Yield: int(t.Yield), AtCoverage: t.At, Source: source})
	}
	return out
}

// pressShop turns the shop profile into what the press planner reads.
func pressShop(p *shop.Profile) press.Shop {
	out := press.Shop{Zone: p.Zone, Rack: p.Rack, Allowance: p.Work.Allowance}
	for day, spans := range p.Hours {
		for _, s := range spans {
			out.Hours[day] = append(out.Hours[day], clockSpan(s))
		}
	}
	for _, d := range p.Closed {
		if t, err := time.Parse(time.DateOnly, d); err == nil {
			out.Closed = append(out.Closed, press.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()})
		}
	}
	for i := range p.People {
		person := press.Person{Name: fmt.Sprintf("person %d", i+1)}
		for _, b := range p.Breaks {
			span := clockSpan(b.Span)
			if b.InTurn { // one goes on while the other rests
				length := span.To - span.From
				span.From += press.Clock(i) * length
				span.To += press.Clock(i) * length
			}
			person.Breaks = append(person.Breaks, span)
		}
		out.People = append(out.People, person)
	}
	for _, x := range p.Presses {
		out.Presses = append(out.Presses, press.Press{
			Name: x.Name, Kind: x.Kind, OpensItself: x.OpensItself, Offset: unit.Temperature(x.Offset),
			HeatRate: x.Heat, CoolRate: x.Cool, Rest: x.Rest, Max: x.Max,
		})
	}
	for _, x := range p.Printers {
		out.Printers = append(out.Printers, press.Printer{Name: x.Name, FirstPage: x.FirstPage, Changeover: x.Changeover, Loaded: x.Loaded})
	}
	return out
}

func clockSpan(s shop.Span) press.Span {
	return press.Span{From: press.At(s.From/60, s.From%60), To: press.At(s.To/60, s.To%60)}
}

// sheetNamed returns a named sheet size.
func sheetNamed(name string) (sheet.Sheet, bool) { return sheet.Known(name) }

// sheetsOf returns the sheets of the shop's printers, with their margins.
func sheetsOf(p *shop.Profile) []sheet.Sheet {
	var out []sheet.Sheet
	for _, pr := range p.Printers {
		for _, name := range pr.Sheets {
			if s, ok := sheet.Known(name); ok {
				s.Margin, s.Gap = pr.Margin, pr.Gap
				out = append(out, s)
			}
		}
	}
	return out
}
