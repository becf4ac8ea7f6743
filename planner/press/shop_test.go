package press_test

import (
	"testing"
	"time"

	"presshand/planner/press"
	"presshand/planner/unit"
)

// The invented shop of the examples: two flat presses, a mug press, two
// people. Its figures are the example's own, not published.
func shop(t testing.TB) press.Shop {
	t.Helper()
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		t.Skip("no time zone data here")
	}
	weekday := []press.Span{{From: press.At(9, 0), To: press.At(17, 30)}}
	rates := func(p press.Press) press.Press {
		p.HeatRate, p.CoolRate = 15/1.8, 6/1.8
		p.Rest, p.Max = unit.Fahrenheit(70), unit.Fahrenheit(430)
		return p
	}
	breaks := func(h, m int) []press.Span {
		return []press.Span{{From: press.At(10, 30), To: press.At(10, 45)}, {From: press.At(h, m), To: press.At(h, m+30)}, {From: press.At(15, 0), To: press.At(15, 15)}}
	}
	return press.Shop{
		Zone:  zone,
		Hours: press.Week{nil, weekday, weekday, weekday, weekday, weekday, {{From: press.At(10, 0), To: press.At(14, 0)}}},
		People: []press.Person{
			{Name: "first", Breaks: breaks(12, 0)},
			{Name: "second", Breaks: breaks(12, 30)},
		},
		Presses: []press.Press{
			rates(press.Press{Name: "left", Kind: "flat", OpensItself: true}),
			rates(press.Press{Name: "right", Kind: "flat"}),
			rates(press.Press{Name: "mugs", Kind: "mug"}),
		},
		Printers:  []press.Printer{{Name: "printer", FirstPage: unit.Seconds(20), Changeover: unit.Minutes(12), Loaded: "white"}},
		Rack:      40,
		Allowance: unit.Percent(15),
	}
}

// twoStep is the two-step transfer: common practice, no source.
func twoStep() press.Recipe {
	t := unit.Fahrenheit(310)
	return press.Recipe{
		Method: "two-step-transfer", TonerSet: "white",
		Marry: &press.Dwell{Temperature: t, Time: unit.Seconds(120)}, Pull: unit.Seconds(10), Cut: unit.Seconds(20),
		PressKind: "flat", OneLoading: true,
		Prepress: &press.Dwell{Temperature: t, Time: unit.Seconds(10)},
		Press:    &press.Dwell{Temperature: t, Time: unit.Seconds(30)},
		Finish:   &press.Dwell{Temperature: t, Time: unit.Seconds(20)},
		Load:     unit.Seconds(15), Unload: unit.Seconds(8),
		Peel: press.PeelCold, CoolWait: unit.Minutes(10), PeelTime: unit.Seconds(8), Check: unit.Seconds(10),
	}
}

// sublimation is dye sublimation on fabric: common practice, no source.
func sublimation() press.Recipe {
	t := unit.Fahrenheit(385)
	return press.Recipe{
		Method: "sublimation", TonerSet: "black", PressKind: "flat", OneLoading: true,
		Prepress: &press.Dwell{Temperature: t, Time: unit.Seconds(5)},
		Press:    &press.Dwell{Temperature: t, Time: unit.Seconds(50)},
		Load:     unit.Seconds(20), Unload: unit.Seconds(5),
		Peel: press.PeelHot, PeelTime: unit.Seconds(6), Check: unit.Seconds(10),
	}
}

func mug() press.Recipe {
	return press.Recipe{
		Method: "sublimation", TonerSet: "black", PressKind: "mug",
		Press: &press.Dwell{Temperature: unit.Fahrenheit(385), Time: unit.Seconds(210)},
		Load:  unit.Seconds(25), Unload: unit.Seconds(10),
		Peel: press.PeelWarm, CoolWait: unit.Seconds(60), PeelTime: unit.Seconds(8), Check: unit.Seconds(10),
	}
}

// print lays pieces on sheets in order, each sheet full.
func print(spot string, r press.Recipe, pieces, perSheet int) press.Print {
	p := press.Print{Spot: spot, Recipe: r, PageTime: unit.Seconds(10)}
	for i := 0; i < pieces; i++ {
		p.SheetOf = append(p.SheetOf, i/perSheet+1)
	}
	p.Sheets = (pieces + perSheet - 1) / perSheet
	return p
}

func monday(t testing.TB, h, m int) time.Time {
	return time.Date(2026, 11, 23, h, m, 0, 0, shop(t).Zone)
}

func one(t testing.TB, n int, r press.Recipe) press.Problem {
	return press.Problem{Start: monday(t, 9, 0), Shop: shop(t), Orders: []press.Order{
		{ID: "A", Jobs: []press.Job{{Pieces: n, Prints: []press.Print{print("front", r, n, 1)}}}},
	}}
}

// solve plans and checks.
func solve(t testing.TB, p press.Problem) press.Plan {
	t.Helper()
	plan, err := press.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := press.Check(p, plan); err != nil {
		t.Fatal(err)
	}
	return plan
}
