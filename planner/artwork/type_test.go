package artwork

import (
	"bytes"
	"math"
	"testing"

	"presshand/planner/colour"
	"presshand/planner/picture"
	"presshand/planner/unit"
)

// Real type: a line set in a real font is found, and its capitals' height is
// that of its own T, measured on a large setting of the same font.
func TestTypeInAFont(t *testing.T) {
	set := func(text string, size float64) *Art {
		c := picture.New(40*size, 4*size, nil)
		c.Text(20*size, 2*size, text, picture.Text{Size: size, Colour: colour.Black(), Anchor: picture.Middle})
		c.Rect(size, 3*size, 38*size, size/2, picture.Style{Fill: colour.Black()})
		var b bytes.Buffer
		if err := c.PNG(&b); err != nil {
			t.Fatal(err)
		}
		art, err := openBytes(b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		return art
	}
	inspect := func(art *Art, ppi float64) Report {
		wish := testWish()
		// A bare wish tells the art's width in pixels.
		r, err := art.Inspect(Wish{})
		if err != nil {
			t.Fatal(err)
		}
		wish.Width = unit.Inches(float64(r.Bounds.Width) / ppi)
		wish.Rules.MinText = 100
		if r, err = art.Inspect(wish); err != nil {
			t.Fatal(err)
		}
		if err := Check(r); err != nil {
			t.Fatal(err)
		}
		return r
	}
	const large, ppi = 60, 300
	capital := inspect(set("TTT", large), ppi).SmallText
	if capital == nil {
		t.Fatal("a row of capitals is not taken for type")
	}
	for _, size := range []float64{14, 24, 40} {
		got := inspect(set("Tern Street Library", size), ppi).SmallText
		if got == nil {
			t.Errorf("type of %g px is not found", size)
			continue
		}
		want := capital.MM * size / large
		// Letters such as y and L reach a little beyond the capitals' height,
		// and whole pixels are counted.
		if got.MM < want-unit.MillimetresPerInch/ppi || got.MM > 1.25*want+2*unit.MillimetresPerInch/ppi || math.IsNaN(got.MM) {
			t.Errorf("type of %g px: %g mm high, want about %.2f", size, got.MM, want)
		}
	}
}
