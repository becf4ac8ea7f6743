package knowledge

import (
	"strings"
	"testing"
)

// Published check values, each with its source. The value must be in the base
// as published, with a cite that names that source.
func TestPublished(t *testing.T) {
	base := builtinBase(t)
	for _, row := range []struct {
		source    string // words that the cite holds
		name      string // of the value, or its ending
		dimension Dimension
		is        float64 // the inner unit
	}{
		// Largest sole-plate temperature by number of dots: ISO 3758:2012,
		// GINETEX table of care symbols. A limit of after-care.
		{"ISO 3758", "one_dot", Temperature, 110},
		{"ISO 3758", "two_dots", Temperature, 150},
		{"ISO 3758", "three_dots", Temperature, 200},
		// Tolerance of fibre content on labels, percentage points of the total
		// fibre weight: 16 CFR 303.43.
		{"303.43", "tolerance", "", 3},
		// Conventional moisture regain: ASTM D1909.
		{"D1909", "regain", Share, 8.5},
	} {
		if !cited(base, row.source, row.name, row.dimension, row.is) {
			t.Errorf("no published value %q of %v citing %q", row.name, row.is, row.source)
		}
	}
}

// cited reports whether some entry holds such a value.
func cited(base *Base, source, name string, dimension Dimension, is float64) (found bool) {
	base.eachEntry(func(_ string, e entry) {
		for key, v := range e.head().Values {
			found = found || strings.HasSuffix(key, name) && v.Source.Kind == Published &&
				strings.Contains(v.Source.Cite, source) && v.Is == is && (dimension == "" || v.Dimension == dimension)
		}
	})
	return found
}

// Iron dots are the same wherever they stand: no entry may give another
// figure for the same number of dots.
func TestPublishedIronDotsAgree(t *testing.T) {
	base := builtinBase(t)
	want := map[string]float64{"one_dot": 110, "two_dots": 150, "three_dots": 200}
	base.eachEntry(func(section string, e entry) {
		for key, v := range e.head().Values {
			for dots, c := range want {
				if strings.HasSuffix(key, dots) && (v.Is != c || v.Dimension != Temperature) {
					t.Errorf("%s/%s: %s is %v, want %v (ISO 3758:2012)", section, e.head().ID, key, v.Is, c)
				}
			}
		}
	})
}

// Polyester melts at 250 to 265 C (Great Soviet Encyclopedia, entry on
// polyethylene terephthalate; the range of two tables), not at 150 C.
func TestPublishedPolyesterMelts(t *testing.T) {
	polyester, ok := builtinBase(t).Fibre("polyester")
	if !ok {
		t.Fatal("no polyester")
	}
	if m := polyester.Melts; m.Low < 250 || m.High > 265 || m.Source.Kind != Published {
		t.Errorf("got %v to %v C (%s)", m.Low, m.High, m.Source.Kind)
	}
}

// A bare digit or an unsourced value never reaches an answer: every value of
// every entry has a source of a known kind, and published ones a cite.
func TestEveryValueHasProvenance(t *testing.T) {
	n := 0
	builtinBase(t).eachEntry(func(section string, e entry) {
		for key, v := range e.head().Values {
			n++
			switch s := v.Source; {
			case s.Kind == Published && s.Cite != "", s.Kind == Practice, s.Kind == Memory:
			default:
				t.Errorf("%s/%s: %s has source %+v", section, e.head().ID, key, s)
			}
		}
	})
	if n < 500 {
		t.Errorf("only %d values seen", n)
	}
}
