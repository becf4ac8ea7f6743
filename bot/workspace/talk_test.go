package workspace_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

const mention = "<@" + fakeworkspace.Bot + "> "

func TestMentionIsAnsweredInItsThread(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "how long before I peel"})
		b.pass(time.Second)
		answers := b.fake.Answers("C1")
		if len(answers) != 1 {
			t.Fatalf("%d answers, want 1", len(answers))
		}
		if answers[0].Thread != ts || answers[0].Text != "re: how long before I peel" {
			t.Errorf("answer in thread %q says %q", answers[0].Thread, answers[0].Text)
		}
		m := b.asked()[0]
		if m.Kind != workspace.Mention || m.Thread != ts || m.Direct || !m.Shared || m.Team != fakeworkspace.Team || m.At.IsZero() || m.Key == "" {
			t.Errorf("message %+v", m)
		}
	})
}

func TestDirectMessageIsFlatUnlessInAThread(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "which method"})
		b.pass(time.Second)
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "and here", Thread: ts})
		b.pass(time.Second)
		var threads []string
		for _, a := range b.fake.Answers("D1") {
			threads = append(threads, a.Thread)
		}
		if diff := cmp.Diff([]string{"", ts}, threads); diff != "" {
			t.Error(diff)
		}
		if m := b.asked()[0]; m.Kind != workspace.Direct || !m.Direct || m.Shared {
			t.Errorf("message %+v", m)
		}
	})
}

func TestSlashCommandIsAnsweredToTheAskerOnly(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		id := b.fake.Command("C1", "U1", "which method")
		b.pass(time.Second)
		b.fake.Command("C1", "U1", "  ")
		b.pass(time.Second)
		var texts []string
		for _, e := range b.fake.Ephemerals() {
			texts = append(texts, e.Via+" "+e.Text)
		}
		if diff := cmp.Diff([]string{"response_url re: which method", "response_url re: help"}, texts); diff != "" {
			t.Error(diff)
		}
		if n := len(b.fake.Answers("")); n != 0 {
			t.Errorf("%d messages everyone sees", n)
		}
		for _, e := range b.fake.Envelopes() {
			if e.ID == id && e.Acked.IsZero() {
				t.Error("not acknowledged")
			}
		}
	})
}

func TestButtonsUnderAWhisperStayBetweenTheTwo(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Command("C1", "U1", "24 tees")
		b.pass(time.Second)
		b.fake.ClickWhisper("C1", "U1", "say.0", "make it 48")
		b.fake.Command("C1", "U2", "how hot")
		b.pass(time.Second)
		if n, seen := len(b.fake.Ephemerals()), len(b.fake.Answers("")); n != 3 || seen != 0 {
			t.Errorf("%d whispers, %d messages everyone sees", n, seen)
		}
		talks := map[string]string{}
		for _, m := range b.asked() {
			talks[m.Text] = m.Conversation()
		}
		if talks["24 tees"] != talks["make it 48"] || talks["24 tees"] == talks["how hot"] {
			t.Errorf("conversations %v", talks)
		}
	})
}

func TestFollowUpsNeedNoMentionWhereTheBotAnswered(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "first"})
		// Written before the answer to the first stands there.
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U2", Text: "second", Thread: ts})
		b.pass(2 * time.Second)
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "third", Thread: ts})
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "<@U2> can you look?", Thread: ts})
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "other thread", Thread: "1.000001"})
		b.fake.Write(fakeworkspace.Say{Channel: "C2", User: "U1", Text: "other channel", Thread: ts})
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "plain talk"})
		b.pass(10 * time.Second)
		if diff := cmp.Diff([]string{"first", "second", "third"}, lines(b.fake.Answers(""))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestThreadsAreKnownAfterARestart(t *testing.T) {
	threads := workspace.NewMemoryThreads()
	onBench(t, func(c *workspace.Config) { c.Threads = threads }, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "first"})
		b.pass(time.Second)
		if err := b.stop(); err != nil {
			t.Fatal(err)
		}
		b.start(func(c *workspace.Config) { c.Threads = threads })
		b.pass(time.Second)
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: "second", Thread: ts})
		b.pass(time.Second)
		if diff := cmp.Diff([]string{"first", "second"}, lines(b.fake.Answers("C1"))); diff != "" {
			t.Error(diff)
		}
	})
}

func TestTheBotLeavesOtherTalkAlone(t *testing.T) {
	rows := []struct {
		name string
		say  fakeworkspace.Say
	}{
		{"its own message", fakeworkspace.Say{Channel: "D1", User: fakeworkspace.Bot, Text: "re: hello"}},
		{"another bot", fakeworkspace.Say{Channel: "C1", User: "U9", Bot: "B9", Text: mention + "hello"}},
		{"an edited message", fakeworkspace.Say{Channel: "C1", User: "U1", Edited: true, Text: mention + "hello"}},
		{"a change notice", fakeworkspace.Say{Channel: "D1", User: "U1", Subtype: "message_changed", Text: "hello"}},
		{"a deletion notice", fakeworkspace.Say{Channel: "D1", User: "U1", Subtype: "message_deleted", Text: "hello"}},
		{"someone joining", fakeworkspace.Say{Channel: "C1", User: "U1", Subtype: "channel_join", Text: mention + "joined"}},
		{"talk in a channel", fakeworkspace.Say{Channel: "C1", User: "U1", Text: "lunch?"}},
		{"a mention of somebody else", fakeworkspace.Say{Channel: "C1", User: "U1", Text: "<@U2> lunch?"}},
		{"nobody's message", fakeworkspace.Say{Channel: "D1", User: "", Text: "hello"}},
	}
	onBench(t, nil, func(b *bench) {
		for _, row := range rows {
			b.fake.Write(row.say)
			b.pass(10 * time.Second)
			if n := len(b.asked()); n != 0 {
				t.Fatalf("%s: asked %+v", row.name, b.asked())
			}
		}
		for _, e := range b.fake.Envelopes() {
			if e.Acked.IsZero() {
				t.Errorf("not acknowledged: %s", e.Payload)
			}
		}
	})
}

func TestIncomingText(t *testing.T) {
	rows := []struct{ wire, want string }{
		{mention + "how hot", "how hot"},
		{"hey <@" + fakeworkspace.Bot + "|presshand> how hot", "hey   how hot"},
		{mention + "ask <@U2|ann> and <@U3>", "ask @ann and @U3"},
		{mention + "40 &lt; 50 &amp;&amp; x &gt; y", "40 < 50 && x > y"},
		{mention + "&amp;lt;b&amp;gt;", "&lt;b&gt;"},
		{mention + "see <https://alder.example/a?b=1&amp;c=2|alder.example>", "see alder.example"},
		{mention + "see <https://alder.example/a?b=1&amp;c=2>", "see https://alder.example/a?b=1&c=2"},
		{mention + "write <mailto:ann@alder.example>", "write ann@alder.example"},
		{mention + "in <#C2|orders> and <#C3>", "in #orders and #C3"},
		{mention + "<!here> <!channel|channel> <!subteam^S1|@press> <!subteam^S2>", "@here @channel @press @subteam"},
		{mention + "due <!date^1764081294^{date}|Dec 3>", "due @Dec 3"},
		{mention + "a\u202Eb\u200Bc\x07d\u2066e", "abcde"},
		{mention + "two\r\nlines\tand a tab", "two\nlines and a tab"},
		{mention, "help"},
	}
	onBench(t, nil, func(b *bench) {
		for i, row := range rows {
			b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: row.wire})
			b.pass(10 * time.Second)
			got := b.asked()
			if len(got) != i+1 {
				t.Fatalf("%q: asked %d times, want %d", row.wire, len(got), i+1)
			}
			if got[i].Text != row.want {
				t.Errorf("%q reads as %q, want %q", row.wire, got[i].Text, row.want)
			}
		}
	})
}

func TestButtonSaysItsSentence(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Buttons = []reply.Button{{Label: "Show the sheets", Say: "show the sheets of order 12"}}
		return r
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		ts := b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "order"})
		b.pass(time.Second)
		answer := b.fake.Answers("C1")[0]
		blocks := blocksOf(t, answer.Blocks)
		button := blocks[len(blocks)-1]["elements"].([]any)[0].(map[string]any)
		b.fake.ClickOn(answer, "U2", button["action_id"].(string), button["value"].(string))
		b.pass(time.Second)
		answers := b.fake.Answers("C1")
		if len(answers) != 2 || answers[1].Thread != ts || answers[1].Text != "re: show the sheets of order 12" {
			t.Fatalf("answers %+v", answers)
		}
		m := b.asked()[1]
		if m.Kind != workspace.Click || m.User != "U2" || m.Thread != ts {
			t.Errorf("message %+v", m)
		}
		// A direct channel stays flat.
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "order"})
		b.pass(time.Second)
		b.fake.ClickOn(b.fake.Answers("D1")[0], "U1", "say.0", "again")
		b.pass(time.Second)
		if last := b.fake.Answers("D1")[1]; last.Thread != "" {
			t.Errorf("click in a direct channel answered in thread %q", last.Thread)
		}
		b.fake.ClickHome("U1", "say.1", "what's late")
		b.pass(time.Second)
		if last := b.fake.Answers("D1"); len(last) != 3 || last[2].Text != "re: what's late" {
			t.Errorf("click in the home tab answered with %+v", last)
		}
	})
}

func TestMessageMenuAsksAboutThatMessage(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Interact(map[string]any{
			"type": "message_action", "callback_id": "ask_about_this", "action_ts": "1764081294.000001",
			"team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"},
			"channel": map[string]any{"id": "C1", "name": "presses"},
			"message": map[string]any{"ts": "1764081290.000001", "thread_ts": "1764081200.000001", "text": "my print cracks"},
		})
		b.pass(time.Second)
		answers := b.fake.Answers("C1")
		if len(answers) != 1 || answers[0].Thread != "1764081200.000001" || answers[0].Text != "re: my print cracks" {
			t.Errorf("answers %+v", answers)
		}
	})
}

func TestPrivateLinesReachOnlyAnOwnerAlone(t *testing.T) {
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Private = []string{"margin 45 %"}
		return r
	}
	owner := func(_, user string) bool { return user == "U0WNER" }
	onBench(t, func(c *workspace.Config) { c.Handler, c.Owner = workspace.HandlerFunc(handler), owner }, func(b *bench) {
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "quote"})
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U0WNER", Text: mention + "quote"})
		b.fake.Command("C1", "U0WNER", "quote")
		b.fake.Command("D1", "U1", "quote")
		b.pass(time.Second)
		for _, m := range b.fake.Answers("") {
			if strings.Contains(m.Text+string(m.Blocks), "margin") {
				t.Errorf("margin shown in %s", m.Channel)
			}
		}
		for _, e := range b.fake.Ephemerals() {
			if strings.Contains(e.Text+string(e.Blocks), "margin") {
				t.Error("margin shown by a command")
			}
		}
		b.fake.Write(fakeworkspace.Say{Channel: "D0WNER", User: "U0WNER", Text: "quote"})
		b.pass(time.Second)
		if own := b.fake.Answers("D0WNER"); len(own) != 1 || !strings.Contains(own[0].Text, "margin 45 %") {
			t.Errorf("the owner reads %+v", own)
		}
	})
}
