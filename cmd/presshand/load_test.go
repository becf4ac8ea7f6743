package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/workspace"
)

// What a message may take, as promised: until it is acknowledged, and until its
// answer is posted for 99 of 100.
const (
	mostToAck  = 300 * time.Millisecond
	mostToPost = 500 * time.Millisecond
)

// questions is what people of a print shop ask all day.
func questions() []string {
	return []string{
		"how long before I peel", "which method for 24 navy 50/50 hoodies with white lettering", "how hot for a mug",
		"10 minute wait for the choir shirts", "what's on the board",
		"my print cracks after washing", "320 F in C", "how far below the collar", "thanks",
	}
}

// talk is questions with an order among ten messages, which takes a plan, a
// price and a picture: about as much computing as all the others.
func talk() []string { return append(questions(), "24 black cotton tees, 9x7 front") }

// join lets a whole bot, with its store in dir, join a fake workspace over a
// network in memory.
func join(t *testing.T, fake *fakeworkspace.Server, dir string) (h *house, leave func()) {
	t.Helper()
	s := &session{ctx: t.Context(), flags: &commands{Data: dir}, getenv: func(string) string { return "" }, streams: Streams{Err: os.Stderr}, pictures: true}
	h, err := s.open()
	if err != nil {
		t.Fatal(err)
	}
	config := h.membership()
	config.BotToken, config.AppToken, config.APIURL, config.Dial = fakeworkspace.BotToken, fakeworkspace.AppToken, fake.URL(), fake.Dial
	meter, err := workspace.NewMetrics(prometheus.NewRegistry())
	if err != nil {
		t.Fatal(err)
	}
	config.Meter = &burstMeter{Meter: meter} // as the command does
	w, err := workspace.New(config)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- h.stay(ctx, w, slog.New(slog.DiscardHandler)) }()
	waitUntil(t, "the bot to join", func() bool { return w.Ready() == nil })
	return h, func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Run: %v", err)
		}
		s.close()
	}
}

// A thousand people write at the same instant, each in a direct channel; the
// whole bot takes and answers all, its store on disk, in real time.
func TestBurstOverTheStore(t *testing.T) {
	judge(t, func() (pace, bool) {
		took := load(t, questions(), 1000, 0)
		return took, took.ack <= mostToAck && took.post99 <= mostToPost
	})
}

// Two hundred write at the same instant, every tenth an order; with -full, a
// thousand, of which only the acknowledgements are judged: the plans and prices of
// a hundred orders take a second of computing. Their pictures hold up no text.
func TestBurstWithOrdersOverTheStore(t *testing.T) {
	people, bound := 200, mostToPost
	if *full {
		people, bound = 1000, time.Minute
	}
	judge(t, func() (pace, bool) {
		took := load(t, talk(), people, 0)
		return took, took.ack <= mostToAck && took.post99 <= bound
	})
}

// Twenty-five messages a second, three times what the platform delivers to a
// workspace in the long run (30,000 events an hour): 99 of 100 are answered in
// half a second.
func TestSteadyLoadOverTheStore(t *testing.T) {
	judge(t, func() (pace, bool) {
		took := load(t, talk(), 200, time.Second/25)
		return took, took.ack <= mostToAck && took.post99 <= mostToPost
	})
}

// tries is how often a promise about time may be tried: something else may hold
// the machine up for a moment.
const tries = 3

// mostOthers is the share of the machine other programs may take while a promise
// about time is judged.
const mostOthers = 0.3

// judge measures a load until it keeps its promise. It fails where the promise
// was broken each time, unless the race detector or other programs took the
// machine's time.
func judge(t *testing.T, measure func() (took pace, kept bool)) {
	t.Helper()
	quiet := false
	for range tries {
		busy := newMachine()
		took, kept := measure()
		others := busy.others()
		t.Logf("%v; other programs took %.0f %% of the machine", took, 100*others)
		if kept {
			return
		}
		if slowed {
			t.Log("not judged: the race detector takes the time")
			return
		}
		quiet = quiet || others <= mostOthers
	}
	if !quiet {
		t.Log("not judged: other programs take the time")
	} else {
		t.Errorf("want every message acknowledged within %v, and 99 of 100 answered within %v", mostToAck, mostToPost)
	}
}

// A machine is what its processors had done at one time.
type machine struct {
	at        time.Time
	all, ours float64 // seconds of all processors together
}

// newMachine reads /proc/stat; without it nothing is known of other programs,
// and they count as none.
func newMachine() machine {
	m := machine{at: time.Now()}
	const ticks = 100 // a second, of /proc/stat on Linux (proc(5))
	if stat, err := os.ReadFile("/proc/stat"); err == nil {
		fields := strings.Fields(strings.SplitN(string(stat), "\n", 2)[0])
		for i, f := range fields {
			n, err := strconv.ParseFloat(f, 64)
			if idle := i == 4 || i == 5; err == nil && !idle && i < 9 { // after the label: user nice system idle iowait irq softirq steal
				m.all += n / ticks
			}
		}
	}
	var use syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &use) == nil {
		m.ours = time.Duration(use.Utime.Nano() + use.Stime.Nano()).Seconds()
	}
	return m
}

// others is the share of the machine that other programs took since.
func (m machine) others() float64 {
	now := newMachine()
	return max(0, (now.all-m.all)-(now.ours-m.ours)) / (now.at.Sub(m.at).Seconds() * float64(runtime.NumCPU()))
}

// A pace is what a load showed.
type pace struct {
	people int
	ack    time.Duration // the slowest acknowledgement
	post99 time.Duration // within which 99 of 100 were answered
}

func (p pace) String() string {
	return fmt.Sprintf("%d messages: the slowest acknowledged after %v, 99 of 100 answered after %v", p.people, p.ack.Round(time.Millisecond), p.post99.Round(time.Millisecond))
}

// load lets people write one after the other, each in a channel of their own,
// and checks that each is answered once.
func load(t *testing.T, said []string, people int, every time.Duration) pace {
	t.Helper()
	fake := fakeworkspace.Start()
	defer fake.Close()
	_, leave := join(t, fake, t.TempDir())
	defer leave()
	for i := range people {
		fake.Write(fakeworkspace.Say{Channel: fmt.Sprintf("D%04d", i), User: fmt.Sprint("U", i%40), Text: said[i%len(said)]})
		time.Sleep(every)
	}
	waitUntil(t, "the answers", func() bool { return fake.Posted() >= people })
	var acks, posts []time.Duration
	for _, e := range fake.Envelopes() {
		if e.Acked.IsZero() {
			t.Errorf("%s is not acknowledged", e.ID)
		}
		acks = append(acks, e.Acked.Sub(e.Sent[0]))
	}
	asked, answers := map[string]time.Time{}, map[string]int{}
	for _, m := range fake.Messages("") {
		switch {
		case m.User != fakeworkspace.Bot:
			asked[m.Channel] = m.At
		case len(m.Files) == 0:
			answers[m.Channel]++
			posts = append(posts, m.At.Sub(asked[m.Channel]))
			if strings.Contains(m.Text, "kept at the moment") {
				t.Errorf("%s: %s", m.Channel, m.Text)
			}
		}
	}
	for channel := range asked {
		if answers[channel] != 1 {
			t.Errorf("%s answered %d times", channel, answers[channel])
		}
	}
	slices.Sort(acks)
	slices.Sort(posts)
	return pace{people, acks[len(acks)-1], posts[len(posts)*99/100]}
}
