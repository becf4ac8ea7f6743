package press

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"presshand/planner/unit"
)

// A chore is one line of a run list.
type chore struct {
	at    time.Time
	where string
	what  string
	who   string
}

// RunList is the plan as lines a person can follow, by time, temperatures in
// the shop's style: what to set
// machines to and what to do by hand, with a line for each new day:
//
//	Mon 23 Nov
//	09:00 press 1: set to 154 °C (310 °F)
//	09:16 press 1: load CHO shirt 3, person 1
//
// Sheets that are printed one after the other stand in one line. Cooling needs
// nobody and has none.
func RunList(p Plan, style unit.Style) []string {
	var out []string
	day := ""
	for _, c := range chores(&p, style) {
		if d := c.at.Format("Mon 2 Jan"); d != day {
			day = d
			out = append(out, d)
		}
		line := c.at.Format("15:04") + " " + c.where + ": " + c.what
		if c.who != "" && c.who != c.where {
			line += ", " + c.who
		}
		out = append(out, line)
	}
	return out
}

func chores(p *Plan, style unit.Style) []chore {
	var out []chore
	for i := range p.Steps {
		s := &p.Steps[i]
		switch s.Word {
		case StepCool:
		case StepPrint:
			if n := printedOn(p.Steps, i); n > 0 {
				out = append(out, s.chore(s.From, printing(s, n), ""))
			}
		case StepHeat:
			t := unit.Celsius(s.Temperature)
			out = append(out, s.chore(s.From, "set to "+style.Temperature(t), ""))
		case StepChangeover:
			out = append(out, s.chore(s.From, "change toner to "+s.Toner, s.person(0)))
		default:
			out = append(out, s.manual()...)
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].at.Before(out[k].at) })
	return out
}

// printedOn counts the sheets of one run from step i on; 0 where step i only
// goes on with one.
func printedOn(steps []Step, i int) int {
	s, n := &steps[i], 1
	for k := i - 1; k >= 0; k-- {
		if b := &steps[k]; b.follows(s) {
			return 0
		}
	}
	at := s
	for k := i + 1; k < len(steps); k++ {
		if at.follows(&steps[k]) {
			n++
			at = &steps[k]
		} else if steps[k].From.After(at.To) {
			break
		}
	}
	return n
}

// follows reports whether t is the next sheet of the run that s is in.
func (s *Step) follows(t *Step) bool {
	return s.Word == StepPrint && t.Word == StepPrint && s.Order == t.Order && s.Line == t.Line && s.Print == t.Print &&
		s.Sheet+1 == t.Sheet && s.To.Equal(t.From) && s.Uses[0].Resource == t.Uses[0].Resource
}

func printing(s *Step, n int) string {
	if n == 1 {
		return fmt.Sprintf("print %s sheet %d", s.Order, s.Sheet)
	}
	return fmt.Sprintf("print %s sheets %d to %d", s.Order, s.Sheet, s.Sheet+n-1)
}

func (s *Step) chore(at time.Time, what, who string) chore {
	return chore{at, spoken(s.Uses[0].Resource), what, who}
}

// spoken is a resource's name as it is said: "press 1".
func spoken(resource string) string { return strings.ReplaceAll(resource, "-", " ") }

// person is the n-th person at a step, from 0.
func (s *Step) person(n int) string {
	for _, u := range s.Uses {
		if !strings.HasPrefix(u.Resource, "person-") {
			continue
		}
		if n == 0 {
			return spoken(u.Resource)
		}
		n--
	}
	return ""
}

// manual lists what hands do in a step: when it begins, and for a press when
// it is unloaded.
func (s *Step) manual() []chore {
	if len(s.Uses) == 0 {
		return nil
	}
	name := fmt.Sprintf("%s %s %d", s.Order, s.Item, s.Piece)
	if s.Sheet > 0 {
		name = fmt.Sprintf("%s sheet %d", s.Order, s.Sheet)
	} else if s.Print > 1 && s.Spot != "" {
		name += ", " + s.Spot
	}
	out := []chore{s.chore(s.From, said(s.Word, name), s.person(0))}
	if off := s.unloading(); off != nil {
		out = append(out, s.chore(off.From, "take off "+name, spoken(off.Resource)))
	}
	return out
}

// unloading is the use of a person that ends with the step, where it doesn't
// begin with it.
func (s *Step) unloading() *Use {
	u := &s.Uses[len(s.Uses)-1]
	if strings.HasPrefix(u.Resource, "person-") && u.From.After(s.From) {
		return u
	}
	return nil
}

func said(word, name string) string {
	switch word {
	case StepMarry:
		return "marry " + name
	case StepPull:
		return "pull the adhesive sheet off " + name + ", hot, at once"
	case StepCut:
		return "cut " + name
	case StepPrepress:
		return "load " + name
	case StepPress:
		return "lay the transfer and press " + name
	case StepPeel:
		return "peel " + name
	case StepFinish:
		return "finish " + name
	case StepCheck:
		return "check " + name
	}
	return word + " " + name
}
