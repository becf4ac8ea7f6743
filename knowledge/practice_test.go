package knowledge

import (
	"io/fs"
	"math"
	"slices"
	"sync"
	"testing"

	"presshand/planner/unit"
)

// Check values of this file are common practice in the trade: there is no
// source to cite, and the base must say so of each ("source: practice").
// Where a row says memory, the value is recalled, without a source at hand.

// loadBuiltin reads the YAML files once for all tests, which only look at them.
var loadBuiltin = sync.OnceValues(func() (*Base, Problems) { return load([]fs.FS{Builtin()}, nil) })

func builtinBase(t *testing.T) *Base {
	t.Helper()
	base, problems := loadBuiltin()
	if len(problems) > 0 {
		t.Fatalf("the built-in files have %d problems; TestBuiltin shows them", len(problems))
	}
	return base
}

const (
	twoStep     = "two-step-transfer"
	sublimation = "sublimation"
)

func TestPracticeSettings(t *testing.T) {
	base := builtinBase(t)
	white := recipeFor(t, base, twoStep, "tee", map[string]int{"cotton": 100})
	dye := recipeFor(t, base, sublimation, "tee", map[string]int{"polyester": 100})
	for _, row := range []struct {
		name string
		got  Value
		want float64 // C or s
	}{
		{"two-step marry", white.Marry.Temperature, unit.Fahrenheit(310).C()},
		{"two-step marry time", white.Marry.Time, 120},
		{"two-step pre-press", white.Prepress.Temperature, unit.Fahrenheit(310).C()},
		{"two-step pre-press time", white.Prepress.Time, 10},
		{"two-step press", white.Press.Temperature, unit.Fahrenheit(310).C()},
		{"two-step press time", white.Press.Time, 30},
		{"two-step cool wait", white.CoolWait, 600},
		{"two-step finish", white.Finish.Temperature, unit.Fahrenheit(310).C()},
		{"two-step finish time", white.Finish.Time, 20},
		{"sublimation pre-press", dye.Prepress.Temperature, unit.Fahrenheit(385).C()},
		{"sublimation pre-press time", dye.Prepress.Time, 5},
		{"sublimation press", dye.Press.Temperature, unit.Fahrenheit(385).C()},
		{"sublimation press time", dye.Press.Time, 50},
	} {
		if math.Abs(row.got.Is-row.want) > 1e-9 || row.got.Source.Kind != Practice {
			t.Errorf("%s: got %v (%s), want %v (practice)", row.name, row.got.Is, row.got.Source.Kind, row.want)
		}
	}
	for _, row := range []struct {
		name      string
		got       Word
		want      string
		wantKnown SourceKind
	}{
		{"two-step peel", white.Peel, "cold", Practice},
		{"two-step pressure", white.Press.Pressure, "firm", Memory},
		{"sublimation pressure", dye.Press.Pressure, "medium", Memory},
		{"sublimation peel", dye.Peel, "hot", Memory},
	} {
		if row.got.Is != row.want || row.got.Source.Kind != row.wantKnown {
			t.Errorf("%s: got %q (%s), want %q (%s)", row.name, row.got.Is, row.got.Source.Kind, row.want, row.wantKnown)
		}
	}
	if dye.Finish.Temperature.Known() || dye.Marry.Temperature.Known() || dye.CoolWait.Known() {
		t.Error("sublimation has no marrying, no cool wait and no finish press")
	}
}

func recipeFor(t *testing.T, base *Base, method, blank string, fibre map[string]int) *Recipe {
	t.Helper()
	r, ok := base.RecipeFor(method, blank, fibre, "")
	if !ok {
		t.Fatalf("no recipe of %s for a %v %s", method, fibre, blank)
	}
	return r
}

func TestPracticeMethods(t *testing.T) {
	base := builtinBase(t)
	white, ok := base.Method(twoStep)
	dye, ok2 := base.Method(sublimation)
	if !ok || !ok2 {
		t.Fatal("a method is missing")
	}
	if w := white.WashLife; w.Low != 30 || w.High != 40 || w.Source.Kind != Practice {
		t.Errorf("two-step wash life: got %v to %v (%s), want 30 to 40 (practice)", w.Low, w.High, w.Source.Kind)
	}
	if w := dye.WashWord; w.Is != "fabric" || w.Source.Kind != Practice || dye.WashLife.Known() {
		t.Errorf("sublimation lasts as long as the fabric: got %+v", w)
	}
	for _, row := range []struct {
		name string
		got  Flag
		want bool
	}{
		{"two-step prints white", white.White, true},
		{"sublimation prints no white", dye.White, false},
		{"sublimation is mirrored", dye.Mirror, true},
		{"a sheet inside the garment", dye.InsideSheet, true},
		{"a cover sheet on top", dye.CoverSheet, true},
	} {
		if !row.got.Given || row.got.Is != row.want || row.got.Source.Kind != Practice {
			t.Errorf("%s: got %+v, want %v (practice)", row.name, row.got, row.want)
		}
	}
	if white.TonerSet != "white" || dye.TonerSet != "dye" {
		t.Errorf("toner sets: got %q and %q", white.TonerSet, dye.TonerSet)
	}
}

// Polyester or a polyester coating only (practice; the limit of 50 % itself is
// recalled: no standard sets one), and white or very light only (practice).
func TestPracticeSublimationRules(t *testing.T) {
	base := builtinBase(t)
	ruledOut := func(holds func(Condition) bool) (found bool) {
		for _, r := range base.Rules {
			found = found || r.Method == sublimation && r.Verdict == "ruled out" && holds(r.When)
		}
		return found
	}
	for _, lightness := range []string{"dark", "mid"} {
		if !ruledOut(func(c Condition) bool { return slices.Equal(c.Lightness, []string{lightness}) }) {
			t.Errorf("no rule against sublimation on a %s blank", lightness)
		}
	}
	if !ruledOut(func(c Condition) bool { return c.PolyesterBelow.Is == 50 && c.PolyesterBelow.Source.Kind == Memory }) {
		t.Error("no rule against sublimation below half polyester")
	}
}

func TestPracticePlacement(t *testing.T) {
	base := builtinBase(t)
	for _, p := range base.Placements {
		if p.Spot != "front" || p.Group != "adult" || len(p.Blanks) > 0 {
			continue
		}
		// Four fingers, about 3 in; full front 10 to 12 in wide.
		if o := p.Offset; math.Abs(o.Is-unit.Inches(3).MM()) > 1e-9 || o.Source.Kind != Practice {
			t.Errorf("%s: top of the print %v mm below the collar (%s)", p.ID, o.Is, o.Source.Kind)
		}
		if w := p.Width; math.Abs(w.Low-unit.Inches(10).MM()) > 1e-9 || math.Abs(w.High-unit.Inches(12).MM()) > 1e-9 {
			t.Errorf("%s: %v to %v mm wide", p.ID, w.Low, w.High)
		}
		return
	}
	t.Error("no placement of a front print on any adult garment")
}

// Ceilings for a press of 60 s or less, in degrees Celsius: recalled, no
// source at hand. Three fibres are never pressed.
func TestMemoryCeilings(t *testing.T) {
	base := builtinBase(t)
	for id, want := range map[string]float64{
		"polyester": 205, "cotton": 200, "linen": 200, "elastane": 195, "viscose": 175, "wool": 160,
		"nylon": 150, "silk": 150, "acrylic": 150, "acetate": 135,
	} {
		v, refuse, ok := base.CeilingFor(map[string]int{id: 100})
		if !ok || refuse != "" || v.Is != want || v.Source.Kind != Memory {
			t.Errorf("%s: got %v (%s), %q, %v; want %v (memory)", id, v.Is, v.Source.Kind, refuse, ok, want)
		}
	}
	for _, id := range []string{"modacrylic", "polypropylene", "pvc"} {
		if _, refuse, _ := base.CeilingFor(map[string]int{id: 100}); refuse == "" {
			t.Errorf("%s is not refused", id)
		}
	}
	if v, _, _ := base.CeilingFor(map[string]int{"cotton": 95, "elastane": 5}); v.Is != 195 {
		t.Errorf("a blend takes its lowest ceiling: got %v", v.Is)
	}
}
