package workspace_test

import (
	"crypto/tls"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/workspace"
)

// backWithin is how soon after the server's return the bot must be back.
const backWithin = 5 * time.Second

func TestBackAfterLinkFaults(t *testing.T) {
	rows := []struct {
		name  string
		spoil func(b *bench) // returns when the server serves again
	}{
		{"planned disconnect", func(b *bench) { b.fake.Disconnect("refresh_requested") }},
		{"warning, then disconnect", func(b *bench) { b.fake.Disconnect("warning") }},
		{"sockets dropped", func(b *bench) { b.fake.Drop() }},
		{"server away for a second", func(b *bench) { b.fake.Down(); b.pass(time.Second); b.fake.Up() }},
		{"server away for a minute", func(b *bench) { b.fake.Down(); b.pass(time.Minute); b.fake.Up() }},
		{"server away for a quarter of an hour", func(b *bench) { b.fake.Down(); b.pass(15 * time.Minute); b.fake.Up() }},
		{"half-open sockets", func(b *bench) { b.fake.Freeze() }},
		{"opening fails for a minute", func(b *bench) {
			b.fake.Fail(fakeworkspace.Fault{Method: "apps.connections.open", Status: 503, Times: -1})
			b.fake.Drop()
			b.pass(time.Minute)
			b.fake.Heal()
		}},
		{"opening hangs", func(b *bench) {
			b.fake.Fail(fakeworkspace.Fault{Method: "apps.connections.open", Delay: 2 * time.Second, Times: 2})
			b.fake.Drop()
		}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			onBench(t, nil, func(b *bench) {
				write(b, "D1", 1)
				b.pass(time.Second)
				row.spoil(b)
				back := time.Now()
				b.pass(backWithin)
				if n := b.fake.Sockets(); n < 1 || b.bot.Ready() != nil {
					t.Fatalf("not back %v after the server: %d sockets, ready: %v", backWithin, n, b.bot.Ready())
				}
				b.fake.Write(fakeworkspace.Say{Channel: "D2", User: "U2", Text: "after"})
				b.pass(time.Second)
				if diff := cmp.Diff([]string{"after"}, lines(b.fake.Answers("D2"))); diff != "" {
					t.Errorf("%v after the server's return: %s", time.Since(back), diff)
				}
			})
		})
	}
}

// The same over TLS, as in real life: the heartbeat sits above the encryption.
func TestEncryptedLink(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		b.start(func(c *workspace.Config) {
			c.APIURL, c.TLS = b.fake.SecureURL(), &tls.Config{RootCAs: b.fake.Roots()}
		})
		b.pass(time.Minute)
		write(b, "D1", 1)
		b.pass(time.Second)
		b.fake.Freeze()
		b.pass(backWithin)
		if err := b.bot.Ready(); err != nil {
			t.Errorf("not back %v after the links went silent: %v", backWithin, err)
		}
		b.fake.Write(fakeworkspace.Say{Channel: "D2", User: "U1", Text: "2"})
		b.pass(time.Second)
		if diff := cmp.Diff([]string{"1", "2"}, lines(b.fake.Answers(""))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestAQuietLinkStays(t *testing.T) {
	for _, secure := range []bool{false, true} {
		for _, every := range []time.Duration{3 * time.Second, 10 * time.Second, 25 * time.Second} {
			t.Run(fmt.Sprintf("encrypted %v, pinged every %v", secure, every), func(t *testing.T) {
				onBench(t, nil, func(b *bench) {
					if err := b.stop(); err != nil {
						t.Fatal(err)
					}
					b.fake.PingEvery(every)
					before := len(b.fake.Opened())
					b.start(func(c *workspace.Config) {
						if secure {
							c.APIURL, c.TLS = b.fake.SecureURL(), &tls.Config{RootCAs: b.fake.Roots()}
						}
					})
					b.pass(5 * time.Minute)
					if n := len(b.fake.Opened()) - before; n != 2 {
						t.Errorf("%d connections opened in five quiet minutes, want the first 2", n)
					}
				})
			})
		}
	}
}

func TestNothingIsLostWhileTheServerIsAway(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		var want []string
		for i := range 12 {
			channel := fmt.Sprintf("D%02d", i)
			b.fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: channel})
			want = append(want, channel)
			switch i {
			case 3:
				b.fake.Drop()
			case 6:
				b.pass(30 * time.Millisecond) // some are acknowledged and not yet answered
				b.fake.Down()
			case 9:
				b.pass(20 * time.Second)
				b.fake.Up()
			}
		}
		// What was sent to nobody exists only as a repeat, up to six minutes later.
		b.pass(10 * time.Minute)
		got := map[string]int{}
		for _, a := range b.fake.Answers("") {
			got[strings.TrimPrefix(a.Text, "re: ")]++
		}
		for _, w := range want {
			if got[w] != 1 {
				t.Errorf("%s answered %d times", w, got[w])
			}
		}
	})
}

func TestOneDisconnectLeavesNoGap(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.DisconnectOne("refresh_requested")
		// A command is never repeated: it must find the other connection.
		b.pass(time.Millisecond)
		b.fake.Command("C1", "U1", "in the gap")
		b.pass(time.Second)
		if n := len(b.fake.Ephemerals()); n != 1 {
			t.Errorf("%d answers, want 1", n)
		}
	})
}

func TestOpeningKeepsAPace(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		// Every connection ends at once, as in a loop of disconnects.
		began := time.Now()
		for time.Since(began) < time.Minute {
			b.fake.Disconnect("refresh_requested")
			b.pass(10 * time.Millisecond)
		}
		n := 0
		for _, at := range b.fake.Opened() {
			if at.After(began) {
				n++
			}
		}
		if n > 40 {
			t.Errorf("%d connections asked for within a minute", n)
		}
		b.pass(time.Minute)
		if b.fake.Sockets() == 0 {
			t.Error("not back after the loop ended")
		}
	})
}

func TestOpeningObeysADelay(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Fail(fakeworkspace.Fault{Method: "apps.connections.open", Status: 429, RetryAfter: 50, Times: 1})
		b.fake.Drop()
		b.pass(2 * time.Second)
		calls := b.fake.Calls("apps.connections.open")
		var refused time.Time
		for _, c := range calls {
			if c.Status == 429 {
				refused = c.At
			}
		}
		b.pass(2 * time.Minute)
		for _, c := range b.fake.Calls("apps.connections.open") {
			if wait := c.At.Sub(refused); wait > 10*time.Millisecond && wait < 50*time.Second {
				t.Errorf("asked again %v after a refusal for 50 s", wait)
			}
		}
		if b.fake.Sockets() != 2 {
			t.Errorf("%d sockets after the delay", b.fake.Sockets())
		}
	})
}

func TestRefusedTokensEndTheRun(t *testing.T) {
	for _, row := range []struct{ method, code, want string }{
		{"apps.connections.open", "invalid_auth", "SLACK_APP_TOKEN"},
		{"apps.connections.open", "missing_scope", "SLACK_APP_TOKEN"},
		{"auth.test", "token_revoked", "SLACK_BOT_TOKEN"},
	} {
		t.Run(row.method+" "+row.code, func(t *testing.T) {
			onBench(t, nil, func(b *bench) {
				if err := b.stop(); err != nil {
					t.Fatal(err)
				}
				b.fake.Fail(fakeworkspace.Fault{Method: row.method, Error: row.code, Times: -1})
				b.start(nil)
				b.pass(time.Minute)
				err := b.stop()
				if err == nil || !strings.Contains(err.Error(), row.code) || !strings.Contains(err.Error(), row.want) {
					t.Errorf("Run ends with %v, want %s and %s named", err, row.code, row.want)
				}
				b.stop = func() error { return nil }
			})
		})
	}
}

func TestStartWaitsForASlowServer(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		b.fake.Down()
		b.start(nil)
		b.pass(time.Minute)
		if b.bot.Ready() == nil {
			t.Error("ready without a server")
		}
		b.fake.Up()
		b.pass(backWithin)
		if err := b.bot.Ready(); err != nil {
			t.Error(err)
		}
	})
}

func TestWhatTheLibraryCannotReadIsAcknowledged(t *testing.T) {
	rows := []struct{ name, frame string }{
		{"unknown inner event", `{"envelope_id":"x1","type":"events_api","payload":{"type":"event_callback","team_id":"T0ALDER","event_id":"Ev1","event":{"type":"brand_new_event","user":{"id":"U1"}}}}`},
		{"unknown envelope", `{"envelope_id":"x1","type":"brand_new","payload":{}}`},
		{"unknown block in a click", `{"envelope_id":"x1","type":"interactive","payload":{"type":"block_actions","team":{"id":"T0ALDER"},"user":{"id":"U1"},"channel":{"id":"D1"},"container":{"type":"message","channel_id":"D1","message_ts":"1.1"},"message":{"ts":"1.1","blocks":[{"type":"rich_text","elements":"no list"}]},"actions":[{"type":"button","action_id":"say.0","value":"hello","action_ts":"1764081294.1"}]}}`},
		{"payload of a wrong type", `{"envelope_id":"x1","type":"slash_commands","payload":["no","object"]}`},
		{"event without an inside", `{"envelope_id":"x1","type":"events_api","payload":{}}`},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			onBench(t, nil, func(b *bench) {
				b.fake.Track("x1", "events_api")
				b.fake.Frame(row.frame)
				b.pass(2 * time.Second)
				if e := b.fake.Envelopes()[0]; e.Acked.IsZero() {
					t.Error("not acknowledged")
				}
				if row.name == "unknown block in a click" {
					if diff := cmp.Diff([]string{"hello"}, lines(b.fake.Answers("D1"))); diff != "" {
						t.Error(diff)
					}
				}
			})
		})
	}
}

func TestNewRefusesBadSettings(t *testing.T) {
	good := workspace.Config{Handler: workspace.HandlerFunc(echo), BotToken: "xoxb-1"}
	rows := []struct {
		name   string
		spoil  func(*workspace.Config)
		reason string
	}{
		{"no handler", func(c *workspace.Config) { c.Handler = nil }, "handler"},
		{"no token", func(c *workspace.Config) { c.BotToken = "" }, "SLACK_BOT_TOKEN"},
		{"address without slash", func(c *workspace.Config) { c.APIURL = "http://a.example/api" }, `end in "/"`},
		{"too many connections", func(c *workspace.Config) { c.Connections = 11 }, "allows 10"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			c := good
			row.spoil(&c)
			if _, err := workspace.New(c); err == nil || !strings.Contains(err.Error(), row.reason) {
				t.Errorf("New: %v, want %q named", err, row.reason)
			}
		})
	}
}
