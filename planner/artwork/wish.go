package artwork

import (
	"fmt"
	"math"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// A Wish is what shall become of the art. Its zero value asks for nothing in
// particular: the file is measured at the size it names itself, or else as
// large as Rules.WantedPPI allows, and no trade rule is applied.
type Wish struct {
	// Width and Height are the largest the print may be; 0 where not said. With
	// both, the art is fitted inside and keeps its proportion.
	Width, Height unit.Length
	Method        string // the method's name, for texts; "" where not chosen
	Blank         Blank
	Rules         Rules
	Style         unit.Style // how sizes are written in texts
}

// ground is what lies directly under the print's colours.
func (w Wish) ground() colour.Colour {
	switch {
	case !w.Rules.White:
		return w.Blank.Colour
	case w.Rules.Ground == colour.Black():
		return colour.White()
	}
	return w.Rules.Ground
}

// A Blank is what is printed on, as far as it is known.
type Blank struct {
	Known     bool // whether a blank was named; without, rules on it are passed over
	Name      string
	Colour    colour.Colour
	Polyester unit.Share // by weight, 0..1
	Shade     string     // its class of lightness, as Rules name it
	Dark      bool       // needs white under the whole print; see Coverage
}

// Rules are the trade's limits for one method, from the knowledge base. A zero
// limit is none.
type Rules struct {
	Dye       bool // prints as a transparent dye, so the blank's colour works through
	White     bool // has a white toner
	Black     bool // has a black toner; without, black is mixed from three
	HoldsSoft bool // half-transparent parts print as they are

	MinStroke, MinGap unit.Length // thinner ones don't hold, or close up
	SoftEdge          unit.Length // widest half-transparent band that is still an edge
	MinText           unit.Length // height of a capital
	Speck             unit.Length // lone parts up to a disc of this width are dust
	Specks            int         // up to so many specks are let pass

	// Pixels per inch at the printed size: what to ask for, below what to warn,
	// and below what to refuse.
	WantedPPI, WarnPPI, RefusePPI float64
	// LargestAt lists the densities for which the largest print is told.
	LargestAt []float64

	Shift  float64 // CIEDE2000 beyond which a colour has moved too far
	Vanish float64 // CIEDE2000 to the blank below which a colour is gone
	// Ground is the colour of the pressed white toner. The zero value stands
	// for pure white, since no white is black.
	Ground colour.Colour

	WhiteOn []string // shades on which a print without white under it is lost
	PhotoOn []string // shades on which a photo wants a second look
	// Forbids lists the findings, by id, that rule a print out instead of only
	// asking for care.
	Forbids []string
}

// Coverage of the art's rectangle by each toner, 0..1.
type Coverage struct {
	C     float64 `json:"c"`
	M     float64 `json:"m"`
	Y     float64 `json:"y"`
	K     float64 `json:"k"`
	White float64 `json:"white"`
}

// maxPrint is far beyond any press; a wish above it is a slip of units.
const maxPrint = unit.Length(10_000)

func (w Wish) validate() error {
	lengths := map[string]unit.Length{
		"width": w.Width, "height": w.Height,
		"rules: least stroke": w.Rules.MinStroke, "rules: least gap": w.Rules.MinGap,
		"rules: soft edge": w.Rules.SoftEdge, "rules: least text": w.Rules.MinText, "rules: speck": w.Rules.Speck,
	}
	for _, name := range sortedKeys(lengths) {
		if l := lengths[name]; !(l >= 0 && l <= maxPrint) {
			return fmt.Errorf("%s is %g mm: give 0 to %g mm", name, l.MM(), maxPrint.MM())
		}
	}
	numbers := map[string]float64{
		"rules: wanted ppi": w.Rules.WantedPPI, "rules: warning ppi": w.Rules.WarnPPI, "rules: refusing ppi": w.Rules.RefusePPI,
		"rules: colour shift": w.Rules.Shift, "rules: vanishing contrast": w.Rules.Vanish,
	}
	for _, name := range sortedKeys(numbers) {
		if v := numbers[name]; !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is %g: give 0 or more", name, v)
		}
	}
	for _, ppi := range w.Rules.LargestAt {
		if !(ppi > 0) || math.IsInf(ppi, 0) {
			return fmt.Errorf("rules: largest size at %g ppi: give more than 0", ppi)
		}
	}
	if s := float64(w.Blank.Polyester); !(s >= 0 && s <= 1) {
		return fmt.Errorf("polyester share is %g: give one from 0 to 1", s)
	}
	return nil
}
