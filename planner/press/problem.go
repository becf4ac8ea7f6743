package press

import (
	"time"

	"presshand/planner/unit"
)

// A Problem is what Solve plans.
type Problem struct {
	Start  time.Time // when the shop may begin; whole seconds
	Shop   Shop
	Orders []Order
	Effort int // steps of the improvement search: 0 means enough for the size, below 0 none
}

// An Order is work for one customer that is ready when all of it is.
type Order struct {
	ID       string    // unique
	Due      time.Time // zero: none
	Promised bool      // Due was promised: it comes before every due time that was not
	Priority int       // 1 goes first; 0 means none was given, after all others
	Release  time.Time // when blanks are here and art is approved; zero: at Problem.Start
	Jobs     []Job
}

// A Job is a number of equal pieces.
type Job struct {
	Line   int    // of the order, from 1; 0 means its place among the jobs
	Item   string // what a piece is called in the run list; "" means "piece"
	Pieces int
	Prints []Print // in the order in which they are pressed
}

// A Print puts one picture on one spot of every piece of a job.
type Print struct {
	Spot     string // "front"
	Recipe   Recipe
	Sheets   int           // printed sheets
	SheetOf  []int         // for each piece the sheet, from 1, that its transfer is on
	PageTime unit.Duration // to print one sheet
}

// A Dwell is a time in a closed press at a temperature.
type Dwell struct {
	Temperature unit.Temperature
	Time        unit.Duration
}

// Peel is when the sheet comes off a pressed piece.
type Peel string

// The ways to peel. Hot: at once. Warm: when CoolWait is over, at once. Cold:
// when CoolWait is over, or any time later. None: nothing is peeled.
const (
	PeelHot  Peel = "hot"
	PeelWarm Peel = "warm"
	PeelCold Peel = "cold"
	PeelNone Peel = "none"
)

// A Recipe is how a method is carried out on one kind of blank. Steps whose
// field is nil or 0 are left out, except Press, which every recipe has. The
// times marked manual are work of a person's hands; the shop's allowance comes
// on top.
type Recipe struct {
	Method   string // for names only
	TonerSet string // what the printer must be loaded with

	Marry *Dwell        // a sheet, joined with an adhesive sheet
	Pull  unit.Duration // manual: the adhesive sheet off, hot, straight after Marry
	Cut   unit.Duration // manual, each sheet

	PressKind  string // kind of press for everything below and for Marry
	Prepress   *Dwell
	Press      *Dwell
	Finish     *Dwell        // after the peel
	OneLoading bool          // Prepress and Press without taking the blank off in between
	Load       unit.Duration // manual: onto the platen, or the transfer onto the pre-pressed blank
	Unload     unit.Duration // manual: off the platen

	Peel     Peel // "" means PeelNone
	CoolWait unit.Duration
	PeelTime unit.Duration // manual

	Check unit.Duration // manual, each piece after its last print
}
