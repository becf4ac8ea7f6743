package sheet

import (
	"encoding/json"
	"math"

	"presshand/planner"
	"presshand/planner/unit"
)

// A Place is where one copy of a piece lies.
type Place struct {
	Sheet  int         `json:"sheet"` // counts from 1
	Name   string      `json:"name"`
	X      unit.Length `json:"x"` // of the top left corner, from the top left corner of the sheet
	Y      unit.Length `json:"y"`
	Width  unit.Length `json:"width"`  // as it lies, without bleed
	Height unit.Length `json:"height"` // as it lies, without bleed
	Turned bool        `json:"turned"`
	Piece  int         `json:"-"` // index into Problem.Pieces
}

// A Rect is a part of a sheet, from its top left corner.
type Rect struct {
	X, Y, Width, Height unit.Length
}

// A Plan is a layout of all pieces.
type Plan struct {
	Sheet   Sheet
	Sheets  int
	AtLeast int     // no layout needs fewer sheets
	Fewest  bool    // Sheets == AtLeast
	Used    float64 // area of the pieces as a share of the sheets' whole area
	Places  []Place // by sheet, then from top to bottom, then from left to right
	Cuts    []CutLine
	Free    Rect        // the largest free rectangle on the last sheet that keeps margin and gap
	Length  unit.Length // of an endless sheet, margins included; else 0
	Cut     Cut
	Endless bool
	Steps   []planner.Step
}

// MarshalJSON writes the stable form that scripts read: lengths in
// millimetres to the nanometre, shares to four decimals, "cuts" only for a
// plan to be cut by trimmer.
func (p Plan) MarshalJSON() ([]byte, error) {
	form := planForm{
		Sheet:   sheetForm{rounded(p.Sheet.Width), rounded(p.Sheet.Height), rounded(p.Sheet.Margin), rounded(p.Sheet.Gap)},
		Sheets:  p.Sheets,
		AtLeast: p.AtLeast,
		Fewest:  p.Fewest,
		Used:    math.Round(p.Used*1e4) / 1e4,
		Places:  make([]Place, len(p.Places)),
	}
	if p.Endless {
		form.Sheet.Height = rounded(p.Length)
	}
	for i, place := range p.Places {
		place.X, place.Y = rounded(place.X), rounded(place.Y)
		place.Width, place.Height = rounded(place.Width), rounded(place.Height)
		form.Places[i] = place
	}
	if p.Cut == Trimmer {
		cuts := make([]CutLine, len(p.Cuts))
		copy(cuts, p.Cuts)
		form.Cuts = &cuts
	}
	return json.Marshal(form)
}

type planForm struct {
	Sheet   sheetForm  `json:"sheet"`
	Sheets  int        `json:"sheets"`
	AtLeast int        `json:"at_least"`
	Fewest  bool       `json:"fewest"`
	Used    float64    `json:"used"`
	Places  []Place    `json:"places"`
	Cuts    *[]CutLine `json:"cuts,omitempty"`
}

type sheetForm struct {
	Width  unit.Length `json:"width"`
	Height unit.Length `json:"height"`
	Margin unit.Length `json:"margin"`
	Gap    unit.Length `json:"gap"`
}

// rounded drops what binary fractions leave behind: 8.5 in is 215.9 mm, not
// 215.89999999999998.
func rounded(l unit.Length) unit.Length {
	return unit.Length(math.Round(float64(l)*nanometresPerMM) / nanometresPerMM)
}
