package workspace_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/prometheus/client_golang/prometheus"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

func TestMetrics(t *testing.T) {
	reg := prometheus.NewRegistry()
	metrics, err := workspace.NewMetrics(reg)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := workspace.NewMetrics(reg); err == nil {
		t.Error("registered twice")
	}
	onBench(t, func(c *workspace.Config) { c.Meter = metrics }, func(b *bench) {
		b.fake.Duplicate(1)
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Status: 429, RetryAfter: 7})
		write(b, "D1", 5)
		b.pass(time.Minute)
		b.fake.Drop()
		b.pass(time.Minute)
		metrics.Accepted(time.Second)
		metrics.Refused("tokens", time.Second)
		got := map[string]float64{}
		families, err := reg.Gather()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range families {
			for _, m := range f.GetMetric() {
				name := strings.TrimPrefix(f.GetName(), "presshand_workspace_")
				for _, l := range m.GetLabel() {
					name += " " + l.GetValue()
				}
				got[name] = m.GetCounter().GetValue() + m.GetGauge().GetValue() + float64(m.GetHistogram().GetSampleCount())
			}
		}
		want := map[string]float64{
			"questions_total direct answered": 5, "answer_seconds direct": 5, "acknowledge_seconds": 10,
			"dropped_total repeat": 5, "queue": 0, "connects_total": 4,
			// The first post is refused for 7 s; of the four others, which waited
			// their turn behind it, two are beyond the burst.
			"wait_seconds_total limit":   7,
			"rewording_seconds accepted": 1, "rewording_seconds tokens": 1,
		}
		delete(got, "wait_seconds_total pace")
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	})
}

// Logs tell what happened, never what was said, and no token.
func TestLogsHoldNoTextAndNoToken(t *testing.T) {
	var out bytes.Buffer
	log := slog.New(slog.NewJSONHandler(&out, &slog.HandlerOptions{Level: slog.LevelDebug}))
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		if m.Text == "panic confidential" {
			panic("a bug in " + m.Text)
		}
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Log, c.Handler = log, workspace.HandlerFunc(handler) }, func(b *bench) {
		for _, f := range []fakeworkspace.Fault{{ResetAfter: true}, {Status: 503}, {Status: 429, RetryAfter: 2}, {Error: "invalid_blocks"}, {Error: "is_archived"}} {
			f.Method = "chat.postMessage"
			b.fake.Fail(f)
		}
		for _, text := range []string{"panic confidential", "confidential", "confidential", "confidential"} {
			b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: text, Files: []fakeworkspace.Drop{{Name: "art.png"}}})
		}
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "confidential talk"})
		b.fake.Command("C1", "U1", "confidential")
		b.fake.Frame(`{"envelope_id":"x","type":"events_api","payload":{"event":{"text":"confidential"}}`)
		b.pass(time.Minute)
		b.fake.Down()
		b.pass(time.Minute)
		b.fake.Up()
		b.pass(time.Minute)
	})
	for _, never := range []string{"confidential", fakeworkspace.BotToken, fakeworkspace.AppToken} {
		if strings.Contains(out.String(), never) {
			t.Errorf("the log holds %q", never)
		}
	}
	if n := strings.Count(out.String(), "\n"); n < 5 {
		t.Errorf("%d lines logged: the test saw too little", n)
	}
	for line := range strings.Lines(out.String()) {
		if !json.Valid([]byte(line)) {
			t.Errorf("line %q", line)
		}
	}
}

func TestMissingScopesAreNamed(t *testing.T) {
	var out bytes.Buffer
	onBench(t, nil, func(b *bench) {
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		b.fake.Scopes("chat:write,im:history,commands,app_mentions:read")
		b.start(func(c *workspace.Config) { c.Log = slog.New(slog.NewTextHandler(&out, nil)) })
		b.pass(time.Second)
	})
	for _, want := range []string{"channels:history", "files:read", "files:write", "groups:history", "im:write"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%s is not named: %s", want, out.String())
		}
	}
	if strings.Contains(out.String(), "chat:write") {
		t.Error("a granted scope is called missing")
	}
}

// A working day of chatter: goroutines and memory at the end are what they were
// after the first hour.
func TestADayOfChatter(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		random := rand.New(rand.NewPCG(1, 2))
		asked, lost := 0, 0
		hour := func() {
			for range 60 {
				for range 3 {
					user := fmt.Sprint("U", random.IntN(20))
					switch random.IntN(8) {
					case 0:
						b.fake.Command(fmt.Sprint("C", random.IntN(5)), user, "x")
					case 1, 2, 3:
						b.fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("C", random.IntN(5)), User: user, Text: mention + "x"})
					default:
						b.fake.Write(fakeworkspace.Say{Channel: fakeworkspace.DirectChannel(user), User: user, Text: "x"})
					}
					asked++
				}
				switch random.IntN(60) {
				case 0:
					b.fake.Disconnect("refresh_requested")
				case 1:
					b.fake.Drop()
				case 2:
					b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Status: 429, RetryAfter: 5})
				}
				time.Sleep(time.Minute)
			}
		}
		measure := func() (goroutines int, heap uint64) {
			b.pass(3 * time.Minute) // idle connections close
			for _, e := range b.fake.Envelopes() {
				// The platform never repeats a command that met a broken link.
				if e.Kind == "slash_commands" && e.Acked.IsZero() {
					lost++
				}
			}
			b.fake.Forget()
			b.forget()
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			return runtime.NumGoroutine(), m.HeapAlloc
		}
		hour()
		goroutines, heap := measure()
		for range 7 {
			hour()
		}
		endGoroutines, endHeap := measure()
		if endGoroutines > goroutines+2 {
			t.Errorf("%d goroutines after an hour, %d after eight", goroutines, endGoroutines)
		}
		// Keys of repeats are remembered for an hour, so the bot holds about as
		// many after eight hours as after one.
		if endHeap > heap+1<<20 {
			t.Errorf("%d KiB after an hour, %d KiB after eight", heap>>10, endHeap>>10)
		}
		if n := b.total; n != asked-lost || lost > 20 {
			t.Errorf("%d questions, %d commands lost on a broken link, asked %d times", asked, lost, n)
		}
		t.Logf("%d questions; goroutines %d, then %d; heap %d KiB, then %d KiB", asked, goroutines, endGoroutines, heap>>10, endHeap>>10)
	})
}

// The burst in real time, on a network in memory: what a bubble cannot tell,
// since computing takes no time there.
func BenchmarkBurst(b *testing.B) {
	for range b.N {
		fake := fakeworkspace.Start()
		bot, err := workspace.New(workspace.Config{
			BotToken: fakeworkspace.BotToken, AppToken: fakeworkspace.AppToken, APIURL: fake.URL(), Dial: fake.Dial,
			Handler: workspace.HandlerFunc(echo),
		})
		if err != nil {
			b.Fatal(err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		ended := make(chan error, 1)
		go func() { ended <- bot.Run(ctx) }()
		for bot.Ready() != nil {
			runtime.Gosched()
		}
		const n = 1000
		b.ResetTimer()
		for i := range n {
			fake.Write(fakeworkspace.Say{Channel: fmt.Sprintf("D%04d", i), User: "U1", Text: "x"})
		}
		for len(fake.Answers("")) < n {
			time.Sleep(10 * time.Millisecond)
		}
		b.StopTimer()
		var acks, posts []time.Duration
		for _, e := range fake.Envelopes() {
			acks = append(acks, e.Acked.Sub(e.Sent[0]))
		}
		came := map[string]time.Time{}
		for _, m := range fake.Messages("") {
			if m.User != fakeworkspace.Bot {
				came[m.Channel] = m.At
				continue
			}
			posts = append(posts, m.At.Sub(came[m.Channel]))
		}
		slices.Sort(acks)
		slices.Sort(posts)
		b.ReportMetric(float64(acks[n-1].Microseconds())/1e3, "ack-max-ms")
		b.ReportMetric(float64(posts[n*99/100].Microseconds())/1e3, "post-p99-ms")
		cancel()
		if err := <-ended; err != nil {
			b.Fatal(err)
		}
		fake.Close()
	}
}
