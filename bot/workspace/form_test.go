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

func TestOrderFormText(t *testing.T) {
	rows := []struct {
		form workspace.OrderForm
		want string
	}{
		{workspace.OrderForm{What: "black cotton tees", Sizes: "24"}, "24 black cotton tees"},
		{workspace.OrderForm{What: "black tees", Sizes: "S 4 M 10 L 8"}, "black tees S 4 M 10 L 8"},
		{
			workspace.OrderForm{What: "black tees", Sizes: "24", Prints: "9x7 front", For: "village choir", Due: "2026-12-03", Note: "names differ"},
			"24 black tees, 9x7 front, for village choir, by Dec 3, note: names differ",
		},
	}
	for _, row := range rows {
		if got := row.form.Text(); got != row.want {
			t.Errorf("%+v reads %q, want %q", row.form, got, row.want)
		}
	}
}

func TestOrderFormCheck(t *testing.T) {
	rows := []struct {
		name string
		form workspace.OrderForm
		want []string
	}{
		{"all well", workspace.OrderForm{What: "tees", Sizes: "24", Due: "2026-12-03"}, nil},
		{"everything wrong is told at once", workspace.OrderForm{Due: "soon"}, []string{"due", "sizes", "what"}},
		{"no number", workspace.OrderForm{What: "tees", Sizes: "a few"}, []string{"sizes"}},
		{"nought", workspace.OrderForm{What: "tees", Sizes: "0"}, []string{"sizes"}},
		{"less than nought", workspace.OrderForm{What: "tees", Sizes: "-5"}, []string{"sizes"}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			var got []string
			for _, field := range []string{"due", "for", "note", "prints", "sizes", "what"} {
				if row.form.Check()[field] != "" {
					got = append(got, field)
				}
			}
			if diff := cmp.Diff(row.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestFormOpensChecksAndIsTaken(t *testing.T) {
	onBench(t, nil, func(b *bench) {
		b.fake.Interact(map[string]any{"type": "shortcut", "callback_id": "new_order", "trigger_id": "t1", "action_ts": "1.1", "team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"}})
		b.fake.ClickHome("U1", "order.new", "new")
		b.pass(100 * time.Millisecond)
		views := b.fake.Views()
		if len(views) != 2 || views[0].Method != "views.open" || views[0].Trigger == "" {
			t.Fatalf("views %+v", views)
		}
		b.fake.Interact(map[string]any{
			"type": "block_actions", "team": map[string]any{"id": fakeworkspace.Team}, "user": map[string]any{"id": "U1"},
			"actions": []any{map[string]any{"action_id": "field.sizes", "action_ts": "1764081294.2", "value": "none"}},
			"view": map[string]any{"id": "V7", "hash": "h7", "callback_id": "order_form", "state": map[string]any{"values": map[string]any{
				"what":  map[string]any{"field.what": map[string]any{"value": "black tees"}},
				"sizes": map[string]any{"field.sizes": map[string]any{"value": "none"}},
			}}},
		})
		b.pass(time.Second)
		views = b.fake.Views()
		last := views[len(views)-1]
		if last.Method != "views.update" || last.ID != "V7" || last.Hash != "h7" || !strings.Contains(string(last.View), "Give a number of pieces") {
			t.Errorf("check shows %+v", last)
		}
		bad := b.fake.Submit("U1", map[string]string{"what": "tees", "sizes": "-3"})
		good := b.fake.Submit("U1", map[string]string{"what": "black tees", "sizes": "24", "due": "2026-12-03", "for": "<!channel> & choir"})
		b.pass(time.Second)
		for _, e := range b.fake.Envelopes() {
			switch e.ID {
			case bad:
				if !strings.Contains(string(e.Answer), `"errors"`) || !strings.Contains(string(e.Answer), "minus sign") {
					t.Errorf("bad form acknowledged with %s", e.Answer)
				}
			case good:
				if e.Acked.IsZero() || len(e.Answer) > 4 {
					t.Errorf("good form acknowledged with %q", e.Answer)
				}
			}
		}
		answers := b.fake.Answers(fakeworkspace.DirectChannel("U1"))
		if diff := cmp.Diff([]string{"24 black tees, for &lt;!channel&gt; &amp; choir, by Dec 3"}, lines(answers)); diff != "" {
			t.Error(diff)
		}
		m := b.asked()[0]
		if m.Kind != workspace.Form || m.User != "U1" || !m.Direct {
			t.Errorf("message %+v", m)
		}
		checkAll(b)
	})
}

func TestHomeTab(t *testing.T) {
	many := make([]workspace.Entry, 40)
	for i := range many {
		many[i] = workspace.Entry{
			Line: strings.Repeat("long ", 100) + "<!channel>", Detail: strings.Repeat("d", 500),
			Buttons: []reply.Button{{Label: "Start the Wait", Say: "start the wait of order 12"}, {Label: strings.Repeat("x", 100), Say: "x"}},
		}
	}
	rows := []struct {
		name string
		home workspace.Home
		want []string
	}{
		{"nothing to show", workspace.Home{}, []string{"No orders for today", "No wait is running", "How to ask"}},
		{"a day's work", workspace.Home{
			Board: []workspace.Entry{{Line: "Order 12, village choir: 24 tees", Detail: "promised for 3 pm"}},
			Waits: []workspace.Entry{{Line: "Cool peel, order 12", Buttons: []reply.Button{{Label: "Stop", Say: "stop the wait of order 12"}}}},
			HowTo: []string{"how hot for mugs"},
		}, []string{"Order 12, village choir", "promised for 3 pm", "Cool peel", "how hot for mugs"}},
		{"far too much", workspace.Home{Board: many, Waits: many, HowTo: []string{strings.Repeat("y", 9000)}}, []string{"more; ask: what's on the board", "Waits under way", "How to ask", "New Order"}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			home := func(_ context.Context, team, user string, owner bool) workspace.Home {
				if team != fakeworkspace.Team || user != "U0WNER" || !owner {
					t.Errorf("home of %s %s %v", team, user, owner)
				}
				return row.home
			}
			adjust := func(c *workspace.Config) {
				c.Home, c.Owner = home, func(_, user string) bool { return user == "U0WNER" }
			}
			onBench(t, adjust, func(b *bench) {
				b.fake.Fail(fakeworkspace.Fault{Method: "views.publish", Status: 503})
				b.fake.OpenHome("U0WNER")
				b.fake.Event(map[string]any{"type": "app_home_opened", "user": "U0WNER", "tab": "messages"})
				b.pass(10 * time.Second)
				views := b.fake.Views()
				if len(views) != 1 || views[0].Method != "views.publish" || views[0].User != "U0WNER" {
					t.Fatalf("views %+v", views)
				}
				for _, part := range row.want {
					if !strings.Contains(string(views[0].View), part) {
						t.Errorf("lacks %q", part)
					}
				}
				checkAll(b)
			})
		})
	}
}
