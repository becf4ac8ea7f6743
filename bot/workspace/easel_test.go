package workspace_test

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// uploads lists the names of the files beside answers, in their order.
func uploads(b *bench, channel string) (names []string) {
	for _, m := range b.fake.Messages(channel) {
		for _, f := range m.Files {
			names = append(names, f.Name)
		}
	}
	return names
}

// A picture is drawn when its text stands, and not while another message waits
// for its answer, unless that takes long.
func TestPicturesAreDrawnAfterTheTexts(t *testing.T) {
	for _, row := range []struct {
		name  string
		other time.Duration // that the answer to another message takes
		want  time.Duration // until the picture is drawn
	}{
		{"nobody else", 0, 0},
		{"another message", 400 * time.Millisecond, 400 * time.Millisecond},
		{"another message that takes long", 20 * time.Second, time.Second},
	} {
		t.Run(row.name, func(t *testing.T) {
			var b *bench
			drawn, texts := time.Duration(0), 0
			var began time.Time
			handler := func(ctx context.Context, m workspace.Message) reply.Reply {
				if m.Channel == "D2" {
					time.Sleep(row.other)
					return echo(ctx, m)
				}
				r := echo(ctx, m)
				began = time.Now()
				r.Files = []reply.File{{Name: "sheets.png", Type: "image/png", Alt: "sheets", Draw: func() ([]byte, error) {
					drawn, texts = time.Since(began), len(b.fake.Answers("D1"))
					return []byte("png"), nil
				}}}
				return r
			}
			onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(on *bench) {
				b = on
				if row.other > 0 {
					b.fake.Write(fakeworkspace.Say{Channel: "D2", User: "U2", Text: "a hard one"})
					synctest.Wait() // it is being answered now
				}
				b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "sheets"})
				b.pass(time.Minute)
				if texts != 1 || drawn != row.want {
					t.Errorf("drawn %v after the answer with %d texts posted, want %v and 1", drawn, texts, row.want)
				}
				if diff := cmp.Diff([]string{"sheets.png"}, uploads(b, "D1")); diff != "" {
					t.Errorf("uploads (-want +got):\n%s", diff)
				}
			})
		})
	}
}

// However many pictures are wanted at once, one is drawn at a time.
func TestPicturesAreDrawnOneByOne(t *testing.T) {
	under, most := 0, 0 // the bench's goroutines meet in b.mu
	var b *bench
	step := func(by int) {
		b.mu.Lock()
		defer b.mu.Unlock()
		under += by
		most = max(most, under)
	}
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Files = []reply.File{{Name: "sheets.png", Type: "image/png", Alt: "sheets", Draw: func() ([]byte, error) {
			step(1)
			defer step(-1)
			time.Sleep(50 * time.Millisecond)
			return []byte("png"), nil
		}}}
		return r
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(on *bench) {
		b = on
		channels := []string{"D1", "D2", "D3", "D4", "D5"}
		for _, c := range channels {
			b.fake.Write(fakeworkspace.Say{Channel: c, User: "U1", Text: "sheets"})
		}
		b.pass(time.Minute)
		for _, c := range channels {
			if n := len(uploads(b, c)); n != 1 {
				t.Errorf("%d pictures in %s", n, c)
			}
		}
		if most != 1 {
			t.Errorf("%d drawn at a time", most)
		}
	})
}

// What can't be drawn is left out: the text stands, and so do the others.
func TestPicturesThatFail(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Files = []reply.File{
			{Name: "fails.png", Draw: func() ([]byte, error) { return nil, errors.New("too large") }},
			{Name: "breaks.png", Draw: func() ([]byte, error) { panic("a slip") }},
			{Name: "works.png", Draw: reply.Drawn([]byte("png"))},
		}
		return r
	}
	inbox := workspace.NewMemoryInbox()
	onBench(t, func(c *workspace.Config) { c.Handler, c.Inbox = workspace.HandlerFunc(handler), inbox }, func(b *bench) {
		write(b, "D1", 2)
		b.pass(time.Minute)
		if diff := cmp.Diff([]string{"works.png", "works.png"}, uploads(b, "D1")); diff != "" {
			t.Errorf("uploads (-want +got):\n%s", diff)
		}
		if n := len(b.fake.Answers("D1")); n != 2 {
			t.Errorf("%d answers", n)
		}
		if open, _ := inbox.Open(b.Context()); len(open) != 0 {
			t.Errorf("still open: %d", len(open))
		}
	})
}
