package sheet

import "fmt"

// Cut says how the pieces are cut apart.
type Cut int

const (
	Free    Cut = iota // by scissors or plotter: any layout will do
	Trimmer            // by a paper trimmer: only cuts from edge to edge of a part
)

// String returns "free" or "trimmer".
func (c Cut) String() string {
	switch c {
	case Free:
		return "free"
	case Trimmer:
		return "trimmer"
	}
	return fmt.Sprintf("Cut(%d)", int(c))
}

// ParseCut reads "free" or "trimmer".
func ParseCut(s string) (Cut, error) {
	switch s {
	case "free":
		return Free, nil
	case "trimmer":
		return Trimmer, nil
	}
	return Free, fmt.Errorf("way of cutting %q: write free or trimmer", s)
}

// A CutLine is one cut of a trimmer, from edge to edge of the part that is
// left when its turn comes. Lengths are in millimetres from the top left
// corner of the sheet.
type CutLine struct {
	Sheet int     `json:"sheet"` // counts from 1
	Order int     `json:"order"` // counts from 1 on each sheet
	Along string  `json:"along"` // "x": a vertical cut, At measured along x; "y": a level one
	At    float64 `json:"at"`
	From  float64 `json:"from"` // along the other axis
	To    float64 `json:"to"`
}
