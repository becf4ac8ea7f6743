package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
)

// output is a buffer that a running command may write to.
type output struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.String()
}

// waitUntil looks again and again until ready, for half a minute at most.
func waitUntil(t *testing.T, what string, ready func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); !ready(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// The command itself joins a workspace, keeps an order, tells a wait and stops
// when it is asked to; its log holds no token and no message.
func TestSlackCommand(t *testing.T) {
	fake := fakeworkspace.Start()
	defer fake.Close()
	address, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	env := map[string]string{"SLACK_BOT_TOKEN": fakeworkspace.BotToken, "SLACK_APP_TOKEN": fakeworkspace.AppToken}
	log := &output{}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ended := make(chan int, 1)
	go func() {
		ended <- Run(ctx, []string{"slack", "--api-url", "http://" + address + "/api/", "--data", t.TempDir(), "--listen", "127.0.0.1:0"},
			func(name string) string { return env[name] }, Streams{In: strings.NewReader(""), Out: io.Discard, Err: log})
	}()
	waitUntil(t, "a connection", func() bool { return fake.Sockets() > 0 })
	answered := func(part string) func() bool {
		return func() bool {
			for _, m := range fake.Answers("") {
				if strings.Contains(m.Text, part) {
					return true
				}
			}
			return false
		}
	}
	home := func(user, part string) func() bool {
		return func() bool {
			views := fake.Views()
			return slices.ContainsFunc(views, func(v fakeworkspace.View) bool {
				return v.User == user && strings.Contains(string(v.View), part)
			})
		}
	}
	fake.OpenHome("U2")
	waitUntil(t, "the home tab", home("U2", "No orders for today"))
	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "24 black cotton tees, 9x7 front"})
	waitUntil(t, "the quote", answered("Kept as order 1."))
	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "promise order 1"})
	waitUntil(t, "the order in the home tab of who opened it", home("U2", "Order 1: 24 black"))
	if home("U1", "")() {
		t.Error("a home tab nobody opened is drawn")
	}
	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "start a 1 second wait"})
	waitUntil(t, "the end of the wait", answered("is over."))
	if !answered("<@U1>")() {
		t.Error("the end of a wait mentions nobody")
	}
	listening := regexp.MustCompile(`address=(\S+)`).FindStringSubmatch(log.String())
	if listening == nil {
		t.Fatalf("no address in the log:\n%s", log)
	}
	for path, want := range map[string]string{"/healthz": "alive", "/readyz": "ready", "/metrics": "presshand_workspace_questions_total"} {
		resp, err := http.Get("http://" + listening[1] + path)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(resp.Body)
		resp.Body.Close()
		if resp.StatusCode != http.StatusOK || !strings.Contains(string(body), want) {
			t.Errorf("%s: %d %.80s, want %s", path, resp.StatusCode, body, want)
		}
	}
	stop()
	if code := <-ended; code != exitDone {
		t.Errorf("exit status %d", code)
	}
	for _, secret := range []string{fakeworkspace.BotToken, fakeworkspace.AppToken, "cotton"} {
		if strings.Contains(log.String(), secret) {
			t.Errorf("the log holds %q:\n%s", secret, log)
		}
	}
}
