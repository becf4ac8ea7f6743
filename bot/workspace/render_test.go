package workspace_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// nasty are texts a person may write to do harm or by accident.
func nasty() []string {
	return []string{
		"<!channel>", "<!here|here>", "<!everyone>", "<@U1>", "<@" + fakeworkspace.Bot + ">", "<#C1|orders>", "<!subteam^S1>",
		"<!date^0^{date}|x>", "<https://evil.example|the maker's manual>", "https://evil.example/?a=1&b=2", "&lt;!channel&gt;", "&amp;", "a & b < c > d",
		"*bold* _it_ ~no~ `code` ```block```", "> quote", "- list", "1. list", ":fire: :tada:", "@channel @here", "[a](https://evil.example)", "**b**",
		"abc\u202Egnp.exe", "\u200F\u200Eabc", "z\u200Be\u2060r\uFEFFo", "שלום עולם", "مرحبا", "👩‍👩‍👧‍👦 🏳️‍🌈", "e\u0301\u0327\u0308", "\x00\x07\x1b[31mred", "\xff\xfe bad utf8",
		"\U000E0041\U000E0042", "tab\there", "line\u2028sep\u2029para", "\r\n\r\n", "", " ", "\n\n\n", "a|b|c", "日本語のテキスト", strings.Repeat("𝔘", 40),
	}
}

func nastyText(most int) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		parts := rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom(nasty()), rapid.StringN(0, 30, -1)), 0, 6).Draw(t, "parts")
		s := strings.Join(parts, rapid.SampledFrom([]string{"", " ", "\n"}).Draw(t, "joint"))
		if rapid.IntRange(0, 9).Draw(t, "long") == 0 {
			s = strings.Repeat(s+"x", 1+rapid.IntRange(1, max(2, most)).Draw(t, "length")/(len(s)+1))
		}
		return s
	})
}

func nastyTable() *rapid.Generator[reply.Table] {
	return rapid.Custom(func(t *rapid.T) reply.Table {
		columns := rapid.SampledFrom([]int{0, 1, 3, 5, 12, 20, 21, 40}).Draw(t, "columns")
		rows := rapid.SampledFrom([]int{0, 1, 4, 30, 99, 100, 101, 300}).Draw(t, "rows")
		cell := rapid.SampledFrom([]string{"", "12", "1,234.50", "black cotton tee", "<!channel>", "a\nb", "שלום", strings.Repeat("w", 200)})
		row := func() []string {
			n := columns
			if rapid.IntRange(0, 20).Draw(t, "ragged") == 0 {
				n = rapid.IntRange(0, columns+2).Draw(t, "cells")
			}
			out := make([]string, n)
			for i := range out {
				out[i] = cell.Draw(t, "cell")
			}
			return out
		}
		table := reply.Table{Title: nastyText(400).Draw(t, "title")}
		if rapid.Bool().Draw(t, "headed") {
			table.Header = row()
		}
		// A few different rows, repeated: drawing each cell would take long.
		some := [][]string{row(), row(), row()}
		for i := range rows {
			table.Rows = append(table.Rows, some[i%len(some)])
		}
		table.Right = make([]bool, rapid.IntRange(0, columns+1).Draw(t, "right"))
		for i := range table.Right {
			table.Right[i] = i%2 == 1
		}
		return table
	})
}

func nastyReply() *rapid.Generator[reply.Reply] {
	return rapid.Custom(func(t *rapid.T) reply.Reply {
		texts := func(name string, n, most int) []string {
			return rapid.SliceOfN(nastyText(most), 0, n).Draw(t, name)
		}
		r := reply.Reply{
			Outcome: reply.Answered, Topic: "help",
			Lines:       texts("lines", 8, 40000),
			Tables:      rapid.SliceOfN(nastyTable(), 0, 3).Draw(t, "tables"),
			Assumptions: texts("assumptions", 5, 3000),
			Suggestions: texts("suggestions", 5, 3000),
			Private:     texts("private", 3, 4000),
		}
		if rapid.IntRange(0, 4).Draw(t, "tiny tables") == 0 {
			for range rapid.IntRange(40, 70).Draw(t, "count") {
				r.Tables = append(r.Tables, reply.Table{Title: "t", Rows: [][]string{{"a"}}})
			}
		}
		if rapid.IntRange(0, 4).Draw(t, "filled table") == 0 {
			row := make([]string, 10)
			for i := range row {
				row[i] = "0123456789"
			}
			var table reply.Table
			for range rapid.IntRange(90, 110).Draw(t, "rows") { // 9,000 to 11,000 characters
				table.Rows = append(table.Rows, row)
			}
			table.Rows[0] = append([]string{strings.Repeat("w", rapid.IntRange(1, 1500).Draw(t, "wide"))}, row[1:]...)
			r.Lines, r.Tables = []string{"here"}, []reply.Table{table}
		}
		for i, text := range texts("cautions", 12, 4000) {
			r.Cautions = append(r.Cautions, reply.Caution{ID: fmt.Sprint(i), Text: text})
		}
		for i := range rapid.SampledFrom([]int{0, 1, 5, 25, 40}).Draw(t, "buttons") {
			r.Buttons = append(r.Buttons, reply.Button{
				Label: nastyText(200).Draw(t, "label"),
				Say:   fmt.Sprint(i, nastyText(2500).Draw(t, "say")),
			})
		}
		if rapid.IntRange(0, 4).Draw(t, "file") == 0 {
			r.Files = []reply.File{{Name: "a.png", Type: "image/png", Alt: "x" + nastyText(3000).Draw(t, "alt"), Draw: reply.Drawn([]byte("png"))}}
		}
		return r
	})
}

// Whatever the bot has to say, what goes out keeps every published limit and
// reaches nobody it should not. Random replies go out as direct messages, channel
// messages, commands, in the place of a progress line, and as notices.
func TestWhateverIsSaidKeepsTheLimits(t *testing.T) {
	var replies []reply.Reply
	rapid.Check(t, func(t *rapid.T) {
		replies = append(replies, nastyReply().Draw(t, "reply"))
	})
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		var i int
		fmt.Sscan(m.Text, &i)
		if i%4 == 3 {
			time.Sleep(3 * time.Second) // a progress line comes first
		}
		return replies[i]
	}
	adjust := func(c *workspace.Config) {
		c.Handler = workspace.HandlerFunc(handler)
		c.Owner = func(_, user string) bool { return user == "U0WNER" }
	}
	onBench(t, adjust, func(b *bench) {
		for i := range replies {
			user := []string{"U1", "U0WNER"}[i%2]
			text := fmt.Sprint(i)
			switch i % 3 {
			case 0:
				b.fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("C", i), User: user, Text: mention + text})
			case 1:
				b.fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("D", i), User: user, Text: text})
			case 2:
				b.fake.Command("C1", user, text)
			}
		}
		for i, r := range replies {
			if i%5 == 0 {
				p := workspace.Place{Team: fakeworkspace.Team, Channel: noticed, User: "U1"}
				if err := b.bot.Notify(b.Context(), p, fmt.Sprint(i), r, false); err != nil {
					t.Error(err)
				}
			}
		}
		b.pass(10 * time.Minute)
		notices := (len(replies) + 4) / 5
		if n := len(b.fake.Answers("")) + len(b.fake.Ephemerals()); n != len(replies)+notices {
			t.Errorf("%d answers and notices to %d questions and %d notices", n, len(replies), notices)
		}
		if n := len(b.fake.Calls("chat.update")); n == 0 && len(replies) > 10 {
			t.Error("no progress line was replaced, so this test saw no update")
		}
		checkAll(b)
	})
}

// Whatever the home tab has to show, and whatever is typed into the form, keeps
// the limits of a view.
func TestWhateverIsShownKeepsTheLimits(t *testing.T) {
	var homes []workspace.Home
	entry := rapid.Custom(func(t *rapid.T) workspace.Entry {
		e := workspace.Entry{Line: nastyText(4000).Draw(t, "line"), Detail: nastyText(4000).Draw(t, "detail")}
		for range rapid.SampledFrom([]int{0, 1, 3, 9, 30}).Draw(t, "buttons") {
			e.Buttons = append(e.Buttons, reply.Button{Label: nastyText(200).Draw(t, "label"), Say: nastyText(2500).Draw(t, "say")})
		}
		return e
	})
	rapid.Check(t, func(t *rapid.T) {
		homes = append(homes, workspace.Home{
			Board: rapid.SliceOfN(entry, 0, 40).Draw(t, "board"),
			Waits: rapid.SliceOfN(entry, 0, 40).Draw(t, "waits"),
			HowTo: rapid.SliceOfN(nastyText(4000), 0, 6).Draw(t, "how to ask"),
		})
	})
	home := func(_ context.Context, _, user string, _ bool) workspace.Home {
		var i int
		fmt.Sscanf(user, "U%d", &i)
		return homes[i]
	}
	onBench(t, func(c *workspace.Config) { c.Home = home }, func(b *bench) {
		for i, h := range homes {
			b.fake.OpenHome(fmt.Sprint("U", i))
			if len(h.HowTo) > 0 {
				b.fake.Interact(map[string]any{
					"type": "block_actions", "team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"}, "trigger_id": fmt.Sprint("t", i),
					"actions": []map[string]any{{"action_id": "field.what", "value": "x", "action_ts": fmt.Sprintf("1764081294.%06d", i)}},
					"view": map[string]any{"id": fmt.Sprint("V", i), "hash": "h", "callback_id": "order_form", "state": map[string]any{"values": map[string]any{
						"what": map[string]any{"field.what": map[string]any{"type": "plain_text_input", "value": strings.ToValidUTF8(strings.Join(h.HowTo, " "), "")}},
					}}},
				})
			}
			b.pass(time.Second)
		}
		published, updated := len(b.fake.Calls("views.publish")), len(b.fake.Calls("views.update"))
		if published != len(homes) || updated == 0 {
			t.Errorf("%d home tabs of %d drawn, %d forms checked", published, len(homes), updated)
		}
		checkAll(b)
	})
}

// What finds no room in a message is in the attached file: nothing is lost.
func TestLongAnswersGoOnInAFile(t *testing.T) {
	long := strings.Repeat("a line of forty characters, about that\n", 1025) // 40,000 characters
	handler := func(context.Context, workspace.Message) reply.Reply {
		return reply.Reply{
			Outcome: reply.Answered, Lines: []string{"the point", long, "the last line"},
			Cautions: []reply.Caution{{ID: "hot", Text: "the platen is hot"}},
			Buttons:  []reply.Button{{Label: "Why?", Say: "why?"}},
		}
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		b.fake.Write(fakeworkspace.Say{Channel: "C1", User: "U1", Text: mention + "all of it"})
		b.pass(time.Minute)
		checkAll(b)
		answer := b.fake.Answers("C1")[0]
		for _, part := range []string{"the point", "Careful: the platen is hot", `"Why?"`, "The whole answer is in answer.txt."} {
			if !strings.Contains(string(answer.Blocks), part) {
				t.Errorf("the message lacks %q", part)
			}
		}
		messages := b.fake.Messages("C1")
		last := messages[len(messages)-1]
		if len(last.Files) != 1 || last.Files[0].Name != "answer.txt" || !strings.Contains(string(last.Files[0].Data), "the last line") {
			t.Errorf("no file with the rest: %+v", last)
		}
	})
}

// Suggestions are a press away where an answer has no buttons of its own.
func TestSuggestionsBecomeButtons(t *testing.T) {
	long := strings.Repeat("long ", 20)
	handler := func(ctx context.Context, m workspace.Message) reply.Reply {
		r := echo(ctx, m)
		r.Suggestions = []string{"why?", "make it 48", long}
		return r
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		write(b, "D1", 1)
		b.pass(time.Second)
		checkAll(b)
		answer := b.fake.Answers("D1")[0]
		blocks := blocksOf(t, answer.Blocks)
		var labels []string
		for _, e := range blocks[len(blocks)-1]["elements"].([]any) {
			button := e.(map[string]any)
			labels = append(labels, button["value"].(string))
		}
		if diff := cmp.Diff([]string{"why?", "make it 48"}, labels); diff != "" {
			t.Error(diff)
		}
		if !strings.Contains(string(answer.Blocks), "Next: long") || !strings.Contains(answer.Text, "Next: why? · make it 48 · long") {
			t.Errorf("blocks %s\ntext %s", answer.Blocks, answer.Text)
		}
	})
}

// A table too large for a block is shown as far as a screen goes; a command's
// answer, which can carry no file, says where to get the whole.
func TestLargeTables(t *testing.T) {
	handler := func(context.Context, workspace.Message) reply.Reply {
		r := reply.Reply{Lines: []string{"the plan"}, Tables: []reply.Table{{Header: []string{"step"}}}}
		for i := range 130 {
			r.Tables[0].Rows = append(r.Tables[0].Rows, []string{fmt.Sprint("row ", i+1)})
		}
		return r
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "plan"})
		b.fake.Command("C1", "U1", "plan")
		b.pass(time.Minute)
		checkAll(b)
		messages := b.fake.Messages("D1")
		shown, file := string(messages[1].Blocks), messages[len(messages)-1].Files
		if !strings.Contains(shown, "row 39") || strings.Contains(shown, "row 41") || !strings.Contains(shown, "… 91 more rows") {
			t.Errorf("shows %s", shown)
		}
		if len(file) != 1 || !strings.Contains(string(file[0].Data), "row 130") {
			t.Errorf("file %+v", file)
		}
		if e := b.fake.Ephemerals()[0]; !strings.Contains(string(e.Blocks), "direct message for the whole answer") {
			t.Errorf("the command shows %s", e.Blocks)
		}
	})
}

// Hostile questions of all kinds go in; nothing harmful comes out.
func TestHostileQuestionsComeBackHarmless(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		want := 0
		for i, text := range append(nasty(), strings.Repeat("<!channel> ", 4000), strings.Repeat("x", 40000)) {
			b.fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("D", i), User: "U1", Text: strings.ToValidUTF8(text, "")})
			want++
		}
		b.pass(10 * time.Minute)
		if n := len(b.fake.Answers("")); n != want {
			t.Errorf("%d answers to %d messages", n, want)
		}
		checkAll(b)
	})
}

func TestLayout(t *testing.T) {
	handler := func(context.Context, workspace.Message) reply.Reply {
		return reply.Reply{
			Outcome: reply.Answered, Topic: "setting",
			Lines:       []string{"Press at 310 F (154 C) for 30 s.", "Peel it cold."},
			Tables:      []reply.Table{{Title: "Settings", Header: []string{"step", "time"}, Rows: [][]string{{"press", "30 s"}, {"finish", "20 s"}}, Right: []bool{false, true}}},
			Facts:       []reply.Fact{{Name: "press_time", Value: 30, Unit: "s"}},
			Cautions:    []reply.Caution{{ID: "hot", Text: "the platen is hot"}},
			Assumptions: []string{"cotton"},
			Suggestions: []string{"why?"},
			Buttons:     []reply.Button{{Label: "Start the Wait", Say: "start the wait"}},
			Note:        "secret detail",
		}
	}
	onBench(t, func(c *workspace.Config) { c.Handler = workspace.HandlerFunc(handler) }, func(b *bench) {
		b.fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: "settings"})
		b.pass(time.Second)
		checkAll(b)
		answer := b.fake.Answers("D1")[0]
		var kinds []string
		for _, block := range blocksOf(t, answer.Blocks) {
			kinds = append(kinds, block["type"].(string))
		}
		want := []string{"section", "section", "rich_text", "table", "section", "context", "context", "actions"}
		if diff := cmp.Diff(want, kinds); diff != "" {
			t.Error(diff)
		}
		wantText := "Press at 310 F (154 C) for 30 s.\nPeel it cold.\n\nSettings\nstep    time\npress   30 s\nfinish  20 s\n\nCareful: the platen is hot\n\nI took: cotton\n\nNext: why?"
		if diff := cmp.Diff(wantText, answer.Text); diff != "" {
			t.Error(diff)
		}
		if strings.Contains(answer.Text+string(answer.Blocks), "secret") {
			t.Error("operator detail shown")
		}
		var meta map[string]any
		if err := json.Unmarshal(answer.Metadata, &meta); err != nil || meta["event_type"] != "presshand_answer" {
			t.Errorf("metadata %s", answer.Metadata)
		}
	})
}
