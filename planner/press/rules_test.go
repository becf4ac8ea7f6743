package press_test

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"presshand/planner/press"
	"presshand/planner/unit"
)

// drawDwell draws a dwell that every press of the example shop reaches.
func drawDwell(t *rapid.T, name string) *press.Dwell {
	return &press.Dwell{
		Temperature: unit.Fahrenheit(rapid.SampledFrom([]float64{300, 310, 385}).Draw(t, name+" F")),
		Time:        unit.Seconds(float64(rapid.IntRange(1, 240).Draw(t, name+" s"))),
	}
}

func drawRecipe(t *rapid.T) press.Recipe {
	seconds := func(name string, most int) unit.Duration {
		return unit.Seconds(float64(rapid.IntRange(0, most).Draw(t, name)))
	}
	r := press.Recipe{
		TonerSet: rapid.SampledFrom([]string{"white", "black"}).Draw(t, "toner"), PressKind: rapid.SampledFrom([]string{"flat", "mug"}).Draw(t, "press"),
		Press: drawDwell(t, "press"), Pull: seconds("pull", 20), Cut: seconds("cut", 60), Load: seconds("load", 30), Unload: seconds("unload", 20),
		Peel:     rapid.SampledFrom([]press.Peel{press.PeelHot, press.PeelWarm, press.PeelCold, press.PeelNone, ""}).Draw(t, "peel"),
		CoolWait: seconds("cool", 1200), PeelTime: seconds("peel", 20), Check: seconds("check", 30), OneLoading: rapid.Bool().Draw(t, "one loading"),
	}
	if rapid.Bool().Draw(t, "marries") {
		r.Marry = drawDwell(t, "marry")
	}
	if rapid.Bool().Draw(t, "prepresses") {
		r.Prepress = drawDwell(t, "prepress")
	}
	if rapid.Bool().Draw(t, "finishes") {
		r.Finish = drawDwell(t, "finish")
	}
	return r
}

func drawProblem(t *rapid.T, s press.Shop, start time.Time) press.Problem {
	s.People = s.People[:rapid.IntRange(1, 2).Draw(t, "people")]
	s.Rack = rapid.IntRange(1, 12).Draw(t, "rack")
	if rapid.Bool().Draw(t, "two printers") {
		s.Printers = append(s.Printers[:1:1], press.Printer{FirstPage: 15, Changeover: 300})
	}
	if rapid.Bool().Draw(t, "midday") {
		for d := range s.Hours {
			s.Hours[d] = []press.Span{{From: press.At(8, 0), To: press.At(12, 0)}, {From: press.At(13, 0), To: press.At(17, 0)}}
		}
	}
	p := press.Problem{Start: start.Add(time.Duration(rapid.IntRange(0, 20*3600).Draw(t, "start")) * time.Second), Shop: s, Effort: rapid.IntRange(-1, 3).Draw(t, "effort")}
	for i := range rapid.IntRange(1, 2).Draw(t, "orders") {
		o := press.Order{ID: fmt.Sprintf("O%d", i+1), Promised: rapid.Bool().Draw(t, "promised"), Priority: rapid.IntRange(0, 2).Draw(t, "priority")}
		if rapid.Bool().Draw(t, "due") {
			o.Due = p.Start.Add(time.Duration(rapid.IntRange(-100, 6000).Draw(t, "due min")) * time.Minute)
		}
		if rapid.Bool().Draw(t, "waits for blanks") {
			o.Release = p.Start.Add(time.Duration(rapid.IntRange(-100, 3000).Draw(t, "release min")) * time.Minute)
		}
		for range rapid.IntRange(1, 2).Draw(t, "jobs") {
			j := press.Job{Pieces: rapid.IntRange(1, 5).Draw(t, "pieces")}
			for range rapid.IntRange(1, 2).Draw(t, "prints") {
				j.Prints = append(j.Prints, print("front", drawRecipe(t), j.Pieces, rapid.IntRange(1, 4).Draw(t, "on a sheet")))
			}
			o.Jobs = append(o.Jobs, j)
		}
		p.Orders = append(p.Orders, o)
	}
	return p
}

// Whatever is asked, the plan holds, and it is never shorter than the bound.
func TestAnyProblem(t *testing.T) {
	s, start := shop(t), monday(t, 7, 0)
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, s, start)
		plan, err := press.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if err := press.Check(p, plan); err != nil {
			t.Fatal(err)
		}
		for _, line := range press.RunList(plan, unit.Style{}) {
			if line == "" {
				t.Fatal("an empty line in the run list")
			}
		}
		if rapid.IntRange(0, 49).Draw(t, "draw it") == 25 {
			press.Draw(plan)
		}
	})
}
