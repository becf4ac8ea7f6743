package sheet

import (
	"fmt"

	"presshand/planner/unit"
)

// A Piece is a rectangle to print, with its number of copies.
type Piece struct {
	Name   string
	Width  unit.Length // 0 < Width <= MaxSide
	Height unit.Length // 0 < Height <= MaxSide
	Count  int         // 1 <= Count
	Turn   bool        // may be turned by a quarter
	Order  string      // pieces of one order are kept together where nothing better is lost
}

// A Problem is what Solve lays out.
type Problem struct {
	Sheet   Sheet
	Pieces  []Piece
	Cut     Cut
	Bleed   unit.Length // printed beyond the piece on each side and cut away; >= 0
	Effort  int         // search steps; 0 is DefaultEffort
	Endless bool        // one sheet of Sheet.Width without end: the plan is as short as it can be made
}

// MaxPieces is the largest number of copies in one problem. It keeps a
// mistyped count from taking the memory of the machine.
const MaxPieces = 20_000

// A PieceError says which piece of a Problem is at fault.
type PieceError struct {
	Index int // in Problem.Pieces
	Field string
	Err   error
}

func (e *PieceError) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong with the piece.
func (e *PieceError) Unwrap() error { return e.Err }

// validate returns the first thing wrong with a problem, other than a piece
// that is too large.
func (p Problem) validate() error {
	if err := p.Sheet.validate(p.Endless); err != nil {
		return err
	}
	if err := checkBorder("bleed", p.Bleed); err != nil {
		return err
	}
	if p.Cut != Free && p.Cut != Trimmer {
		return fmt.Errorf("way of cutting %v is unknown: use Free or Trimmer", p.Cut)
	}
	if p.Effort < 0 {
		return fmt.Errorf("effort is %d: it must be zero (the default) or more", p.Effort)
	}
	total := 0
	for i, piece := range p.Pieces {
		if field, err := piece.validate(); err != nil {
			return &PieceError{Index: i, Field: field, Err: fmt.Errorf("piece %d (%q): %w", i+1, piece.Name, err)}
		}
		total += piece.Count
		if total > MaxPieces {
			return &PieceError{Index: i, Field: "count", Err: fmt.Errorf("piece %d (%q): more than %d copies in all: lay them out in smaller lots", i+1, piece.Name, MaxPieces)}
		}
	}
	return nil
}

// validate returns the field at fault and what is wrong with it.
func (p Piece) validate() (field string, err error) {
	if err := checkSide("width", p.Width); err != nil {
		return "width", err
	}
	if err := checkSide("height", p.Height); err != nil {
		return "height", err
	}
	if p.Count < 1 || p.Count > MaxPieces {
		return "count", fmt.Errorf("count is %d: it must be from 1 to %d", p.Count, MaxPieces)
	}
	return "", nil
}

// A TooLargeError reports a piece that fits on no sheet.
type TooLargeError struct {
	Index                 int // in Problem.Pieces
	Name                  string
	Width, Height         unit.Length // as asked
	RoomWidth, RoomHeight unit.Length // what a sheet holds, bleed taken off
	MaxWidth, MaxHeight   unit.Length // the largest size of the same proportion that fits, turned where the piece may turn
	TurnFits              bool        // it would fit as it is if it might turn
}

func (e *TooLargeError) Error() string {
	s := fmt.Sprintf("piece %d (%q): %s is larger than the %s a sheet can print: the largest of its shape is %s",
		e.Index+1, e.Name, size(e.Width, e.Height), size(e.RoomWidth, e.RoomHeight), size(e.MaxWidth, e.MaxHeight))
	if e.TurnFits {
		s += "; it fits as it is when it may turn"
	}
	return s
}

// tooLarge returns an error for the first piece that fits on no sheet.
func (p Problem) tooLarge() error {
	roomW := p.Sheet.Width - 2*p.Sheet.Margin - 2*p.Bleed
	roomH := p.Sheet.Height - 2*p.Sheet.Margin - 2*p.Bleed
	if p.Endless {
		roomH = MaxSide
	}
	for i, piece := range p.Pieces {
		level := fits(piece.Width, piece.Height, roomW, roomH)
		turned := fits(piece.Height, piece.Width, roomW, roomH)
		if level || piece.Turn && turned {
			continue
		}
		share := min(roomW/piece.Width, roomH/piece.Height)
		if piece.Turn {
			share = max(share, min(roomW/piece.Height, roomH/piece.Width))
		}
		share = max(share, 0)
		return &TooLargeError{
			Index: i, Name: piece.Name, Width: piece.Width, Height: piece.Height,
			RoomWidth: max(roomW, 0), RoomHeight: max(roomH, 0),
			MaxWidth: piece.Width * share, MaxHeight: piece.Height * share,
			TurnFits: turned,
		}
	}
	return nil
}

// fits compares on the grid, as the layout itself does.
func fits(w, h, roomW, roomH unit.Length) bool {
	return nanometres(w) <= nanometres(roomW) && nanometres(h) <= nanometres(roomH)
}
