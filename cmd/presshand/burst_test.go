package main

import (
	"runtime/debug"
	"testing"

	"github.com/prometheus/client_golang/prometheus"

	"presshand/bot"
	"presshand/bot/workspace"
)

// The heap may grow further only while a burst is answered, and never less than
// was chosen.
func TestBurstMeter(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(bot.GCPercent))
	percent := func() int {
		p := debug.SetGCPercent(bot.GCPercent)
		debug.SetGCPercent(p)
		return p
	}
	meter, err := workspace.NewMetrics(prometheus.NewRegistry())
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ usual, inBurst int }{{bot.GCPercent, burstGCPercent}, {100, burstGCPercent}, {400, 400}, {-1, -1}} {
		debug.SetGCPercent(tt.usual)
		m := &burstMeter{Meter: meter}
		for _, step := range []struct{ queue, want int }{
			{1, tt.usual}, {0, tt.usual}, {burstQueue, tt.inBurst}, {burstQueue * 2, tt.inBurst}, {1, tt.inBurst}, {0, tt.usual}, {1, tt.usual},
			{burstQueue, tt.inBurst}, {0, tt.usual},
		} {
			m.Queue(step.queue)
			if got := percent(); got != step.want {
				t.Errorf("usual %d: at a queue of %d the collector's pace is %d, not %d", tt.usual, step.queue, got, step.want)
			}
		}
	}
}
