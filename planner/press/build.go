package press

import (
	"math"
	"sort"
	"time"

	"presshand/planner/press/engine"
	"presshand/planner/unit"
)

// A stage is a step in the life of a sheet or piece, in the order in which
// they come.
type stage int

const (
	stagePrint stage = iota
	stageMarry
	stageCut
	stagePrepress
	stagePress
	stagePeel
	stageFinish
	stageCheck
	stages
)

// A model is a Problem as the engine sees it, with what is needed to read its
// schedule.
type model struct {
	problem  *Problem
	start    time.Time
	engine   engine.Problem
	names    []string // of engine resources
	labels   []string
	printers []int // engine resources
	presses  []int
	people   []int
	rack     int
	toners   []string
	dials    [][]float64 // by press: dial temperature of each state
	tasks    []task      // one an activity
	open     []window
	kinds    int
}

// A task says what an activity is.
type task struct {
	order, job, print int
	stage             stage
	unit              int // piece or first sheet, from 1
	parts             []part
}

// A part is a step, or the rest of the one before.
type part struct {
	word  string
	piece int
	sheet int
	rest  bool // the rest of the step of the part before
}

// A link is where something ends: part of an activity.
type link struct{ activity, part int }

// none is the link of what needn't be waited for.
var none = link{-1, -1}

// manual is a time of hands with the allowance on top, in whole seconds.
func (m *model) manual(d unit.Duration) int64 {
	return ceil(d.S() * (1 + float64(m.problem.Shop.Allowance)))
}

// slack keeps a whole number that arithmetic left a hair above itself from
// being rounded up to the next.
const slack = 1e-6

func ceil(s float64) int64 { return int64(math.Ceil(s - slack)) }

func whole(d unit.Duration) int64 { return ceil(d.S()) }

// newModel turns a valid problem into activities and resources.
func newModel(p *Problem) *model {
	m := &model{problem: p, start: wholeStart(p.Start).In(p.Shop.zone())}
	m.collectToners()
	m.addResources()
	for i := range p.Orders {
		m.addOrder(i)
	}
	m.setLevels()
	m.addCalendar()
	return m
}

// setLevels ranks the due times: promised ones first, by priority. Lateness
// is compared rank by rank.
func (m *model) setLevels() {
	type class struct {
		promised bool
		rank     int
	}
	var classes []class
	for i := range m.problem.Orders {
		if o := &m.problem.Orders[i]; !o.Due.IsZero() {
			if c := (class{o.Promised, o.rank()}); index(classes, c) < 0 {
				classes = append(classes, c)
			}
		}
	}
	sort.Slice(classes, func(i, k int) bool {
		if classes[i].promised != classes[k].promised {
			return classes[i].promised
		}
		return classes[i].rank < classes[k].rank
	})
	due := 0
	for i := range m.problem.Orders {
		if o := &m.problem.Orders[i]; !o.Due.IsZero() {
			m.engine.Dues[due].Level = index(classes, class{o.Promised, o.rank()})
			due++
		}
	}
	m.engine.Levels = len(classes)
}

// wholeStart is the first whole second at or after t.
func wholeStart(t time.Time) time.Time {
	if w := t.Truncate(time.Second); !w.Equal(t) {
		return w.Add(time.Second)
	}
	return t
}

func (m *model) collectToners() {
	add := func(set string) {
		if m.toner(set) < 0 {
			m.toners = append(m.toners, set)
		}
	}
	for _, p := range m.problem.Shop.Printers {
		if p.Loaded != "" {
			add(p.Loaded)
		}
	}
	for _, o := range m.problem.Orders {
		for _, j := range o.Jobs {
			for _, p := range j.Prints {
				add(p.Recipe.TonerSet)
			}
		}
	}
}

func (m *model) toner(set string) int { return index(m.toners, set) }

func index[T comparable](list []T, x T) int {
	for i := range list {
		if list[i] == x {
			return i
		}
	}
	return -1
}

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

func (m *model) addOrder(i int) {
	o := &m.problem.Orders[i]
	due := 0
	if !o.Due.IsZero() {
		m.engine.Dues = append(m.engine.Dues, engine.Due{At: m.tick(o.Due)})
		due = len(m.engine.Dues)
	}
	first := len(m.tasks)
	for k := range o.Jobs {
		m.addJob(i, k)
	}
	release := int64(0)
	if !o.Release.IsZero() {
		release = max(0, m.tick(o.Release))
	}
	for a := first; a < len(m.tasks); a++ {
		m.engine.Activities[a].Release = release
		m.engine.Activities[a].Due = due
	}
}

// tick is a time in whole seconds after the start.
func (m *model) tick(t time.Time) int64 { return t.Unix() - m.start.Unix() }

// add appends an activity that comes after links and returns its index.
func (m *model) add(t task, modes []engine.Mode, kind int, after ...link) int {
	a := engine.Activity{Modes: modes, Kind: kind}
	for _, l := range after {
		if l != none {
			a.After = append(a.After, engine.Link{Pred: l.activity, Part: l.part})
		}
	}
	m.engine.Activities = append(m.engine.Activities, a)
	m.tasks = append(m.tasks, t)
	return len(m.tasks) - 1
}

func (m *model) newKind() int {
	m.kinds++
	return m.kinds
}

func (m *model) addJob(order, job int) {
	j := &m.problem.Orders[order].Jobs[job]
	done := make([]link, j.Pieces)
	for i := range done {
		done[i] = none
	}
	sheets := 0
	for k := range j.Prints {
		base := task{order: order, job: job, print: k}
		cut := m.addSheets(base, &j.Prints[k], sheets)
		m.addPieces(base, &j.Prints[k], cut, done)
		sheets += j.Prints[k].Sheets
	}
	last := len(j.Prints) - 1
	length := m.manual(j.Prints[last].Recipe.Check)
	if length == 0 {
		return
	}
	modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(length)}}}, m.newKind()
	for i := range done {
		t := task{order: order, job: job, print: last, stage: stageCheck, unit: i + 1, parts: []part{{word: StepCheck, piece: i + 1}}}
		m.add(t, modes, kind, done[i])
	}
}

// handPart is a part that is all manual.
func (m *model) handPart(length int64) engine.Part {
	p := engine.Part{Length: length}
	if length > 0 {
		p.Uses = []engine.Use{{Pool: peoplePool + 1, To: length}}
	}
	return p
}

// longestRun is how long the printer may be kept by one run, in seconds:
// a quarter of an hour, so that sheets wanted sooner needn't wait long and no
// run is too long for a short day.
const longestRun = 900

// addSheets adds printing, marrying and cutting of the sheets of a print and
// returns what each sheet is done with.
func (m *model) addSheets(t task, p *Print, before int) []link {
	done := make([]link, p.Sheets)
	page := whole(p.PageTime)
	run := p.Sheets
	if page > 0 {
		run = max(1, int(longestRun/page))
	}
	for first := 0; first < p.Sheets; first += run {
		m.addRun(t, p, before, first, min(run, p.Sheets-first), done)
	}
	if p.Recipe.Marry != nil {
		modes, kind := m.marryModes(&p.Recipe), m.newKind()
		for i := range done {
			t.stage, t.unit = stageMarry, before+i+1
			t.parts = []part{{word: StepMarry, sheet: t.unit}}
			for len(t.parts) < len(modes[0].Parts)-1 {
				t.parts = append(t.parts, part{word: StepMarry, sheet: t.unit, rest: true})
			}
			t.parts = append(t.parts, part{word: StepPull, sheet: t.unit})
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	if length := m.manual(p.Recipe.Cut); length > 0 {
		modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(length)}}}, m.newKind()
		for i := range done {
			t.stage, t.unit = stageCut, before+i+1
			t.parts = []part{{word: StepCut, sheet: t.unit}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	return done
}

// addRun adds one run of the printer: n sheets without a break.
func (m *model) addRun(t task, p *Print, before, first, n int, done []link) {
	var modes []engine.Mode
	for k := range m.problem.Shop.Printers {
		mode := engine.Mode{Machine: m.printers[k] + 1, Held: n, State: m.toner(p.Recipe.TonerSet)}
		for i := 0; i < n; i++ {
			length := whole(p.PageTime)
			if i == 0 {
				length += whole(m.problem.Shop.Printers[k].FirstPage)
			}
			mode.Parts = append(mode.Parts, engine.Part{Length: length})
		}
		modes = append(modes, mode)
	}
	t.stage, t.unit, t.parts = stagePrint, before+first+1, nil
	for i := 0; i < n; i++ {
		t.parts = append(t.parts, part{word: StepPrint, sheet: before + first + i + 1})
	}
	a := m.add(t, modes, 0)
	for i := 0; i < n; i++ {
		done[first+i] = link{a, i}
	}
}

// pressModes makes one mode for each press that suits the recipe.
func (m *model) pressModes(r *Recipe, wanted unit.Temperature, parts func(p *Press) ([]engine.Part, int)) []engine.Mode {
	var modes []engine.Mode
	for k := range m.problem.Shop.Presses {
		p := &m.problem.Shop.Presses[k]
		if p.Kind != r.PressKind || !p.reaches(r) {
			continue
		}
		list, held := parts(p)
		modes = append(modes, engine.Mode{Machine: m.presses[k] + 1, Held: held, Parts: list,
			State: index(m.dials[k], (wanted + p.Offset).C())})
	}
	return modes
}

// loaded is a loading by hand and a dwell.
func (m *model) loaded(r *Recipe, d *Dwell) engine.Part {
	load := m.manual(r.Load)
	part := engine.Part{Length: load + whole(d.Time)}
	if load > 0 {
		part.Uses = []engine.Use{{Pool: peoplePool + 1, To: load}}
	}
	return part
}

// mayLie is how long a piece may lie in the open press after a dwell.
func (p *Press) mayLie(d *Dwell) int64 {
	if !p.OpensItself {
		return 0
	}
	return whole(d.Time)
}

// unloaded is the unloading by hand, up to late seconds late.
func (m *model) unloaded(r *Recipe, late int64) engine.Part {
	part := m.handPart(m.manual(r.Unload))
	part.Late = late
	return part
}

// marryModes: load and dwell, unload, and at once the pull, with the press
// free again.
func (m *model) marryModes(r *Recipe) []engine.Mode {
	return m.pressModes(r, r.Marry.Temperature, func(*Press) ([]engine.Part, int) {
		return []engine.Part{m.loaded(r, r.Marry), m.unloaded(r, 0), m.handPart(m.manual(r.Pull))}, 2
	})
}

// single is one loading for one dwell.
func (m *model) single(r *Recipe, d *Dwell) []engine.Mode {
	return m.pressModes(r, d.Temperature, func(p *Press) ([]engine.Part, int) {
		return []engine.Part{m.loaded(r, d), m.unloaded(r, p.mayLie(d))}, 2
	})
}

// oneLoading reports whether pre-press and press happen in one loading.
func (r *Recipe) oneLoading() bool {
	return r.OneLoading && r.Prepress != nil && r.Prepress.Temperature == r.Press.Temperature
}

// addPieces adds what happens to each piece for one print, after the sheets
// in cut and what is in done, which it moves on.
func (m *model) addPieces(t task, p *Print, cut, done []link) {
	r := &p.Recipe
	if r.Prepress != nil && !r.oneLoading() {
		modes, kind := m.single(r, r.Prepress), m.newKind()
		for i := range done {
			t.stage, t.unit = stagePrepress, i+1
			t.parts = []part{{word: StepPrepress, piece: i + 1}, {word: StepPrepress, piece: i + 1, rest: true}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	modes, kind := m.mainModes(r), m.newKind()
	for i := range done {
		t.stage, t.unit, t.parts = stagePress, i+1, r.mainParts(i+1)
		sheet := none
		if len(cut) > 0 {
			sheet = cut[p.SheetOf[i]-1]
		}
		done[i] = link{m.add(t, modes, kind, done[i], sheet), -1}
	}
	if r.Peel == PeelCold {
		modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(m.manual(r.PeelTime))}}}, m.newKind()
		for i := range done {
			t.stage, t.unit, t.parts = stagePeel, i+1, []part{{word: StepPeel, piece: i + 1}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	if r.Finish != nil {
		modes, kind := m.single(r, r.Finish), m.newKind()
		for i := range done {
			t.stage, t.unit = stageFinish, i+1
			t.parts = []part{{word: StepFinish, piece: i + 1}, {word: StepFinish, piece: i + 1, rest: true}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
}

// mainModes: pre-press in the same loading where the recipe says so, press,
// unload, then cooling on the rack or a peel that may not wait.
func (m *model) mainModes(r *Recipe) []engine.Mode {
	return m.pressModes(r, r.Press.Temperature, func(p *Press) ([]engine.Part, int) {
		var parts []engine.Part
		if r.oneLoading() {
			parts = append(parts, m.loaded(r, r.Prepress))
		}
		press, lie := m.loaded(r, r.Press), p.mayLie(r.Press)
		if r.oneLoading() {
			press.Late = p.mayLie(r.Prepress)
		}
		if r.Peel == PeelHot {
			lie = 0
		}
		parts = append(parts, press, m.unloaded(r, lie))
		held := len(parts)
		if r.cools() {
			wait := whole(r.CoolWait)
			parts = append(parts, engine.Part{Length: wait, Uses: []engine.Use{{Resource: m.rack, Amount: 1, To: wait}}})
		}
		if r.Peel == PeelHot || r.Peel == PeelWarm {
			parts = append(parts, m.handPart(m.manual(r.PeelTime)))
		}
		return parts, held
	})
}

// mainParts names the parts of mainModes for a piece.
func (r *Recipe) mainParts(piece int) []part {
	var parts []part
	if r.oneLoading() {
		parts = append(parts, part{word: StepPrepress, piece: piece})
	}
	parts = append(parts, part{word: StepPress, piece: piece}, part{word: StepPress, piece: piece, rest: true})
	if r.cools() {
		parts = append(parts, part{word: StepCool, piece: piece})
	}
	if r.Peel == PeelHot || r.Peel == PeelWarm {
		parts = append(parts, part{word: StepPeel, piece: piece})
	}
	return parts
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
