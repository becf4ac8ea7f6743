package price_test

import (
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"

	"presshand/planner/price"
	"presshand/planner/unit"
)

// Markup and margin of the same price. Sources beside the rows.
func TestMarkupAndMargin(t *testing.T) {
	for _, row := range []struct {
		source         string
		cost, price    string
		markup, margin float64 // per cent
	}{
		{"accountantskills.com, worked example", "200", "300", 50, 33.33},
		{"accounting help note, worked example", "8", "10", 25, 20},
		{"definition", "12", "20", 66.67, 40},
	} {
		cost := d(row.cost)
		for _, g := range []price.Gain{{By: price.ByMargin, Share: margin(t, row.cost, row.price)}, {By: price.ByMarkup, Share: markup(row.cost, row.price)}} {
			if got, err := g.Price(cost, 2); err != nil || !got.Equal(d(row.price)) {
				t.Errorf("%s: cost %s by %s gives %s (%v), want %s", row.source, row.cost, g.By, got, err, row.price)
			}
		}
		if got := markup(row.cost, row.price).Percent(); math.Abs(got-row.markup) > 0.005 {
			t.Errorf("%s: markup %.2f %%, want %.2f %%", row.source, got, row.markup)
		}
		if got := margin(t, row.cost, row.price).Percent(); math.Abs(got-row.margin) > 0.005 {
			t.Errorf("%s: margin %.2f %%, want %.2f %%", row.source, got, row.margin)
		}
	}
}

// markup is (price - cost) / cost.
func markup(cost, sold string) unit.Share {
	return unit.Share(d(sold).Sub(d(cost)).Div(d(cost)).InexactFloat64())
}

// margin is reached through the markup, so that MarginOf is what is tested.
func margin(t *testing.T, cost, sold string) unit.Share {
	t.Helper()
	g, err := price.MarginOf(markup(cost, sold))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Markup to margin, m / (1 + m), computed from the definitions.
func TestMarkupTable(t *testing.T) {
	for _, row := range [][2]float64{
		{10, 9.09}, {20, 16.67}, {25, 20}, {30, 23.08}, {33.33, 25}, {40, 28.57}, {50, 33.33}, {66.67, 40},
		{75, 42.86}, {100, 50}, {150, 60}, {200, 66.67}, {300, 75},
	} {
		g, err := price.MarginOf(unit.Percent(row[0]))
		if err != nil || math.Abs(g.Percent()-row[1]) > 0.006 {
			t.Errorf("markup %v %% is margin %.2f %% (%v), want %v %%", row[0], g.Percent(), err, row[1])
		}
		m, err := price.MarkupOf(g)
		if err != nil || math.Abs(m.Percent()-row[0]) > 1e-9 {
			t.Errorf("margin %.2f %% is markup %v %% (%v), want %v %%", g.Percent(), m.Percent(), err, row[0])
		}
	}
	for _, bad := range []unit.Share{1, 1.5, -0.1, unit.Share(math.NaN())} {
		if _, err := price.MarkupOf(bad); err == nil {
			t.Errorf("a margin of %v was taken", bad)
		}
		if _, err := (price.Gain{By: price.ByMargin, Share: bad}).Price(d("1"), 2); err == nil {
			t.Errorf("a price by a margin of %v was given", bad)
		}
	}
}

// At a margin of 40 %, 12 sells for 20.00; 16.80 would be a markup of 40 %.
func TestMarginIsNoMarkup(t *testing.T) {
	by := func(k price.GainKind) string {
		p, err := (price.Gain{By: k, Share: unit.Percent(40)}).Price(d("12"), 2)
		if err != nil {
			t.Fatal(err)
		}
		return p.StringFixed(2)
	}
	if by(price.ByMargin) != "20.00" || by(price.ByMarkup) != "16.80" {
		t.Errorf("margin gives %s, markup %s, want 20.00 and 16.80", by(price.ByMargin), by(price.ByMarkup))
	}
}

// The machine-hour rate in the form of the cost accounting texts:
// (6000 - 600) / 5 + 300 + 400 = 1780 a year; 1250 h at 80 % = 1000 h: 1.78 an
// hour; with 1.6 kW at 0.20 a kWh, 2.10.
func TestMachineHourRate(t *testing.T) {
	m := price.Machine{Price: d("6000"), Residual: d("600"), Life: d("5"), Upkeep: d("300"), Space: d("400"), Hours: d("1250").Mul(d("0.8"))}
	rate := price.MachineHourRate(m, 4)
	if !rate.Equal(d("1.78")) {
		t.Errorf("rate %s, want 1.78", rate)
	}
	if with := rate.Add(d("1.6").Mul(d("0.20"))); !with.Equal(d("2.10")) {
		t.Errorf("with power %s, want 2.10", with)
	}
	for _, row := range []struct {
		name string
		m    price.Machine
		want string
	}{
		{"given outright", price.Machine{PerHour: d("3.5")}, "3.5"},
		{"written off: upkeep only", price.Machine{Upkeep: d("250"), Hours: d("1000")}, "0.25"},
		{"no hours", price.Machine{Price: d("100"), Life: d("5")}, "0"},
		{"no life", price.Machine{Price: d("100"), Hours: d("5")}, "0"},
	} {
		if got := price.MachineHourRate(row.m, 4); !got.Equal(d(row.want)) {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
}

func TestBreakEvenUnits(t *testing.T) {
	for _, row := range []struct {
		source                 string
		fixed, price, variable string
		want                   int64
	}{
		{"C. T. Horngren and others, Cost Accounting: 1800 fixed, 24 a piece, 15 variable", "1800", "24", "15", 200},
		{"definition: a part of a piece is a whole one", "1801", "24", "15", 201},
		{"definition: nothing fixed", "0", "24", "15", 0},
	} {
		got, err := price.BreakEvenUnits(d(row.fixed), d(row.price), d(row.variable))
		if err != nil || got != row.want {
			t.Errorf("%s: %d (%v), want %d", row.source, got, err, row.want)
		}
	}
	if _, err := price.BreakEvenUnits(d("10"), d("5"), d("5")); err == nil {
		t.Error("a price that only covers the variable cost breaks even")
	}
}

// ISO 4217 minor units, from memory; x/text knows which codes exist.
func TestCurrencyOf(t *testing.T) {
	for code, places := range map[string]int32{"USD": 2, "EUR": 2, "GBP": 2, "JPY": 0, "KRW": 0, "ISK": 0, "KWD": 3, "BHD": 3, "TND": 3, "CLF": 4} {
		c, err := price.CurrencyOf(code)
		if err != nil || c.Places != places || c.Code != code {
			t.Errorf("%s has %d places (%v), want %d", code, c.Places, err, places)
		}
		if _, err := currency.ParseISO(code); err != nil {
			t.Errorf("%s: %v", code, err)
		}
	}
	if c, err := price.CurrencyOf(" usd "); err != nil || c.Code != "USD" {
		t.Errorf("usd read as %q (%v)", c.Code, err)
	}
	for _, bad := range []string{"", "US", "DOLLAR", "XXX", "D A", "SDU", "ÄÖÜ"} {
		if c, err := price.CurrencyOf(bad); err == nil {
			t.Errorf("%q was taken as %v", bad, c)
		}
	}
	if got := (price.Currency{Places: 3}).Format(decimal.NewFromInt(7)); got != "7.000" {
		t.Errorf("7 with three places reads %s", got)
	}
}
