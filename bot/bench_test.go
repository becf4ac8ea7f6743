package bot_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"

	"presshand/bot"
	"presshand/bot/bottest/questions"
)

// BenchmarkQuestion prints how long the bot takes to answer the questions of
// testdata/questions in process, the middle one and the 99th of a hundred, in
// milliseconds; orders that are priced or planned stand apart. Wanted at the
// 99th: 5 ms for a question, 150 ms for an order of up to 200 pieces. Of three
// times that each is asked the quickest counts: the rest is other work of the
// machine. Run it with -benchtime 1000x, once through the files.
func BenchmarkQuestion(b *testing.B) {
	house, cases := open(b)
	var plain, orders []time.Duration
	b.ResetTimer()
	for i := range b.N {
		r := quickest(house, cases[i%len(cases)])
		if r.Reply.Quote == nil && r.Reply.Plan == nil {
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

func quickest(house *questions.House, c questions.Case) questions.Result {
	best := house.Ask(c)
	for range 2 {
		if r := house.Ask(c); r.Took < best.Took {
			best = r
		}
	}
	return best
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

var resident = flag.Bool("resident", false, "ask 100,000 questions and print the resident memory")

// mostResident bounds the whole bot after 100,000 questions, in kB.
const mostResident = 60_000

// TestResident asks 100,000 questions, each in a conversation of its own, and
// prints what the process holds in memory: the bot, and this test with it.
func TestResident(t *testing.T) {
	if !*resident {
		t.Skip("takes minutes: run it with -resident")
	}
	house, cases := open(t)
	var asks []questions.Case // without what is expected, which is the test's and not the bot's
	for _, c := range cases {
		if c.Order == nil && len(c.After) == 0 {
			asks = append(asks, questions.Case{Ask: strings.Clone(c.Ask)})
		}
	}
	cases = nil
	defer debug.SetGCPercent(debug.SetGCPercent(bot.GCPercent)) // as the commands do
	debug.FreeOSMemory()                                        // what reading the question files took is none of the bot's
	const asked = 100_000
	for i := range asked {
		house.Ask(asks[i%len(asks)])
	}
	kb, err := residentMemory()
	if err != nil {
		t.Skipf("no resident memory to read here: %v", err)
	}
	t.Logf("%d kB resident after %d questions", kb, asked)
	if kb > mostResident {
		t.Errorf("%d kB resident, more than %d", kb, mostResident)
	}
}

// residentMemory reads the process's resident set, in kB, where the system
// tells it in /proc.
func residentMemory() (int, error) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	_, after, found := strings.Cut(string(status), "VmRSS:")
	if !found {
		return 0, errors.New("/proc/self/status has no VmRSS")
	}
	var kb int
	_, err = fmt.Sscan(after, &kb)
	return kb, err
}
