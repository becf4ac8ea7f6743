package method

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"presshand/planner/unit"
)

func share(p float64) *unit.Share { s := unit.Percent(p); return &s }
func flagOf(b bool) *bool         { return &b }

// trade is a small rule set after common practice (no source): dye needs
// polyester and a white or very light blank, toner with white goes on nearly
// anything.
func trade() Problem {
	return Problem{
		Methods: []Method{{ID: "dye", Default: 2, Owned: true}, {ID: "toner", Default: 1, Owned: true}, {ID: "vinyl", Default: 3}},
		Rules: []Rule{
			{ID: "dark-blank", Method: "dye", When: Condition{Lightness: []string{"dark"}}, Verdict: RuledOut},
			{ID: "not-enough-polyester", Method: "dye", When: Condition{PolyesterBelow: share(65)}, Verdict: RuledOut},
			{ID: "dye-first", Method: "dye", When: Condition{PolyesterFrom: share(65), Lightness: []string{"very light"}}, Verdict: Fits, Prefer: 2},
			{ID: "no-white", Method: "dye", When: Condition{Art: []string{"white"}}, Verdict: RuledOut},
			{ID: "heat-sensitive", Method: "any", When: Condition{FibreAny: []string{"nylon"}}, Verdict: WithCare},
			{ID: "no-coating", Method: "dye", When: Condition{Kind: []string{"hard"}, Coated: flagOf(false)}, Verdict: RuledOut},
		},
		Fibres:  []map[string]int{{"cotton": 100}, {"cotton": 50, "polyester": 50}, {"polyester": 100}},
		Classes: []string{"very light", "light", "mid", "dark"},
	}
}

func TestSolve(t *testing.T) {
	rows := []struct {
		name    string
		blank   Blank
		art     []string
		best    string
		missing []string
		out     []string // rules that rule out dye
	}{
		{"dark half polyester is ruled out for both reasons", Blank{Kind: "garment", Fibre: map[string]int{"cotton": 50, "polyester": 50}, Lightness: "dark"}, nil, "toner", nil, []string{"dark-blank", "not-enough-polyester"}},
		{"white polyester takes dye", Blank{Kind: "garment", Fibre: map[string]int{"polyester": 100}, Lightness: "very light"}, nil, "dye", nil, nil},
		{"white art needs white toner", Blank{Kind: "garment", Fibre: map[string]int{"polyester": 100}, Lightness: "very light"}, []string{"white"}, "toner", nil, []string{"no-white"}},
		{"a dark blank needs no word on fibre", Blank{Kind: "garment", Lightness: "dark"}, nil, "toner", nil, []string{"dark-blank"}},
		{"a white blank does", Blank{Kind: "garment", Lightness: "very light"}, nil, "toner", []string{"fibre"}, nil},
		{"polyester needs the colour", Blank{Kind: "garment", Fibre: map[string]int{"polyester": 100}}, nil, "toner", []string{"colour"}, nil},
		{"cotton needs no colour", Blank{Kind: "garment", Fibre: map[string]int{"cotton": 100}}, nil, "toner", nil, []string{"not-enough-polyester"}},
		{"of a bare tee both are worth asking", Blank{Kind: "garment"}, nil, "toner", []string{"fibre", "colour"}, nil},
		{"an uncoated mug takes no dye", Blank{Kind: "hard", Coated: flagOf(false), Lightness: "very light"}, nil, "toner", nil, []string{"no-coating"}},
		{"a coated mug asks for no fibre", Blank{Kind: "hard", Coated: flagOf(true), Lightness: "very light"}, nil, "toner", nil, nil},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			p := trade()
			p.Blank, p.Art = r.blank, r.art
			plan, err := Solve(p)
			if err != nil {
				t.Fatal(err)
			}
			if err := Check(p, plan); err != nil {
				t.Error(err)
			}
			best, ok := plan.Best()
			if !ok || best.Method != r.best {
				t.Errorf("best = %q, want %q", best.Method, r.best)
			}
			if diff := cmp.Diff(r.missing, plan.Missing); diff != "" {
				t.Errorf("missing (-want +got):\n%s", diff)
			}
			for _, c := range plan.Choices {
				if c.Method == "dye" && c.Verdict == RuledOut {
					if diff := cmp.Diff(r.out, c.Rules); diff != "" {
						t.Errorf("reasons (-want +got):\n%s", diff)
					}
				} else if c.Method == "dye" && r.out != nil {
					t.Errorf("dye is %q, want ruled out", c.Verdict)
				}
			}
		})
	}
}

// A method the shop has no kit for is judged, and never recommended.
func TestNotOwned(t *testing.T) {
	p := trade()
	p.Methods = []Method{{ID: "dye"}, {ID: "toner"}, {ID: "vinyl"}}
	plan, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if c, ok := plan.Best(); ok {
		t.Errorf("best = %q, want none", c.Method)
	}
}

func TestValidate(t *testing.T) {
	rows := []struct {
		name   string
		change func(*Problem)
	}{
		{"no methods", func(p *Problem) { p.Methods = nil }},
		{"doubled method", func(p *Problem) { p.Methods = append(p.Methods, p.Methods[0]) }},
		{"rule for an unknown method", func(p *Problem) { p.Rules[0].Method = "press" }},
		{"unknown verdict", func(p *Problem) { p.Rules[0].Verdict = "perhaps" }},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			p := trade()
			r.change(&p)
			if _, err := Solve(p); err == nil {
				t.Error("no error")
			}
		})
	}
}

// Every plan passes the independent check, and saying more never turns a
// ruled-out method into one that fits.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := trade()
		if rapid.Bool().Draw(t, "fibre said") {
			poly := rapid.IntRange(0, 100).Draw(t, "polyester")
			p.Blank.Fibre = map[string]int{"polyester": poly, "cotton": 100 - poly}
		}
		p.Blank.Kind = rapid.SampledFrom([]string{"garment", "hard", ""}).Draw(t, "kind")
		p.Blank.Lightness = rapid.SampledFrom(append([]string{""}, p.Classes...)).Draw(t, "lightness")
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(p, plan); err != nil {
			t.Fatal(err)
		}
		if p.Blank.Lightness == "" {
			q := p
			q.Blank.Lightness = rapid.SampledFrom(p.Classes).Draw(t, "lightness said")
			more, _ := Solve(q)
			for _, c := range plan.Choices {
				for _, d := range more.Choices {
					if c.Method == d.Method && c.Verdict.worse(d.Verdict) {
						t.Fatalf("%s went from %q to %q when %q was said", c.Method, c.Verdict, d.Verdict, q.Blank.Lightness)
					}
				}
			}
		}
	})
}

// L* and C*ab of sRGB colours: published-facts table of values computed from
// IEC 61966-2-1 and CIE 15 (white 100, red 53.23, yellow 97.14); a and b from
// widely printed tables (red 80.09, 67.20). The classes' limits are common
// practice recalled from memory, no source.
func TestLightness(t *testing.T) {
	classes := []Class{{"very light", 90, 0, 12}, {"light", 75, 0, 30}, {"dark", 0, 45, 0}, {"mid", 0, 0, 0}}
	rows := []struct {
		name    string
		l, a, b float64
		want    string
	}{
		{"white", 100, 0, 0, "very light"},
		{"red", 53.24, 80.09, 67.20, "mid"},
		{"yellow is light to the eye and not very light here", 97.14, -21.55, 94.48, "mid"},
		{"navy", 12.97, 47.5, -64.7, "dark"},
		{"silver grey", 77.70, 0, 0, "light"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			if got := Lightness(r.l, r.a, r.b, classes); got != r.want {
				t.Errorf("got %q, want %q", got, r.want)
			}
		})
	}
}
