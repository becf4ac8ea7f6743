package workspace_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// write posts n direct messages "1" to "n" in one channel.
func write(b *bench, channel string, n int) (want []string) {
	for i := range n {
		text := fmt.Sprint(i + 1)
		b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: text})
		want = append(want, text)
	}
	return want
}

// allAcked fails where a delivery was not acknowledged within d of its first
// try.
func allAcked(b *bench, d time.Duration) {
	b.Helper()
	for _, e := range b.fake.Envelopes() {
		if e.Acked.IsZero() || len(e.Sent) > 0 && e.Acked.Sub(e.Sent[0]) > d {
			b.Errorf("%s acknowledged %v after it was sent", e.ID, e.Acked.Sub(e.Sent[0]))
		}
	}
}

func TestPaceOfOneChannel(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		// The platform's real limit: whoever is faster is refused.
		b.fake.Limit(3, time.Second)
		began := time.Now()
		want := write(b, "D1", 20)
		b.pass(time.Minute)
		answers := b.fake.Answers("D1")
		if diff := cmp.Diff(want, lines(answers)); diff != "" {
			t.Fatal(diff)
		}
		if limited, early := b.fake.Refused(); limited != 0 || early != 0 {
			t.Errorf("%d refused for their pace, %d before the delay was over", limited, early)
		}
		for i, a := range answers {
			earliest := time.Duration(max(0, i-2)) * time.Second
			if late := a.At.Sub(began) - earliest; late > 100*time.Millisecond {
				t.Errorf("answer %d came %v after it could have", i+1, late)
			}
		}
	})
}

func TestDelaysAreObeyedAndNothingIsLost(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Skip: 2, Times: 1, Status: 429, RetryAfter: 17})
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Skip: 9, Times: 1, Status: 429, RetryAfter: 40})
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Skip: 15, Times: 1, Status: 429}) // without a delay
		var want []string
		for i := range 30 {
			channel := fmt.Sprintf("D%d", i)
			b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: channel})
			want = append(want, channel)
		}
		b.pass(5 * time.Minute)
		got := map[string]int{}
		for _, a := range b.fake.Answers("") {
			got[strings.TrimPrefix(a.Text, "re: ")]++
		}
		for _, w := range want {
			if got[w] != 1 {
				t.Errorf("%s answered %d times", w, got[w])
			}
		}
		refused := 0
		for _, c := range b.fake.Calls("chat.postMessage") {
			if c.Status == 429 {
				refused++
			}
		}
		if refused < 3 {
			t.Fatalf("%d refused, the test wants 3 at least", refused)
		}
		// Calls already under way when the first refusal came may still have
		// reached the server; none may have begun later.
		posts := b.fake.Calls("chat.postMessage")
		for i, c := range posts {
			if c.Status != 429 || c.Error == "" {
				continue
			}
			for _, later := range posts[i+1:] {
				if wait := later.At.Sub(c.At); wait > 10*time.Millisecond && wait < 17*time.Second {
					t.Errorf("a post came %v after a refusal that asked for %s s", wait, c.Error)
				}
			}
		}
	})
}

func TestRepeatsAreAnsweredOnce(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Duplicate(2)
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "a"}) // six deliveries: two events, three times each
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "b"})
		b.fake.Command("C1", "U1", "c")
		b.pass(time.Second)
		b.fake.ClickOn(b.fake.Answers("D1")[0], "U1", "say.0", "d")
		b.fake.Submit("U1", map[string]string{"what": "tees", "sizes": "3"})
		b.pass(time.Minute)
		b.fake.Drop()
		b.pass(time.Second)
		for _, e := range b.fake.Envelopes() {
			b.fake.Redeliver(e.ID)
		}
		b.pass(time.Minute)
		if n := len(b.asked()); n != 5 {
			t.Errorf("asked %d times, want 5", n)
		}
		if n := len(b.fake.Answers("")) + len(b.fake.Ephemerals()); n != 5 {
			t.Errorf("%d answers, want 5", n)
		}
	})
}

func TestBrokenPostsAreNeitherLostNorDoubled(t *testing.T) {
	rows := []struct {
		name  string
		fault fakeworkspace.Fault
	}{
		{"cut before it was taken", fakeworkspace.Fault{ResetBefore: true, Times: 2}},
		{"cut after it was taken", fakeworkspace.Fault{ResetAfter: true}},
		{"server error", fakeworkspace.Fault{Status: 503, Times: 3}},
		{"internal error", fakeworkspace.Fault{Error: "internal_error"}},
		{"refused for its pace", fakeworkspace.Fault{Error: "ratelimited"}},
		{"slow", fakeworkspace.Fault{Delay: 20 * time.Second}},
		{"slower than the bot waits", fakeworkspace.Fault{Delay: 45 * time.Second}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			onBench(t, nil, func(b *bench) {
				row.fault.Method = "chat.postMessage"
				b.fake.Fail(row.fault)
				want := write(b, "D1", 3)
				b.pass(10 * time.Minute)
				if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
					t.Error(diff)
				}
			})
		})
	}
}

func TestBrokenPostInAThreadIsLookedUp(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", ResetAfter: true})
		b.fake.Fail(fakeworkspace.Fault{Method: "conversations.replies", Status: 429, RetryAfter: 5})
		b.fake.Fail(fakeworkspace.Fault{Method: "conversations.replies", Status: 500, Times: 2})
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "a"})
		b.pass(time.Minute)
		if diff := cmp.Diff([]string{"a"}, lines(b.fake.Answers("C1"))); diff != "" {
			t.Error(diff)
		}
		if n := len(b.fake.Calls("chat.postMessage")); n != 1 {
			t.Errorf("%d posts sent, want 1", n)
		}
	})
}

func TestRefusedBlocksFallBackToText(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Error: "invalid_blocks"})
		write(b, "D1", 1)
		b.pass(time.Minute)
		answers := b.fake.Answers("D1")
		if len(answers) != 1 || answers[0].Text != "re: 1" || string(answers[0].Blocks) != "[]" {
			t.Errorf("answers %+v", answers)
		}
	})
}

func TestRefusedPostDoesNotHoldUpTheNext(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Error: "is_archived"})
		write(b, "D1", 2)
		b.pass(time.Minute)
		if diff := cmp.Diff([]string{"2"}, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestWhatWasAcknowledgedIsAnsweredAfterARestart(t *testing.T) {
	inbox := workspace.NewMemoryInbox() // stands for a lasting one
	keep := func(c *workspace.Config) { c.Inbox, c.Drain = inbox, time.Second }
	onBench(t, keep, func(b *bench) {
		// The first answer is posted, though the bot never learns it; the rest
		// cannot be posted before the bot stops.
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", ResetAfter: true})
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Status: 500, Times: -1})
		b.fake.Fail(fakeworkspace.Fault{Method: "conversations.history", Status: 500, Times: -1})
		want := write(b, "D1", 5)
		b.pass(2 * time.Second)
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		allAcked(b, 300*time.Millisecond)
		if n := len(b.fake.Answers("D1")); n != 1 {
			t.Fatalf("%d answers before the restart, want 1", n)
		}
		before := len(b.asked())
		b.fake.Heal()
		b.start(keep)
		b.pass(time.Minute)
		for _, e := range b.fake.Envelopes() {
			b.fake.Redeliver(e.ID)
		}
		b.pass(time.Minute)
		if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
		// The first was answered before the restart: nobody works it out again.
		if n := len(b.asked()) - before; n != len(want)-1 {
			t.Errorf("asked %d times after the restart, want %d", n, len(want)-1)
		}
	})
}

// Broken off at fifty random moments under load, each time in the middle of
// whatever was under way: every message is answered once.
func TestBrokenOffAtRandomMoments(t *testing.T) {
	inbox := workspace.NewMemoryInbox() // stands for a lasting one
	settings := func(c *workspace.Config) { c.Inbox, c.Drain = inbox, time.Nanosecond }
	onBench(t, settings, func(b *bench) {
		random := rand.New(rand.NewPCG(3, 4))
		// Posts take a while, so that the breaks fall into them.
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Delay: 40 * time.Millisecond, Times: -1})
		want := map[string]int{}
		for round := range 50 {
			for i := range 6 {
				channel := fmt.Sprint("D", random.IntN(8))
				text := fmt.Sprint(channel, " ", round, " ", i)
				b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: text})
				want[text]++
				b.pass(time.Duration(random.IntN(20)) * time.Millisecond)
			}
			b.pass(time.Duration(random.IntN(200)) * time.Millisecond)
			if err := b.stop(); err != nil {
				t.Fatal(err)
			}
			b.start(settings)
			b.pass(time.Duration(random.IntN(100)) * time.Millisecond)
		}
		b.pass(10 * time.Minute)
		got := map[string]int{}
		for _, a := range lines(b.fake.Answers("")) {
			got[a]++
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Error(diff)
		}
	})
}

func TestLateDeliveriesFallIntoOrder(t *testing.T) {
	slow := func(ctx context.Context, m workspace.Message) reply.Reply {
		time.Sleep(time.Second)
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(slow) }, func(b *bench) {
		for _, say := range []fakeworkspace.Say{{Text: "1"}, {Text: "2", Late: 500 * time.Millisecond}, {Text: "3"}} {
			say.Channel, say.User = "D1", "U1"
			b.fake.Write(say)
		}
		b.pass(time.Minute)
		if diff := cmp.Diff([]string{"1", "2", "3"}, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestStopFinishesWhatWasAcknowledged(t *testing.T) {
	slow := func(ctx context.Context, m workspace.Message) reply.Reply {
		time.Sleep(time.Second)
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(slow) }, func(b *bench) {
		want := write(b, "D1", 5)
		b.pass(10 * time.Millisecond)
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		allAcked(b, 300*time.Millisecond)
		if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestFullQueueSaysSoKindly(t *testing.T) {
	block := make(chan struct{})
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		if m.Channel == "D1" {
			<-block
		}
		return echo(ctx, m)
	}
	adjust := func(c *workspace.Config) { c.Queue, c.Handler = 3, workspace.HandlerFunc(handler) }
	t.Run("full", func(t *testing.T) {
		onBenchWith(t, adjust, func() { block = make(chan struct{}) }, func(b *bench) {
			write(b, "D1", 5)
			b.pass(time.Second)
			b.fake.Command("C1", "U2", "a command")
			b.pass(time.Second)
			allAcked(b, 300*time.Millisecond)
			told := b.fake.Ephemerals()
			if len(told) != 2 {
				t.Fatalf("told %+v, want one line for each asker", told)
			}
			for _, e := range told {
				if !strings.Contains(e.Text, "ask again") {
					t.Errorf("says %q", e.Text)
				}
			}
			if told[0].User != "U1" || told[0].Channel != "D1" {
				t.Errorf("told %+v", told[0])
			}
			close(block)
			b.pass(time.Minute)
			if n := len(b.fake.Answers("D1")); n != 3 {
				t.Errorf("%d answered, want the 3 that had room", n)
			}
		})
	})
}

func TestInboxFailureIsNotTheAskersProblem(t *testing.T) {
	onBench(t, func(c *workspace.Config) { c.Inbox = brokenInbox{} }, func(b *bench) {
		b.fake.Duplicate(1)
		want := write(b, "D1", 2)
		b.pass(time.Minute)
		allAcked(b, 300*time.Millisecond)
		if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

type brokenInbox struct{}

func (brokenInbox) Add(context.Context, []workspace.Item) ([]bool, error) {
	return nil, fmt.Errorf("disk full")
}
func (brokenInbox) Done(context.Context, string) error { return fmt.Errorf("disk full") }
func (brokenInbox) Open(context.Context) ([]workspace.Item, error) {
	return nil, fmt.Errorf("disk full")
}

func TestSlowInboxDelaysNoAcknowledgementForLong(t *testing.T) {
	onBench(t, func(c *workspace.Config) { c.Inbox = slowInbox{workspace.NewMemoryInbox()} }, func(b *bench) {
		want := write(b, "D1", 3)
		b.pass(time.Minute)
		allAcked(b, 3*time.Second)
		if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

type slowInbox struct{ workspace.Inbox }

func (s slowInbox) Add(ctx context.Context, items []workspace.Item) ([]bool, error) {
	<-ctx.Done() // locked by another program
	return nil, ctx.Err()
}

func TestHandlerFaults(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		switch m.Text {
		case "panic":
			panic("a bug")
		case "slow":
			<-ctx.Done()
			time.Sleep(time.Second)
		case "long":
			time.Sleep(5 * time.Second)
		}
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		for _, text := range []string{"panic", "slow", "long", "quick"} {
			b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + text})
		}
		b.pass(3 * time.Second)
		b.pass(2 * time.Minute)
		answers := b.fake.Answers("C1")
		if len(answers) != 4 {
			t.Fatalf("%d answers, want 4: %v", len(answers), lines(answers))
		}
		for i, part := range []string{"Something went wrong on my side", "longer than 30 s", "re: long", "re: quick"} {
			if !strings.Contains(answers[i].Text, part) {
				t.Errorf("answer %d says %q, want %q", i, answers[i].Text, part)
			}
		}
		// Progress stands in the answer's own message.
		if diff := cmp.Diff([]int{0, 1, 1, 0}, []int{answers[0].Edits, answers[1].Edits, answers[2].Edits, answers[3].Edits}); diff != "" {
			t.Errorf("edits: %s", diff)
		}
	})
}

func TestAnswerComesThoughTheProgressLineIsDeleted(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		time.Sleep(5 * time.Second)
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.update", Error: "message_not_found"})
		write(b, "D1", 1)
		b.pass(time.Minute)
		answers := b.fake.Answers("D1")
		if len(answers) != 2 || answers[1].Text != "re: 1" {
			t.Errorf("answers %v", lines(answers))
		}
	})
}

func TestRestartFindsRoomForAllThatWasLeft(t *testing.T) {
	inbox := workspace.NewMemoryInbox()
	onBench(t, func(c *workspace.Config) { c.Inbox, c.Drain = inbox, time.Second }, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Status: 500, Times: -1})
		want := write(b, "D1", 20)
		b.pass(time.Second)
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		b.fake.Heal()
		b.start(func(c *workspace.Config) { c.Inbox, c.Queue = inbox, 3 })
		b.pass(time.Minute)
		if diff := cmp.Diff(want, lines(b.fake.Answers("D1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestProgressLineShowsAfterTwoSeconds(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		time.Sleep(5 * time.Second)
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		write(b, "D1", 1)
		b.pass(1900 * time.Millisecond)
		if n := len(b.fake.Answers("D1")); n != 0 {
			t.Errorf("%d messages after 1.9 s", n)
		}
		b.pass(200 * time.Millisecond)
		if a := b.fake.Answers("D1"); len(a) != 1 || !strings.HasPrefix(a[0].Text, "Working it out") {
			t.Errorf("after 2.1 s: %+v", a)
		}
		b.pass(3 * time.Second)
		if a := b.fake.Answers("D1"); len(a) != 1 || a[0].Text != "re: 1" {
			t.Errorf("after 5.1 s: %+v", a)
		}
	})
}

func TestPicturesAreUploadedBesideTheAnswer(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Files = []reply.File{{Name: "sheets.png", Type: "image/png", Alt: "two sheets with 24 pieces", Draw: reply.Drawn([]byte("png"))}}
		return r
	}
	rows := []struct {
		name  string
		fault fakeworkspace.Fault
	}{
		{"no fault", fakeworkspace.Fault{Method: "none"}},
		{"no slot at first", fakeworkspace.Fault{Method: "files.getUploadURLExternal", Status: 429, RetryAfter: 3}},
		{"cut after it was shown", fakeworkspace.Fault{Method: "files.completeUploadExternal", ResetAfter: true}},
		{"cut before it was shown", fakeworkspace.Fault{Method: "files.completeUploadExternal", ResetBefore: true}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
				b.fake.Fail(row.fault)
				ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "sheets"})
				b.pass(time.Minute)
				var files []fakeworkspace.File
				for _, m := range b.fake.Messages("C1") {
					if len(m.Files) > 0 && m.Thread == ts {
						files = append(files, m.Files...)
					}
				}
				if len(files) != 1 || files[0].Alt != "two sheets with 24 pieces" || files[0].Name != "sheets.png" || string(files[0].Data) != "png" {
					t.Errorf("files %+v", files)
				}
				if n := len(b.fake.Answers("C1")); n != 1 {
					t.Errorf("%d answers", n)
				}
			})
		})
	}
}

func TestNoticeAfterAWhisperComesDirectly(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Command("C1", "U1", "10 minute wait for the choir shirts")
		b.pass(10 * time.Minute)
		r := reply.Reply{Lines: []string{"The wait for the choir shirts is over."}}
		if err := b.bot.Notify(b.Context(), b.asked()[0].Place(), "wait/1", r, true); err != nil {
			t.Fatal(err)
		}
		if a := b.fake.Answers(""); len(a) != 1 || a[0].Channel != fakeworkspace.DirectChannel("U1") {
			t.Errorf("notices %+v", a)
		}
	})
}

func TestNoticeMentionsWhoeverAsked(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "start the cool peel for order 12"})
		b.pass(10 * time.Minute)
		place := b.asked()[0].Place()
		r := reply.Reply{Lines: []string{"The cool peel of order 12 is over."}}
		for _, again := range []bool{false, true} {
			if err := b.bot.Notify(b.Context(), place, "wait/12", r, again); err != nil {
				t.Fatal(err)
			}
		}
		answers := b.fake.Answers("C1")
		if len(answers) != 2 {
			t.Fatalf("%d messages, want the answer and one notice", len(answers))
		}
		notice := answers[1]
		if want := "<@U1> The cool peel of order 12 is over."; notice.Text != want || notice.Thread != ts {
			t.Errorf("says %q in thread %q, want %q in %q", notice.Text, notice.Thread, want, ts)
		}
		if !strings.Contains(string(notice.Blocks), `"user_id":"U1"`) {
			t.Errorf("blocks %s", notice.Blocks)
		}
	})
}

// An inbox that can't note what is done, as when the program is killed before.
type forgetful struct{ workspace.Inbox }

func (forgetful) Done(context.Context, string) error { return errors.New("killed") }

// Broken off between the answer and its pictures, the bot uploads after the
// restart what is not there yet, and posts nothing twice.
func TestPicturesComeAfterARestart(t *testing.T) {
	pictures := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		for _, name := range []string{"sheets.png", "timeline.png"} {
			r.Files = append(r.Files, reply.File{Name: name, Type: "image/png", Alt: "what is shown", Draw: reply.Drawn([]byte(name))})
		}
		return r
	}
	for _, row := range []struct {
		name   string
		there  int // uploads before the restart
		direct bool
		fault  fakeworkspace.Fault
	}{
		{"before the first", 0, false, fakeworkspace.Fault{Method: "files.getUploadURLExternal", Status: 500, Times: -1}},
		{"between the two", 1, false, fakeworkspace.Fault{Method: "files.getUploadURLExternal", Status: 500, Skip: 1, Times: -1}},
		{"between the two, in a direct channel", 1, true, fakeworkspace.Fault{Method: "files.getUploadURLExternal", Status: 500, Skip: 1, Times: -1}},
		{"after the last", 2, false, fakeworkspace.Fault{Method: "none"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			inbox := workspace.NewMemoryInbox() // stands for a lasting one
			first := func(c *workspace.Config) {
				c.Handler, c.Inbox, c.Drain = workspace.HandlerFunc(pictures), forgetful{inbox}, 100*time.Millisecond
			}
			onBench(t, first, func(b *bench) {
				b.fake.Fail(row.fault)
				say := fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "sheets"}
				if row.direct {
					say.Channel = "D1"
				}
				ts := b.fake.Write(say)
				b.pass(time.Second)
				if err := b.stop(); err != nil {
					t.Fatal(err)
				}
				uploads := func() (names []string) {
					for _, m := range b.fake.Messages(say.Channel) {
						for _, f := range m.Files {
							if !row.direct && m.Thread != ts {
								t.Errorf("%s is in thread %q", f.Name, m.Thread)
							}
							names = append(names, f.Name)
						}
					}
					return names
				}
				if n := len(uploads()); n != row.there {
					t.Fatalf("%d uploads before the restart, want %d", n, row.there)
				}
				b.fake.Heal()
				b.start(func(c *workspace.Config) { c.Handler, c.Inbox = workspace.HandlerFunc(pictures), inbox })
				b.pass(time.Minute)
				if diff := cmp.Diff([]string{"sheets.png", "timeline.png"}, uploads()); diff != "" {
					t.Errorf("uploads (-want +got):\n%s", diff)
				}
				if n := len(b.fake.Answers(say.Channel)); n != 1 {
					t.Errorf("%d answers", n)
				}
				if open, _ := inbox.Open(b.Context()); len(open) != 0 {
					t.Errorf("still open: %d", len(open))
				}
			})
		})
	}
}
