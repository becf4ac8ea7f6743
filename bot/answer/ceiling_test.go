package answer

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
)

// No answer about a blank of a fibre, alone or in a blend, gives a press heat
// above the fibre's ceiling, whatever recipe is the blank's own: of every blank
// and every fibre, asked for settings, steps and a method. Marrying doesn't
// touch the blank; the heat that dye needs is named where it rules dye out.
func TestNoAnswerAboveTheCeiling(t *testing.T) {
	d := testDesk(t, nil)
	blanks := []*knowledge.Blank{{}}
	seen := map[string]bool{} // blanks of one cloth without a recipe of their own are answered alike
	for _, b := range d.base.Blanks {
		kind := fmt.Sprint(b.Kind, b.Fabric, b.Refuse, b.Ask, b.Fibre)
		if slices.ContainsFunc(d.base.Recipes, func(r *knowledge.Recipe) bool { return slices.Contains(r.Blanks, b.ID) }) {
			kind = b.ID
		}
		if b.Kind != "hard" && !seen[kind] { // a hard good is no cloth: its coating counts
			blanks, seen[kind] = append(blanks, b), true
		}
	}
	asks := []listen.Ask{{Topic: "setting"}, {Topic: "setting", What: "prepress_temperature"}, {Topic: "setting", What: "stated", Settings: []listen.Setting{{Temperature: 100, Unit: "C"}}}, {Topic: "steps"}, {Topic: "method"}}
	for _, p := range d.base.Procedures {
		if p.Method == "" {
			continue
		}
		asks = append(asks, listen.Ask{Topic: "steps", Entry: listen.Entry{Section: "procedures", ID: p.ID}})
	}
	methods := [][]string{nil, {"two-step-transfer"}, {"sublimation"}}
	n := 0
	for _, b := range blanks {
		for _, f := range d.base.Fibres {
			for _, blend := range []map[string]int{{f.ID: 100}, {f.ID: 5, "polyester": 95}} {
				most, _, ok := d.base.CeilingFor(blend)
				if !ok {
					continue
				}
				for _, a := range asks {
					for _, m := range methods {
						if a.Entry.ID != "" && (m != nil || !slices.Contains([]string{"", "tee", "cap", "jacket"}, b.ID)) { // a procedure has a method of its own
							continue
						}
						a.Subject = listen.Subject{Blank: b.ID, Item: b.Item, Fibre: maps.Clone(blend), Colour: "white", Methods: m}
						a.Lang = "en"
						r := d.Answer(context.Background(), a, Turn{Now: tenOClock(d)})
						n++
						if hot := hotter(r, most.Is); hot != "" {
							t.Errorf("%s of %v, %s %s%s by %v: %s, above %.0f C: %s", b.ID, blend, a.Topic, a.What, a.Entry.ID, m, hot, most.Is, r.Text())
						}
					}
				}
			}
		}
	}
	if n < 5000 {
		t.Errorf("only %d answers were looked at", n)
	}
}

// hotter names a fact of a reply, range included, that is hotter than most.
func hotter(r reply.Reply, most float64) string {
	const slip = 0.01 // a Fahrenheit figure rounded
	for _, f := range r.Facts {
		is, ok := f.Value.(float64)
		if !ok || f.Unit != "C" || strings.HasPrefix(f.Name, "marry") || f.Name == "dye_heat" || f.Name == "room" {
			continue
		}
		if f.High != nil {
			is = max(is, *f.High)
		}
		if is > most+slip {
			return f.Name
		}
	}
	return ""
}
