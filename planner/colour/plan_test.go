package colour

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"presshand/planner/unit"
)

func mustSolve(t interface {
	Helper()
	Fatal(...any)
}, p Problem) Plan {
	t.Helper()
	plan, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(p, plan); err != nil {
		t.Fatal(err)
	}
	return plan
}

// Ash grey, and red, white and black art: common practice, no source, says
// that colours print darker on ash and that white has no ink.
func TestSolveAshPolyester(t *testing.T) {
	ash := Colour{0xd3, 0xd3, 0xd0}
	p := Problem{Wanted: []Colour{{0xc8, 0x1e, 0x28}, White(), Black()}, Blank: ash, Polyester: 1, Vanish: 5}
	plan := mustSolve(t, p)
	red, white, black := plan.Swatches[0], plan.Swatches[1], plan.Swatches[2]
	if red.Seen.Lab().L >= red.Wanted.Lab().L || !strings.Contains(red.Word, "darker") {
		t.Errorf("red on ash: %+v, want darker", red)
	}
	if !white.Vanishes || white.Seen != ash {
		t.Errorf("white on ash: %+v, want it gone", white)
	}
	if black.Seen != Black() || black.Word != "the same to the eye" {
		t.Errorf("black on ash: %+v, want black", black)
	}
	if diff := cmp.Diff([]string{"white"}, plan.Vanished()); diff != "" {
		t.Errorf("vanished (-want +got):\n%s", diff)
	}
}

// A transfer's white ground hides the blank, so the art keeps its colours, and
// only what equals the blank vanishes.
func TestSolveTransfer(t *testing.T) {
	ground := White()
	p := Problem{Wanted: []Colour{{0xc8, 0x1e, 0x28}, {12, 12, 12}}, Blank: Black(), Ground: &ground, Vanish: 5}
	plan := mustSolve(t, p)
	for _, s := range plan.Swatches {
		if s.Seen != s.Wanted || s.Difference != 0 {
			t.Errorf("%v seen as %v", s.Wanted, s.Seen)
		}
	}
	if plan.Swatches[0].Vanishes || !plan.Swatches[1].Vanishes {
		t.Errorf("vanished %v, want only the black", plan.Vanished())
	}
}

func TestWord(t *testing.T) {
	tests := []struct {
		name          string
		before, after Lab
		want          string
	}{
		{"equal", Lab{50, 60, 30}, Lab{50, 60, 30}, "the same to the eye"},
		{"only faded", Lab{50, 60, 30}, Lab{70, 30, 15}, "very different: paler, duller"},
		{"red turned orange", Lab{50, 60, 30}, Lab{50, 48, 47}, "very different: yellower"},
		{"grey with a blue cast", Lab{50, 0, 0}, Lab{50, 0, -4}, "a little different: stronger, bluer"},
		{"black to white", Lab{0, 0, 0}, Lab{100, 0, 0}, "another colour: paler"},
	}
	for _, tt := range tests {
		if got := word(CIEDE2000(tt.before, tt.after), tt.before, tt.after); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestSolveRefuses(t *testing.T) {
	red := []Colour{{200, 0, 0}}
	tests := []struct {
		name string
		p    Problem
		want string
	}{
		{"nothing wanted", Problem{}, "no colour"},
		{"too much polyester", Problem{Wanted: red, Polyester: 1.1}, "from 0 to 1"},
		{"no number", Problem{Wanted: red, Polyester: unit.Share(math.NaN())}, "from 0 to 1"},
		{"negative contrast", Problem{Wanted: red, Vanish: -1}, "0 or more"},
		{"endless contrast", Problem{Wanted: red, Vanish: math.Inf(1)}, "0 or more"},
	}
	for _, tt := range tests {
		if _, err := Solve(tt.p); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want %q in it", tt.name, err, tt.want)
		}
	}
}

func TestSolveHoldsCheck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Problem{
			Wanted:    rapid.SliceOfN(anyColour(), 1, 4).Draw(t, "wanted"),
			Blank:     anyColour().Draw(t, "blank"),
			Polyester: anyShare().Draw(t, "polyester"),
			Vanish:    rapid.Float64Range(0, 20).Draw(t, "vanish"),
		}
		if rapid.Bool().Draw(t, "transfer") {
			ground := anyColour().Draw(t, "ground")
			p.Ground = &ground
		}
		mustSolve(t, p)
	})
}

// Check must see each kind of damage, or it checks nothing.
func TestCheckSeesDamage(t *testing.T) {
	p := Problem{Wanted: []Colour{{200, 30, 40}, {30, 60, 200}}, Blank: Colour{230, 230, 225}, Polyester: 0.8, Vanish: 5}
	tests := map[string]func(*Plan){
		"swatch lost":     func(p *Plan) { p.Swatches = p.Swatches[:1] },
		"order":           func(p *Plan) { p.Swatches[0], p.Swatches[1] = p.Swatches[1], p.Swatches[0] },
		"brighter":        func(p *Plan) { p.Swatches[0].Seen.G += 3 },
		"difference":      func(p *Plan) { p.Swatches[0].Difference *= 1.3 },
		"not a number":    func(p *Plan) { p.Swatches[0].Difference = math.NaN() },
		"contrast":        func(p *Plan) { p.Swatches[1].Contrast /= 2 },
		"vanishes":        func(p *Plan) { p.Swatches[1].Vanishes = true },
		"word missing":    func(p *Plan) { p.Swatches[1].Word = " " },
		"name missing":    func(p *Plan) { p.Swatches[1].SeenName = "" },
		"unwanted colour": func(p *Plan) { p.Swatches[1].Wanted.B++ },
	}
	for name, damage := range tests {
		plan := mustSolve(t, p)
		damage(&plan)
		if Check(p, plan) == nil {
			t.Errorf("%s: not seen", name)
		}
	}
}

func TestDrawShowsBothColours(t *testing.T) {
	p := Problem{Wanted: []Colour{{0xc8, 0x1e, 0x28}, {255, 214, 0}, White()}, Blank: Colour{0xd3, 0xd3, 0xd0}, Polyester: 0.65, Vanish: 5}
	plan := mustSolve(t, p)
	var svg bytes.Buffer
	if err := Draw(p, plan).SVG(&svg); err != nil {
		t.Fatal(err)
	}
	for _, s := range plan.Swatches {
		for _, want := range []string{s.Wanted.String(), s.Seen.String(), s.SeenName} {
			if !strings.Contains(svg.String(), want) {
				t.Errorf("picture lacks %s", want)
			}
		}
	}
}
