package press

import (
	"time"

	"presshand/planner/unit"
)

// A Clock is a wall-clock time of day in seconds after 0:00. On the days the
// clocks change it still means what the wall clock shows.
type Clock int

// At returns the time of day h:m.
func At(h, m int) Clock { return Clock(h*3600 + m*60) }

// A Span is a stretch of a day from From up to To, To after From.
type Span struct{ From, To Clock }

// A Week holds the spans of each day, by time.Weekday, sorted and disjoint.
type Week [7][]Span

// A Date is a day in the shop's zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// A Shop is what work is planned on.
type Shop struct {
	Zone      *time.Location // nil means UTC
	Hours     Week           // when the shop is open
	Closed    []Date         // days it is not, whatever Hours says
	People    []Person       // at least one
	Presses   []Press
	Printers  []Printer
	Rack      int        // places for pieces that cool; needed only where something cools
	Allowance unit.Share // on top of manual work for rest, never on a dwell; 0 and up
}

// A Person works when the shop is open, less the breaks.
type Person struct {
	Name   string
	Hours  *Week  // nil means the shop's hours; never outside of those
	Breaks []Span // every day
}

// A Press holds one piece, or one transfer and adhesive sheet, at a time.
type Press struct {
	Name        string
	Kind        string           // "flat", "mug": matches Recipe.PressKind
	OpensItself bool             // after a dwell the piece may lie in the open press, up to as long as the dwell was
	Offset      unit.Temperature // how much more than wanted the dial must be set to, as measured; may be negative
	HeatRate    float64          // degrees Celsius a minute, above 0
	CoolRate    float64          // degrees Celsius a minute, above 0
	Rest        unit.Temperature // when it is switched on at the start of a day
	Now         unit.Temperature // at Problem.Start; 0 means Rest
	Max         unit.Temperature // hottest the dial goes; 0 means not known, no limit
}

// A Printer prints one sheet at a time, without anybody standing by.
type Printer struct {
	Name       string
	FirstPage  unit.Duration // extra time before the first sheet of a run
	Changeover unit.Duration // manual: from one toner set to another
	Loaded     string        // toner set in it at Problem.Start; "": whichever is wanted first
}
