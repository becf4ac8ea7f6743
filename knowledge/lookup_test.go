package knowledge

import (
	"fmt"
	"os"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A base made for these tests; its figures are no facts.
func lookupBase() *Base {
	head := func(id string) Head { return Head{ID: id, Name: id} }
	at := func(c float64) Value { return Value{Dimension: Temperature, Is: c, Low: c, High: c, Unit: "C"} }
	recipe := func(id string, c float64, blanks, fabrics, fibres []string) *Recipe {
		return &Recipe{Head: head(id), Method: "press", Blanks: blanks, Fabrics: fabrics, Fibres: fibres,
			Press: Dwell{Temperature: at(c)}}
	}
	return &Base{
		Fibres: []*Fibre{
			{Head: head("cotton"), Ceiling: at(200)},
			{Head: head("polyester"), Ceiling: at(205)},
			{Head: head("elastane"), Ceiling: at(195)},
			{Head: head("wool"), Ceiling: at(160)},
			{Head: head("acrylic"), Ceiling: at(150)},
			{Head: head("hemp")},
			{Head: head("pvc"), Refuse: "it gives off acid"},
		},
		Fabrics: []*Fabric{
			{Head: head("fleece")},
			{Head: head("wool-felt"), Fibre: map[string]int{"wool": 100}},
		},
		Blanks: []*Blank{
			{Head: head("tee")},
			{Head: head("hoodie"), Fabric: "fleece"},
			{Head: head("beret"), Fabric: "wool-felt"},
			{Head: head("mug"), Fibre: map[string]int{"polyester": 100}},
		},
		Recipes: []*Recipe{
			recipe("any", 155, nil, nil, nil),
			recipe("cotton", 155, nil, nil, []string{"cotton"}),
			recipe("polyester", 150, nil, nil, []string{"polyester"}),
			recipe("wool", 140, nil, nil, []string{"wool"}),
			recipe("fleece", 156, nil, []string{"fleece"}, nil),
			recipe("tee-polyester", 149, []string{"tee"}, nil, []string{"polyester"}),
			recipe("mug", 190, []string{"mug"}, nil, nil),
		},
	}
}

func TestRecipeFor(t *testing.T) {
	base := lookupBase()
	for _, row := range []struct {
		name, blank, fabric string
		fibre               map[string]int
		want                string
	}{
		{"generic", "tee", "", nil, "any"},
		{"unknown blank", "kite", "", nil, "any"},
		{"fibre before generic", "tee", "", map[string]int{"cotton": 100}, "cotton"},
		{"blank before fibre", "mug", "", map[string]int{"polyester": 100}, "mug"},
		{"blank with its fibre", "tee", "", map[string]int{"polyester": 100}, "tee-polyester"},
		{"fabric before fibre", "hoodie", "", map[string]int{"cotton": 100}, "fleece"},
		{"fabric as given", "tee", "fleece", map[string]int{"cotton": 100}, "fleece"},
		{"fibre from the blank's fabric", "beret", "", nil, "wool"},
		{"fibre from the fabric", "kite", "wool-felt", nil, "wool"},
		{"most sensitive of a blend", "kite", "", map[string]int{"cotton": 50, "polyester": 50}, "cotton"},
		{"small share of a sensitive fibre", "kite", "", map[string]int{"cotton": 95, "wool": 5}, "wool"},
		{"sensitive fibre without recipe", "kite", "", map[string]int{"cotton": 95, "elastane": 5}, "cotton"},
		{"all too hot", "kite", "", map[string]int{"cotton": 50, "acrylic": 50}, ""},
		{"the hot ones passed over", "kite", "", map[string]int{"polyester": 50, "acrylic": 50}, "polyester"},
		{"never pressed", "kite", "", map[string]int{"cotton": 90, "pvc": 10}, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := ""
			if r, ok := base.RecipeFor("press", row.blank, row.fibre, row.fabric); ok {
				got = r.ID
			}
			if got != row.want {
				t.Errorf("got recipe %q, want %q", got, row.want)
			}
		})
	}
	if r, ok := base.RecipeFor("stamp", "tee", nil, ""); ok {
		t.Errorf("unknown method: got %q", r.ID)
	}
}

func TestCeilingFor(t *testing.T) {
	base := lookupBase()
	for _, row := range []struct {
		name   string
		fibre  map[string]int
		want   float64
		refuse Text
		ok     bool
	}{
		{"one", map[string]int{"cotton": 100}, 200, "", true},
		{"lowest of a blend", map[string]int{"cotton": 60, "polyester": 35, "elastane": 5}, 195, "", true},
		{"refused", map[string]int{"cotton": 50, "pvc": 50}, 200, "it gives off acid", true},
		{"no ceiling known", map[string]int{"cotton": 50, "hemp": 50}, 200, "", false},
		{"unknown fibre", map[string]int{"cotton": 50, "spider silk": 50}, 200, "", false},
		{"nothing", nil, 0, "", false},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, refuse, ok := base.CeilingFor(row.fibre)
			if got.Is != row.want || refuse != row.refuse || ok != row.ok {
				t.Errorf("got %v, %q, %v", got.Is, refuse, ok)
			}
		})
	}
}

func TestRender(t *testing.T) {
	h := &Head{Values: map[string]Value{
		"wait":  {Is: 600, Low: 300, High: 900, Ranged: true},
		"press": {Is: 154},
	}}
	style := func(v Value) string { return fmt.Sprintf("<%g %g-%g>", v.Is, v.Low, v.High) }
	text, used := h.Render("Press {press}, wait {wait} ({wait.low} or {wait.high}); {lost} {", style)
	want := "Press <154 0-0>, wait <600 300-900> (<300 300-300> or <900 900-900>); {lost} {"
	if text != want {
		t.Errorf("got %q, want %q", text, want)
	}
	if diff := cmp.Diff([]string{"press", "wait"}, used); diff != "" {
		t.Error(diff)
	}
}

// Values given as fields are values of their own name, and the other way
// round, so that texts may show both.
func TestFieldsAreValues(t *testing.T) {
	base, err := Load(os.DirFS("testdata/ok"))
	if err != nil {
		t.Fatal(err)
	}
	r, _ := base.Recipe("two-step-any")
	text, _ := r.Render(r.Notes[0], func(v Value) string { return v.Unit })
	if text != "F for s, then leave it min." {
		t.Errorf("got %q", text)
	}
	m, _ := base.Method("two-step-transfer")
	if got := m.Values["wash_life"]; got.Low != 30 || got.Source.Kind != Practice {
		t.Errorf("got %+v", got)
	}
}

func TestFind(t *testing.T) {
	base, err := Load(os.DirFS("testdata/ok"))
	if err != nil {
		t.Fatal(err)
	}
	base.eachEntry(func(section string, e entry) {
		if !slices.Contains(sectionNames(), section) || e.head().Pos.Line == 0 {
			t.Errorf("%s/%s: no place", section, e.head().ID)
		}
	})
	if _, ok := base.Blank("tee"); !ok {
		t.Error("no blank tee")
	}
	if b, ok := base.BlankOf("jacket"); !ok || b.ID != "jacket" {
		t.Error("no blank for the item jacket")
	}
	if _, ok := base.Guide("nothing"); ok {
		t.Error("a guide that is not there")
	}
	if c, ok := base.CareFor("two-step-transfer"); !ok || c.ID != "two-step" {
		t.Error("no care of two-step transfer")
	}
}
