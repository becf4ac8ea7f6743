package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"presshand/planner/unit"
)

func TestParse(t *testing.T) {
	tests := []struct {
		in   string
		want Colour
		ok   bool
	}{
		{"#c81e28", Colour{0xc8, 0x1e, 0x28}, true},
		{" #C81E28 ", Colour{0xc8, 0x1e, 0x28}, true},
		{"#0f8", Colour{0x00, 0xff, 0x88}, true},
		{"Dark Slate-Gray", Colour{0x2f, 0x4f, 0x4f}, true},
		{"rebeccapurple", Colour{0x66, 0x33, 0x99}, true},
		{"facade", Colour{}, false},
		{"#ggg", Colour{}, false},
		{"#12345", Colour{}, false},
		{"#+12345", Colour{}, false},
		{"#é", Colour{}, false},
		{"", Colour{}, false},
		{"#", Colour{}, false},
	}
	for _, tt := range tests {
		got, ok := Parse(tt.in)
		if got != tt.want || ok != tt.ok {
			t.Errorf("Parse(%q) = %v, %v; want %v, %v", tt.in, got, ok, tt.want, tt.ok)
		}
	}
}

func TestNameToner(t *testing.T) {
	for c, want := range map[Colour]string{{0, 255, 255}: "cyan", {255, 0, 255}: "magenta", {255, 255, 0}: "yellow"} {
		if got := Name(c); got != want {
			t.Errorf("Name(%v) = %s, want %s", c, got, want)
		}
	}
}

func anyColour() *rapid.Generator[Colour] {
	return rapid.Custom(func(t *rapid.T) Colour {
		return Colour{rapid.Byte().Draw(t, "r"), rapid.Byte().Draw(t, "g"), rapid.Byte().Draw(t, "b")}
	})
}

func anyShare() *rapid.Generator[unit.Share] {
	return rapid.Map(rapid.Float64Range(0, 1), func(f float64) unit.Share { return unit.Share(f) })
}

func TestTextRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyColour().Draw(t, "colour")
		text, err := c.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Colour
		if err := back.UnmarshalText(text); err != nil || back != c {
			t.Fatalf("%v came back as %v, %v", c, back, err)
		}
	})
}

func TestDifferenceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyColour().Draw(t, "a").Lab(), anyColour().Draw(t, "b").Lab()
		there, back := CIEDE2000(a, b), CIEDE2000(b, a)
		if math.Abs(there-back) > 1e-9 {
			t.Fatalf("%g there, %g back", there, back)
		}
		if there < 0 || math.IsNaN(there) {
			t.Fatalf("difference %g", there)
		}
		if self := CIEDE2000(a, a); self != 0 {
			t.Fatalf("difference to itself %g", self)
		}
	})
}

func TestSublimatedLeavesAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		art, blank := anyColour().Draw(t, "art"), anyColour().Draw(t, "blank")
		if got := Sublimated(art, White(), 1); got != art {
			t.Fatalf("on white full polyester %v became %v", art, got)
		}
		if got := Sublimated(art, blank, 0); got != blank {
			t.Fatalf("without polyester %v on %v became %v", art, blank, got)
		}
		p := anyShare().Draw(t, "polyester")
		if got := Sublimated(White(), blank, p); got != blank {
			t.Fatalf("white art on %v became %v", blank, got)
		}
	})
}

// A darker blank never lightens a colour, more polyester never lightens it,
// and no print is brighter than its blank.
func TestSublimatedDarkens(t *testing.T) {
	notBrighter := func(t *rapid.T, got, than Colour, what string) {
		if got.R > than.R || got.G > than.G || got.B > than.B {
			t.Fatalf("%s: %v is brighter than %v", what, got, than)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		art, blank, dark := anyColour().Draw(t, "art"), anyColour().Draw(t, "blank"), anyColour().Draw(t, "other")
		darker := Colour{min(blank.R, dark.R), min(blank.G, dark.G), min(blank.B, dark.B)}
		p, q := anyShare().Draw(t, "p"), anyShare().Draw(t, "q")
		seen := Sublimated(art, blank, p)
		notBrighter(t, seen, blank, "print and blank")
		notBrighter(t, Sublimated(art, darker, p), seen, "darker blank")
		notBrighter(t, Sublimated(art, blank, max(p, q)), Sublimated(art, blank, min(p, q)), "more polyester")
	})
}

func TestSublimatedWorked(t *testing.T) {
	tests := []struct {
		name       string
		art, blank Colour
		polyester  unit.Share
		want       Colour
	}{
		// Half black on half white with full wandering: (1/2)^2 of the light,
		// and 25 % of the light is sRGB 137.
		{"black on half polyester", Black(), White(), 0.5, Colour{137, 137, 137}},
		// Yellow passes red and green, blue returns only blue: nothing is left.
		{"yellow on a blue blank", Colour{255, 255, 0}, Colour{0, 0, 255}, 1, Black()},
		// Common practice, no source: blue dye on a yellow blank goes towards
		// green; cyan does so fully.
		{"cyan on a yellow blank", Colour{0, 255, 255}, Colour{255, 255, 0}, 1, Colour{0, 255, 0}},
		// sRGB 188 is 50.29 % of the light; its square, 25.29 %, is sRGB 138.
		{"grey on grey", Colour{188, 188, 188}, Colour{188, 188, 188}, 1, Colour{138, 138, 138}},
		{"not a number", Black(), White(), unit.Share(math.NaN()), White()},
		{"beyond full", Black(), White(), 7, Black()},
	}
	for _, tt := range tests {
		if got := Sublimated(tt.art, tt.blank, tt.polyester); got != tt.want {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}
