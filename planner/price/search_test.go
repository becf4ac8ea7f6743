package price_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"presshand/planner/price"
)

// The searches against solving every quantity one by one.
func TestSearchIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const most = 40
		p := anyProblem(t)
		p.BreakAt = nil
		p.Lines = p.Lines[:1+len(p.Lines)/3]
		budget := money(t, "budget", 1, 900)
		var mostQ, bestQ int
		var bestEach decimal.Decimal
		for q := 1; q <= most; q++ {
			plan, err := price.Solve(p.WithQuantity(q))
			if err != nil {
				t.Fatal(err)
			}
			if plan.Total.GreaterThan(budget) {
				continue
			}
			mostQ = q
			// total / q <= best, without division: total x bestQ <= bestTotal x q
			if bestQ == 0 || !plan.Total.Mul(decimal.NewFromInt(int64(bestQ))).GreaterThan(bestEach.Mul(decimal.NewFromInt(int64(q)))) {
				bestQ, bestEach = q, plan.Total
			}
		}
		found, err := price.MostFor(p, budget, most)
		if err != nil {
			t.Fatal(err)
		}
		if found.Quantity != mostQ {
			t.Fatalf("most for %s is %d, one by one %d", budget, found.Quantity, mostQ)
		}
		best, err := price.BestUnder(p, budget, most)
		if err != nil {
			t.Fatal(err)
		}
		if best.Quantity != bestQ || bestQ > 0 && !best.Total.Equal(bestEach) {
			t.Fatalf("best under %s is %d at %s, one by one %d at %s", budget, best.Quantity, best.Total, bestQ, bestEach)
		}
	})
}

func TestMostForPastABreak(t *testing.T) {
	// Worked order 07: 22 bags are 168.24, 24 are 164.22.
	p, _ := loadOrder(t, "testdata/orders/07-table-breaks-and-a-fall.yaml")
	found, err := price.MostFor(p, d("165"), 60)
	if err != nil {
		t.Fatal(err)
	}
	if found.Quantity != 24 || !found.Total.Equal(d("164.22")) || found.Searched != 60 {
		t.Errorf("165 buys %d at %s, want 24 at 164.22", found.Quantity, found.Total)
	}
	none, err := price.MostFor(p, d("5"), 60)
	if err != nil {
		t.Fatal(err)
	}
	if none.Quantity != 0 || none.LeastAt != 1 || !none.Least.Equal(d("8.05")) {
		t.Errorf("5 buys %d; the least is %s for %d, want none, 8.05 for 1", none.Quantity, none.Least, none.LeastAt)
	}
}

func TestSearchRefuses(t *testing.T) {
	for name, call := range map[string]func() (price.Found, error){
		"no budget":       func() (price.Found, error) { return price.MostFor(teeOrder(), d("0"), 10) },
		"negative budget": func() (price.Found, error) { return price.BestUnder(teeOrder(), d("-3"), 10) },
		"no range":        func() (price.Found, error) { return price.MostFor(teeOrder(), d("9"), 0) },
		"faulty order":    func() (price.Found, error) { return price.MostFor(price.Problem{}, d("9"), 10) },
	} {
		if found, err := call(); err == nil {
			t.Errorf("%s: found %v", name, found)
		}
	}
}

func TestWithQuantity(t *testing.T) {
	p := teeOrder() // M 12, L 8, 2XL 4
	for _, row := range []struct {
		quantity int
		want     map[string]int
	}{
		{24, map[string]int{"M": 12, "L": 8, "2XL": 4}},
		{48, map[string]int{"M": 24, "L": 16, "2XL": 8}},
		{6, map[string]int{"M": 3, "L": 2, "2XL": 1}},
		{1, map[string]int{"M": 1}},
	} {
		got := p.WithQuantity(row.quantity)
		if got.Lines[0].Quantity != row.quantity {
			t.Errorf("%d asked for, %d given", row.quantity, got.Lines[0].Quantity)
		}
		if diff := cmp.Diff(row.want, got.Lines[0].Sizes); diff != "" {
			t.Errorf("%d pieces:\n%s", row.quantity, diff)
		}
	}
	if p.Lines[0].Quantity != 24 || p.Lines[0].Sizes["M"] != 12 {
		t.Error("the order itself was changed")
	}
}

// A larger order is never smaller in some size.
func TestWithQuantityNeverTakesAway(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProblem(t)
		q := rapid.IntRange(1, 80).Draw(t, "quantity")
		small, large := counts(p.WithQuantity(q)), counts(p.WithQuantity(q+1))
		sum := 0
		for k, n := range large {
			sum += n
			if n < small[k] {
				t.Fatalf("%v falls from %d to %d", k, small[k], n)
			}
		}
		if sum != q+1 {
			t.Fatalf("%d pieces given, %d asked for", sum, q+1)
		}
	})
}

// counts lists pieces by line's place and size. Lines with none are dropped by
// WithQuantity, so a line is known by its blank, quantity apart.
func counts(p price.Problem) map[string]int {
	out := map[string]int{}
	for _, l := range p.Lines {
		key := fmt.Sprint(l.Prints[0].Width, l.Prints[0].Height, l.Blank, l.Hands, l.Runs)
		if len(l.Sizes) == 0 {
			out[key] += l.Quantity
		}
		for size, n := range l.Sizes {
			out[key+size] += n
		}
	}
	return out
}

// Break-even of two ways against costing both at every quantity.
func TestBreakEvenIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyProblem(t), anyProblem(t)
		b.Rates.Currency = a.Rates.Currency
		turns, err := price.BreakEven(a, b, 30)
		if err != nil {
			t.Fatal(err)
		}
		first, next := true, 0
		for q := 1; q <= 30; q++ {
			x, err := price.Solve(a.WithQuantity(q))
			if err != nil {
				t.Fatal(err)
			}
			y, err := price.Solve(b.WithQuantity(q))
			if err != nil {
				t.Fatal(err)
			}
			was := first
			switch x.Cost.Total().Cmp(y.Cost.Total()) {
			case -1:
				first = true
			case 1:
				first = false
			}
			if q > 1 && was == first {
				continue
			}
			if next >= len(turns) || turns[next].From != q || turns[next].First != first || !turns[next].Cost.Equal(x.Cost.Total()) {
				t.Fatalf("at %d the first is cheaper: %v; turns %v", q, first, turns)
			}
			next++
		}
		if next != len(turns) {
			t.Fatalf("%d turns, one by one %d", len(turns), next)
		}
	})
}

// A way with a fixed cost against one without: with 1800 s of preparation at
// 24 an hour = 12.00, and 1.20 saved a piece, the turn is at 12 / 1.20 = 10
// pieces: at 10 both cost the same, from 11 on the first is cheaper.
func TestBreakEvenByHand(t *testing.T) {
	plain, _ := loadOrder(t, "testdata/orders/16-allowance-of-the-shift.yaml")
	plain.Rates.Allowance, plain.Rates.Overhead = price.Allowance{}, price.Overhead{}
	prepared := plain
	prepared.Lines = []price.Line{plain.Lines[0]}
	prepared.Lines[0].Blank.Each = plain.Lines[0].Blank.Each.Sub(d("1.20"))
	prepared.Lines[0].Hands = append([]price.Work{{Name: "prepare", PerLine: 1800}}, plain.Lines[0].Hands...)
	turns, err := price.BreakEven(plain, prepared, 50)
	if err != nil {
		t.Fatal(err)
	}
	if len(turns) != 2 || turns[0].From != 1 || !turns[0].First || turns[1].From != 11 || turns[1].First {
		t.Errorf("turns %v, want the plain way from 1 and the prepared one from 11", turns)
	}
	if got, want := price.TurnText(turns, "plain", "prepared"), "plain costs less up to 10, prepared from 11 on"; got != want {
		t.Errorf("reads %q, want %q", got, want)
	}
	if got, want := price.TurnText(turns[:1], "plain", "prepared"), "plain never costs more"; got != want {
		t.Errorf("reads %q, want %q", got, want)
	}
	if _, err := price.BreakEven(plain, prepared, 0); err == nil {
		t.Error("a comparison over no quantity was made")
	}
}

// A what-if shows where a difference comes from; its parts are the whole.
func TestCompare(t *testing.T) {
	before := solved(t, teeOrder())
	dearer := teeOrder()
	dearer.Lines[0].Blank.Each = d("4.10")
	after := solved(t, dearer)
	changes := price.Compare(before, after)
	var names []string
	var parts, total decimal.Decimal
	for _, c := range changes {
		names = append(names, c.Name)
		switch c.Name {
		case "total":
			total = c.By
		case "subtotal":
		default:
			parts = parts.Add(c.By)
		}
		if !c.After.Sub(c.Before).Equal(c.By) {
			t.Errorf("%s: %s to %s is not %s", c.Name, c.Before, c.After, c.By)
		}
	}
	if want := "blanks spoilage overhead subtotal total"; strings.Join(names, " ") != want {
		t.Errorf("changed: %v, want %s", names, want)
	}
	if !parts.Equal(after.Cost.Total().Sub(before.Cost.Total())) || !total.Equal(after.Total.Sub(before.Total)) {
		t.Errorf("parts add up to %s, total %s", parts, total)
	}
	if none := price.Compare(before, before); len(none) != 0 {
		t.Errorf("a quote differs from itself: %v", none)
	}
}

// What-ifs as they are asked in chat: which parts move, and which way.
func TestWhatIf(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*price.Problem)
		want   string // "+" for what rises, "-" for what falls
	}{
		{"another spot", func(p *price.Problem) {
			l := &p.Lines[0]
			l.Prints = append(l.Prints[:1:1], l.Prints[0])
			l.PerSheet, l.Sheets = 0, func(pieces int) int { return 2 * pieces }
		}, "+sheets +toner +labour +machine +energy +spoilage +overhead +subtotal +total"},
		{"a larger print", func(p *price.Problem) {
			l := &p.Lines[0]
			l.Prints = []price.Print{l.Prints[0]}
			l.Prints[0].Width *= 1.2
		}, "+toner +spoilage +overhead +subtotal +total"},
		{"the customer's blanks", func(p *price.Problem) { p.Lines[0].Theirs = true }, "-blanks -spoilage -overhead -subtotal -total"},
		{"due tomorrow", func(p *price.Problem) { p.HasDue, p.DueIn = true, 1 }, "+rush +total"},
		{"due next week", func(p *price.Problem) { p.HasDue, p.DueIn = true, 5 }, ""},
		{"rush without a date", func(p *price.Problem) { p.Rush = true }, "+rush +total"},
		{"by sublimation", func(p *price.Problem) {
			p.Lines[0].Method = "sublimation"
			p.Lines[0].Prints = []price.Print{p.Lines[0].Prints[0]}
			p.Lines[0].Prints[0].Coverage = []price.Coverage{{Channel: "c", Share: 0.1}}
		}, "-sheets -toner -spoilage -overhead -subtotal -total"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := teeOrder()
			before := solved(t, p)
			row.change(&p)
			var said []string
			for _, c := range price.Compare(before, solved(t, p)) {
				sign := "+"
				if c.By.IsNegative() {
					sign = "-"
				}
				said = append(said, sign+c.Name)
			}
			if got := strings.Join(said, " "); got != row.want {
				t.Errorf("moves %s, want %s", got, row.want)
			}
		})
	}
}
