package main

import (
	"context"
	"fmt"
	"log/slog"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// A desk that counts how often the home tabs are drawn; drawing takes a while.
type drawn struct{ times atomic.Int64 }

func (d *drawn) RedrawHomes(ctx context.Context) error {
	d.times.Add(1)
	select {
	case <-time.After(5 * time.Second):
	case <-ctx.Done():
	}
	return ctx.Err()
}

// A busy minute of orders and waits draws the home tabs a few times, an idle
// hour not once, and what came last is drawn.
func TestHomeTabsAreRedrawnSeldom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := at(t, t.TempDir(), tenOClock)
		defer h.store.Close() // its goroutines belong to the bubble
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		tabs := &drawn{}
		go h.redraw(ctx, tabs, slog.New(slog.DiscardHandler))
		time.Sleep(time.Minute)
		began := tabs.times.Load()
		for i := range 60 {
			say(h, false, true, fmt.Sprintf("%d minute wait for batch %d", 5+i, i))
			time.Sleep(time.Second)
		}
		time.Sleep(10 * time.Second)
		busy := tabs.times.Load() - began
		if busy < 5 || busy > 14 {
			t.Errorf("drawn %d times in a busy minute, where one drawing takes 5 s", busy)
		}
		time.Sleep(time.Hour)
		if n := tabs.times.Load() - began - busy; n != 0 {
			t.Errorf("drawn %d times in an idle hour", n)
		}
		say(h, false, true, "24 black cotton tees, 9x7 front")
		time.Sleep(3 * time.Second)
		if n := tabs.times.Load() - began - busy; n != 1 {
			t.Errorf("drawn %d times after an order, want once", n)
		}
	})
}
