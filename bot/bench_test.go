package bot_test

import (
	"slices"
	"testing"
	"time"

	"presshand/bot/bottest/questions"
)

// BenchmarkQuestion prints how long the bot takes to answer the questions of
// testdata/questions in process, the middle one and the 99th of a hundred, in
// milliseconds; orders that are priced and planned stand apart. Wanted at the
// 99th: 5 ms for a question, 150 ms for an order of up to 200 pieces.
func BenchmarkQuestion(b *testing.B) {
	house, cases := open(b)
	var plain, orders []time.Duration
	b.ResetTimer()
	for i := range b.N {
		r := house.Ask(cases[i%len(cases)])
		if r.Reply.Quote == nil {
			plain = append(plain, r.Took)
		} else if pieces(r) <= mostPieces {
			orders = append(orders, r.Took)
		}
	}
	report := func(name string, took []time.Duration) {
		if len(took) == 0 {
			return
		}
		slices.Sort(took)
		b.ReportMetric(ms(took[len(took)/2]), name+"-p50-ms")
		b.ReportMetric(ms(took[len(took)*99/100]), name+"-p99-ms")
	}
	report("question", plain)
	report("order", orders)
}

// mostPieces is the largest order the bound holds for.
const mostPieces = 200

func pieces(r questions.Result) int {
	n := 0
	if r.Reply.Order != nil {
		for _, l := range r.Reply.Order.Lines {
			n += l.Quantity
		}
	}
	return n
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
