package artwork

import (
	"math"

	"presshand/planner/colour"
)

// A Report is what a file holds and what that means for a wish. Its JSON form
// is stable and read by scripts; fields without a JSON name are for callers.
//
// Coordinates are pixels of the file, turned as its orientation tag says.
// Lengths are in mm at the printed size. Shares are of the area of Bounds.
type Report struct {
	Pixels Size `json:"pixels"`
	// Bounds is the art without its transparent or plain border.
	Bounds       Box     `json:"bounds"`
	Print        Print   `json:"print"`
	EffectivePPI float64 `json:"effective_ppi"`
	Largest      []AtPPI `json:"largest"`

	Transparent     float64 `json:"transparent"`
	HalfTransparent float64 `json:"half_transparent"`
	Solid           float64 `json:"solid"`
	Box             bool    `json:"box"` // a plain colour lies behind the art

	// Null where there is none: a photo that fills its rectangle has no gap.
	ThinnestStroke *Spot  `json:"thinnest_stroke"`
	ThinnestGap    *Spot  `json:"thinnest_gap"`
	Specks         Specks `json:"specks"`

	Colours  []MainColour `json:"colours"`
	Coverage Coverage     `json:"coverage"` // for the wished method and blank

	Verdict  Verdict   `json:"verdict"`
	Findings []Finding `json:"findings"`

	Format        Format        `json:"-"`
	SizeFrom      SizeFrom      `json:"-"` // where Print comes from
	Photo         bool          `json:"-"` // continuous tones, not flat colours
	Ground        colour.Colour `json:"-"` // the colour of the box, if Box
	SoftBand      *Spot         `json:"-"` // widest half-transparent band that is more than an edge; nil if none
	SmallText     *Spot         `json:"-"` // least cap height of type below Rules.MinText; nil if none
	OnLight       Coverage      `json:"-"` // with the method's toners, on a light blank
	OnDark        Coverage      `json:"-"` // the same on a dark one
	Forecast      colour.Plan   `json:"-"` // the colours on the blank, if it is known
	CoveredSquare float64       `json:"-"` // mm2 of blank under the print, half-transparent parts counted by half
}

// Size is in pixels.
type Size struct {
	Width  int `json:"width"`
	Height int `json:"height"`
}

// A Box is a rectangle of pixels, from its top left corner.
type Box struct {
	X      int `json:"x"`
	Y      int `json:"y"`
	Width  int `json:"width"`
	Height int `json:"height"`
}

// Print is the size of the art, without its border, in mm.
type Print struct {
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

// AtPPI is the largest print, in mm, at a density.
type AtPPI struct {
	PPI    float64 `json:"ppi"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
}

// A Spot is a width in mm and the pixel where it was seen.
type Spot struct {
	MM float64 `json:"mm"`
	X  int     `json:"x"`
	Y  int     `json:"y"`
}

// Specks are small lone parts; each wants weeding, or falls off.
type Specks struct {
	Count      int     `json:"count"`
	SmallestMM float64 `json:"smallest_mm"` // side of a square as large; 0 without specks
	X          int     `json:"-"`           // where the smallest is
	Y          int     `json:"-"`
}

// A Verdict is how a file fits a wish.
type Verdict string

// The verdicts.
const (
	Fits     Verdict = "fits"
	WithCare Verdict = "fits with care"
	RuledOut Verdict = "ruled out"
)

// SizeFrom says where the printed size comes from.
type SizeFrom string

// The sources of a size.
const (
	FromWish    SizeFrom = "wish"    // what was asked for
	FromFile    SizeFrom = "file"    // the density the file names
	FromDensity SizeFrom = "density" // as large as the wanted density allows
)

// A Finding is one thing to know before printing.
type Finding struct {
	ID     string `json:"id"`
	Text   string `json:"text"` // what is the matter
	Mend   string `json:"mend"` // what to do
	X      int    `json:"x"`    // a pixel that shows it; the middle of the art where it is everywhere
	Y      int    `json:"y"`
	Level  Level  `json:"-"`
	Placed bool   `json:"-"` // X, Y is a certain place
}

// A Level is what a finding does to the verdict.
type Level int

// The levels, mildest first.
const (
	Remark Level = iota // nothing
	Care                // fits with care
	Bar                 // ruled out
)

// Steps to which reported figures are rounded: finer ones would pretend.
const (
	sizeStep  = 0.1    // mm of print sizes, and ppi
	spotStep  = 0.01   // mm of strokes
	shareStep = 0.0001 // shares
)

func roundTo(v, step float64) float64 {
	// Dividing by the inverse gives the nearest decimal, multiplying by the
	// step would not.
	inverse := math.Round(1 / step)
	return math.Round(v*inverse) / inverse
}
