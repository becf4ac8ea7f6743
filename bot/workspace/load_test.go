package workspace_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
)

// A thousand messages at the same instant, one a channel: acknowledged at once,
// answered once, and soon.
func TestBurstOverManyChannels(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		const n = 1000
		for i := range n {
			channel := fmt.Sprintf("D%04d", i)
			b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: channel})
		}
		b.pass(time.Minute)
		allAcked(b, 300*time.Millisecond)
		asked := map[string]time.Time{}
		answered := map[string]int{}
		var waits []time.Duration
		for _, m := range b.fake.Messages("") {
			if m.User != fakeworkspace.Bot {
				asked[m.Channel] = m.At
				continue
			}
			answered[m.Channel]++
			waits = append(waits, m.At.Sub(asked[m.Channel]))
			if m.Text != "re: "+m.Channel {
				t.Errorf("%s answered with %q", m.Channel, m.Text)
			}
		}
		for channel := range asked {
			if answered[channel] != 1 {
				t.Errorf("%s answered %d times", channel, answered[channel])
			}
		}
		slices.Sort(waits)
		if p99 := waits[n*99/100]; p99 > 500*time.Millisecond {
			t.Errorf("99 of 100 answered within %v", p99)
		}
	})
}

// A thousand messages in ten channels at the platform's real pace: in order, one
// a second in each.
func TestBurstOverFewChannelsKeepsOrder(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Limit(3, time.Second)
		want := map[string][]string{}
		for i := range 1000 {
			channel := fmt.Sprintf("D%d", i%10)
			text := fmt.Sprint(i)
			b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: text})
			want[channel] = append(want[channel], text)
		}
		b.pass(10 * time.Minute)
		allAcked(b, 300*time.Millisecond)
		for channel, texts := range want {
			if diff := cmp.Diff(texts, lines(b.fake.Answers(channel))); diff != "" {
				t.Errorf("%s: %s", channel, diff)
			}
		}
		if limited, early := b.fake.Refused(); limited+early != 0 {
			t.Errorf("%d posts refused for their pace, %d before a delay was over", limited, early)
		}
	})
}

// The same with a server that refuses, fails, cuts and repeats.
func TestBurstWithFaults(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Duplicate(1)
		for i := range 20 {
			skip := i * 37
			fault := []fakeworkspace.Fault{
				{Status: 429, RetryAfter: 2}, {ResetAfter: true}, {ResetBefore: true}, {Status: 502}, {Delay: 3 * time.Second},
			}[i%5]
			fault.Method, fault.Skip = "chat.postMessage", skip
			b.fake.Fail(fault)
		}
		want := map[string][]string{}
		for i := range 1000 {
			channel := fmt.Sprintf("D%d", i%50)
			text := fmt.Sprint(i)
			b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: text})
			want[channel] = append(want[channel], text)
			if i == 500 {
				b.fake.Drop()
			}
		}
		b.pass(20 * time.Minute)
		for channel, texts := range want {
			got := lines(b.fake.Answers(channel))
			// What the drop left unacknowledged comes again later, after its
			// successors: once each, though not in order.
			slices.Sort(got)
			slices.Sort(texts)
			if diff := cmp.Diff(texts, got); diff != "" {
				t.Errorf("%s: %s", channel, strings.TrimSpace(diff))
			}
		}
	})
}
