package press

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"presshand/planner/press/engine"
)

func numbered(word string, i int) string { return word + "-" + strconv.Itoa(i+1) }

// at is the time of a tick, in the shop's zone.
func (m *model) at(t int64) time.Time { return m.start.Add(time.Duration(t) * time.Second) }

// plan reads a schedule of the engine as a plan.
func (m *model) plan(s *engine.Schedule) Plan {
	p := Plan{Start: m.start, Resources: m.resources()}
	ids := m.stepIDs()
	for i := range m.tasks {
		p.Steps = append(p.Steps, m.steps(i, &s.Slots[i], ids)...)
	}
	p.Steps = append(p.Steps, m.setups(s)...)
	p.Steps = sortedSteps(p.Steps)
	p.Finish = p.Start
	for i := range p.Steps {
		p.Finish = later(p.Finish, p.Steps[i].To)
		if p.Steps[i].Word == StepChangeover {
			p.Changeovers++
		}
	}
	p.Makespan = p.Finish.Sub(p.Start)
	m.ready(&p, s)
	m.loads(&p)
	return p
}

// sortedSteps sorts by start, then by id. Steps are large: it moves each once.
func sortedSteps(steps []Step) []Step {
	order := make([]int, len(steps))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, k int) int {
		if c := steps[i].From.Compare(steps[k].From); c != 0 {
			return c
		}
		return strings.Compare(steps[i].ID, steps[k].ID)
	})
	out := make([]Step, len(steps))
	for at, i := range order {
		out[at] = steps[i]
	}
	return out
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func (m *model) resources() []Resource {
	out := make([]Resource, len(m.names))
	for i := range out {
		out[i] = Resource{Name: m.names[i], Capacity: m.engine.Resources[i].Capacity, Label: m.labels[i]}
	}
	return out
}

// item is what a piece is called.
func (j *Job) item() string {
	if j.Item == "" {
		return "piece"
	}
	return j.Item
}

// stepIDs names every part of every activity: order.line.step.number, with
// the spot behind it from the second print on, where only sheets go on
// counting.
func (m *model) stepIDs() [][]string {
	ids := make([][]string, len(m.tasks))
	for i := range m.tasks {
		t := &m.tasks[i]
		o := &m.problem.Orders[t.order]
		j := &o.Jobs[t.job]
		for _, part := range t.parts {
			id := fmt.Sprintf("%s.%d.%s.%d", o.ID, j.line(t.job), part.word, part.piece+part.sheet)
			if part.piece > 0 && t.print > 0 && part.word != StepCheck {
				id += "." + strconv.Itoa(t.print+1)
			}
			ids[i] = append(ids[i], id)
		}
	}
	return ids
}

// steps reads the slot of activity i as steps.
func (m *model) steps(i int, s *engine.Slot, ids [][]string) []Step {
	t := &m.tasks[i]
	o := &m.problem.Orders[t.order]
	a := &m.engine.Activities[i]
	mode := &a.Modes[s.Mode]
	var out []Step
	given := 0
	for k, part := range t.parts {
		from, to := s.Parts[k], s.Parts[k]+mode.Parts[k].Length
		if k+1 < len(t.parts) {
			to = s.Parts[k+1]
		}
		if !part.rest {
			step := Step{ID: ids[i][k], Order: o.ID, Line: o.Jobs[t.job].line(t.job), Word: part.word, Item: o.Jobs[t.job].item(),
				Piece: part.piece, Sheet: part.sheet, From: m.at(from), Uses: []Use{}, After: []After{}}
			if part.word != StepCheck {
				step.Print, step.Spot = t.print+1, o.Jobs[t.job].Prints[t.print].Spot
			}
			m.addAfter(&step, i, k, ids)
			out = append(out, step)
		}
		step := &out[len(out)-1]
		step.To = m.at(to)
		if mode.Machine > 0 && k < mode.Held {
			m.hold(step, mode, from, to)
		}
		for u := range mode.Parts[k].Uses {
			use := &mode.Parts[k].Uses[u]
			step.Uses = append(step.Uses, Use{m.names[s.Given[given]], max(use.Amount, 1), m.at(from + use.From), m.at(from + use.To)})
			given++
		}
	}
	return out
}

// hold adds the machine from..to to a step, as one use with what it held
// before.
func (m *model) hold(step *Step, mode *engine.Mode, from, to int64) {
	r := mode.Machine - 1
	if len(step.Uses) > 0 && step.Uses[0].Resource == m.names[r] {
		step.Uses[0].To = m.at(to)
		return
	}
	step.Uses = append([]Use{{m.names[r], 1, m.at(from), m.at(to)}}, step.Uses...)
	if k := index(m.presses, r); k >= 0 {
		step.Temperature = m.dials[k][mode.State]
	} else {
		step.Toner = m.toners[mode.State]
	}
}

// addAfter lists what step k of activity i comes after.
func (m *model) addAfter(step *Step, i, k int, ids [][]string) {
	if k > 0 {
		step.After = append(step.After, After{Step: ids[i][k-1]})
	} else {
		for _, l := range m.engine.Activities[i].After {
			list := ids[l.Pred]
			part := l.Part
			if part < 0 {
				part = len(list) - 1
			}
			step.After = append(step.After, After{Step: list[part]})
		}
	}
	if step.Word == StepPeel {
		m.addWait(step, i, k, ids)
	}
}

// addWait adds to a peel how long after the press it may come.
func (m *model) addWait(step *Step, i, k int, ids [][]string) {
	t := &m.tasks[i]
	r := &m.problem.Orders[t.order].Jobs[t.job].Prints[t.print].Recipe
	if !r.cools() {
		return
	}
	if k > 0 {
		step.After = append(step.After, After{ids[i][k-2], time.Duration(whole(r.CoolWait)) * time.Second})
		return
	}
	pred := m.engine.Activities[i].After[0].Pred
	list := ids[pred]
	step.After = append(step.After, After{list[len(list)-2], time.Duration(whole(r.CoolWait)) * time.Second})
}

// setups lists the changeovers of printers and the heating and cooling of
// presses that a schedule implies.
func (m *model) setups(s *engine.Schedule) []Step {
	byMachine := make([][]int, len(m.names))
	for i := range s.Slots {
		if mode := m.mode(s, i); mode.Machine > 0 {
			byMachine[mode.Machine-1] = append(byMachine[mode.Machine-1], i)
		}
	}
	var out []Step
	for r, list := range byMachine {
		sort.SliceStable(list, func(i, k int) bool { return s.Slots[list[i]].Start() < s.Slots[list[k]].Start() })
		out = append(out, m.setupsOf(r, list, s)...)
	}
	return out
}

func (m *model) mode(s *engine.Schedule, i int) *engine.Mode {
	return &m.engine.Activities[i].Modes[s.Slots[i].Mode]
}

func (m *model) setupsOf(r int, list []int, s *engine.Schedule) []Step {
	res := &m.engine.Resources[r]
	state, closure := res.State, 0
	var out []Step
	for _, i := range list {
		mode, slot := m.mode(s, i), &s.Slots[i]
		for ; closure < len(res.Closed) && res.Closed[closure].To <= slot.Start(); closure++ {
			if reset := res.Closed[closure].Reset; reset >= 0 {
				state = reset
			}
		}
		if state >= 0 && state != mode.State && res.Setup[state][mode.State] > 0 {
			from := slot.Start() - res.Setup[state][mode.State]
			out = append(out, m.setupStep(r, len(out)+1, i, from, slot, mode))
		}
		state = mode.State
	}
	return out
}

func (m *model) setupStep(r, n, i int, from int64, slot *engine.Slot, mode *engine.Mode) Step {
	t := &m.tasks[i]
	o := &m.problem.Orders[t.order]
	step := Step{Order: o.ID, Line: o.Jobs[t.job].line(t.job), Word: StepHeat, From: m.at(from), To: m.at(slot.Start()),
		Uses: []Use{{m.names[r], 1, m.at(from), m.at(slot.Start())}}, After: []After{}}
	if k := index(m.presses, r); k >= 0 {
		step.Temperature = m.dials[k][mode.State]
	} else {
		step.Word, step.Toner = StepChangeover, m.toners[mode.State]
		if tender := slot.Given[len(slot.Given)-1]; tender >= 0 {
			step.Uses = append(step.Uses, Use{m.names[tender], 1, step.From, step.To})
		}
	}
	step.ID = fmt.Sprintf("%s.%s.%d", m.names[r], step.Word, n)
	return step
}

// ready fills in when each order is ready and which are late.
func (m *model) ready(p *Plan, s *engine.Schedule) {
	ends := make([]int64, len(m.problem.Orders))
	for i := range s.Slots {
		o := m.tasks[i].order
		ends[o] = max(ends[o], s.Slots[i].End)
	}
	for i, o := range m.problem.Orders {
		p.Ready = append(p.Ready, Ready{o.ID, m.at(ends[i])})
		if late := ends[i] - m.tick(o.Due); !o.Due.IsZero() && late > 0 {
			p.Late = append(p.Late, Late{Order: o.ID, By: time.Duration(late) * time.Second})
		}
	}
}

// loads fills in how busy each resource is, the hands-on time, and the time
// in which everybody only waits.
func (m *model) loads(p *Plan) {
	busy := make(map[string]time.Duration, len(m.names))
	var hands []window
	for i := range p.Steps {
		for _, u := range p.Steps[i].Uses {
			d := u.To.Sub(u.From)
			busy[u.Resource] += d
			if r := index(m.names, u.Resource); index(m.people, r) >= 0 {
				p.HandsOn += d
				hands = append(hands, window{from: m.tick(u.From), to: m.tick(u.To)})
			}
		}
	}
	finish := m.tick(p.Finish)
	for r, name := range m.names {
		if r == m.rack {
			continue
		}
		b := Busy{Resource: name, Time: busy[name]}
		if open := openTime(m.engine.Resources[r].Closed, finish); open > 0 {
			b.Share = b.Time.Seconds() / float64(open)
		}
		p.Busy = append(p.Busy, b)
	}
	sort.SliceStable(p.Busy, func(i, k int) bool { return p.Busy[i].Share > p.Busy[k].Share })
	p.Waiting = m.waiting(p, hands)
}

// openTime is the time up to finish that no closure covers.
func openTime(closed []engine.Closure, finish int64) int64 {
	open := finish
	for _, c := range closed {
		open -= max(0, min(c.To, finish)-min(c.From, finish))
	}
	return open
}

// waiting is the time, from the first step to the last, in which somebody is
// there and nobody's hands are needed.
func (m *model) waiting(p *Plan, hands []window) time.Duration {
	if len(p.Steps) == 0 {
		return 0
	}
	first, finish := m.tick(p.Steps[0].From), m.tick(p.Finish)
	there := int64(0)
	for _, w := range m.open {
		there += max(0, min(w.to, finish)-max(w.from, first))
	}
	sort.Slice(hands, func(i, k int) bool { return hands[i].from < hands[k].from })
	at := int64(0)
	for _, h := range hands {
		if h.to > at {
			there -= h.to - max(at, h.from)
			at = h.to
		}
	}
	return time.Duration(there) * time.Second
}
