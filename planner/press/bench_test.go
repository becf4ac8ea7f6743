package press_test

import (
	"testing"

	"presshand/planner/press"
)

func BenchmarkDay(b *testing.B) {
	p := readDay(b, "testdata/days/half-and-half.json")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := press.Solve(p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOneOrder(b *testing.B) {
	for _, row := range []struct {
		name   string
		pieces int
	}{{"24", 24}, {"200", 200}} {
		b.Run(row.name, func(b *testing.B) {
			p := one(b, row.pieces, twoStep())
			b.ReportAllocs()
			for b.Loop() {
				if _, err := press.Solve(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
