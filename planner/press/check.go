package press

import (
	"fmt"
	"math"
	"sort"
	"time"
)

// Check verifies a plan against its problem by what is written in the plan
// alone: every sheet and piece goes through every step once and in order,
// waits are kept, what may not wait does not, nothing is used twice at once or
// outside of its hours, machines are set up, and the sums are right. It shares
// no code with Solve. The error names the first fault.
func Check(p Problem, plan Plan) error {
	c := &checker{problem: &p, plan: &plan, zone: p.Shop.Zone, steps: map[stepKey]*Step{}, capacity: map[string]int{"rack": p.Shop.Rack},
		printers: map[string]*Printer{}, presses: map[string]*Press{}, people: map[string]*Person{}}
	for i := range p.Shop.Printers {
		c.printers[c.named("printer", i)] = &p.Shop.Printers[i]
	}
	for i := range p.Shop.Presses {
		c.presses[c.named("press", i)] = &p.Shop.Presses[i]
	}
	for i := range p.Shop.People {
		c.people[c.named("person", i)] = &p.Shop.People[i]
	}
	if c.zone == nil {
		c.zone = time.UTC
	}
	for _, rule := range []func() error{c.index, c.flow, c.resources, c.heat, c.toner, c.sums} {
		if err := rule(); err != nil {
			return fmt.Errorf("check press plan: %w", err)
		}
	}
	return nil
}

type checker struct {
	problem *Problem
	plan    *Plan
	zone    *time.Location
	steps   map[stepKey]*Step
	used    int // steps that some rule asked for

	capacity map[string]int
	printers map[string]*Printer
	presses  map[string]*Press
	people   map[string]*Person
}

// named is the name of the shop's i-th machine or person; it has capacity 1.
func (c *checker) named(word string, i int) string {
	name := fmt.Sprintf("%s-%d", word, i+1)
	c.capacity[name] = 1
	return name
}

// A stepKey names a step that the problem asks for: sheets count through a
// line, pieces through a print.
type stepKey struct {
	order       string
	line, print int
	word        string
	number      int
}

// A slot is a use with its step.
type slot struct {
	Use
	step *Step
}

func (c *checker) index() error {
	for i := range c.plan.Steps {
		s := &c.plan.Steps[i]
		if s.To.Before(s.From) {
			return fmt.Errorf("step %s ends before it begins", s.ID)
		}
		if s.From.Before(c.problem.Start) {
			return fmt.Errorf("step %s begins before the start", s.ID)
		}
		if s.Word == StepHeat || s.Word == StepChangeover {
			continue
		}
		k := stepKey{s.Order, s.Line, s.Print, s.Word, s.Piece + s.Sheet}
		if s.Sheet > 0 {
			k.print = 0
		}
		if c.steps[k] != nil {
			return fmt.Errorf("step %s stands there twice", s.ID)
		}
		c.steps[k] = s
	}
	return nil
}

// flow follows every sheet and piece through its steps.
func (c *checker) flow() error {
	for _, o := range c.problem.Orders {
		for k, j := range o.Jobs {
			line := j.Line
			if line == 0 {
				line = k + 1
			}
			if err := c.job(&o, &j, line); err != nil {
				return fmt.Errorf("order %s line %d: %w", o.ID, line, err)
			}
		}
	}
	if c.used != len(c.steps) {
		return fmt.Errorf("%d steps that nobody asked for", len(c.steps)-c.used)
	}
	return nil
}

func (c *checker) job(o *Order, j *Job, line int) error {
	free := make([]time.Time, j.Pieces)
	for i := range free {
		free[i] = o.Release
	}
	sheets := 0
	for k := range j.Prints {
		print := &j.Prints[k]
		cut := make([]time.Time, print.Sheets)
		for s := range cut {
			end, err := c.sheet(o, print, line, sheets+s+1)
			if err != nil {
				return fmt.Errorf("sheet %d: %w", sheets+s+1, err)
			}
			cut[s] = end
		}
		sheets += print.Sheets
		for i := range free {
			from := free[i]
			if print.Sheets > 0 && cut[print.SheetOf[i]-1].After(from) {
				from = cut[print.SheetOf[i]-1]
			}
			end, err := c.piece(o, print, line, k+1, i+1, free[i], from)
			if err != nil {
				return fmt.Errorf("print %d piece %d: %w", k+1, i+1, err)
			}
			free[i] = end
		}
	}
	check := j.Prints[len(j.Prints)-1].Recipe.Check
	for i := range free {
		if _, err := c.hands(stepKey{o.ID, line, 0, StepCheck, i + 1}, check, free[i], false); err != nil {
			return fmt.Errorf("piece %d: %w", i+1, err)
		}
	}
	return nil
}

// want finds a step and sees that it begins no earlier than from, or exactly
// then.
func (c *checker) want(k stepKey, from time.Time, exact bool) (*Step, error) {
	s := c.steps[k]
	if s == nil {
		return nil, fmt.Errorf("no step %q", k.word)
	}
	c.used++
	if s.From.Before(from) {
		return nil, fmt.Errorf("%s begins %s before it may", s.ID, from.Sub(s.From))
	}
	if exact && !s.From.Equal(from) {
		return nil, fmt.Errorf("%s waits %s and may not wait at all", s.ID, s.From.Sub(from))
	}
	return s, nil
}

// handSeconds is manual work with the allowance, in whole seconds.
func (c *checker) handSeconds(d float64) float64 {
	return math.Ceil(d*(1+float64(c.problem.Shop.Allowance)) - 1e-6)
}

// hands checks a step that is all manual and returns its end. Work of no time
// is no step.
func (c *checker) hands(k stepKey, d interface{ S() float64 }, from time.Time, exact bool) (time.Time, error) {
	need := c.handSeconds(d.S())
	if need == 0 && c.steps[k] == nil {
		return from, nil
	}
	s, err := c.want(k, from, exact)
	if err != nil {
		return from, err
	}
	if got := s.To.Sub(s.From).Seconds(); got != need {
		return from, fmt.Errorf("%s takes %g s, not %g", s.ID, got, need)
	}
	if need > 0 && !c.attended(s, s.From, s.To) {
		return from, fmt.Errorf("%s has nobody at it", s.ID)
	}
	return s.To, nil
}

// attended reports whether one person is at a step from..to.
func (c *checker) attended(s *Step, from, to time.Time) bool {
	for _, u := range s.Uses {
		if c.people[u.Resource] != nil && !u.From.After(from) && !u.To.Before(to) {
			return true
		}
	}
	return false
}

// held reports whether a step uses a resource from its beginning to its end.
func held(s *Step, name string) bool {
	for _, u := range s.Uses {
		if u.Resource == name && u.From.Equal(s.From) && u.To.Equal(s.To) {
			return true
		}
	}
	return false
}

// pressOf finds the press that a step holds throughout.
func (c *checker) pressOf(s *Step) *Press {
	for _, u := range s.Uses {
		if p := c.presses[u.Resource]; p != nil && held(s, u.Resource) {
			return p
		}
	}
	return nil
}

func seconds64(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// pressing checks a step in a press: loaded by a person, closed for the dwell
// at the right temperature, unloaded by a person where unload is true. Only a
// press that opens itself may hold the piece longer, by the dwell again.
func (c *checker) pressing(s *Step, r *Recipe, d *Dwell, unload, rigid bool) error {
	p := c.pressOf(s)
	if p == nil {
		return fmt.Errorf("%s holds no press throughout", s.ID)
	}
	if p.Kind != r.PressKind {
		return fmt.Errorf("%s is on a %q press, not %q", s.ID, p.Kind, r.PressKind)
	}
	if want := float64(d.Temperature) + float64(p.Offset); s.Temperature != want || p.Max != 0 && want > float64(p.Max) {
		return fmt.Errorf("%s is at %g C on the dial, not %g within %g", s.ID, s.Temperature, want, float64(p.Max))
	}
	load, off := c.handSeconds(float64(r.Load)), 0.0
	if unload {
		off = c.handSeconds(float64(r.Unload))
	}
	need := load + math.Ceil(float64(d.Time)-1e-6) + off
	lie := 0.0
	if p.OpensItself && !rigid {
		lie = math.Ceil(float64(d.Time) - 1e-6)
	}
	if got := s.To.Sub(s.From).Seconds(); got < need || got > need+lie {
		return fmt.Errorf("%s takes %g s, not %g to %g", s.ID, got, need, need+lie)
	}
	if load > 0 && !c.attended(s, s.From, s.From.Add(seconds64(load))) {
		return fmt.Errorf("%s is loaded by nobody", s.ID)
	}
	if off > 0 && !c.attended(s, s.To.Add(-seconds64(off)), s.To) {
		return fmt.Errorf("%s is unloaded by nobody", s.ID)
	}
	return nil
}

// sheet follows one sheet and returns when it is ready for the press.
func (c *checker) sheet(o *Order, p *Print, line, number int) (time.Time, error) {
	key := func(word string) stepKey { return stepKey{o.ID, line, 0, word, number} }
	s, err := c.want(key(StepPrint), o.Release, false)
	if err != nil {
		return time.Time{}, err
	}
	if len(s.Uses) != 1 || !held(s, s.Uses[0].Resource) || c.printers[s.Uses[0].Resource] == nil {
		return time.Time{}, fmt.Errorf("%s holds no printer throughout", s.ID)
	}
	if got := s.To.Sub(s.From).Seconds(); got < float64(p.PageTime) {
		return time.Time{}, fmt.Errorf("%s takes %g s, less than %g", s.ID, got, float64(p.PageTime))
	}
	end := s.To
	r := &p.Recipe
	if r.Marry != nil {
		if s, err = c.want(key(StepMarry), end, false); err != nil {
			return end, err
		}
		if err := c.pressing(s, r, r.Marry, true, true); err != nil {
			return end, err
		}
		if end, err = c.hands(key(StepPull), r.Pull, s.To, true); err != nil {
			return end, err
		}
	}
	return c.hands(key(StepCut), r.Cut, end, false)
}

// piece follows one piece through one print and returns when it is done. The
// blank is there from blank on, its transfer from ready on.
func (c *checker) piece(o *Order, p *Print, line, print, number int, blank, ready time.Time) (time.Time, error) {
	r := &p.Recipe
	key := func(word string) stepKey { return stepKey{o.ID, line, print, word, number} }
	end, together := ready, false
	var pre *Step
	var err error
	if r.Prepress != nil {
		together = r.OneLoading && r.Prepress.Temperature == r.Press.Temperature
		from := blank
		if together {
			from = ready
		}
		if pre, err = c.want(key(StepPrepress), from, false); err != nil {
			return end, err
		}
		if err := c.pressing(pre, r, r.Prepress, !together, false); err != nil {
			return end, err
		}
		if pre.To.After(end) {
			end = pre.To
		}
	}
	s, err := c.want(key(StepPress), end, together)
	if err != nil {
		return end, err
	}
	if err := c.pressing(s, r, r.Press, true, r.Peel == PeelHot); err != nil {
		return end, err
	}
	if together && c.pressOf(pre) != c.pressOf(s) {
		return end, fmt.Errorf("%s is on another press than its pre-press", s.ID)
	}
	if end, err = c.afterPress(r, key, s.To); err != nil {
		return end, err
	}
	if r.Finish == nil {
		return end, nil
	}
	if s, err = c.want(key(StepFinish), end, false); err != nil {
		return end, err
	}
	return s.To, c.pressing(s, r, r.Finish, true, false)
}

// afterPress checks cooling and peel.
func (c *checker) afterPress(r *Recipe, key func(string) stepKey, end time.Time) (time.Time, error) {
	if r.Peel == PeelHot {
		return c.hands(key(StepPeel), r.PeelTime, end, true)
	}
	if r.CoolWait > 0 {
		s, err := c.want(key(StepCool), end, true)
		if err != nil {
			return end, err
		}
		if !held(s, "rack") {
			return end, fmt.Errorf("%s has no place on the rack", s.ID)
		}
		if got := s.To.Sub(s.From).Seconds(); got < float64(r.CoolWait) {
			return end, fmt.Errorf("%s lasts %g s, less than %g", s.ID, got, float64(r.CoolWait))
		}
		end = s.To
	}
	switch r.Peel {
	case PeelWarm:
		return c.hands(key(StepPeel), r.PeelTime, end, true)
	case PeelCold:
		return c.hands(key(StepPeel), r.PeelTime, end, false)
	}
	return end, nil
}

// resources sees that nothing is used beyond its amount or outside its hours.
func (c *checker) resources() error {
	for name, slots := range c.slots() {
		if c.capacity[name] == 0 {
			return fmt.Errorf("resource %q is not in the shop", name)
		}
		if err := within(name, slots, c.capacity[name]); err != nil {
			return err
		}
		if name == "rack" {
			continue
		}
		for _, u := range slots {
			if !c.open(name, u.From, u.To) {
				return fmt.Errorf("%s uses %s outside of its hours, %s to %s", u.step.ID, name, u.From, u.To)
			}
		}
	}
	return nil
}

// slots groups all uses by resource, by start.
func (c *checker) slots() map[string][]slot {
	out := map[string][]slot{}
	for i := range c.plan.Steps {
		s := &c.plan.Steps[i]
		for _, u := range s.Uses {
			out[u.Resource] = append(out[u.Resource], slot{u, s})
		}
	}
	for _, list := range out {
		sort.SliceStable(list, func(i, k int) bool { return list[i].From.Before(list[k].From) })
	}
	return out
}

// within sweeps over the uses of a resource and counts what is in use.
func within(name string, slots []slot, capacity int) error {
	type event struct {
		at    time.Time
		delta int
		id    string
	}
	var events []event
	for _, s := range slots {
		if s.From.Before(s.step.From) || s.To.After(s.step.To) || s.To.Before(s.From) || s.Amount < 1 {
			return fmt.Errorf("%s uses %s outside of itself", s.step.ID, name)
		}
		if s.From.Before(s.To) {
			events = append(events, event{s.From, s.Amount, s.step.ID}, event{s.To, -s.Amount, s.step.ID})
		}
	}
	sort.SliceStable(events, func(i, k int) bool {
		if !events[i].at.Equal(events[k].at) {
			return events[i].at.Before(events[k].at)
		}
		return events[i].delta < events[k].delta
	})
	now := 0
	for _, e := range events {
		if now += e.delta; now > capacity {
			return fmt.Errorf("%s is used %d times at %s by %s and others: it has %d", name, now, e.at, e.id, capacity)
		}
	}
	return nil
}

// open reports whether from..to lies in the shop's hours, and for a person in
// that person's hours and outside of breaks. Spans that touch count as one.
func (c *checker) open(name string, from, to time.Time) bool {
	for at := from; at.Before(to); {
		until := c.openUntil(name, at)
		if !until.After(at) {
			return false
		}
		at = until
	}
	return true
}

// wall is a time of day on the day of t. Seconds past midnight would slip by
// an hour on days the clocks change.
func (c *checker) wall(t time.Time, clock Clock) time.Time {
	y, m, d := t.In(c.zone).Date()
	n := int(clock)
	return time.Date(y, m, d, n/3600, n%3600/60, n%60, 0, c.zone)
}

// hours are the shop's spans on the day of t.
func (c *checker) hours(t time.Time) []Span {
	local := t.In(c.zone)
	y, m, d := local.Date()
	for _, day := range c.problem.Shop.Closed {
		if day == (Date{y, m, d}) {
			return nil
		}
	}
	return c.problem.Shop.Hours[local.Weekday()]
}

// spanEnd is the end of the span that t lies in, t itself where it lies in
// none.
func (c *checker) spanEnd(spans []Span, t time.Time) time.Time {
	for _, s := range spans {
		if !t.Before(c.wall(t, s.From)) && t.Before(c.wall(t, s.To)) {
			return c.wall(t, s.To)
		}
	}
	return t
}

// openUntil is the time up to which a resource may be used from t on.
func (c *checker) openUntil(name string, t time.Time) time.Time {
	until := c.spanEnd(c.hours(t), t)
	p := c.people[name]
	if p == nil {
		return until
	}
	if p.Hours != nil {
		if own := c.spanEnd(p.Hours[t.In(c.zone).Weekday()], t); own.Before(until) {
			until = own
		}
	}
	for _, b := range p.Breaks {
		from, to := c.wall(t, b.From), c.wall(t, b.To)
		if t.Before(to) && from.Before(until) {
			until = from
		}
	}
	return until
}

// opened is when the shop opened for the working day that t lies in, or the
// start of the plan where that was later. A night that is not closed belongs
// to the day before.
func (c *checker) opened(t time.Time) time.Time {
	for {
		spans := c.hours(t)
		if len(spans) == 0 {
			return t
		}
		at := c.wall(t, spans[0].From)
		if !at.After(c.problem.Start) {
			return c.problem.Start
		}
		before := at.Add(-time.Second)
		if !c.spanEnd(c.hours(before), before).Equal(at) {
			return at
		}
		t = before
	}
}

// heat sees that every press had time to get from one temperature to the
// next, and that a heat step says so.
func (c *checker) heat() error {
	all := c.slots()
	for i := range c.problem.Shop.Presses {
		p := &c.problem.Shop.Presses[i]
		name := fmt.Sprintf("press-%d", i+1)
		now, last := float64(p.Rest), c.problem.Start
		if p.Now != 0 && !c.opened(last).After(last) {
			now = float64(p.Now)
		}
		for _, u := range all[name] {
			if c.opened(u.From).After(last) {
				now = float64(p.Rest)
			}
			free := c.opened(u.From)
			if last.After(free) {
				free = last
			}
			if u.step.Word == StepHeat {
				minutes := (u.step.Temperature - now) / p.HeatRate
				if u.step.Temperature < now {
					minutes = (now - u.step.Temperature) / p.CoolRate
				}
				if u.From.Before(free) || u.To.Sub(u.From).Seconds() < minutes*60-1e-6 {
					return fmt.Errorf("%s is too short for %g to %g C", u.step.ID, now, u.step.Temperature)
				}
			} else if u.step.Temperature != now {
				return fmt.Errorf("%s wants %g C and %s is at %g", u.step.ID, u.step.Temperature, name, now)
			}
			now, last = u.step.Temperature, u.To
		}
	}
	return nil
}

// toner sees that every printer was changed over by somebody, for long
// enough, before it prints with another toner set.
func (c *checker) toner() error {
	all := c.slots()
	for i := range c.problem.Shop.Printers {
		p := &c.problem.Shop.Printers[i]
		now := p.Loaded
		fresh := true // the next sheet begins a run
		var last time.Time
		for _, u := range all[fmt.Sprintf("printer-%d", i+1)] {
			s := u.step
			if s.Word == StepChangeover {
				if got := s.To.Sub(s.From).Seconds(); got < c.handSeconds(float64(p.Changeover)) || !c.attended(s, s.From, s.To) {
					return fmt.Errorf("%s is too short or has nobody at it", s.ID)
				}
				now, fresh = s.Toner, true
				continue
			}
			o, print := c.printOf(s)
			if print == nil {
				return fmt.Errorf("%s prints nothing that was ordered", s.ID)
			}
			if now == "" {
				now = print.Recipe.TonerSet
			}
			if want := print.Recipe.TonerSet; s.Toner != want || now != want {
				return fmt.Errorf("%s of %s wants toner %q and the printer has %q", s.ID, o, want, now)
			}
			if !s.From.Equal(last) {
				fresh = true
			}
			need := float64(print.PageTime)
			if fresh {
				need += float64(p.FirstPage)
			}
			if s.To.Sub(s.From).Seconds() < need {
				return fmt.Errorf("%s is too short: %g s wanted", s.ID, need)
			}
			fresh, last = false, s.To
		}
	}
	return nil
}

// printOf finds the print that a sheet belongs to.
func (c *checker) printOf(s *Step) (string, *Print) {
	for _, o := range c.problem.Orders {
		if o.ID != s.Order {
			continue
		}
		for k := range o.Jobs {
			if line := o.Jobs[k].Line; line != s.Line && !(line == 0 && k+1 == s.Line) {
				continue
			}
			sheets := 0
			for i := range o.Jobs[k].Prints {
				p := &o.Jobs[k].Prints[i]
				if sheets += p.Sheets; s.Sheet <= sheets {
					return o.ID, p
				}
			}
		}
	}
	return s.Order, nil
}

// sums recomputes what the plan says about itself.
func (c *checker) sums() error {
	finish, changeovers := c.plan.Start, 0
	ends := map[string]time.Time{}
	for i := range c.plan.Steps {
		s := &c.plan.Steps[i]
		if s.To.After(finish) {
			finish = s.To
		}
		if s.To.After(ends[s.Order]) {
			ends[s.Order] = s.To
		}
		if s.Word == StepChangeover {
			changeovers++
		}
	}
	if !finish.Equal(c.plan.Finish) || c.plan.Makespan != finish.Sub(c.plan.Start) || changeovers != c.plan.Changeovers {
		return fmt.Errorf("finish, makespan or changeovers don't agree with the steps: %s, %d", finish, changeovers)
	}
	if c.plan.AtLeast > c.plan.Makespan {
		return fmt.Errorf("takes %s, less than the least of %s", c.plan.Makespan, c.plan.AtLeast)
	}
	late := 0
	for i, o := range c.problem.Orders {
		if i >= len(c.plan.Ready) || c.plan.Ready[i].Order != o.ID || !c.plan.Ready[i].At.Equal(ends[o.ID]) {
			return fmt.Errorf("order %s is ready at %s, the plan says otherwise", o.ID, ends[o.ID])
		}
		if o.Due.IsZero() || !ends[o.ID].After(o.Due) {
			continue
		}
		if late >= len(c.plan.Late) || c.plan.Late[late].Order != o.ID || c.plan.Late[late].By != ends[o.ID].Sub(o.Due.Truncate(time.Second)) {
			return fmt.Errorf("order %s is late by %s, the plan says otherwise", o.ID, ends[o.ID].Sub(o.Due))
		}
		late++
	}
	if late != len(c.plan.Late) {
		return fmt.Errorf("%d orders are late, the plan says %d", late, len(c.plan.Late))
	}
	return nil
}
