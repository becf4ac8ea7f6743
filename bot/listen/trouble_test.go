package listen

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestTroubleAsksBack(t *testing.T) {
	env, reader := orderEnv(t)
	rows := []struct {
		text    string
		kind    TroubleKind
		ask     string // must be in the question
		choices []string
	}{
		{"0 tees", QuantityZero, "How many?", nil},
		{"-5 tees", QuantityNegative, "How many?", []string{"5"}},
		{"10 million tees", QuantityAbsurd, "10,000,000", nil},
		{"100001 tees", QuantityAbsurd, "100,001", nil},
		{"2.5 hoodies", QuantityPart, "whole number", nil},
		{"a couple of mugs", QuantityVague, "how many exactly", []string{"2", "3"}},
		{"24 tees S 4 M 10 L 8", SizesDiffer, "add up to 22", []string{"22", "24"}},
		{"24 tees due yesterday", DatePast, "is over", nil},
		{"24 tees 60% cotton", FibreSum, "60 %", nil},
		{"24 cotton blend tees", BlendUnknown, "label", []string{"50/50", "60/40", "65/35"}},
		{"24 60/40 tees", TwoReadings, "60 % cotton, 40 % polyester", []string{"60 % cotton, 40 % polyester", "60 % polyester, 40 % cotton"}},
		{"24 navy and white tees", TwoReadings, "How many of each", []string{"navy", "white"}},
		{"24 black or navy tees", TwoReadings, "Which colour", []string{"black", "navy"}},
		{"24 tees by next friday", TwoReadings, "Fri 27 Nov or Fri 4 Dec", []string{"Fri 27 Nov", "Fri 4 Dec"}},
		{"24 to 30 tees", TwoReadings, "24 or 30", []string{"24", "30"}},
		{"24 tees, 12 navy 10 white", TwoReadings, "add up to 22", []string{"22", "24"}},
	}
	for _, r := range rows {
		got := ReadOrder(reader.Read(r.text, env.Now), env).Trouble
		if len(got) == 0 || got[0].Kind != r.kind || !strings.Contains(got[0].Ask, r.ask) {
			t.Errorf("%q: got %+v, want %s asking %q", r.text, got, r.kind, r.ask)
			continue
		}
		if diff := cmp.Diff(r.choices, got[0].Choices); diff != "" && r.choices != nil {
			t.Errorf("%q: choices differ (-want +got):\n%s", r.text, diff)
		}
	}
}

func TestAssumedAndMissing(t *testing.T) {
	env, reader := orderEnv(t)
	rows := []struct {
		text             string
		assumed, missing []string
	}{
		{"24 black cotton tees, 9x7 front", nil, nil},
		{"24 tees", nil, []string{"colour", "fibre", "print"}},
		{"12 white mugs wrap", nil, []string{"width"}},
		{"24 black 50/50 tees 9x7", []string{"50/50 taken as 50 % cotton, 50 % polyester"}, nil},
		{"24 black CVC tees 9x7", []string{"CVC taken as 60 % cotton, 40 % polyester"}, nil},
		{"24 black cotton tees front 9x7 due sunday", []string{"closed on Sunday 29 November, so taken as Saturday 28 November 14:00"}, nil},
		{"12 navy cotton tees and 12 white cotton tees, 9x7 front on all", []string{"the same print on every line that can take it"}, nil},
		{"24 black cotton tees sleeve print 3 wide", []string{"the left sleeve, as no side was said"}, nil},
		{"quote black cotton tees front 9x7", nil, []string{"quantity"}},
	}
	for _, r := range rows {
		got := ReadOrder(reader.Read(r.text, env.Now), env)
		if diff := cmp.Diff(r.assumed, got.Assumed); diff != "" {
			t.Errorf("%q: assumed differs (-want +got):\n%s", r.text, diff)
		}
		if diff := cmp.Diff(r.missing, got.Missing); diff != "" {
			t.Errorf("%q: missing differs (-want +got):\n%s", r.text, diff)
		}
	}
}

// The form of an order that scripts read: every list and map is there, empty
// where nothing was said, and nothing is invented.
func TestOrderForm(t *testing.T) {
	env, reader := orderEnv(t)
	text := "24 black cotton tees, M 12 L 12, 9x7 front, two-step transfer, our blanks, for the village choir, due friday 5pm"
	got, err := json.Marshal(ReadOrder(reader.Read(text, env.Now), env).Order)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"for":"village choir","ref":"","note":"","art_ok":false,"blanks_by":"",` +
		`"lines":[{"quantity":24,"item":"tee","colour":"black","fibre":{"cotton":100},"sizes":{"L":12,"M":12},"method":"two-step-transfer","blanks":"ours",` +
		`"prints":[{"spot":"front","width":228.6,"height":177.8,"art":"","texts":[]}]}],` +
		`"due":"2026-11-27T17:00:00-05:00","rush":false}`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	bare, err := json.Marshal(ReadOrder(reader.Read("hello", env.Now), env).Order)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"for":"","ref":"","note":"","art_ok":false,"blanks_by":"","lines":[],"due":"","rush":false}`; string(bare) != want {
		t.Errorf("got %s, want %s", bare, want)
	}
}

// An order put together from its parts, in any order of saying them, reads back
// whole.
func TestOrdersReadBack(t *testing.T) {
	env, reader := orderEnv(t)
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 500).Draw(rt, "n")
		colour := rapid.SampledFrom([]string{"black", "white", "navy", "red", "heather grey", "charcoal"}).Draw(rt, "colour")
		fibre := rapid.SampledFrom([]string{"cotton", "polyester"}).Draw(rt, "fibre")
		item := rapid.SampledFrom([]string{"tee", "hoodie", "crewneck"}).Draw(rt, "item")
		spot := rapid.SampledFrom([]string{"front", "back"}).Draw(rt, "spot")
		w, h := rapid.IntRange(3, 14).Draw(rt, "w"), rapid.IntRange(3, 14).Draw(rt, "h")
		thing := fmt.Sprintf("%d %s %s %ss", n, colour, fibre, item)
		size := fmt.Sprintf("%dx%d", w, h)
		tail := rapid.SampledFrom([]string{size + " " + spot, spot + " " + size, spot + " print " + size + " in"}).Draw(rt, "print")
		parts := rapid.Permutation([]string{thing, tail, "due friday", "for the rowing club"}).Draw(rt, "parts")
		text := strings.Join(parts, rapid.SampledFrom([]string{", ", "; ", "\n", " - "}).Draw(rt, "joint"))
		want := fmt.Sprintf("%d %s; %s; %s 100; %s %dx%d | due Fri Nov 27 17:30 | for rowing club", n, item, colour, fibre, spot, w, h)
		if got := sketch(ReadOrder(reader.Read(text, env.Now), env)); got != want {
			rt.Fatalf("%q\n got %s\nwant %s", text, got, want)
		}
	})
}

func FuzzReadOrder(f *testing.F) {
	env, reader := orderEnv(f)
	for _, c := range orderCases(f, "testdata/orders_tune.txt")[:60] {
		f.Add(c.text, "make it 48")
	}
	f.Fuzz(func(t *testing.T, text, follow string) {
		got := ReadOrder(reader.Read(text, env.Now), env)
		for _, trouble := range got.Trouble {
			if trouble.Ask == "" || trouble.Kind.rank() < 0 || trouble.Line >= len(got.Order.Lines) && len(got.Order.Lines) > 0 {
				t.Errorf("%q: trouble %+v", text, trouble)
			}
		}
		Amend(got.Order, reader.Read(follow, env.Now))
	})
}
