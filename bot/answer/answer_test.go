package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

func testDesk(t testing.TB, change func(*shop.Profile)) *Desk {
	t.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	profile := shop.Example()
	if change != nil {
		change(profile)
	}
	d, err := New(base, profile)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// tenOClock is a Wednesday morning in the example shop's zone.
func tenOClock(d *Desk) time.Time {
	return time.Date(2026, 11, 25, 10, 0, 0, 0, d.shop.Zone)
}

func tees(n int, colour string, fibre map[string]int, prints ...planner.Print) planner.Order {
	return planner.Order{Lines: []planner.Line{{Quantity: n, Item: "tee", Colour: colour, Fibre: fibre, Blanks: "ours", Prints: prints}}}
}

func front(w, h float64) planner.Print { return planner.Print{Spot: "front", Width: w, Height: h} }

// Every plan an order gets passes its planner's own independent check, and the
// parts of the answer agree with each other.
func TestOrdersCheck(t *testing.T) {
	d := testDesk(t, nil)
	now := tenOClock(d)
	cotton, polyester := map[string]int{"cotton": 100}, map[string]int{"polyester": 100}
	due := func(o planner.Order, at string) planner.Order { o.Due = at; return o }
	rows := []struct {
		name   string
		order  planner.Order
		method string
	}{
		{"one tee", tees(1, "black", cotton, front(228.6, 177.8)), "two-step-transfer"},
		{"two dozen", tees(24, "black", cotton, front(228.6, 177.8)), "two-step-transfer"},
		{"front and chest", tees(30, "navy", cotton, front(200, 150), planner.Print{Spot: "left chest", Width: 89, Height: 60}), "two-step-transfer"},
		{"white polyester", tees(48, "white", polyester, front(180, 180)), "sublimation"},
		{"many", tees(200, "black", cotton, front(100, 100)), "two-step-transfer"},
		{"due and tight", due(tees(60, "black", cotton, front(228.6, 177.8)), "2026-11-25T12:00:00-05:00"), "two-step-transfer"},
		{"two kinds", planner.Order{Lines: []planner.Line{
			{Quantity: 12, Item: "tee", Colour: "black", Fibre: cotton, Blanks: "ours", Prints: []planner.Print{front(228.6, 177.8)}},
			{Quantity: 10, Item: "mug", Colour: "white", Blanks: "ours", Prints: []planner.Print{{Spot: "wrap", Width: 200, Height: 80}}},
		}}, "two-step-transfer"},
		{"their blanks", planner.Order{Lines: []planner.Line{{Quantity: 15, Item: "hoodie", Colour: "black", Fibre: cotton, Blanks: "theirs", Prints: []planner.Print{front(200, 200)}}}}, "two-step-transfer"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			c := &draft{Desk: d, ctx: context.Background(), turn: Turn{Now: now}}
			done, err := c.Cost(r.order, now, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := done.Work.Lines[0].Method.ID; got != r.method {
				t.Errorf("method %q, want %q", got, r.method)
			}
			if err := press.Check(press.Problem{Start: now, Shop: d.pressShop, Orders: []press.Order{c.pressOrder(done.Work, orderID(done.Work))}}, done.Press); err != nil {
				t.Errorf("press plan: %v", err)
			}
			if err := price.Check(c.priceProblem(done.Work, now, done.Press.Finish, otherQuantities(total(r.order))), done.Price); err != nil {
				t.Errorf("price: %v", err)
			}
			sheets := 0
			for _, g := range c.gangs(done.Work) {
				plan, err := sheet.Solve(g)
				if err != nil {
					t.Fatal(err)
				}
				if err := sheet.Check(g, plan); err != nil {
					t.Errorf("sheets: %v", err)
				}
				sheets += plan.Sheets
			}
			if sheets != done.Price.Sheets {
				t.Errorf("%d sheets laid out, %d priced", sheets, done.Price.Sheets)
			}
			for i, l := range done.Work.Lines {
				if l.Make < l.Quantity || l.Make != done.Price.Lines[i].Make {
					t.Errorf("line %d: make %d for %d, priced for %d", i+1, l.Make, l.Quantity, done.Price.Lines[i].Make)
				}
				if l.Quantity >= 12 && l.Make == l.Quantity {
					t.Errorf("line %d: no spare for %d", i+1, l.Quantity)
				}
			}
		})
	}
}

// A print of which one side is said is as long on the other; where no sheet of
// the shop holds that (letter prints 205.9 x 269.4 mm, a4 200 x 287 mm), as long
// as the sheet leaves it, which is said. A side no sheet holds is asked about.
func TestOneSide(t *testing.T) {
	d := testDesk(t, nil)
	for _, r := range []struct {
		print        planner.Print
		wide, high   float64
		says, missed string
	}{
		{front(200, 0), 200, 200, "as high as wide", ""},
		{front(254, 0), 254, 205.74, "all that a sheet leaves", ""},
		{front(0, 254), 205.74, 254, "all that a sheet leaves", ""},
		{front(280, 0), 280, 199.898, "all that a sheet leaves", ""},
		{front(300, 0), 0, 0, "", "size"},
	} {
		c := &draft{Desk: d, ctx: context.Background(), turn: Turn{Now: tenOClock(d)}}
		w, err := c.work(tees(20, "black", map[string]int{"cotton": 100}, r.print), tenOClock(d))
		var lack *Lack
		if errors.As(err, &lack) {
			if lack.Missing != r.missed {
				t.Errorf("%v: %q is missing, want %q", r.print, lack.Missing, r.missed)
			}
			continue
		}
		if err != nil || r.missed != "" {
			t.Errorf("%v: %v, want %q missing", r.print, err, r.missed)
			continue
		}
		p := w.Order.Lines[0].Prints[0]
		if !closeTo(p.Width, r.wide) || !closeTo(p.Height, r.high) || !strings.Contains(strings.Join(w.Assumed, "; "), r.says) {
			t.Errorf("%v: %.2f x %.2f, %q; want %.2f x %.2f, %q", r.print, p.Width, p.Height, w.Assumed, r.wide, r.high, r.says)
		}
	}
}

// closeTo reports lengths in mm that nobody could tell apart.
func closeTo(a, b float64) bool { return math.Abs(a-b) < 0.05 }

// The quote of the answer object adds up as scripts are promised.
func TestQuoteAddsUp(t *testing.T) {
	d := testDesk(t, nil)
	o := tees(24, "black", map[string]int{"cotton": 100}, front(228.6, 177.8))
	o.Due = "2026-11-26T12:00:00-05:00" // tomorrow noon: rush
	r := d.Quote(context.Background(), o, Turn{Now: tenOClock(d)})
	data, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Quote struct {
			Lines []struct {
				Quantity   int64
				PriceEach  decimal.Decimal `json:"price_each"`
				PriceTotal decimal.Decimal `json:"price_total"`
			}
			Subtotal, Setup, Rush, Discount, Tax, Total decimal.Decimal
			Topup                                       decimal.Decimal `json:"minimum_topup"`
			Card                                        decimal.Decimal `json:"card_fee"`
		}
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	q := got.Quote
	sum := decimal.Zero
	for _, l := range q.Lines {
		if want := l.PriceEach.Mul(decimal.NewFromInt(l.Quantity)); !want.Equal(l.PriceTotal) {
			t.Errorf("%d at %s is %s, not %s", l.Quantity, l.PriceEach, want, l.PriceTotal)
		}
		sum = sum.Add(l.PriceTotal)
	}
	if !sum.Equal(q.Subtotal) || len(q.Lines) == 0 {
		t.Errorf("lines make %s, subtotal is %s", sum, q.Subtotal)
	}
	if want := q.Subtotal.Add(q.Setup).Add(q.Rush).Add(q.Topup).Add(q.Card).Add(q.Tax).Sub(q.Discount); !want.Equal(q.Total) {
		t.Errorf("parts make %s, total is %s", want, q.Total)
	}
	if q.Rush.IsZero() {
		t.Error("no rush for an order due tomorrow")
	}
	if !strings.Contains(r.Text(), "example prices") {
		t.Error("the answer does not say that its prices are examples")
	}
}

// Rush is charged inside two working days and not at two (names of the example
// shop: "rush 15 % inside two working days").
func TestRushDays(t *testing.T) {
	d := testDesk(t, nil)
	for due, rush := range map[string]bool{
		"2026-11-25T17:00:00-05:00": true,  // today
		"2026-11-26T17:00:00-05:00": true,  // tomorrow
		"2026-11-27T17:00:00-05:00": false, // two working days on
		"2026-12-03T17:00:00-05:00": false,
	} {
		o := tees(6, "black", map[string]int{"cotton": 100}, front(228.6, 177.8))
		o.Due = due
		c := &draft{Desk: d, ctx: context.Background(), turn: Turn{Now: tenOClock(d)}}
		done, err := c.Cost(o, tenOClock(d), nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := !done.Price.Rush.IsZero(); got != rush {
			t.Errorf("due %s: rush %v, want %v", due, got, rush)
		}
	}
}

// What an order lacks is asked for, one thing at a time, and nothing is made
// up meanwhile.
func TestLacks(t *testing.T) {
	d := testDesk(t, nil)
	cotton := map[string]int{"cotton": 100}
	rows := []struct {
		name    string
		order   planner.Order
		missing string
	}{
		{"nothing", planner.Order{}, "blank"},
		{"no size", tees(24, "black", cotton, planner.Print{Spot: "front"}), "size"},
		{"no print", tees(24, "black", cotton), "size"},
		{"no fibre", tees(24, "white", nil, front(200, 150)), "fibre"},
		{"unknown thing", planner.Order{Lines: []planner.Line{{Quantity: 5, Item: "flumph", Prints: []planner.Print{front(100, 100)}}}}, "fibre"},
		{"too large", tees(24, "black", cotton, front(400, 400)), "size"},
		{"no pieces", tees(0, "black", cotton, front(100, 100)), "quantity"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			got := d.Quote(context.Background(), r.order, Turn{Now: tenOClock(d)})
			if r.name == "nothing" { // asked before an order is worked out
				if got.Outcome != reply.Asked {
					t.Errorf("outcome %q", got.Outcome)
				}
				return
			}
			if got.Outcome != reply.Asked || got.Missing != r.missing {
				t.Errorf("outcome %q, missing %q: %s", got.Outcome, got.Missing, got.Text())
			}
			if got.Quote != nil {
				t.Error("a price was made up")
			}
		})
	}
}

// Costs and margin are the owner's, and never shown where others read along.
func TestCostsAreTheOwners(t *testing.T) {
	d := testDesk(t, nil)
	o := tees(24, "black", map[string]int{"cotton": 100}, front(228.6, 177.8))
	order := listen.OrderReading{Order: o, IsOrder: true}
	for _, what := range []string{"", "why", "workings", "inner", "breaks", "customer"} {
		for _, turn := range []Turn{{Now: tenOClock(d)}, {Now: tenOClock(d), Owner: true, Shared: true}} {
			r := d.Answer(context.Background(), listen.Ask{Topic: "quote", What: what, Order: order}, turn)
			text := r.Text() + strings.Join(r.Private, " ")
			for _, secret := range []string{"profit", "labour", "overhead", "a press hour"} {
				if strings.Contains(strings.ToLower(text), secret) {
					t.Errorf("%q shows %q to someone who may not see it: %s", what, secret, text)
				}
			}
		}
	}
}

// The navy half-polyester hoodie with white lettering: two-step first, dye out
// for being dark and for too little polyester (common practice, no source).
func TestNavyHoodie(t *testing.T) {
	d := testDesk(t, nil)
	r := d.Answer(context.Background(), listen.Ask{Topic: "method", Subject: listen.Subject{
		Blank: "hoodie", Item: "hoodie", Colour: "navy", Fibre: map[string]int{"cotton": 50, "polyester": 50}, Art: []string{"white"}, Quantity: 24,
	}}, Turn{Now: tenOClock(d)})
	if len(r.Facts) == 0 || r.Facts[0].Name != "method" || r.Facts[0].Value != "two-step-transfer" || r.Methods[0].Method != "two-step-transfer" {
		t.Fatalf("first fact and method: %+v, %+v", r.Facts, r.Methods)
	}
	for _, m := range r.Methods {
		if m.Method != "sublimation" {
			continue
		}
		if m.Verdict != "ruled out" {
			t.Errorf("sublimation is %q", m.Verdict)
		}
		for _, want := range []string{"dark-blank", "not-enough-polyester"} {
			if !strings.Contains(strings.Join(m.Rules, " "), want) {
				t.Errorf("rules %v lack %s", m.Rules, want)
			}
		}
	}
}

// The profile's units decide which comes first, and facts stay in the fixed
// units either way.
func TestMetricShop(t *testing.T) {
	d := testDesk(t, func(p *shop.Profile) { p.Fahrenheit, p.Inches = false, false })
	r := d.Answer(context.Background(), listen.Ask{Topic: "setting", What: "press_temperature", Subject: listen.Subject{Methods: []string{"sublimation"}}}, Turn{Now: tenOClock(d)})
	if !strings.HasPrefix(r.Lines[0], "Press: 196 °C (385 °F) for 50 s") {
		t.Errorf("first line %q", r.Lines[0])
	}
	if f := r.Facts[0]; f.Name != "press_temperature" || f.Unit != "C" {
		t.Errorf("first fact %+v", f)
	}
}

// A number of pieces that is also a spare table's row: the published exact
// binomial figures for 3 % spoilage at 95 % (computed from the definition).
func TestSpares(t *testing.T) {
	d := testDesk(t, nil)
	for n, want := range map[int]int{1: 1, 6: 7, 10: 11, 12: 14, 24: 26, 48: 52, 100: 106, 500: 522} {
		r := d.Answer(context.Background(), listen.Ask{Topic: "quote", What: "spare", Subject: listen.Subject{Quantity: n}}, Turn{Now: tenOClock(d)})
		var got any
		for _, f := range r.Facts {
			if f.Name == "make" {
				got = f.Value
			}
		}
		if diff := cmp.Diff(any(want), got); diff != "" {
			t.Errorf("%d pieces (-want +got): %s", n, diff)
		}
	}
}

// How long a quote holds, tax and hours come from the shop profile alone.
func TestShopTerms(t *testing.T) {
	rows := []struct {
		topic, what string
		tax         unit.Share
		want        string
	}{
		{"quote", "valid", 0, "A quote holds 30 days"},
		{"quote", "tax", 0, "No tax is in our prices"},
		{"quote", "tax", 0.08, "8 % is added"},
		{"print", "pace", 0, "12 of plain paper and 6 of transfer paper"},
		{"plan", "hours", 0, "Mon-Fri 9:00 am-5:30 pm, Sat 10:00 am-2:00 pm, Sun closed"},
	}
	for _, r := range rows {
		d := testDesk(t, func(p *shop.Profile) { p.Money.Tax = r.tax })
		got := d.Answer(context.Background(), listen.Ask{Topic: r.topic, What: r.what, Lang: "en"}, Turn{Now: tenOClock(d)})
		if !strings.Contains(strings.Join(got.Lines, "\n"), r.want) {
			t.Errorf("%s %s: %q, want %q", r.topic, r.what, got.Lines, r.want)
		}
	}
}

// A wrong figure is put right under the topic it is about; safety is for those
// that endanger somebody.
func TestCorrectionTopics(t *testing.T) {
	d := testDesk(t, nil)
	for id, want := range map[string]string{"markup-is-margin": "quote", "hand-wash-30": "care", "heather-is-cotton": "method", "ptfe-260": "safety"} {
		ask := listen.Ask{Topic: "safety", Entry: listen.Entry{Section: "corrections", ID: id}}
		if r := d.Answer(context.Background(), ask, Turn{Now: tenOClock(d)}); r.Topic != want {
			t.Errorf("%s is answered under %q, want %q", id, r.Topic, want)
		}
	}
}
