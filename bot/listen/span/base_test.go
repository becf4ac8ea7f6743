package span

import (
	"testing"
	"time"

	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner/unit"
)

// testBase is the built-in base .
func testBase(tb testing.TB) *knowledge.Base {
	tb.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		tb.Fatal(err)
	}
	return base
}

// testProfile keeps the hours of the example shop.
func testProfile(tb testing.TB) *shop.Profile {
	tb.Helper()
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		tb.Fatal(err)
	}
	week, saturday := []shop.Span{{From: 9 * 60, To: 17*60 + 30}}, []shop.Span{{From: 10 * 60, To: 14 * 60}}
	return &shop.Profile{
		Zone: zone, Inches: true, Fahrenheit: true,
		Hours:   [7][]shop.Span{1: week, 2: week, 3: week, 4: week, 5: week, 6: saturday},
		Closed:  []string{"2026-12-25"},
		Presses: []shop.Press{{Name: "press-1", Kind: "flat", Width: unit.Inches(16), Height: unit.Inches(20)}},
	}
}

// testNow is a Wednesday morning.
func testNow(tb testing.TB) time.Time {
	tb.Helper()
	return time.Date(2026, 11, 25, 10, 0, 0, 0, testProfile(tb).Zone)
}
