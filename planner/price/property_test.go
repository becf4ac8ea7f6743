package price_test

import (
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"presshand/planner/price"
	"presshand/planner/unit"
)

// money draws an amount of zero up to most units, in hundredths.
func money(t *rapid.T, label string, least, most int) decimal.Decimal {
	return decimal.New(int64(rapid.IntRange(least*100, most*100).Draw(t, label)), -2)
}

func share(t *rapid.T, label string, most int) unit.Share {
	return unit.Percent(float64(rapid.IntRange(0, most*10).Draw(t, label)) / 10)
}

func seconds(t *rapid.T, label string) unit.Duration {
	return unit.Duration(rapid.IntRange(0, 3000).Draw(t, label)) / 10
}

// anyCurrency has 0, 2, 3 or 4 places.
func anyCurrency(t *rapid.T) price.Currency {
	c, err := price.CurrencyOf(rapid.SampledFrom([]string{"JPY", "USD", "CHF", "KWD", "UYW"}).Draw(t, "currency"))
	if err != nil {
		t.Fatal(err)
	}
	c.Rounding = rapid.SampledFrom([]price.Rounding{"", price.HalfUp, price.HalfEven, price.Up}).Draw(t, "rounding")
	if c.Code == "CHF" {
		c.Step = d("0.05")
	}
	return c
}

func anyRates(t *rapid.T) price.Rates {
	r := shopRates()
	r.Currency = anyCurrency(t)
	r.LabourPerHour = money(t, "labour", 1, 50)
	r.Allowance = price.Allowance{Share: share(t, "allowance", 30), Of: rapid.SampledFrom([]price.AllowanceBase{"", price.OfWork, price.OfShift}).Draw(t, "of")}
	r.Machines[0].Price = money(t, "printer", 600, 9000)
	r.Machines[0].Life = decimal.NewFromInt(int64(rapid.IntRange(1, 9).Draw(t, "life")))
	r.Machines[0].Hours = decimal.NewFromInt(int64(rapid.IntRange(100, 2000).Draw(t, "hours")))
	r.Overhead = price.Overhead{Share: share(t, "overhead", 40), PerLabourHour: money(t, "overhead an hour", 0, 9)}
	r.Gain = price.Gain{By: rapid.SampledFrom([]price.GainKind{price.ByMargin, price.ByMarkup}).Draw(t, "by"), Share: share(t, "gain", 90)}
	r.Setup, r.Minimum = money(t, "set-up", 0, 20), money(t, "minimum", 0, 90)
	r.Tax = share(t, "tax", 25)
	r.Card = price.CardFee{Share: share(t, "card", 5), Fixed: money(t, "fixed", 0, 1), Charged: rapid.Bool().Draw(t, "charged")}
	r.Breaks.Kind = rapid.SampledFrom([]price.BreakKind{price.NoBreaks, price.FromTable, price.FromCost}).Draw(t, "breaks")
	r.Breaks.Base = rapid.IntRange(0, 12).Draw(t, "base")
	q, off := 0, 0
	for range rapid.IntRange(0, 3).Draw(t, "number of breaks") {
		q += rapid.IntRange(1, 30).Draw(t, "break")
		off += rapid.IntRange(0, 15).Draw(t, "off")
		r.Breaks.At = append(r.Breaks.At, price.Break{Quantity: q, Discount: unit.Percent(float64(off))})
	}
	r.Rush = append(r.Rush, price.RushShare{Within: 1, Share: share(t, "rush", 60)})
	r.Spoilage = share(t, "spoilage", 12)
	r.Confidence = unit.Percent(rapid.SampledFrom([]float64{0, 50, 90, 95, 99, 99.5}).Draw(t, "confidence"))
	r.SpareFrom = rapid.SampledFrom([]int{0, 12}).Draw(t, "spare from")
	r.SpareRule = rapid.SampledFrom([]price.SpareRule{"", price.BySize, price.Commonest}).Draw(t, "rule")
	return r
}

func anyLine(t *rapid.T) price.Line {
	l := teeLine()
	l.Method = rapid.SampledFrom([]string{"two-step-transfer", "sublimation"}).Draw(t, "method")
	l.Design = rapid.SampledFrom([]string{"", "crest", "oar"}).Draw(t, "design")
	l.Designs = rapid.IntRange(0, 2).Draw(t, "designs")
	l.Theirs = rapid.IntRange(0, 4).Draw(t, "theirs") == 0
	l.Blank.Each = money(t, "blank", 1, 20)
	half := func(label string) decimal.Decimal {
		return decimal.New(int64(rapid.IntRange(0, 50).Draw(t, label)), -2)
	}
	l.Blank.Extra = map[string]decimal.Decimal{"2XL": half("2XL"), "3XL": half("3XL")}
	l.Sizes, l.Quantity = map[string]int{}, 0
	for range rapid.IntRange(0, 4).Draw(t, "number of sizes") {
		size := rapid.SampledFrom([]string{"YM", "S", "M", "L", "2XL", "3XL"}).Draw(t, "size")
		n := rapid.IntRange(0, 15).Draw(t, "count")
		l.Sizes[size] += n
		l.Quantity += n
	}
	if l.Quantity == 0 {
		l.Sizes, l.Quantity = nil, rapid.IntRange(1, 40).Draw(t, "quantity")
	}
	l.PerSheet = rapid.IntRange(1, 6).Draw(t, "per sheet")
	channels := []string{"c", "m", "y", "white"}
	if l.Method == "sublimation" {
		channels[3] = "k"
	}
	p := &l.Prints[0]
	p.Width, p.Height = unit.Length(rapid.IntRange(1, 300).Draw(t, "width")), unit.Length(rapid.IntRange(1, 300).Draw(t, "height"))
	for i, c := range channels {
		p.Coverage[i] = price.Coverage{Channel: c, Share: share(t, c, 100)}
	}
	for i := range l.Hands {
		l.Hands[i].PerLine, l.Hands[i].PerSheet, l.Hands[i].PerPiece = seconds(t, "once"), seconds(t, "a sheet"), seconds(t, "a piece")
	}
	for i := range l.Runs {
		l.Runs[i].PerLine, l.Runs[i].PerSheet, l.Runs[i].PerPiece = seconds(t, "run once"), seconds(t, "run a sheet"), seconds(t, "run a piece")
	}
	return l
}

func anyProblem(t *rapid.T) price.Problem {
	p := price.Problem{Rates: anyRates(t), Now: time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)}
	for range rapid.IntRange(1, 4).Draw(t, "number of lines") {
		p.Lines = append(p.Lines, anyLine(t))
	}
	for range rapid.IntRange(0, 2).Draw(t, "number of changeovers") {
		p.Changeovers = append(p.Changeovers, price.Changeover{
			Name: "toner set", Method: rapid.SampledFrom([]string{"", "two-step-transfer"}).Draw(t, "swap"),
			Hands: seconds(t, "swap hands"), Machine: rapid.SampledFrom([]string{"", "printer", "press"}).Draw(t, "swap machine"),
			Run: seconds(t, "swap run"), OtherPieces: rapid.IntRange(0, 50).Draw(t, "others"),
		})
	}
	p.Rush, p.HasDue, p.DueIn = rapid.Bool().Draw(t, "rush"), rapid.Bool().Draw(t, "due"), rapid.IntRange(0, 4).Draw(t, "due in")
	p.BreakAt = rapid.SliceOfN(rapid.IntRange(1, 60), 0, 2).Draw(t, "break at")
	return p
}

// Solve and Check are two workings of the same definitions, one in whole
// numbers and one in fractions; they agree on any order.
func TestCheckAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		plan, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if err := price.Check(p, plan); err != nil {
			t.Fatal(err)
		}
	})
}

func TestSameOrderSameQuote(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		first, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Lines {
			p.Lines[i].Sizes = maps.Clone(p.Lines[i].Sizes) // another map, another order of iteration
		}
		again, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(first, again, cmp.Comparer(decimal.Decimal.Equal)); diff != "" {
			t.Fatalf("the same order gave two quotes:\n%s", diff)
		}
	})
}

// Parts add up to the last place in currencies of 0, 2, 3 and 4 places.
func TestPartsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		plan, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		var lines, lineCosts, withSpares decimal.Decimal
		for _, l := range plan.Lines {
			if want := l.PriceEach.Mul(decimal.NewFromInt(int64(l.Quantity))); !l.PriceTotal.Equal(want) {
				t.Fatalf("%d at %s is %s, the quote says %s", l.Quantity, l.PriceEach, want, l.PriceTotal)
			}
			lines, lineCosts = lines.Add(l.PriceTotal), lineCosts.Add(l.Cost)
		}
		for _, c := range plan.Charges {
			withSpares = withSpares.Add(c.WithSpares)
		}
		total := decimal.Sum(plan.Subtotal, plan.Setup, plan.Rush, plan.MinimumTopup, plan.CardFee, plan.Tax).Sub(plan.Discount)
		for _, row := range []struct {
			name      string
			got, want decimal.Decimal
		}{
			{"subtotal", plan.Subtotal, lines},
			{"total", plan.Total, total},
			{"cost by part", plan.Cost.Total(), withSpares},
			{"cost by line", plan.Cost.Total(), lineCosts},
		} {
			if !row.got.Equal(row.want) {
				t.Fatalf("%s is %s, its parts add up to %s", row.name, row.got, row.want)
			}
			if !row.got.Equal(row.got.Truncate(plan.Currency.Places)) {
				t.Fatalf("%s %s has more than %d places", row.name, row.got, plan.Currency.Places)
			}
		}
	})
}

// Cost never falls when a quantity, a printed size or the spoilage rises. By
// the rule of the two commonest sizes a spare may move to a cheaper size, so
// there all sizes cost the same. A surcharge is at most half the blank's price.
func TestCostNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		if p.Rates.SpareRule == price.Commonest {
			p.Lines = p.Lines[:1]
			p.Lines[0].Blank.Extra = nil
		}
		before, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		p.Lines = slices.Clone(p.Lines)
		l := &p.Lines[rapid.IntRange(0, len(p.Lines)-1).Draw(t, "line")]
		switch rapid.SampledFrom([]string{"quantity", "size", "spoilage"}).Draw(t, "rises") {
		case "quantity":
			more := rapid.IntRange(1, 3).Draw(t, "more")
			l.Quantity += more
			if len(l.Sizes) > 0 {
				l.Sizes = maps.Clone(l.Sizes)
				l.Sizes[rapid.SampledFrom([]string{"YM", "S", "M", "L", "2XL", "3XL"}).Draw(t, "which")] += more
			}
		case "size":
			l.Prints = slices.Clone(l.Prints)
			l.Prints[0].Width += unit.Length(rapid.IntRange(1, 20).Draw(t, "wider"))
		case "spoilage":
			p.Rates.Spoilage += unit.Percent(float64(rapid.IntRange(1, 30).Draw(t, "worse")) / 10)
		}
		after, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if after.Cost.Total().LessThan(before.Cost.Total()) {
			t.Fatalf("cost fell from %s to %s", before.Cost.Total(), after.Cost.Total())
		}
	})
}
