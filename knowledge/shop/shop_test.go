package shop

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"presshand/knowledge"
	"presshand/planner/unit"
)

// The example shop is fixed by our own description of it: hours, people,
// machines and money below are copied from there, not from the file.
func TestExample(t *testing.T) {
	p := Example()
	weekday := []Span{{9 * 60, 17*60 + 30}}
	hours := [7][]Span{time.Monday: weekday, time.Tuesday: weekday, time.Wednesday: weekday, time.Thursday: weekday,
		time.Friday: weekday, time.Saturday: {{10 * 60, 14 * 60}}}
	if diff := cmp.Diff(hours, p.Hours); diff != "" {
		t.Error(diff)
	}
	breaks := []Break{
		{Span: Span{10*60 + 30, 10*60 + 45}, Paid: true},
		{Span: Span{15 * 60, 15*60 + 15}, Paid: true},
		{Span: Span{12*60 + 30, 13 * 60}, InTurn: true},
	}
	if diff := cmp.Diff(breaks, p.Breaks); diff != "" {
		t.Error(diff)
	}
	printer := p.Printers[0]
	for _, row := range []struct {
		name      string
		got, want any
	}{
		{"name", p.Name, "Alder Yard Print Room"},
		{"example", p.Example, true},
		{"zone", p.Zone.String(), "America/New_York"},
		{"day first", p.DayFirst, false},
		{"people", p.People, 2},
		{"rack", p.Rack, 40},
		{"methods", strings.Join(p.Methods, " "), "two-step-transfer sublimation"},
		{"spoilage", p.Spoilage, unit.Percent(3)},
		{"confidence", p.Confidence, unit.Percent(95)},
		{"sheets", strings.Join(printer.Sheets, " "), "letter a4"},
		{"margin of the sheet", printer.Margin, unit.Millimetres(5)},
		{"transfer pages", printer.PagesPerMinute["transfer"], 6.0},
		{"plain pages", printer.PagesPerMinute["plain"], 12.0},
		{"changeover", printer.Changeover, unit.Minutes(12)},
		{"currency", p.Money.Currency, "USD"},
		{"tax", p.Money.Tax, unit.Share(0)},
		{"margin", p.Money.Margin, unit.Percent(45)},
		{"markup", p.Money.Markup, unit.Share(0)},
		{"minimum", p.Money.Minimum.String(), "25"},
		{"setup", p.Money.Setup.String(), "10"},
		{"rush", fmt.Sprint(p.Money.Rush), fmt.Sprint([]Rush{{2, unit.Percent(15)}})},
		{"uncounted stock", p.Stock[0].Have, Uncounted},
		{"uncounted blanks", p.Blanks[0].Have, Uncounted},
		{"uses", p.Stock[0].Uses, 1},
	} {
		if row.got != row.want {
			t.Errorf("%s: got %v, want %v", row.name, row.got, row.want)
		}
	}
	kinds := map[string]int{}
	itself := 0
	for _, press := range p.Presses {
		kinds[press.Kind]++
		if press.OpensItself {
			itself++
		}
		if heat, cool := press.Heat*9/5, press.Cool*9/5; !near(heat, 15) || !near(cool, 6) {
			t.Errorf("%s: heats %v and cools %v F a minute", press.Name, heat, cool)
		}
		if w, h := press.Width.In(), press.Height.In(); press.Kind == "flat" && (!near(w, 16) || !near(h, 20)) {
			t.Errorf("%s: platen %v x %v in", press.Name, w, h)
		}
	}
	if kinds["flat"] != 2 || kinds["mug"] != 1 || itself != 1 {
		t.Errorf("presses: %v, %d open by themselves", kinds, itself)
	}
}

func near(x, want float64) bool { return x > want-1e-9 && x < want+1e-9 }

func TestExamplePrices(t *testing.T) {
	priced := map[string]bool{}
	for _, b := range Example().Blanks {
		priced[strings.TrimSpace(b.Group+" "+b.Item)] = b.Price.IsPositive()
	}
	for _, want := range []string{"adult tee", "youth tee", "toddler tee", "infant tee", "long-sleeve tee", "performance tee", "tank", "polo",
		"hoodie", "crewneck", "jersey", "tote bag", "apron", "cap", "mug", "tile", "mouse pad", "coaster"} {
		if !priced[want] {
			t.Errorf("%s has no price", want)
		}
	}
}

func TestWriteExample(t *testing.T) {
	var b bytes.Buffer
	if err := WriteExample(&b); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(&b, "written.yaml"); err != nil {
		t.Error(err)
	}
}

// changed is the example with the first occurrence of one text replaced.
func changed(t *testing.T, from, to string) string {
	t.Helper()
	if !strings.Contains(string(example), from) {
		t.Fatalf("the example has no %q", from)
	}
	return strings.Replace(string(example), from, to, 1)
}

func TestErr(t *testing.T) {
	for _, row := range []struct{ name, from, to, want string }{
		{"unknown key", "people: 2 ", "peopel: 2 ", `profile has no "people" [missing]; unknown key "peopel" in profile [key]`},
		{"doubled key", "rack: 40 ", "rack: 40\nrack: 41 ", `key "rack" is given twice, first at line \d+, column 1 [duplicate]`},
		{"no people", "people: 2", "people: 0", `no people: nobody to press [people]`},
		{"no press", "presses:\n", "presses: []\nx:\n", `no press: nothing can be pressed [press]; "presses" is empty [empty]; unknown key "x" in profile [key]`},
		{"unknown zone", "America/New_York", "Mars/Olympus", `"zone": unknown time zone "Mars/Olympus": write a name of .* [value]`},
		{"zone of the machine", "America/New_York", "Local", `"zone": unknown time zone "Local": .* [value]`},
		{"hours reversed", "mon-fri: 9:00-17:30", "mon-fri: 17:30-9:00", `"mon-fri": "17:30-9:00" ends before it begins: .* [value]`},
		{"hours overlap", "mon-fri: 9:00-17:30", "mon-fri: [9:00-13:00, 12:00-17:00]", `"12:00-17:00" begins before the stretch ahead of it ends [hours]`},
		{"day twice", "sat: 10:00-14:00", "fri: 10:00-14:00", `fri is given twice [duplicate]`},
		{"unknown day", "sat: 10:00-14:00", "saturday: 10:00-14:00", `unknown day "saturday" [word]`},
		{"break reversed", "at: 10:30-10:45", "at: 10:45-10:30", `"at": "10:45-10:30" ends before it begins: .* [value]`},
		{"unit missing", "width: 16 in", "width: 16", `"width": length "16" has no unit: write in, mm or cm behind the number [value]`},
		{"temperature unit", "max: 430 F", "max: 430", `"max": temperature "430" has no unit: .* [value]`},
		{"press too cold", "max: 430 F", "max: 60 F", `press "press 1" gets no hotter than at rest [press]`},
		{"rate", "heat: 15 F/min", "heat: 15 F", `"heat": cannot read "15 F": write degrees a minute .* [value]`},
		{"no heat", "heat: 15 F/min", "heat: 0 F/min", `heat is not above zero [number]`},
		{"same press name", "name: press 2", "name: press 1", `name "press 1" is taken [duplicate]`},
		{"press kind", "kind: flat ", "kind: round ", `"kind" is "round", which is no word for it [word]`},
		{"sheet size", "[letter, a4]", "[letter, a44]", `"sheets" is "a44", which is no word for it [word]`},
		{"rack", "rack: 40", "rack: none", `"rack" is "none", not a whole number [form]`},
		{"margin too high", "margin: 45 %", "margin: 100 %", `a margin of 100 % can't be: the price would have to be endless [margin]`},
		{"margin and markup", "margin: 45 %", "margin: 45 %\n  markup: 80 %", `margin and markup are both given [margin]`},
		{"neither", "margin: 45 %", "# margin", `neither margin nor markup is given [margin]`},
		{"negative margin", "margin: 45 %", "margin: -5 %", `it would sell below cost [margin]`},
		{"currency", "currency: USD", "currency: BUCKS", `unknown currency "BUCKS" [currency]`},
		{"price missing", "labour: 20.00", "# labour", `money has no "labour" [missing]`},
		{"price negative", "labour: 20.00", "labour: -20.00", `price -20 is negative [price]`},
		{"price with sign", "labour: 20.00", "labour: $20", `"labour": "$20" is no amount of money: .* [value]`},
		{"blank without price", "item: polo, price: 8.90", "item: polo", `blank has no "price" [missing]`},
		{"blank for nothing", "item: polo, price: 8.90", "item: polo, price: 0", `"polo" has no price above zero [price]`},
		{"blank negative", "item: polo, price: 8.90", "item: polo, price: -8.90", `"polo" has no price above zero [price]`},
		{"blank twice", "item: tank", "item: polo", `"polo" of group "" is given twice [duplicate]`},
		{"yield zero", "yield: 3500", "yield: 0", `yield is not above zero [number]`},
		{"coverage", "white: 60 %", "white: 160 %", `white is out of range [share]`},
		{"channel", "white: 60 %", "whit: 60 %", `unknown channel "whit" [word]`},
		{"share without sign", "spoilage: 3 %", "spoilage: 0.03", `"spoilage": share "0.03" has no unit: write % behind the number [value]`},
		{"spoils everything", "spoilage: 3 %", "spoilage: 100 %", `spoilage is not from 0 to below 100 % [share]`},
		{"certainty", "confidence: 95 %", "confidence: 100 %", `confidence is not between 0 and 100 % [share]`},
		{"date", "# closed: [2026-12-25, 2027-01-01]", "closed: [2026-13-25] #", `"2026-13-25" is no date [date]`},
		{"breaks", "# breaks: [{from: 24, discount: 5 %}, {from: 72", "breaks: [{from: 24, discount: 5 %}, {from: 24", `quantity 24 does not rise [order]`},
		{"uses", "uses: 150", "uses: 0", `"cover-sheet" can be used 0 times [count]`},
		{"broken", "name: Alder", "name: \"Alder", `not valid YAML: .* [syntax]`},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := Load(strings.NewReader(changed(t, row.from, row.to)), "shop.yaml")
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("got %v, want problems", err)
			}
			var got []string
			for _, p := range problems {
				got = append(got, fmt.Sprintf("%s [%s]", p.Message, p.Rule))
				if p.Pos.Line < 1 || p.Pos.Column < 1 || p.Pos.File != "shop.yaml" {
					t.Errorf("no place: %v", p)
				}
				if p.Mend == "" && !strings.Contains(p.Message, "write") && p.Rule != "word" {
					t.Errorf("no mend: %v", p)
				}
			}
			pattern := strings.NewReplacer("[", `\[`, "]", `\]`, "$", `\$`).Replace(row.want)
			if !regexp.MustCompile("^" + pattern + "$").MatchString(strings.Join(got, "; ")) {
				t.Errorf("got  %s\nwant %s", strings.Join(got, "; "), row.want)
			}
		})
	}
}

func TestPlace(t *testing.T) {
	_, err := Load(strings.NewReader(changed(t, "yield: 3500", "yield: 0")), "shop.yaml")
	var problems Problems
	if !errors.As(err, &problems) || len(problems) != 1 {
		t.Fatal(err)
	}
	p := problems[0]
	if want := strings.Index(p.Line, "yield: 0") + len("yield: ") + 1; p.Pos.Column != want {
		t.Errorf("got column %d, want %d in %q", p.Pos.Column, want, p.Line)
	}
}

func TestCheckByHand(t *testing.T) {
	p := Example()
	if got := Check(p); len(got) != 0 {
		t.Errorf("the example: %v", got)
	}
	p.People, p.Money.Labour = 0, decimal.NewFromInt(-1)
	if got := Check(p); len(got) != 2 {
		t.Errorf("got %v, want two problems", got)
	}
	if got := Check(&Profile{}); len(got) < 5 {
		t.Errorf("an empty profile: got %v", got)
	}
}

func TestCheckIDs(t *testing.T) {
	known := Known{Methods: []string{"two-step-transfer"}, Items: []string{"tee"}, Stock: []string{"transfer-sheet"}}
	p, err := Load(strings.NewReader(string(example)), "shop.yaml")
	if err != nil {
		t.Fatal(err)
	}
	problems := CheckIDs(p, known)
	found := map[string]Problem{}
	for _, problem := range problems {
		found[problem.Message] = problem
	}
	method, ok := found[`method "sublimation" is not in the knowledge base`]
	if !ok || !strings.HasPrefix(method.Line, "methods:") || method.Pos.Column != 30 {
		t.Errorf("got %+v", method)
	}
	if _, ok := found[`blank "polo" is not in the knowledge base`]; !ok {
		t.Error("an unknown blank was taken")
	}
	if _, ok := found[`stock "cover-sheet" is not in the knowledge base`]; !ok {
		t.Error("an unknown stock was taken")
	}
	if _, ok := found[`blank "tee" is not in the knowledge base`]; ok {
		t.Error("a known blank was refused")
	}
}

// What the example shop owns, sells and keeps is all in the built-in base.
func TestExampleIsKnown(t *testing.T) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Skip("the built-in knowledge has problems; its own tests show them")
	}
	var known Known
	for _, m := range base.Methods {
		known.Methods = append(known.Methods, m.ID)
		known.Stock = append(known.Stock, m.Stock...)
	}
	for _, b := range base.Blanks {
		known.Items = append(known.Items, b.Item)
	}
	for _, p := range CheckIDs(Example(), known) {
		t.Error(p.Detail())
	}
}

func TestDaylightSaving(t *testing.T) {
	// US daylight saving ends on the first Sunday of November: Energy Policy
	// Act of 2005, section 110 (Public Law 109-58).
	zone := Example().Zone
	before := time.Date(2026, time.October, 31, 12, 0, 0, 0, zone)
	if _, offset := before.Zone(); offset != -4*3600 {
		t.Errorf("31 October: got offset %d", offset)
	}
	if _, offset := before.AddDate(0, 0, 1).Zone(); offset != -5*3600 {
		t.Errorf("1 November: got offset %d", offset)
	}
}

func FuzzLoad(f *testing.F) {
	f.Add(string(example))
	names, _ := filepath.Glob("testdata/*.yaml")
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
	f.Add("name: x\npresses: [{name: a}]\nhours: {mon: 9:00-10:00}\nmoney: {currency: USD}\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Load(strings.NewReader(text), "x.yaml")
		if (p == nil) == (err == nil) {
			t.Fatalf("got profile %v and error %v", p, err)
		}
		if p != nil && len(Check(p)) > 0 {
			t.Fatalf("a faulty profile was loaded: %v", Check(p))
		}
	})
}

func BenchmarkExample(b *testing.B) {
	for b.Loop() {
		Example()
	}
}
