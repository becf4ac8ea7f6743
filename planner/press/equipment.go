package press

import (
	"presshand/planner/press/engine"
	"presshand/planner/unit"
)

const peoplePool = 0

func (m *model) addResources() {
	s := &m.problem.Shop
	add := func(name, label string, r engine.Resource) int {
		m.engine.Resources = append(m.engine.Resources, r)
		m.names, m.labels = append(m.names, name), append(m.labels, label)
		return len(m.names) - 1
	}
	for i := range s.Printers {
		p := &s.Printers[i]
		r := engine.Resource{Capacity: 1, State: m.toner(p.Loaded), Tender: peoplePool + 1, Setup: m.tonerSetups(p)}
		m.printers = append(m.printers, add(numbered("printer", i), p.Name, r))
	}
	for i := range s.Presses {
		p := &s.Presses[i]
		dials := m.dialsOf(p)
		r := engine.Resource{Capacity: 1, State: 0, Setup: heatTimes(p, dials)}
		if p.Now != 0 {
			r.State = index(dials, p.Now.C())
		}
		m.dials = append(m.dials, dials)
		m.presses = append(m.presses, add(numbered("press", i), p.Name, r))
	}
	for i := range s.People {
		m.people = append(m.people, add(numbered("person", i), s.People[i].Name, engine.Resource{Capacity: 1}))
	}
	m.rack = -1
	if s.Rack > 0 {
		m.rack = add("rack", "rack", engine.Resource{Capacity: s.Rack})
	}
	m.engine.Pools = [][]int{m.people}
}

func (m *model) tonerSetups(p *Printer) [][]int64 {
	setup := make([][]int64, len(m.toners))
	for a := range setup {
		setup[a] = make([]int64, len(m.toners))
		for b := range setup[a] {
			if a != b {
				setup[a][b] = m.manual(p.Changeover)
			}
		}
	}
	return setup
}

// dialsOf lists the dial temperatures a press may have: at rest first, then
// what it has now, then what recipes want.
func (m *model) dialsOf(p *Press) []float64 {
	dials := []float64{p.Rest.C()}
	add := func(t float64) {
		if index(dials, t) < 0 {
			dials = append(dials, t)
		}
	}
	if p.Now != 0 {
		add(p.Now.C())
	}
	for _, o := range m.problem.Orders {
		for _, j := range o.Jobs {
			for k := range j.Prints {
				r := &j.Prints[k].Recipe
				for _, d := range []*Dwell{r.Marry, r.Prepress, r.Press, r.Finish} {
					if d != nil && r.PressKind == p.Kind {
						add((d.Temperature + p.Offset).C())
					}
				}
			}
		}
	}
	return dials
}

// heatTimes is the time from each dial temperature to each other:
// (b - a) / heating rate upwards, (a - b) / cooling rate downwards.
func heatTimes(p *Press, dials []float64) [][]int64 {
	out := make([][]int64, len(dials))
	for i, a := range dials {
		out[i] = make([]int64, len(dials))
		for k, b := range dials {
			minutes := (b - a) / p.HeatRate
			if b < a {
				minutes = (a - b) / p.CoolRate
			}
			out[i][k] = ceil(min(unit.Minutes(minutes).S(), daysAhead*secondsADay))
		}
	}
	return out
}

// calendarRoom is how many times the work, done one step after the other, the
// calendar must hold: gaps that are too short for a step stay empty.
const calendarRoom = 3

// addCalendar closes resources outside of their hours, as far ahead as the
// work may need.
func (m *model) addCalendar() {
	work, from := int64(0), int64(0)
	for i := range m.engine.Activities {
		a := &m.engine.Activities[i]
		from = max(from, a.Release)
		for _, part := range a.Modes[0].Parts {
			work += part.Length
		}
	}
	s := &m.problem.Shop
	m.open = s.windows(m.start, from, calendarRoom*(work+weekSeconds))
	for _, r := range m.printers {
		m.engine.Resources[r].Closed = closures(m.open, -1)
	}
	for _, r := range m.presses {
		m.engine.Resources[r].Closed = closures(m.open, 0)
	}
	for i, r := range m.people {
		m.engine.Resources[r].Closed = closures(s.personWindows(m.start, &s.People[i], m.open), -1)
	}
	m.engine.Horizon = engine.Forever / 2
}

// weekSeconds is added to the work so that a short job sees the whole week.
const weekSeconds = 7 * secondsADay
