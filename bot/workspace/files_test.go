package workspace_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

func TestFilesPeopleDrop(t *testing.T) {
	rows := []struct {
		name string
		drop fakeworkspace.Drop
		want string // what was read, or a part of the error
		kind error
		most time.Duration // until the answer stands there
	}{
		{"a picture", fakeworkspace.Drop{Name: "art.png", Type: "image/png", Size: 3, Data: []byte("png")}, "png", nil, time.Second},
		{"a file of no bytes", fakeworkspace.Drop{Name: "art.png", Type: "image/png"}, "", nil, time.Second},
		{"60 MB as stated", fakeworkspace.Drop{Name: "big.tif", Size: 60 << 20, Data: []byte("x")}, `"big.tif" has 60 MB, and I take files up to 25 MB`, workspace.ErrTooLarge, time.Second},
		{"more than stated", fakeworkspace.Drop{Name: "liar.png", Size: 10, Endless: true}, `"liar.png" is larger than the 25 MB I take`, workspace.ErrTooLarge, 10 * time.Second},
		{"slow", fakeworkspace.Drop{Name: "slow.png", Size: 10, Endless: true, Chunk: 3 * time.Second}, "did not arrive within 20s", workspace.ErrSlow, 21 * time.Second},
		{"expired", fakeworkspace.Drop{Name: "old.png", Size: 10, Expired: true}, "please upload it again", workspace.ErrGone, time.Second},
		{"not readable", fakeworkspace.Drop{Name: "secret.png", Size: 10, SignIn: true}, "does not let me read", workspace.ErrGone, time.Second},
		{"a link elsewhere", fakeworkspace.Drop{Name: "doc.png", Size: 10, External: true}, "only a link to another site", workspace.ErrForeign, time.Second},
		{"a foreign host in the link", fakeworkspace.Drop{Name: "trap.png", Size: 10, Host: "evil.example"}, "not the workspace's", workspace.ErrForeign, time.Second},
		{"a host that looks like ours", fakeworkspace.Drop{Name: "trap.png", Size: 10, Host: "workspace.test.evil.example"}, "not the workspace's", workspace.ErrForeign, time.Second},
		{"sent on to a foreign host", fakeworkspace.Drop{Name: "trap.png", Size: 10, MoveTo: "evil.example"}, "not the workspace's", workspace.ErrForeign, time.Second},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			var got string
			var fault error
			handler := func(ctx context.Context, m workspace.Message) reply.Reply {
				r, err := m.Files[0].Open(ctx)
				if err != nil {
					fault, got = err, err.Error()
				} else {
					defer r.Close()
					data, _ := io.ReadAll(r)
					got = string(data)
				}
				return echo(ctx, m)
			}
			onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
				b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "is this good enough", Files: []fakeworkspace.Drop{row.drop}})
				asked := time.Now()
				b.pass(time.Minute)
				if row.kind == nil && (fault != nil || got != row.want) {
					t.Errorf("read %q, %v; want %q", got, fault, row.want)
				}
				if row.kind != nil && (!errors.Is(fault, row.kind) || !strings.Contains(got, row.want)) {
					t.Errorf("error %v, want %v with %q", fault, row.kind, row.want)
				}
				for _, c := range b.fake.Calls("file") {
					if c.Host != fakeworkspace.Host && c.Token != "" {
						t.Errorf("the token went to %s", c.Host)
					}
					if row.kind == workspace.ErrForeign && c.Host != fakeworkspace.Host {
						t.Errorf("%s was called", c.Host)
					}
				}
				answers := b.fake.Answers("D1")
				last := answers[len(answers)-1]
				if took := last.At.Sub(asked); took > row.most {
					t.Errorf("answered after %v", took)
				}
				m := b.asked()[0]
				if f := m.Files[0]; f.Name != row.drop.Name || f.Type != row.drop.Type || f.Size != row.drop.Size {
					t.Errorf("file %+v", f)
				}
			})
		})
	}
}

func TestAFileAloneIsAQuestion(t *testing.T) {
	handler := func(_ context.Context, m workspace.Message) reply.Reply {
		return reply.Reply{Lines: []string{fmt.Sprintf("%q with %d files", m.Text, len(m.Files))}}
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Files: []fakeworkspace.Drop{{Name: "a.png"}, {Name: "b.png"}}})
		b.pass(time.Second)
		if a := b.fake.Answers("D1"); len(a) != 1 || a[0].Text != `"" with 2 files` {
			t.Errorf("answers %+v", a)
		}
	})
}

// However many files come slowly, a few are looked at side by side, and other
// messages are answered meanwhile.
func TestSlowFilesHoldUpNobody(t *testing.T) {
	under, most := 0, 0
	var b *bench
	step := func(by int) {
		b.mu.Lock()
		defer b.mu.Unlock()
		under += by
		most = max(most, under)
	}
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		if len(m.Files) > 0 {
			step(1)
			defer step(-1)
			time.Sleep(10 * time.Second)
		}
		return echo(ctx, m)
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(on *bench) {
		b = on
		const people = 40
		for i := range people {
			b.fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("D", i), User: "U1", Text: "look", Files: []fakeworkspace.Drop{{Name: "art.png", Type: "image/png", Data: []byte("png")}}})
		}
		b.pass(100 * time.Millisecond)
		write(b, "D99", 1)
		b.pass(100 * time.Millisecond)
		if n := len(b.fake.Answers("D99")); n != 1 {
			t.Errorf("%d answers to a message without a file", n)
		}
		b.pass(5 * time.Minute)
		if most != 8 {
			t.Errorf("%d files looked at side by side, want 8", most)
		}
		for i := range people {
			if n := len(b.fake.Answers(fmt.Sprint("D", i))); n != 1 {
				t.Errorf("%d answers in D%d", n, i)
			}
		}
	})
}
