package press

import (
	"fmt"
	"time"
)

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

// A Late order misses its due time.
type Late struct {
	Order string
	By    time.Duration
	Saves []Saving // what would help, most first; each found by planning again
}

// A Saving is a change that makes a late order less late.
type Saving struct {
	Kind SavingKind
	By   time.Duration // how late the order still is with it; 0: in time
	At   time.Time     // SavePromise: the time that can be promised instead
}

// SavingKind names what would save a late order.
type SavingKind string

// What may save a late order.
const (
	SavePerson  SavingKind = "person"  // one person more
	SaveRush    SavingKind = "rush"    // this order before all others
	SaveSplit   SavingKind = "split"   // hand over what is ready in time, the rest later
	SavePromise SavingKind = "promise" // promise a later time
)

// A Step is one piece of work on one sheet or one piece, or on a machine
// itself (changeover, heat), which then belongs to the line that needs it.
type Step struct {
	ID          string
	Order       string
	Line        int
	Word        string // one of the step words
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

// String says what would help in plain words.
func (s Saving) String() string {
	left := "in time"
	if s.By > 0 {
		left = fmt.Sprintf("still %d min late", int((s.By+time.Minute-1)/time.Minute))
	}
	switch s.Kind {
	case SavePerson:
		return "one person more: " + left
	case SaveRush:
		return "this order first: " + left
	case SaveSplit:
		return "hand over the first part when due, the rest later"
	case SavePromise:
		return "promise " + s.At.Format("Mon 2 Jan 15:04") + " instead"
	}
	return string(s.Kind)
}
