package price_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"presshand/planner/price"
	"presshand/planner/unit"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// fullOrder shows everything a quote can say.
func fullOrder() price.Problem {
	p := fiveLines()
	p.Lines = []price.Line{p.Lines[0], p.Lines[4]}
	p.Lines[1].Colour, p.Lines[1].Unique = "white", true
	p.Rates.Breaks = price.Breaks{Kind: price.FromTable, Base: 1, At: []price.Break{{Quantity: 24, Discount: 0.05}, {Quantity: 49, Discount: 0.2}}}
	p.Rates.Tax = unit.Percent(6)
	p.Rates.Card = price.CardFee{Share: unit.Percent(2.9), Fixed: d("0.30"), Charged: true}
	p.HasDue, p.DueIn, p.BreakAt = true, 1, []int{96}
	p.ReadyAt = time.Date(2026, 11, 27, 15, 10, 0, 0, time.FixedZone("", -5*3600))
	return p
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got; -update rewrites it):\n%s", name, diff)
	}
}

func TestCustomerText(t *testing.T) {
	golden(t, "customer.golden", price.CustomerText(solved(t, fullOrder())))
}

func TestInnerSheet(t *testing.T) {
	var b strings.Builder
	for _, r := range price.InnerSheet(solved(t, fullOrder())) {
		fmt.Fprintf(&b, "%s | %s | %s\n", r.Name, r.Amount, r.Detail)
	}
	golden(t, "inner.golden", b.String())
}

func TestSteps(t *testing.T) {
	var b strings.Builder
	for _, s := range solved(t, fullOrder()).Steps() {
		fmt.Fprintf(&b, "%s: %s -> %s [%s]\n", s.Name, s.Formula, s.Result, s.Source)
		for _, in := range s.Inputs {
			fmt.Fprintf(&b, "\t%s: %s\n", in.Name, in.Value)
		}
	}
	golden(t, "steps.golden", b.String())
}

// What the customer reads holds no cost: no amount of the cost, no margin, no
// profit, whatever the order.
func TestCustomerTextHoldsNoCost(t *testing.T) {
	secret := regexp.MustCompile(`(?i)costs? of|margin|markup|profit|overhead|labour|blanks at|toner|spoil`)
	rapid.Check(t, func(t *rapid.T) {
		plan, err := price.Solve(anyProblem(t))
		if err != nil {
			t.Fatal(err)
		}
		if found := secret.FindString(price.CustomerText(plan)); found != "" {
			t.Fatalf("the customer reads %q:\n%s", found, price.CustomerText(plan))
		}
	})
}

// The arithmetic that a charge is opened to comes out at its amount, worked
// from the words themselves.
func TestWordsComeOut(t *testing.T) {
	words := regexp.MustCompile(`^([0-9.]+) [a-zA-Z]+ at ([0-9.]+) = ([0-9.]+)$`)
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		p.Rates.Currency.Rounding = price.HalfUp
		plan, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		for i := range plan.Charges {
			c := &plan.Charges[i]
			said := c.Words(plan.Currency)
			m := words.FindStringSubmatch(said)
			switch {
			case c.Name == "overhead": // "12 % of 181.00 = 21.72"
				continue
			case m == nil:
				t.Fatalf("%q does not read as count at rate = amount", said)
			}
			if got := d(m[1]).Mul(d(m[2])).Round(plan.Currency.Places); !got.Equal(d(m[3])) {
				t.Fatalf("%q comes out at %s", said, got)
			}
		}
	})
}

func TestChargeReadsInWords(t *testing.T) {
	c := price.Charge{Part: price.Sheets, Name: "sheets", Unit: "sheets", Count: d("26"), Rate: d("1.95"), Amount: d("50.7")}
	if got, want := c.Words(usd()), "26 sheets at 1.95 = 50.70"; got != want {
		t.Errorf("reads %q, want %q", got, want)
	}
}

func TestFallReadsInWords(t *testing.T) {
	p, _ := loadOrder(t, "testdata/orders/07-table-breaks-and-a-fall.yaml")
	text := price.CustomerText(solved(t, p))
	if !strings.Contains(text, "24 costs less than 22: 164.22 in all.") {
		t.Errorf("the customer is not told that 24 costs less:\n%s", text)
	}
}

// A kept quote comes back whole, and explains itself although prices have
// changed since.
func TestKeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		plan, err := price.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		data, err := plan.Keep()
		if err != nil {
			t.Fatal(err)
		}
		p.Rates.LabourPerHour = d("999")
		back, err := price.Kept(data)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(plan.Steps(), back.Steps()); diff != "" {
			t.Fatalf("the kept quote explains itself differently:\n%s", diff)
		}
		if price.CustomerText(plan) != price.CustomerText(back) {
			t.Fatal("the kept quote reads differently")
		}
	})
}

// A kept quote can be checked against itself.
func TestKeptHolds(t *testing.T) {
	data, err := solved(t, fullOrder()).Keep()
	if err != nil {
		t.Fatal(err)
	}
	back, err := price.Kept(data)
	if err != nil {
		t.Fatal(err)
	}
	if err := price.Check(back.From, back); err != nil {
		t.Errorf("the kept quote does not hold: %v", err)
	}
}

func TestKeptRefusesDamage(t *testing.T) {
	plan := solved(t, teeOrder())
	data, err := plan.Keep()
	if err != nil {
		t.Fatal(err)
	}
	for name, damaged := range map[string]string{
		"cut off":          string(data[:len(data)/2]),
		"absurd exponent":  strings.Replace(string(data), `"total":"`, `"total":"1e999999999`, 1),
		"line unknown":     strings.Replace(string(data), `"line":1`, `"line":7`, 1),
		"method unknown":   strings.Replace(string(data), `"id":"two-step-transfer"`, `"id":"x"`, 1),
		"cover of no uses": strings.Replace(string(data), `"uses":100`, `"uses":0`, 1),
		"lines left out":   strings.Replace(string(data), `"line":0`, `"line":-1`, 1),
	} {
		if _, err := price.Kept([]byte(damaged)); err == nil {
			t.Errorf("%s: read all the same", name)
		}
	}
}

func FuzzKept(f *testing.F) {
	plan, err := price.Solve(fullOrder())
	if err != nil {
		f.Fatal(err)
	}
	data, err := plan.Keep()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte(`{"charges":[{"line":1}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := price.Kept(data)
		if err != nil {
			return
		}
		p.Steps()
		price.CustomerText(p)
		price.InnerSheet(p)
	})
}
