package workspace_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/workspace"
)

// onBoard runs a test whose home tab shows what the test says.
func onBoard(t *testing.T, test func(b *bench, show func(line string))) {
	t.Helper()
	var line atomic.Value
	line.Store("Order 1")
	home := func(_ context.Context, _, user string, _ bool) workspace.Home {
		return workspace.Home{Board: []workspace.Entry{{Line: line.Load().(string) + " for " + user}}}
	}
	onBench(t, func(c *workspace.Config) { c.Home = home }, func(b *bench) {
		test(b, func(s string) { line.Store(s) })
	})
}

// seen lists whose tab was drawn since, with what line.
func seen(b *bench, from int) []string {
	var out []string
	for _, v := range b.fake.Views()[from:] {
		for _, order := range []string{"Order 1", "Order 2", "Order 3"} {
			if strings.Contains(string(v.View), order+" for "+v.User) {
				out = append(out, v.User+" "+order)
			}
		}
	}
	return out
}

func redraw(b *bench) {
	b.Helper()
	if err := b.bot.RedrawHomes(b.Context()); err != nil {
		b.Error(err)
	}
}

func TestHomeTabsFollowTheBoard(t *testing.T) {
	onBoard(t, func(b *bench, show func(string)) {
		for _, user := range []string{"U1", "U2"} {
			b.fake.OpenHome(user)
			b.pass(time.Second)
		}
		show("Order 2")
		redraw(b)
		want := []string{"U1 Order 1", "U2 Order 1", "U2 Order 2", "U1 Order 2"} // nobody else's; the latest viewer first
		if diff := cmp.Diff(want, seen(b, 0)); diff != "" {
			t.Errorf("drawn (-want +got):\n%s", diff)
		}
		redraw(b)
		if n := len(b.fake.Views()); n != len(want) {
			t.Errorf("nothing has changed, and %d tabs were drawn", n-len(want))
		}
		b.fake.OpenHome("U1") // opening draws, whatever was shown before
		b.pass(11 * time.Hour)
		if diff := cmp.Diff([]string{"U1 Order 2"}, seen(b, len(want))); diff != "" {
			t.Errorf("opened again (-want +got):\n%s", diff)
		}
		b.fake.OpenHome("U2")
		b.pass(2 * time.Hour)
		show("Order 3") // U1 opened theirs 13 hours ago
		redraw(b)
		if diff := cmp.Diff([]string{"U2 Order 2", "U2 Order 3"}, seen(b, len(want)+1)); diff != "" {
			t.Errorf("after a day (-want +got):\n%s", diff)
		}
	})
}

func TestHomeTabsKeepThePace(t *testing.T) {
	onBoard(t, func(b *bench, show func(string)) {
		const viewers = 40
		for i := range viewers {
			b.fake.OpenHome(fmt.Sprint("U", i))
			b.pass(time.Second)
		}
		b.fake.Fail(fakeworkspace.Fault{Method: "views.publish", Skip: 5, Status: 429, RetryAfter: 20})
		b.fake.Fail(fakeworkspace.Fault{Method: "views.publish", Skip: 9, Error: "user_not_found"})
		show("Order 2")
		began := time.Now()
		redraw(b)
		views := b.fake.Views()[viewers:]
		if len(views) != viewers-1 { // the one refused
			t.Fatalf("%d tabs drawn, want %d", len(views), viewers-1)
		}
		for i := 1; i < len(views); i++ {
			if d := views[i].At.Sub(views[i-1].At); d < 1200*time.Millisecond {
				t.Errorf("tab %d was drawn %v after the one before", i, d)
			}
		}
		if _, early := b.fake.Refused(); early > 0 {
			t.Error("a tab was drawn before the platform's delay was over")
		}
		if took := time.Since(began); took > (viewers+1)*1200*time.Millisecond+21*time.Second {
			t.Errorf("%d tabs took %v", viewers, took)
		}
		checkAll(b)
	})
}

// A tab opened while others are drawn waits for one drawing, not for all.
func TestHomeTabOpensDuringARedraw(t *testing.T) {
	onBoard(t, func(b *bench, show func(string)) {
		const viewers = 30
		for i := range viewers {
			b.fake.OpenHome(fmt.Sprint("U", i))
			b.pass(time.Second)
		}
		show("Order 2")
		go b.bot.RedrawHomes(b.Context())
		b.pass(3 * time.Second)
		b.fake.OpenHome("U77")
		b.pass(time.Second)
		shown := seen(b, viewers)
		if !slices.Contains(shown, "U77 Order 2") || len(shown) > 6 {
			t.Errorf("drawn so far: %v", shown)
		}
		b.pass(time.Minute)
	})
}
