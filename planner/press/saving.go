package press

import (
	"fmt"
	"sort"
	"time"

	"presshand/planner/unit"
)

// A Late order misses its due time.
type Late struct {
	Order string
	By    time.Duration
	Saves []Saving // what would help, most first
}

// A Saving is a change that makes a late order less late.
type Saving struct {
	Kind   SavingKind
	By     time.Duration // how late the order, or for SaveSplit the rest of it, still is; 0: in time
	Pieces int           // SaveSplit: pieces that are ready in time
	At     time.Time     // SavePromise: the time that can be promised instead
}

// SavingKind names what would save a late order.
type SavingKind string

// What may save a late order. A person more and a rush are planned again to
// see; a rush that would make another promised order late is no saving.
const (
	SavePerson  SavingKind = "person"  // one person more, there whenever the shop is open
	SaveRush    SavingKind = "rush"    // this order before all others
	SaveSplit   SavingKind = "split"   // hand over what is ready in time, the rest later
	SavePromise SavingKind = "promise" // promise a later time
)

// String says in plain words what would help.
func (s Saving) String() string {
	left := "in time"
	if s.By > 0 {
		minutes := (s.By + time.Minute - 1) / time.Minute
		left = "still " + unit.Style{}.Duration(unit.Minutes(float64(minutes))) + " late"
	}
	switch s.Kind {
	case SavePerson:
		return "one person more: " + left
	case SaveRush:
		return "this order first: " + left
	case SaveSplit:
		return fmt.Sprintf("hand over %d when due, the rest later", s.Pieces)
	case SavePromise:
		return "promise " + s.At.Format("Mon 2 Jan 15:04") + " instead"
	}
	return string(s.Kind)
}

// Planning again costs as much as planning; a long list of late orders would
// make a slow answer slower.
const (
	rushesTried  = 4     // late orders, the most urgent first, that are tried as a rush
	savingsTasks = 5_000 // activities above which nothing is planned again
)

// savings fills in what would help each late order.
func savings(p *Problem, plan *Plan, tasks int) {
	if len(plan.Late) == 0 {
		return
	}
	again := tasks <= savingsTasks
	var person map[string]time.Duration
	if again {
		person, _ = p.withPerson().lateness()
	}
	now := lateness(plan)
	for i := range plan.Late {
		l := &plan.Late[i]
		if by, ok := person[l.Order]; ok && by < l.By {
			l.Saves = append(l.Saves, Saving{Kind: SavePerson, By: by})
		}
		if again && i < rushesTried && len(p.Orders) > 1 {
			if by, ok := p.rushed(l.Order, now); ok && by < l.By {
				l.Saves = append(l.Saves, Saving{Kind: SaveRush, By: by})
			}
		}
		sort.SliceStable(l.Saves, func(i, k int) bool { return l.Saves[i].By < l.Saves[k].By })
		o := p.order(l.Order)
		if n := piecesBy(plan, o); n > 0 {
			l.Saves = append(l.Saves, Saving{Kind: SaveSplit, By: l.By, Pieces: n})
		}
		l.Saves = append(l.Saves, Saving{Kind: SavePromise, At: o.Due.Add(l.By).In(p.Shop.zone())})
	}
}

func (p *Problem) order(id string) *Order {
	for i := range p.Orders {
		if p.Orders[i].ID == id {
			return &p.Orders[i]
		}
	}
	return nil
}

// lateness is how late each order is, 0 where it isn't.
func lateness(plan *Plan) map[string]time.Duration {
	out := make(map[string]time.Duration, len(plan.Ready))
	for _, r := range plan.Ready {
		out[r.Order] = 0
	}
	for _, l := range plan.Late {
		out[l.Order] = l.By
	}
	return out
}

// lateness plans a changed problem without the search.
func (p Problem) lateness() (map[string]time.Duration, error) {
	p.Effort = noSearch
	plan, _, err := solve(&p, nil)
	if err != nil {
		return nil, err
	}
	return lateness(&plan), nil
}

func (p Problem) withPerson() Problem {
	p.Shop.People = append(append([]Person(nil), p.Shop.People...), Person{Name: "one more"})
	return p
}

// rushed is how late an order is when it goes first, and false where that
// makes a promised order late or later.
func (p Problem) rushed(id string, now map[string]time.Duration) (time.Duration, bool) {
	p.Orders = append([]Order(nil), p.Orders...)
	for i := range p.Orders {
		o := &p.Orders[i]
		if o.ID == id {
			o.Promised, o.Priority = true, 1
		} else if o.Priority > 0 {
			o.Priority++ // the others keep their order, behind
		}
	}
	then, err := p.lateness()
	if err != nil {
		return 0, false
	}
	for _, o := range p.Orders {
		if o.ID != id && o.Promised && then[o.ID] > now[o.ID] {
			return 0, false
		}
	}
	return then[id], true
}

// piecesBy counts the pieces of an order whose last step ends by its due time.
func piecesBy(plan *Plan, o *Order) int {
	type piece struct{ line, number int }
	last := map[piece]time.Time{}
	for i := range plan.Steps {
		if s := &plan.Steps[i]; s.Order == o.ID && s.Piece > 0 {
			k := piece{s.Line, s.Piece}
			last[k] = later(last[k], s.To)
		}
	}
	n := 0
	for _, t := range last {
		if !t.After(o.Due) {
			n++
		}
	}
	return n
}
