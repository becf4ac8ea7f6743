package price_test

import (
	"testing"

	"presshand/planner/price"
)

// fiveLines is an order of five lines with two designs, sizes, a changeover
// and a customer's own blanks.
func fiveLines() price.Problem {
	p := teeOrder()
	for i := range 4 {
		l := teeLine()
		l.Design, l.Theirs, l.Designs = []string{"", "crest"}[i%2], i == 3, 0
		p.Lines = append(p.Lines, l)
	}
	p.Changeovers = []price.Changeover{{Name: "toner set", Method: "two-step-transfer", Hands: 720, Machine: "printer", Run: 720, OtherPieces: 40}}
	return p
}

// BenchmarkFiveLines prices an order of five lines: 10,000 of them are to take
// under a second on one core, so under 100 us each.
func BenchmarkFiveLines(b *testing.B) {
	p := fiveLines()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := price.Solve(p); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFiveLinesBreaks prices the same with four quantity breaks from a
// table, each of which is an order of its own, and looks for falls.
func BenchmarkFiveLinesBreaks(b *testing.B) {
	p := fiveLines()
	p.Rates.Breaks = price.Breaks{Kind: price.FromTable, Base: 1, At: []price.Break{
		{Quantity: 12, Discount: 0.05}, {Quantity: 24, Discount: 0.1}, {Quantity: 48, Discount: 0.15}, {Quantity: 144, Discount: 0.2},
	}}
	for b.Loop() {
		if _, err := price.Solve(p); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMostFor looks for the most pieces a budget buys, over 1000
// quantities of an order of one line.
func BenchmarkMostFor(b *testing.B) {
	p := teeOrder()
	for b.Loop() {
		if _, err := price.MostFor(p, d("300"), 1000); err != nil {
			b.Fatal(err)
		}
	}
}
