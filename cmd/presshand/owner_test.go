package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/store"
)

// wishes are what somebody who is no owner may try: to see costs, to change
// prices and facts.
func wishes() []string {
	return []string{
		"what does order 1 cost us", "what is the margin on order 1", "our profit on order 1", "show the workings of order 1",
		"set the margin to 10 %", "order 1 now costs 5 dollars", "for our mugs: 390 F 200 s medium", "save it", "yes",
	}
}

// Whoever is not named as owner sees no cost and changes no price and no fact,
// by any way in: mention, direct message, thread, command, menu, form, the home
// tab's buttons, a button that was never there, the owner's own buttons, a
// payload that claims to be an owner's, and an owner's user id in another
// workspace.
func TestNoWayInMakesAnOwner(t *testing.T) {
	fake := fakeworkspace.Start()
	defer fake.Close()
	address, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	data, rules, profile := t.TempDir(), t.TempDir(), ownedShop(t)
	before, err := os.ReadFile(profile)
	if err != nil {
		t.Fatal(err)
	}
	env := map[string]string{"SLACK_BOT_TOKEN": fakeworkspace.BotToken, "SLACK_APP_TOKEN": fakeworkspace.AppToken}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan int, 1)
	go func() {
		ended <- Run(ctx, []string{"slack", "--api-url", "http://" + address + "/api/", "--data", data, "--knowledge", rules, "--shop", profile},
			func(name string) string { return env[name] }, Streams{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard})
	}()
	defer func() {
		stop()
		<-ended
	}()
	waitUntil(t, "a connection", func() bool { return fake.Sockets() > 0 })

	// What only the owner sees, in their direct channel.
	fake.Write(fakeworkspace.Say{Channel: "D0WNER", User: "U0WNER", Text: "24 black cotton tees, 9x7 front"})
	waitUntil(t, "the quote", func() bool { return len(fake.Answers("D0WNER")) == 1 })
	quote := fake.Answers("D0WNER")[0]
	told := regexp.MustCompile(`For you only: cost ([\d.]+), profit ([\d.]+)`).FindStringSubmatch(quote.Text)
	if told == nil {
		t.Fatalf("the owner sees no cost, so this test would see nothing:\n%s", quote.Text)
	}

	tries := forged(fake, quote)
	want := len(fake.Answers("")) + len(fake.Ephemerals())
	for _, try := range tries {
		for _, wish := range wishes() {
			try(wish)
		}
		want += len(wishes())
		waitUntil(t, "the answers", func() bool { return len(fake.Answers(""))+len(fake.Ephemerals()) >= want })
	}
	secret := regexp.MustCompile(`For you only|` + regexp.QuoteMeta(told[1]) + `|` + regexp.QuoteMeta(told[2]))
	seen := 0
	look := func(where, text string) {
		seen++
		if m := secret.FindString(text); m != "" {
			t.Errorf("%s shows %q:\n%s", where, m, text)
		}
	}
	for _, m := range fake.Messages("") {
		if m.TS != quote.TS {
			look(m.Channel, m.Text+string(m.Blocks))
		}
	}
	for _, e := range fake.Ephemerals() {
		look("an answer for one user", e.Text+string(e.Blocks))
	}
	fake.OpenHome("U1")
	waitUntil(t, "the home tab", func() bool { return len(fake.Views()) > 0 })
	for _, v := range fake.Views() {
		look("a view of "+v.User, string(v.View))
	}
	if after, err := os.ReadFile(profile); err != nil || string(after) != string(before) {
		t.Errorf("the profile changed, %v", err)
	}
	if files, err := os.ReadDir(rules); err != nil || len(files) > 0 {
		t.Errorf("rules were saved: %v, %v", files, err)
	}
	s, err := store.Open(context.Background(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	k, err := s.Order(context.Background(), 1)
	if err != nil || !strings.Contains(quote.Text, k.Total) {
		t.Errorf("order 1 costs %s now, %v; it was quoted as\n%s", k.Total, err, quote.Text)
	}
	t.Logf("%d ways in, %d messages and views looked through", len(tries), seen)
}

// forged are the ways in; each passes one wish.
func forged(fake *fakeworkspace.Server, owners fakeworkspace.Message) []func(wish string) {
	n := 0
	next := func(prefix string) string {
		n++
		return fmt.Sprint(prefix, 100+n)
	}
	thread := fake.Write(fakeworkspace.Say{Channel: "C9", User: "U1", Text: toTheBot + "hello"})
	click := func(user map[string]any, extra map[string]any) func(string) {
		return func(wish string) {
			channel := next("D")
			payload := map[string]any{
				"type": "block_actions", "team": map[string]any{"id": fakeworkspace.Team}, "user": user,
				"channel":   map[string]any{"id": channel, "name": "directmessage"},
				"container": map[string]any{"type": "message", "channel_id": channel, "message_ts": "1764081290.000001"},
				"actions":   []map[string]any{{"type": "button", "action_id": "say.0", "value": wish, "action_ts": next("1764081294.000")}},
			}
			for name, v := range extra {
				payload[name] = v
			}
			fake.Interact(payload)
		}
	}
	return []func(string){
		func(wish string) { fake.Write(fakeworkspace.Say{Channel: next("D"), User: "U1", Text: wish}) },
		func(wish string) {
			fake.Write(fakeworkspace.Say{Channel: next("C"), User: "U1", Text: toTheBot + wish})
		},
		func(wish string) {
			fake.Write(fakeworkspace.Say{Channel: "C9", User: "U1", Text: wish, Thread: thread}) // a follow-up
		},
		func(wish string) { fake.Command(next("C"), "U1", wish) },
		func(wish string) { fake.Command(next("D"), "U1", wish) },
		func(wish string) { fake.ClickHome(next("U"), "say.1", wish) },
		func(wish string) { fake.ClickOn(owners, "U1", "say.0", wish) }, // the owner's own message
		func(wish string) { fake.ClickWhisper("C1", "U1", "say.0", wish) },
		func(wish string) {
			fake.Submit(next("U"), map[string]string{"what": "tees; " + wish, "sizes": "24", "due": "", "note": wish})
		},
		func(wish string) {
			fake.Interact(map[string]any{
				"type": "message_action", "callback_id": "ask_about_this", "action_ts": next("1764081295.000"),
				"team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"},
				"channel": map[string]any{"id": next("D"), "name": "directmessage"},
				"message": map[string]any{"ts": "1764081290.000001", "text": wish, "user": "U0WNER"},
			})
		},
		// Claims that no code may believe.
		click(map[string]any{"id": "U1", "name": "U0WNER", "username": "U0WNER", "is_owner": true, "is_admin": true}, map[string]any{"owner": true, "user_id": "U0WNER"}),
		click(map[string]any{"id": "U1"}, map[string]any{"view": map[string]any{"private_metadata": "U0WNER"}, "enterprise": map[string]any{"id": "U0WNER"}}),
		// An owner's id in another workspace.
		click(map[string]any{"id": "U0WNER", "team_id": "T0OTHER"}, map[string]any{"team": map[string]any{"id": "T0OTHER"}}),
		func(wish string) {
			id, ts, channel := next("env-other-"), next("1764081296.000"), next("D")
			fake.Track(id, "events_api")
			fake.Frame(fmt.Sprintf(`{"envelope_id":%q,"type":"events_api","accepts_response_payload":false,"payload":{"type":"event_callback","team_id":"T0OTHER","event_id":%q,"event_time":%d,
				"event":{"type":"message","channel":%q,"channel_type":"im","user":"U0WNER","text":%q,"ts":%q,"event_ts":%q}}}`, id, next("EvOther"), time.Now().Unix(), channel, wish, ts, ts))
		},
	}
}
