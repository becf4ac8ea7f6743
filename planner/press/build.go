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

// tick is a time in whole seconds after the start.
func (m *model) tick(t time.Time) int64 { return t.Unix() - m.start.Unix() }
