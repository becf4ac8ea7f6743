package price_test

import (
	"maps"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/price"
)

// A tamper changes one figure of a plan in place and says which.
type tamper struct {
	path   string
	change func()
}

// tampers walks every decimal, whole number, chance and word of a plan.
// Check does not read: From, which is the problem itself; the words of
// assumptions and risks; a charge's unit, which only words it; the currency
// beyond its code, which is the problem's own too.
func tampers(v reflect.Value, path string, out *[]tamper) {
	switch path {
	case ".From", ".Assumptions", ".Risks", ".Currency.Places", ".Currency.Rounding", ".Currency.Step":
		return
	}
	switch x := v.Addr().Interface().(type) {
	case *decimal.Decimal:
		*out = append(*out, tamper{path, func() { *x = x.Add(decimal.New(1, -2)) }})
		return
	case *int:
		*out = append(*out, tamper{path, func() { *x++ }})
		return
	case *float64:
		*out = append(*out, tamper{path, func() { *x += 1e-3 }})
		return
	case *string:
		*out = append(*out, tamper{path, func() { *x += "x" }})
		return
	case *bool:
		*out = append(*out, tamper{path, func() { *x = !*x }})
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if v.Type() == reflect.TypeFor[price.Charge]() && (name == "Unit" || name == "Batch") {
				continue
			}
			tampers(v.Field(i), path+"."+name, out)
		}
	case reflect.Slice:
		for i := range v.Len() {
			tampers(v.Index(i), path+"[]", out)
		}
	case reflect.String:
		*out = append(*out, tamper{path, func() { v.SetString(v.String() + "x") }})
	}
}

// tamperedOrder shows breaks, falls, spares, a changeover and a customer's own
// blanks.
func tamperedOrder() price.Problem {
	p := fiveLines()
	p.Lines = []price.Line{p.Lines[0], p.Lines[4]}
	p.Rates.Breaks = price.Breaks{Kind: price.FromTable, Base: 1, At: []price.Break{{Quantity: 24, Discount: 0.05}, {Quantity: 49, Discount: 0.2}}}
	return p
}

// last returns the last place of each path: what comes before is worked the
// same way.
func last(list []tamper) []int {
	at := map[string]int{}
	for i, one := range list {
		at[one.path] = i
	}
	return slices.Sorted(maps.Values(at))
}

// Check finds any figure that is changed.
func TestCheckFindsTampering(t *testing.T) {
	p := tamperedOrder()
	p.ReadyAt = time.Date(2026, 11, 27, 15, 10, 0, 0, time.UTC)
	p.Rates.Card = price.CardFee{Share: 0.02}
	honest := solved(t, p)
	if len(honest.Falls) == 0 || len(honest.Breaks) == 0 || honest.Spares.Commonest.Count == 0 {
		t.Fatal("the order shows no falls, breaks or spares: nothing to tamper with")
	}
	var list []tamper
	tampers(reflect.ValueOf(&honest).Elem(), "", &list)
	if n := len(last(list)); n < 60 {
		t.Fatalf("only %d kinds of figures found", n)
	}
	for _, i := range last(list) {
		plan := solvedAgain(t, p)
		var own []tamper
		tampers(reflect.ValueOf(&plan).Elem(), "", &own)
		own[i].change()
		if err := price.Check(p, plan); err == nil {
			t.Errorf("%s was changed and Check did not see it", own[i].path)
		}
	}
}

func solvedAgain(t *testing.T, p price.Problem) price.Plan {
	t.Helper()
	plan, err := price.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// Check finds what is left out or put in.
func TestCheckFindsMissingParts(t *testing.T) {
	p := tamperedOrder()
	for name, change := range map[string]func(*price.Plan){
		"a charge left out":    func(p *price.Plan) { p.Charges = p.Charges[1:] },
		"a charge twice":       func(p *price.Plan) { p.Charges = append(p.Charges, p.Charges[0]) },
		"a line left out":      func(p *price.Plan) { p.Lines = p.Lines[1:] },
		"a break left out":     func(p *price.Plan) { p.Breaks = p.Breaks[1:] },
		"a fall left out":      func(p *price.Plan) { p.Falls = nil },
		"a spare left out":     func(p *price.Plan) { p.Spares.BySize.Sizes = p.Spares.BySize.Sizes[1:] },
		"a cost moved":         func(p *price.Plan) { p.Cost.Blanks, p.Cost.Sheets = p.Cost.Sheets, p.Cost.Blanks },
		"set-up hidden in tax": func(p *price.Plan) { p.Setup, p.Tax = p.Tax, p.Setup },
	} {
		plan := solvedAgain(t, p)
		change(&plan)
		if err := price.Check(p, plan); err == nil {
			t.Errorf("%s: Check did not see it", name)
		}
	}
}
