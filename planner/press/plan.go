package press

import "time"

// Step words, as promised to scripts.
const (
	StepChangeover = "changeover"
	StepPrint      = "print"
	StepMarry      = "marry"
	StepPull       = "pull"
	StepCut        = "cut"
	StepHeat       = "heat"
	StepPrepress   = "prepress"
	StepPress      = "press"
	StepCool       = "cool"
	StepPeel       = "peel"
	StepFinish     = "finish"
	StepCheck      = "check"
)

// A Plan is the timed work. Its JSON form is the one promised to scripts and
// holds only part of it.
type Plan struct {
	Start, Finish time.Time     // Problem.Start; end of the last step
	Makespan      time.Duration // Finish - Start, closed hours included
	AtLeast       time.Duration // no plan has a shorter makespan
	Changeovers   int           // of toner sets
	Late          []Late        // in the order of Problem.Orders
	Steps         []Step        // by From, then ID
	Resources     []Resource    // printers, presses, people, rack
	Ready         []Ready       // one an order, in the order of Problem.Orders
	Busy          []Busy        // one a resource except the rack, busiest first
	HandsOn       time.Duration // manual work of all people together, allowance included
	Waiting       time.Duration // working time from the first step to the last in which no hand is needed
}

// Gap returns how far the makespan may be above the shortest possible, as a
// share of the latter.
func (p *Plan) Gap() float64 {
	if p.AtLeast <= 0 {
		return 0
	}
	return float64(p.Makespan-p.AtLeast) / float64(p.AtLeast)
}

// A Step is one piece of work on one sheet or one piece, or on a machine
// itself (changeover, heat), which then belongs to the line that needs it.
type Step struct {
	ID          string
	Order       string
	Line        int
	Word        string // one of the step words
	Item        string // what a piece is called; "" for machines
	Print       int    // of the job, from 1; 0 for check and machines
	Spot        string // of the print; "" for check and machines
	Piece       int    // from 1; 0 for sheets and machines
	Sheet       int    // from 1 within the line; 0 for pieces and machines
	From, To    time.Time
	Uses        []Use
	After       []After
	Temperature float64 // dial setting in degrees Celsius, for steps of a press
	Toner       string  // toner set, for print and changeover
}

// A Use is a resource held for part of a step.
type Use struct {
	Resource string
	Amount   int
	From, To time.Time
}

// After is a step that must have ended Wait before.
type After struct {
	Step string
	Wait time.Duration
}

// A Resource is something a step holds.
type Resource struct {
	Name     string // "printer-1", "press-1", "person-1", "rack"
	Capacity int
	Label    string // the shop's own name of it
}

// Ready says when an order is ready.
type Ready struct {
	Order string
	At    time.Time
}

// Busy says how much of its time a resource is in use.
type Busy struct {
	Resource string
	Time     time.Duration
	Share    float64 // of its open time from Start to Finish, 0..1
}
