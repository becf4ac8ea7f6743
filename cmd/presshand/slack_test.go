package main

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
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

// With --http the command joins without a socket: what is signed right is
// answered through the same handler, what is not is refused, and so is a copy.
func TestSlackCommandOverHTTP(t *testing.T) {
	fake := fakeworkspace.Start()
	defer fake.Close()
	api, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	const secret = "the app's signing secret"
	env := map[string]string{"SLACK_BOT_TOKEN": fakeworkspace.BotToken, "SLACK_SIGNING_SECRET": secret}
	address := freeAddress(t)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan int, 1)
	go func() {
		ended <- Run(ctx, []string{"slack", "--http", "--listen", address, "--api-url", "http://" + api + "/api/", "--data", t.TempDir()},
			func(name string) string { return env[name] }, Streams{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard})
	}()
	waitUntil(t, "a ready bot", func() bool {
		resp, err := http.Get("http://" + address + "/readyz")
		if err != nil {
			return false
		}
		resp.Body.Close()
		return resp.StatusCode == http.StatusOK
	})
	now := time.Now()
	post := func(n int, secret string, age time.Duration, sign bool) int {
		ts := now.Add(-age).Unix()
		body := fmt.Sprintf(`{"type":"event_callback","team_id":%q,"event_id":"Ev%d","event":{"type":"message","channel":"D%d","channel_type":"im","user":"U1","text":"24 black cotton tees, 9x7 front","ts":"1764081294.%06d"}}`, fakeworkspace.Team, n, n, n)
		req, err := http.NewRequest(http.MethodPost, "http://"+address+"/events", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Content-Type", "application/json")
		if sign {
			mac := hmac.New(sha256.New, []byte(secret))
			fmt.Fprintf(mac, "v0:%d:%s", ts, body)
			req.Header.Set("X-Slack-Request-Timestamp", fmt.Sprint(ts))
			req.Header.Set("X-Slack-Signature", "v0="+hex.EncodeToString(mac.Sum(nil)))
		}
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		return resp.StatusCode
	}
	for _, row := range []struct {
		name string
		code int
		want int
	}{
		{"signed right", post(1, secret, time.Minute, true), 200},
		{"the same again", post(1, secret, time.Minute, true), 409},
		{"signed with another secret", post(2, "a guess", 0, true), 401},
		{"not signed", post(3, secret, 0, false), 401},
		{"six minutes old", post(4, secret, 6*time.Minute, true), 401},
		{"four minutes old", post(5, secret, 4*time.Minute, true), 200},
	} {
		if row.code != row.want {
			t.Errorf("%s: status %d, want %d", row.name, row.code, row.want)
		}
	}
	waitUntil(t, "the answers", func() bool { return len(fake.Answers("D1"))+len(fake.Answers("D5")) == 2 })
	stop()
	if code := <-ended; code != exitDone {
		t.Errorf("exit status %d", code)
	}
	if n := len(fake.Answers("")); n != 2 {
		t.Errorf("%d answers, want 2", n)
	}
	if !strings.Contains(fake.Answers("D1")[0].Text, "Kept as order") {
		t.Errorf("answered %q", fake.Answers("D1")[0].Text)
	}
	if n := fake.Sockets() + len(fake.Opened()); n != 0 {
		t.Error("a socket was opened")
	}
}
