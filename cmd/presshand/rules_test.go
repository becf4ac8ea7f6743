package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"presshand/bot"
	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
)

// ownedShop writes the example profile with an owner named in it.
func ownedShop(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../knowledge/shop/example.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const commented = "# owners: [U0123456789]"
	if !bytes.Contains(text, []byte(commented)) {
		t.Fatal("the example names its owners otherwise now")
	}
	path := filepath.Join(t.TempDir(), "shop.yaml")
	if err := os.WriteFile(path, bytes.Replace(text, []byte(commented), []byte("owners: [U0WNER]"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// A ruled shop is a house with a folder for its rules.
type ruled struct {
	*house
	t         *testing.T
	dir, data string
	now       time.Time
}

func ruledShop(t *testing.T) *ruled {
	r := &ruled{t: t, dir: t.TempDir(), data: t.TempDir(), now: time.Date(2026, 11, 25, 15, 0, 0, 0, time.UTC)}
	r.restart()
	return r
}

func (r *ruled) restart() {
	r.t.Helper()
	s := &session{ctx: context.Background(), flags: &commands{Data: r.data, Knowledge: r.dir, Shop: ownedShop(r.t)}, getenv: func(string) string { return "" }, streams: Streams{Out: io.Discard, Err: io.Discard}}
	h, err := s.open(bot.WithClock(func() time.Time { return r.now }))
	if err != nil {
		r.t.Fatal(err)
	}
	h.now = func() time.Time { return r.now }
	r.house = h
	r.t.Cleanup(s.close)
}

// say is said in a thread that owner and staff share, a minute after what was
// said before.
func (r *ruled) say(user, text string) reply.Reply {
	r.now = r.now.Add(time.Minute)
	return r.sayIn("T1/C1/100.1", user, text)
}

func (r *ruled) sayIn(conversation, user, text string) reply.Reply {
	return r.bot.Handle(context.Background(), bot.Message{Text: text, Conversation: conversation, User: "T1/" + user, Owner: user == "U0WNER", Shared: true, At: r.now})
}

// files lists the folder.
func (r *ruled) files() []string {
	entries, err := os.ReadDir(r.dir)
	if err != nil {
		r.t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func (r *ruled) wantFiles(n int) {
	r.t.Helper()
	if got := r.files(); len(got) != n {
		r.t.Errorf("the folder holds %v, want %d files", got, n)
	}
}

func wantLine(t *testing.T, r reply.Reply, parts ...string) {
	t.Helper()
	text := strings.Join(r.Lines, "\n")
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("%q is answered\n%s\nwant %q in it", r.Question, text, p)
		}
	}
}

// mug asks for the mug's setting in a talk of its own.
func (r *ruled) mug() string {
	return strings.Join(r.sayIn("T1/C2/elsewhere", "U1", "temp for mugs").Lines, "\n")
}

// The figures of recipes.yaml for mugs, from memory, and the shop's own.
const (
	mugBefore = "385 °F (196 °C) for 210 s, medium"
	mugAfter  = "390 °F (199 °C) for 200 s, medium"
)

func TestRuleHoldsAtOnceAndAfterARestart(t *testing.T) {
	r := ruledShop(t)
	shown := r.say("U0WNER", "for our mugs: 390 F 200 s medium")
	wantLine(t, shown, "390 °F (199 °C) instead of 385 °F (196 °C) (recalled from memory", "200 s instead of 210 s", "medium, as it is", "Save it")
	if shown.Outcome != reply.Asked || len(shown.Buttons) != 2 || r.mug() == mugAfter {
		t.Errorf("shown as %s with %v", shown.Outcome, shown.Buttons)
	}
	r.wantFiles(0)
	wantLine(t, r.say("U0WNER", "yes, because the glaze yellows"), "Saved as shop rule 1")
	for range 2 {
		if got := r.mug(); !strings.Contains(got, mugAfter) {
			t.Errorf("a mug is pressed\n%s\nwant %s", got, mugAfter)
		}
		r.restart()
	}
	for _, f := range r.sayIn("T1/C3/x", "U1", "temp for mugs").Facts {
		if f.Name == "press_temperature" && (f.Source.Kind != "shop" || f.Source.Cite != "shop rule 1") {
			t.Errorf("provenance is %+v", f.Source)
		}
	}
	data, err := os.ReadFile(filepath.Join(r.dir, "shop-rule-0001.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`by: "T1/U0WNER"`, `at: "2026-11-25T10:02:00-05:00"`, `why: "the glaze yellows"`, `said: "for our mugs: 390 F 200 s medium"`, "source: shop"} {
		if !strings.Contains(string(data), part) {
			t.Errorf("the file lacks %s:\n%s", part, data)
		}
	}
	wantLine(t, r.say("U0WNER", "for our mugs: 390 F 200 s"), "how it stands already")
}

func TestRuleIsUndone(t *testing.T) {
	r := ruledShop(t)
	save := func(text string) {
		r.say("U0WNER", text)
		wantLine(t, r.say("U0WNER", "yes"), "Saved as shop rule")
	}
	save("for our mugs: 390 F 200 s")
	wantLine(t, r.say("U0WNER", "undo that"), "Taken back: shop rule 1", "Now again: press 385 °F (196 °C), 210 s")
	if got := r.mug(); !strings.Contains(got, mugBefore) {
		t.Errorf("after the undo a mug is pressed\n%s", got)
	}
	wantLine(t, r.say("U0WNER", "undo that"), "Shop rule 1 holds again")
	if got := r.mug(); !strings.Contains(got, "390 °F") {
		t.Errorf("after the undo of the undo a mug is pressed\n%s", got)
	}
	save("pre-press hoodies 8 s")
	wantLine(t, r.say("U0WNER", "undo the mug rule"), "Taken back: shop rule 1")
	wantLine(t, r.say("U0WNER", "undo shop rule 1"), "was taken back already, by U0WNER")
	wantLine(t, r.say("U0WNER", "undo shop rule 99"), "There is no shop rule 99")
	r.restart()
	if got := r.mug(); !strings.Contains(got, mugBefore) {
		t.Errorf("after a restart a mug is pressed\n%s", got)
	}
	wantLine(t, r.say("U1", "shop rules"), "2 shop rules in all", "1: mug, sublimation", "taken back by U0WNER", "pre-press 8 s. U0WNER, today")
	r.wantFiles(5) // two rules, three times one was taken back or brought back: nothing is deleted
}

// A button under an earlier proposal must not save the one that is open, nor one
// that is no longer shown as it would be.
func TestStaleButtonShowsAgain(t *testing.T) {
	r := ruledShop(t)
	first := r.say("U0WNER", "for our mugs: 390 F")
	second := r.say("U0WNER", "for our mugs: 395 F")
	again := r.say("U0WNER", first.Buttons[0].Say)
	wantLine(t, again, "390 °F (199 °C) instead of 385 °F", "Save it")
	r.wantFiles(0)
	wantLine(t, r.say("U0WNER", second.Buttons[0].Say), "395 °F", "Save it")
	wantLine(t, r.say("U0WNER", second.Buttons[0].Say), "Saved as shop rule 1")
	wantLine(t, r.say("U0WNER", second.Buttons[0].Say), "how it stands already")
	r.wantFiles(1)
	r.say("U0WNER", "for our mugs: 398 F")
	r.say("U0WNER", "temp for tiles")
	r.say("U0WNER", "yes")
	r.wantFiles(1) // the talk had gone on
}

// A yes that is delivered again after a kill saves once.
func TestYesTwiceSavesOnce(t *testing.T) {
	r := ruledShop(t)
	const talk = "T1/C1/100.1"
	r.sayIn(talk, "U0WNER", "for our mugs: 390 F")
	before := r.store.Get(talk)
	r.sayIn(talk, "U0WNER", "yes")
	r.restart()
	r.store.Put(talk, before) // the memory had not been written
	wantLine(t, r.sayIn(talk, "U0WNER", "yes"), "Saved as shop rule 1")
	r.wantFiles(1)
}

// What contradicts a ceiling, the shop's presses or a caution is refused, with
// place and mend where a file would be at fault; nothing is written and nobody
// asked to agree.
func TestRuleRefused(t *testing.T) {
	r := ruledShop(t)
	for _, row := range []struct{ text, want string }{
		{"we press poly tees at 420", "above the ceiling of polyester"},
		{"we press poly tees at 420", "shop-rule-0001.yaml:"},
		{"we press poly tees at 420", "To mend it: lower it"},
		{"we press tees at 420", "above the ceiling of cotton"},
		{"our two-step press is 420", "name the fibre"},
		{"we press mugs at 500 F", "no press of the shop goes beyond 430 °F"},
		{"our sublimation peel wait is 8 min", "no such step"},
		{"cover sheet on poly: none", "needs that sheet"},
		{"cover sheet on poly: pvc film", "PVC is never pressed"},
		{"note for mugs: 2 wraps of paper", "bare figure"},
		{"for our jerseys: 280-290 F", "one figure"},
		{"we press tees and hoodies at 300", "One thing at a time"},
		{"we press cotton and poly at 300", "One thing at a time"},
		{"we press black tees at 300", "not by colour"},
		{"we press pvc banners at 300 F", "hydrogen chloride"},
	} {
		for _, user := range []string{"U0WNER", "U1"} {
			got := r.say(user, row.text)
			wantLine(t, got, row.want)
			if len(got.Buttons) > 0 {
				t.Errorf("%q of %s: asked to agree with %v", row.text, user, got.Buttons)
			}
		}
	}
	r.wantFiles(0)
	if open := r.say("U0WNER", "open requests"); len(open.Lines) != 1 || !strings.Contains(open.Lines[0], "No request") {
		t.Errorf("refused wishes are requests: %v", open.Lines)
	}
}

func TestRuleWithoutAFolder(t *testing.T) {
	r := ruledShop(t)
	r.say("U0WNER", "for our mugs: 390 F")
	if err := os.RemoveAll(r.dir); err != nil {
		t.Fatal(err)
	}
	wantLine(t, r.say("U0WNER", "yes"), "Nothing is saved: the shop's knowledge folder is gone")
	if got := r.mug(); !strings.Contains(got, mugBefore) {
		t.Errorf("a mug is pressed\n%s\nthough nothing was saved", got)
	}
	if got := strings.Join(r.say("U0WNER", "undo that").Lines, " "); strings.Contains(got, "aken back") || strings.Contains(got, "saved") {
		t.Errorf("undo after a save that failed: %s", got)
	}
	if err := os.Mkdir(r.dir, 0o700); err != nil {
		t.Fatal(err)
	}
	r.say("U0WNER", "for our mugs: 390 F")
	wantLine(t, r.say("U0WNER", "yes"), "Saved as shop rule 1")
	h := at(t, t.TempDir(), tenOClock)
	wantLine(t, say(h, true, false, "for our mugs: 390 F"), "start me with --knowledge and a folder")
}

// A rule that another program of the shop saved, or a hand wrote, holds from the
// next message on; a faulty file changes nothing.
func TestFolderChangedByOthers(t *testing.T) {
	r := ruledShop(t)
	mug := func() string {
		r.rules.look() // as the faces do before each message
		return r.mug()
	}
	other := &ruled{t: t, dir: r.dir, data: t.TempDir(), now: r.now}
	other.restart()
	other.say("U0WNER", "for our mugs: 390 F 200 s")
	wantLine(t, other.say("U0WNER", "yes"), "Saved as shop rule 1")
	if got := mug(); !strings.Contains(got, mugAfter) {
		t.Errorf("after another program's rule a mug is pressed\n%s", got)
	}
	byHand := filepath.Join(r.dir, "hand.yaml")
	if err := os.WriteFile(byHand, []byte("shop_rules: nonsense\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := mug(); !strings.Contains(got, mugAfter) {
		t.Errorf("with a faulty file a mug is pressed\n%s", got)
	}
	refused := r.say("U0WNER", "for our mugs: 395 F")
	wantLine(t, refused, "hand.yaml:1:13", "To mend it")
	if err := os.Remove(byHand); err != nil {
		t.Fatal(err)
	}
	r.say("U0WNER", "for our mugs: 395 F")
	wantLine(t, r.say("U0WNER", "yes"), "Saved as shop rule 2")
	if got := mug(); !strings.Contains(got, "395 °F") {
		t.Errorf("after the next rule a mug is pressed\n%s", got)
	}
}

// Dyed polyester bleeds: whatever the shop's rule for polyester, answers keep to
// the trade's lower figure there, and the owner is told so before agreeing.
func TestRuleForDyedPolyester(t *testing.T) {
	r := ruledShop(t)
	wantLine(t, r.say("U0WNER", "we press poly tees at 310"), "outside the range I know", "Mind: dyed polyester can bleed", "keep to that")
	wantLine(t, r.say("U0WNER", "yes"), "Saved as shop rule 1")
	wantLine(t, r.sayIn("T1/C4/1", "U1", "two-step settings for a black poly tee"), "285 °F (141 °C)")
	wantLine(t, r.sayIn("T1/C4/2", "U1", "two-step settings for a white poly tee"), "310 °F (154 °C)")
	if got := r.say("U0WNER", "we press poly tees at 290"); strings.Contains(strings.Join(got.Lines, "\n"), "bleed") {
		t.Errorf("warned of a figure the trade allows: %v", got.Lines)
	}
}

// Whoever is no owner asks: the wish is kept, an owner accepts or refuses it,
// and both stay after a restart.
func TestRequestsOfStaff(t *testing.T) {
	r := ruledShop(t)
	asked := r.say("U1", "for our mugs: 390 F 200 s because the glaze yellows")
	wantLine(t, asked, "390 °F (199 °C) instead of 385 °F", "Only an owner", "request 1")
	if len(asked.Buttons) > 0 {
		t.Errorf("staff is offered %v", asked.Buttons)
	}
	r.say("U1", "yes")
	r.wantFiles(0)
	r.restart()
	open := r.say("U0WNER", "open requests")
	wantLine(t, open, "Request 1, U1, today", "390 °F", "because the glaze yellows")
	if len(open.Buttons) != 2 {
		t.Errorf("an owner is offered %v", open.Buttons)
	}
	if len(r.say("U2", "open requests").Buttons) > 0 {
		t.Error("staff is offered to decide")
	}
	wantLine(t, r.say("U1", "accept request 1"), "Only an owner")
	wantLine(t, r.say("U2", "refuse request 1"), "Only an owner")
	r.wantFiles(0)
	wantLine(t, r.say("U0WNER", "accept request 1"), "shop rule 1 and holds")
	if got := r.mug(); !strings.Contains(got, mugAfter) {
		t.Errorf("a mug is pressed\n%s", got)
	}
	wantLine(t, r.say("U0WNER", "accept request 1"), "decided about that request before")
	wantLine(t, r.say("U1", "shop rules"), "U0WNER, today 10:", "for U1", "because the glaze yellows")
	wantLine(t, r.say("U1", "undo the mug rule"), "Only an owner", "request 2")
	wantLine(t, r.say("U1", "withdraw request 2"), "turned down")
	wantLine(t, r.say("U0WNER", "refuse request 2"), "decided about that request before")
	wantLine(t, r.say("U0WNER", "accept request 77"), "no such request")
	r.wantFiles(1)
}

// Killed between the rule's file and the note of the decision, an owner says it
// again, and there is still one rule.
func TestAcceptAfterAKill(t *testing.T) {
	r := ruledShop(t)
	r.say("U1", "for our mugs: 390 F")
	copyOf := filepath.Join(t.TempDir(), "before.db")
	if err := r.store.Backup(context.Background(), copyOf); err != nil {
		t.Fatal(err)
	}
	wantLine(t, r.say("U0WNER", "accept request 1"), "shop rule 1 and holds")
	r.data = t.TempDir()
	data, err := os.ReadFile(copyOf)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(r.data, "presshand.db"), data, 0o600); err != nil {
		t.Fatal(err)
	}
	r.restart()
	wantLine(t, r.say("U0WNER", "accept request 1"), "shop rule 1 and holds")
	r.wantFiles(1)
}

// Owners are told of a request in person, whoever asked of the decision, each
// once, also over a kill between the post and its record.
func TestRequestsAreTold(t *testing.T) {
	r := ruledShop(t)
	r.say("U1", "for our mugs: 390 F")
	log := slog.New(slog.DiscardHandler)
	out := &told{fail: errors.New("broke off")}
	newBell(r.house, out, log).tellRequests(context.Background())
	r.restart()
	out.fail = nil
	b := newBell(r.house, out, log)
	b.tellRequests(context.Background())
	b.tellRequests(context.Background())
	if len(out.places) != 2 || out.places[1].Channel != "U0WNER" || out.again[0] || !out.again[1] || out.keys[0] != out.keys[1] {
		t.Fatalf("told %+v, again %v, keys %v", out.places, out.again, out.keys)
	}
	if !strings.Contains(out.lines[1], "Request 1, U1") {
		t.Errorf("the owner reads %q", out.lines[1])
	}
	r.say("U0WNER", "accept request 1")
	b.tellRequests(context.Background())
	b.tellRequests(context.Background())
	if len(out.places) != 3 || out.places[2].Thread != "100.1" || out.places[2].User != "U1" || !strings.Contains(out.lines[2], "U0WNER accepted request 1") {
		t.Errorf("who asked is told %+v %q", out.places[2:], out.lines[2:])
	}
}

// While owners save and take back, every answer is from one base or from the
// other, never from a mix of both. Run with -race.
func TestAnswersDuringSaves(t *testing.T) {
	r := ruledShop(t)
	stop := make(chan struct{})
	var asking sync.WaitGroup
	const askers = 3
	for i := range askers {
		asking.Go(func() {
			for n := 0; ; n++ {
				select {
				case <-stop:
					return
				default:
				}
				got := strings.Join(r.sayIn(fmt.Sprintf("T1/C%d/%d", i, n), "U1", "temp for mugs").Lines, "\n")
				if !strings.Contains(got, mugBefore) && !strings.Contains(got, mugAfter) {
					t.Errorf("a mug is pressed\n%s", got)
					return
				}
			}
		})
	}
	const rounds = 4
	for n := range rounds {
		r.sayIn("T1/C9/1", "U0WNER", "for our mugs: 390 F 200 s")
		wantLine(t, r.sayIn("T1/C9/1", "U0WNER", "yes"), "Saved as shop rule")
		if got := r.mug(); !strings.Contains(got, mugAfter) {
			t.Errorf("round %d: a mug is pressed\n%s", n, got)
		}
		wantLine(t, r.sayIn("T1/C9/1", "U0WNER", "undo that"), "Taken back")
	}
	close(stop)
	asking.Wait()
}

// In the workspace: staff changes nothing by a mention, a direct message, a
// thread, a command, the form, a menu, or a forged click; the owner's own button
// does. A request reaches the owner with buttons, and they work.
func TestRulesInTheWorkspace(t *testing.T) {
	fake := fakeworkspace.Start()
	defer fake.Close()
	address, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	env := map[string]string{"SLACK_BOT_TOKEN": fakeworkspace.BotToken, "SLACK_APP_TOKEN": fakeworkspace.AppToken}
	dir := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ended := make(chan int, 1)
	log := &output{}
	go func() {
		ended <- Run(ctx, []string{"slack", "--api-url", "http://" + address + "/api/", "--data", t.TempDir(), "--knowledge", dir, "--shop", ownedShop(t)},
			func(name string) string { return env[name] }, Streams{In: strings.NewReader(""), Out: io.Discard, Err: log})
	}()
	waitUntil(t, "a connection", func() bool { return fake.Sockets() > 0 })
	const mention = "<@" + fakeworkspace.Bot + "> "
	answers := func(channel, part string) []fakeworkspace.Message {
		return slices.DeleteFunc(fake.Answers(channel), func(m fakeworkspace.Message) bool { return !strings.Contains(m.Text, part) })
	}
	whispers := func(part string) int {
		n := 0
		for _, e := range fake.Ephemerals() {
			if strings.Contains(e.Text, part) {
				n++
			}
		}
		return n
	}
	none := func(after string) {
		t.Helper()
		if entries, _ := os.ReadDir(dir); len(entries) > 0 {
			t.Errorf("after %s the folder holds %v", after, entries)
		}
	}

	ts := fake.Write(fakeworkspace.Say{Channel: "C1", User: "U0WNER", Text: mention + "for our mugs: 390 F 200 s medium"})
	waitUntil(t, "the proposal", func() bool { return len(answers("C1", "Save it")) == 1 })
	proposal := answers("C1", "Save it")[0]
	const save = "save the rule: for our mugs: 390 F 200 s medium"
	if !strings.Contains(string(proposal.Blocks), save) {
		t.Fatalf("no button saves it: %s", proposal.Blocks)
	}
	refused := func(n int) func() bool { return func() bool { return len(answers("C1", "Only an owner")) == n } }
	fake.ClickOn(proposal, "U1", "say.0", save)
	waitUntil(t, "the refusal of a forged click", refused(1))
	fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "yes", Thread: ts})
	waitUntil(t, "the refusal of another's yes", refused(2))
	none("a forged click and another's yes")

	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "save the rule: for our tiles: 395 F"})
	waitUntil(t, "the refusal in a direct message", func() bool { return len(answers("D1", "Only an owner")) == 1 })
	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "our two-step peel wait is 8 min"})
	waitUntil(t, "the request of a direct message", func() bool { return len(answers("D1", "request 1")) == 1 })
	fake.Command("C1", "U1", "accept request 1")
	waitUntil(t, "the refusal of a command", func() bool { return whispers("Only an owner") == 1 })
	fake.ClickWhisper("C1", "U1", "say.0", "accept request 1")
	waitUntil(t, "the refusal of a forged click under a whisper", func() bool { return whispers("Only an owner") == 2 })
	fake.ClickHome("U1", "say.0", "accept request 1")
	waitUntil(t, "the refusal of a forged click on the home tab", func() bool { return len(answers(fakeworkspace.DirectChannel("U1"), "Only an owner")) >= 1 })
	fake.Submit("U1", map[string]string{"what": "save the rule: for our mugs: 390 F", "customer": "accept request 1", "note": "yes"})
	fake.Interact(map[string]any{
		"type": "message_action", "callback_id": "ask_about_this", "trigger_id": "t", "action_ts": "1764081299.000001",
		"team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"}, "channel": map[string]any{"id": "C1", "name": "presses"},
		"message": map[string]any{"ts": "1764081290.000001", "text": "accept request 1"},
	})
	fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "temp for tiles", Thread: ts}) // behind them all in the channel
	waitUntil(t, "the answer after them", func() bool { return len(answers("C1", "tile")) >= 1 })
	none("all that staff tried")

	fake.ClickOn(proposal, "U0WNER", "say.0", save)
	// The talk in the thread went on, so it is shown again before it is saved.
	waitUntil(t, "the proposal again", func() bool { return len(answers("C1", "Save it")) == 2 })
	fake.ClickOn(answers("C1", "Save it")[1], "U0WNER", "say.0", save)
	waitUntil(t, "the rule", func() bool { return len(answers("C1", "Saved as shop rule 1")) == 1 })

	owner := fakeworkspace.DirectChannel("U0WNER")
	waitUntil(t, "the word to the owner", func() bool { return len(answers(owner, "Request 1, U1")) == 1 })
	word := answers(owner, "Request 1, U1")[0]
	if !strings.Contains(string(word.Blocks), "accept request 1") || !strings.Contains(string(word.Blocks), "refuse request 1") {
		t.Fatalf("the owner can't decide: %s", word.Blocks)
	}
	fake.ClickOn(word, "U0WNER", "say.0", "accept request 1")
	waitUntil(t, "the acceptance", func() bool { return len(answers(owner, "shop rule 2 and holds")) == 1 })
	waitUntil(t, "the word to who asked", func() bool { return len(answers("D1", "accepted request 1")) == 1 })
	fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "how long cool peel"})
	waitUntil(t, "the new wait", func() bool { return len(answers("D1", "Leave it about 8 min")) == 1 })
	if entries, _ := os.ReadDir(dir); len(entries) != 2 {
		t.Errorf("the folder holds %v, want two rules", entries)
	}
	stop()
	if code := <-ended; code != exitDone {
		t.Errorf("exit status %d\n%s", code, log)
	}
}
