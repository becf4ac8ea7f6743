package price_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"presshand/planner/price"
	"presshand/planner/unit"
)

// Bad input is refused with the path of the field, what is wrong and the mend.
func TestFaults(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*price.Problem)
		path   string
		what   string
	}{
		{"negative labour", func(p *price.Problem) { p.Rates.LabourPerHour = d("-1") }, "rates.labour_per_hour", "negative"},
		{"missing labour", func(p *price.Problem) { p.Rates.LabourPerHour = decimal.Decimal{} }, "rates.labour_per_hour", "missing"},
		{"negative sheet", func(p *price.Problem) { p.Rates.Methods[0].Sheets[1].Price = d("-0.5") }, "rates.methods[0].sheets[1].price", "negative"},
		{"missing sheet price", func(p *price.Problem) { p.Rates.Methods[1].Sheets[0].Price = d("0") }, "rates.methods[1].sheets[0].price", "missing"},
		{"missing cartridge price", func(p *price.Problem) { p.Rates.Methods[0].Toner[2].Price = d("0") }, "rates.methods[0].toner[2].price", "missing"},
		{"yield of zero", func(p *price.Problem) { p.Rates.Methods[0].Toner[3].Yield = 0 }, "rates.methods[0].toner[3].yield", "is 0"},
		{"yield at no coverage", func(p *price.Problem) { p.Rates.Methods[0].Toner[0].AtCoverage = 0 }, "rates.methods[0].toner[0].at_coverage", "0 %"},
		{"white by the standard", func(p *price.Problem) { p.Rates.Methods[0].Toner[3].Source = price.ByStandard }, "rates.methods[0].toner[3].source", "neither white nor dye"},
		{"dye by the standard", func(p *price.Problem) { p.Rates.Methods[1].Toner[0].Source = price.ByStandard }, "rates.methods[1].toner[0].source", "neither white nor dye"},
		{"cover sheet without uses", func(p *price.Problem) { p.Rates.Methods[0].Covers[0].Uses = 0 }, "rates.methods[0].covers[0].uses", "is 0"},
		{"margin of 100 %", func(p *price.Problem) { p.Rates.Gain.Share = 1 }, "rates.gain.share", "leaves no price"},
		{"margin above 100 %", func(p *price.Problem) { p.Rates.Gain.Share = 1.2 }, "rates.gain.share", "leaves no price"},
		{"neither margin nor markup", func(p *price.Problem) { p.Rates.Gain.By = "" }, "rates.gain.by", "neither"},
		{"unknown currency", func(p *price.Problem) { p.Rates.Currency.Code = "XQZ" }, "rates.currency.code", "no currency"},
		{"no currency", func(p *price.Problem) { p.Rates.Currency.Code = "" }, "rates.currency.code", "missing"},
		{"wrong places", func(p *price.Problem) { p.Rates.Currency.Places = 3 }, "rates.currency.places", "is 3"},
		{"step below a cent", func(p *price.Problem) { p.Rates.Currency.Step = d("0.005") }, "rates.currency.step", "0.005"},
		{"rounding", func(p *price.Problem) { p.Rates.Currency.Rounding = "down" }, "rates.currency.rounding", "not a word"},
		{"machine without hours", func(p *price.Problem) { p.Rates.Machines[0].Hours = d("0") }, "rates.machines[0].hours", "missing or zero"},
		{"machine without life", func(p *price.Problem) { p.Rates.Machines[0].Life = d("0") }, "rates.machines[0].life", "missing or zero"},
		{"machine worth more than it cost", func(p *price.Problem) { p.Rates.Machines[0].Residual = d("7000") }, "rates.machines[0].residual", "above the price"},
		{"machine with two rates", func(p *price.Problem) { p.Rates.Machines[0].PerHour = d("2") }, "rates.machines[0].per_hour", "beside"},
		{"power without its price", func(p *price.Problem) { p.Rates.EnergyPerKWh = d("0") }, "rates.energy_per_kwh", "missing"},
		{"duty above 100 %", func(p *price.Problem) { p.Rates.Machines[1].Duty = 1.1 }, "rates.machines[1].duty", "110"},
		{"no page", func(p *price.Problem) { p.Rates.Page.Width = 0 }, "rates.page.width", "0 mm"},
		{"spoilage above half", func(p *price.Problem) { p.Rates.Spoilage = 0.6 }, "rates.spoilage", "60 %"},
		{"certainty wanted", func(p *price.Problem) { p.Rates.Confidence = 1 }, "rates.confidence", "100 %"},
		{"allowance of all the shift", func(p *price.Problem) { p.Rates.Allowance.Share = 1 }, "rates.allowance.share", "100 %"},
		{"negative tax", func(p *price.Problem) { p.Rates.Tax = -0.01 }, "rates.tax", "-1 %"},
		{"card fee takes all", func(p *price.Problem) { p.Rates.Card.Share = 1 }, "rates.card.share", "100 %"},
		{"negative minimum", func(p *price.Problem) { p.Rates.Minimum = d("-25") }, "rates.minimum", "negative"},
		{"breaks out of order", func(p *price.Problem) {
			p.Rates.Breaks = price.Breaks{Kind: price.FromTable, At: []price.Break{{Quantity: 24}, {Quantity: 12}}}
		}, "rates.breaks.at[1].quantity", "does not follow"},
		{"discount of all", func(p *price.Problem) {
			p.Rates.Breaks = price.Breaks{Kind: price.FromTable, At: []price.Break{{Quantity: 24, Discount: 1}}}
		}, "rates.breaks.at[0].discount", "100 %"},
		{"price beyond reason", func(p *price.Problem) { p.Lines[0].Blank.Each = d("12345678901") }, "lines[0].blank.each", "12345678901"},

		{"price with an absurd exponent", func(p *price.Problem) { p.Rates.LabourPerHour = decimal.New(1, 999_999_999) }, "rates.labour_per_hour", "1e999999999"},
		{"price with absurdly many places", func(p *price.Problem) { p.Rates.Setup = decimal.New(1, -999_999_999) }, "rates.setup", "1e-999999999"},
		{"surcharge with an absurd exponent", func(p *price.Problem) {
			p.Lines[0].Blank.Extra = map[string]decimal.Decimal{"M": decimal.New(1, 999_999_999)}
		}, "lines[0].blank.extra.M", "1e999999999"},

		{"no lines", func(p *price.Problem) { p.Lines = nil }, "lines", "missing"},
		{"no pieces", func(p *price.Problem) { p.Lines[0].Quantity, p.Lines[0].Sizes = 0, nil }, "lines[0].quantity", "is 0"},
		{"sizes that do not add up", func(p *price.Problem) { p.Lines[0].Quantity = 25 }, "lines[0].sizes", "add up to 24"},
		{"free blank", func(p *price.Problem) { p.Lines[0].Blank.Each = d("0") }, "lines[0].blank.each", "free"},
		{"negative blank", func(p *price.Problem) { p.Lines[0].Blank.Each = d("-3") }, "lines[0].blank.each", "negative"},
		{"size given away", func(p *price.Problem) { p.Lines[0].Blank.Extra = map[string]decimal.Decimal{"2XL": d("-3.10")} }, "lines[0].blank.extra.2XL", "-3.1"},
		{"zero width", func(p *price.Problem) { p.Lines[0].Prints[0].Width = 0 }, "lines[0].prints[0].width", "0 mm"},
		{"negative height", func(p *price.Problem) { p.Lines[0].Prints[0].Height = -1 }, "lines[0].prints[0].height", "-1 mm"},
		{"height that is no number", func(p *price.Problem) { p.Lines[0].Prints[0].Height = unit.Length(math.NaN()) }, "lines[0].prints[0].height", "NaN"},
		{"no print", func(p *price.Problem) { p.Lines[0].Prints = nil }, "lines[0].prints", "missing"},
		{"coverage above 100 %", func(p *price.Problem) { p.Lines[0].Prints[0].Coverage[0].Share = 1.5 }, "lines[0].prints[0].coverage[0].share", "150"},
		{"colour without a cartridge", func(p *price.Problem) { p.Lines[0].Prints[0].Coverage[0].Channel = "k" }, "lines[0].prints[0].coverage[0].channel", "no cartridge"},
		{"method without prices", func(p *price.Problem) { p.Lines[0].Method = "cut-vinyl" }, "lines[0].method", "no prices"},
		{"machine without a rate", func(p *price.Problem) { p.Lines[0].Runs[0].Name = "press-9" }, "lines[0].runs[0].name", "no machine"},
		{"negative time", func(p *price.Problem) { p.Lines[0].Hands[1].PerSheet = -5 }, "lines[0].hands[1].per_sheet", "-5 s"},
		{"no sheets", func(p *price.Problem) { p.Lines[0].PerSheet = 0 }, "lines[0].per_sheet", "missing"},
		{"a layout of no sheets", func(p *price.Problem) { p.Lines[0].Sheets = func(int) int { return 0 } }, "lines[0].sheets", "0 sheets"},
		{"changeover on no machine", func(p *price.Problem) { p.Changeovers = []price.Changeover{{Machine: "x"}} }, "changeovers[0].machine", "no machine"},
		{"break at nothing", func(p *price.Problem) { p.BreakAt = []int{12, 0} }, "break_at[1]", "is 0"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := teeOrder()
			row.change(&p)
			_, err := price.Solve(p)
			var fault *price.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("no fault: %v", err)
			}
			if fault.Path != row.path || !strings.Contains(fault.What, row.what) || fault.Mend == "" {
				t.Errorf("%s: %s (mend: %s); want it at %s to say %q", fault.Path, fault.What, fault.Mend, row.path, row.what)
			}
		})
	}
}

// All faults are told at once, and a profile's loader gets paths without the
// problem around them.
func TestFaultsAllAtOnce(t *testing.T) {
	r := shopRates()
	if err := r.Faults(); err != nil {
		t.Fatalf("the shop's rates are refused: %v", err)
	}
	r.LabourPerHour, r.Gain.Share, r.Machines[0].Hours = d("-1"), 1, d("0")
	err := r.Faults()
	for _, path := range []string{"labour_per_hour: ", "gain.share: ", "machines[0].hours: "} {
		if err == nil || !strings.Contains("\n"+err.Error(), "\n"+path) {
			t.Errorf("no line starts with %q in:\n%v", path, err)
		}
	}
	if err := price.Check(price.Problem{Rates: r}, price.Plan{}); err == nil {
		t.Error("Check passed a plan of a faulty problem")
	}
}

// Amounts beyond 64 bits are an error, not a wrong price.
func TestTooLarge(t *testing.T) {
	p := teeOrder()
	p.Lines[0].Sizes, p.Lines[0].Quantity = nil, price.MaxPieces
	p.Lines[0].Blank.Each = d("999999999")
	p.Rates.Gain.Share = unit.Percent(99.9999999)
	if plan, err := price.Solve(p); err == nil {
		t.Errorf("priced at %s", plan.Total)
	}
}
