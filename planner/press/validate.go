package press

import (
	"errors"
	"fmt"
	"math"

	"presshand/planner/unit"
)

// ErrClosed says that the shop is never open.
var ErrClosed = errors.New("the shop is never open: give it opening hours")

// validate reports the first fault of a problem: what, where, how to mend it.
func (p *Problem) validate() error {
	if p.Start.IsZero() {
		return errors.New("no start: say when the shop may begin")
	}
	if len(p.Orders) == 0 {
		return errors.New("no orders: there is nothing to plan")
	}
	if err := p.Shop.validate(); err != nil {
		return fmt.Errorf("shop: %w", err)
	}
	if n := p.units(); n > mostUnits {
		return fmt.Errorf("%d pieces and sheets: plan at most %d at once", n, mostUnits)
	}
	seen := make(map[string]bool, len(p.Orders))
	for i := range p.Orders {
		o := &p.Orders[i]
		if o.ID == "" {
			return fmt.Errorf("order %d: no id: give it one", i+1)
		}
		if seen[o.ID] {
			return fmt.Errorf("order %q: stands there twice: give each its own id", o.ID)
		}
		seen[o.ID] = true
		if err := o.validate(&p.Shop); err != nil {
			return fmt.Errorf("order %q: %w", o.ID, err)
		}
	}
	return nil
}

// mostUnits is the number of sheets, and of pieces for each of their prints,
// that can be planned at once: about five times the largest work in the
// tests, which takes a tenth of a gigabyte.
const mostUnits = 50_000

func (p *Problem) units() int {
	n := 0
	for _, o := range p.Orders {
		for _, j := range o.Jobs {
			for _, pr := range j.Prints {
				n += min(mostUnits+1, max(0, j.Pieces)) + min(mostUnits+1, max(0, pr.Sheets))
			}
			if n > mostUnits {
				return n
			}
		}
	}
	return n
}

func (s *Shop) validate() error {
	if len(s.People) == 0 {
		return errors.New("zero people: nothing can be loaded or peeled; give it at least one person")
	}
	if err := s.Hours.validate(); err != nil {
		return fmt.Errorf("hours: %w", err)
	}
	if !finite(float64(s.Allowance)) || s.Allowance < 0 {
		return fmt.Errorf("allowance of %g %%: give 0 or more", s.Allowance.Percent())
	}
	for i := range s.People {
		p := &s.People[i]
		if p.Hours != nil {
			if err := p.Hours.validate(); err != nil {
				return fmt.Errorf("person %d: hours: %w", i+1, err)
			}
		}
		for _, b := range p.Breaks {
			if b.To <= b.From {
				return fmt.Errorf("person %d: a break ends before it begins: turn it round", i+1)
			}
		}
	}
	for i := range s.Presses {
		if err := s.Presses[i].validate(); err != nil {
			return fmt.Errorf("press %d: %w", i+1, err)
		}
	}
	for i, p := range s.Printers {
		if bad(p.FirstPage) || bad(p.Changeover) {
			return fmt.Errorf("printer %d: a time is negative, not a number or longer than ten years", i+1)
		}
	}
	return nil
}

// secondsADay is how long a Clock may run.
const secondsADay = 24 * 3600

func (w *Week) validate() error {
	for day, spans := range w {
		last := Clock(0)
		for _, s := range spans {
			if s.From < last || s.To <= s.From || s.To > secondsADay {
				return fmt.Errorf("day %d (0 is Sunday): spans overlap, are out of order or leave the day", day)
			}
			last = s.To
		}
	}
	return nil
}

func (p *Press) validate() error {
	if !(p.HeatRate > 0) || !(p.CoolRate > 0) || !finite(p.HeatRate) || !finite(p.CoolRate) {
		return fmt.Errorf("heats %g and cools %g degrees a minute: both must be above 0", p.HeatRate, p.CoolRate)
	}
	for _, t := range []unit.Temperature{p.Offset, p.Rest, p.Now, p.Max} {
		if !t.Valid() {
			return errors.New("a temperature is not a number")
		}
	}
	return nil
}

func (o *Order) validate(s *Shop) error {
	if o.Priority < 0 {
		return fmt.Errorf("priority %d: 1 goes first, 0 means none", o.Priority)
	}
	if len(o.Jobs) == 0 {
		return errors.New("no jobs: take it out, or say what it wants")
	}
	lines := make(map[int]bool, len(o.Jobs))
	for i := range o.Jobs {
		j := &o.Jobs[i]
		if lines[j.line(i)] {
			return fmt.Errorf("line %d: stands there twice: give each job its own line", j.line(i))
		}
		lines[j.line(i)] = true
		if err := j.validate(s); err != nil {
			return fmt.Errorf("line %d: %w", j.line(i), err)
		}
	}
	return nil
}

// line is the number of the job's line, i its place.
func (j *Job) line(i int) int {
	if j.Line > 0 {
		return j.Line
	}
	return i + 1
}

func (j *Job) validate(s *Shop) error {
	if j.Pieces < 1 {
		return fmt.Errorf("%d pieces: at least 1", j.Pieces)
	}
	if j.Line < 0 {
		return fmt.Errorf("numbered %d: lines count from 1", j.Line)
	}
	if len(j.Prints) == 0 {
		return errors.New("no print: say what goes on it")
	}
	for i := range j.Prints {
		if err := j.Prints[i].validate(s, j.Pieces); err != nil {
			return fmt.Errorf("print %d (%s): %w", i+1, j.Prints[i].Spot, err)
		}
	}
	return nil
}

func (p *Print) validate(s *Shop, pieces int) error {
	if p.Sheets < 0 || bad(p.PageTime) {
		return fmt.Errorf("%d sheets at %g s: neither can be negative", p.Sheets, p.PageTime.S())
	}
	if p.Sheets > 0 {
		if p.PageTime == 0 {
			return errors.New("prints a sheet in 0 s: say how long one takes")
		}
		if len(s.Printers) == 0 {
			return errors.New("has sheets to print and the shop has no printer")
		}
		if len(p.SheetOf) != pieces {
			return fmt.Errorf("says for %d of %d pieces which sheet they are on", len(p.SheetOf), pieces)
		}
		for i, n := range p.SheetOf {
			if n < 1 || n > p.Sheets {
				return fmt.Errorf("piece %d is on sheet %d of %d", i+1, n, p.Sheets)
			}
		}
	}
	return p.Recipe.validate(s)
}

func (r *Recipe) validate(s *Shop) error {
	if r.Press == nil {
		return errors.New("the recipe has no press step")
	}
	for _, d := range []unit.Duration{r.Pull, r.Cut, r.Load, r.Unload, r.CoolWait, r.PeelTime, r.Check} {
		if bad(d) {
			return errors.New("the recipe has a time that is negative, not a number or longer than ten years")
		}
	}
	switch r.Peel {
	case PeelHot, PeelWarm, PeelCold, PeelNone, "":
	default:
		return fmt.Errorf("peel %q is not known: hot, warm, cold or none", r.Peel)
	}
	if r.cools() && s.Rack < 1 {
		return errors.New("pieces must cool and the rack has no place: give it some")
	}
	fits, hottest := 0, unit.Temperature(0)
	for _, d := range []*Dwell{r.Marry, r.Prepress, r.Press, r.Finish} {
		if d == nil {
			continue
		}
		if bad(d.Time) || d.Time == 0 || !d.Temperature.Valid() {
			return errors.New("the recipe has a dwell that is not above 0 s or not a number: give it a time, or leave it out")
		}
		hottest = max(hottest, d.Temperature)
	}
	kind, top := 0, unit.Temperature(0)
	for i := range s.Presses {
		if p := &s.Presses[i]; p.Kind == r.PressKind {
			kind++
			if p.reaches(r) {
				fits++
			} else if kind == 1 || p.Max-p.Offset > top {
				top = p.Max - p.Offset
			}
		}
	}
	if kind == 0 {
		return fmt.Errorf("needs a %q press and the shop has none", r.PressKind)
	}
	if fits == 0 {
		return fmt.Errorf("needs %.0f C (%.0f F), hotter than any %q press here reaches (%.0f C): lower the recipe or use another press",
			hottest.C(), hottest.F(), r.PressKind, top.C())
	}
	return nil
}

// cools reports whether pieces of the recipe lie on the rack.
func (r *Recipe) cools() bool { return r.CoolWait > 0 && r.Peel != PeelHot }

// reaches reports whether the press gets as hot as the recipe wants.
func (p *Press) reaches(r *Recipe) bool {
	for _, d := range []*Dwell{r.Marry, r.Prepress, r.Press, r.Finish} {
		if d != nil && p.Max != 0 && d.Temperature+p.Offset > p.Max {
			return false
		}
	}
	return true
}

// bad reports whether a time is not a number, negative, or beyond the calendar.
func bad(d unit.Duration) bool { return !finite(float64(d)) || d < 0 || d > daysAhead*secondsADay }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
