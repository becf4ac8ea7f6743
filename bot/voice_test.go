package bot_test

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/bot"
	desks "presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// speaking is a bot with the built-in base.
func speaking(t *testing.T, options ...bot.Option) *bot.Bot {
	t.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	profile := shop.Example()
	desk, err := desks.New(base, profile)
	if err != nil {
		t.Fatal(err)
	}
	return bot.New(base, profile, desk, options...)
}

func say(b *bot.Bot, user, text string) reply.Reply {
	return b.Handle(context.Background(), bot.Message{Text: text, User: user, Conversation: "talk of " + user})
}

func TestLanguageIsTheUsersOwn(t *testing.T) {
	b := speaking(t)
	const question = "how long before I peel"
	english := say(b, "ana", question)
	say(b, "ana", "in spanish please")
	spanish := say(b, "ana", question)
	if want := "Espera unos 10 min, hasta que la hoja se sienta fría; después despega."; spanish.Lines[0] != want {
		t.Errorf("after choosing Spanish: %q, want %q", spanish.Lines[0], want)
	}
	if d := cmp.Diff(english.Facts, spanish.Facts); d != "" {
		t.Errorf("the facts differ by language:\n%s", d)
	}
	if !strings.HasPrefix(spanish.Cautions[0].Text, "La plancha") && spanish.Cautions[0].Text == english.Cautions[0].Text {
		t.Errorf("a caution stayed English: %q", spanish.Cautions[0].Text)
	}
	if got := say(b, "ben", question); got.Lines[0] != english.Lines[0] {
		t.Errorf("another user got %q", got.Lines[0])
	}
	say(b, "ana", "english from now on")
	if got := say(b, "ana", "cuánto tiempo dejo enfriar antes de despegar"); got.Lines[0] != english.Lines[0] {
		t.Errorf("a Spanish question after choosing English: %q, want %q", got.Lines[0], english.Lines[0])
	}
	say(b, "ana", "answer in the language i write in")
	if got := say(b, "ana", "cuánto tiempo dejo enfriar antes de despegar"); got.Lines[0] != spanish.Lines[0] {
		t.Errorf("a Spanish question answered in its own language: %q", got.Lines[0])
	}
}

func TestLevels(t *testing.T) {
	b := speaking(t)
	const question = "what temp to press a black cotton tee with two-step transfer"
	plain := say(b, "ana", question)
	say(b, "ana", "explain like I'm new")
	taught := say(b, "ana", question)
	if len(taught.Lines) <= len(plain.Lines) || !cmp.Equal(taught.Lines[:len(plain.Lines)], plain.Lines) {
		t.Errorf("someone new got\n%q, plain is\n%q", taught.Lines, plain.Lines)
	}
	if got, want := taught.Lines[len(plain.Lines)], "Marry: pressing printed sheet and adhesive sheet together, so that glue stays on the toner."; got != want {
		t.Errorf("the first term explained: %q, want %q", got, want)
	}
	say(b, "ana", "responde en español")
	if got, want := say(b, "ana", question).Text(), "\nCasar las hojas: prensar juntas la hoja impresa y la adhesiva, para que el pegamento quede en el tóner.\n"; !strings.Contains(got, want) {
		t.Errorf("in Spanish: %s\nwant %s", got, want)
	}
	say(b, "ana", "english from now on, and keep it short")
	if got := say(b, "ana", question); len(got.Suggestions) > 0 || !cmp.Equal(got.Lines, plain.Lines) || !cmp.Equal(got.Cautions, plain.Cautions) {
		t.Errorf("short: %q, %q", got.Lines, got.Suggestions)
	}
	say(b, "ana", "talk normal")
	if got := say(b, "ana", question); !cmp.Equal(got.Lines, plain.Lines) || !cmp.Equal(got.Suggestions, plain.Suggestions) {
		t.Errorf("normal again: %q, %q", got.Lines, got.Suggestions)
	}
}

// A choice leaves an open question of the bot's open.
func TestChoosingKeepsTheOpenQuestion(t *testing.T) {
	b := speaking(t)
	if r := say(b, "ana", "can i sublimate a hoodie"); r.Outcome != reply.Asked {
		t.Fatalf("the bot asked nothing: %q", r.Lines)
	}
	say(b, "ana", "responde en español")
	if r := say(b, "ana", "white polyester"); r.Outcome != reply.Answered || !strings.HasPrefix(r.Lines[0], "Sí") {
		t.Errorf("got %s: %q", r.Outcome, r.Lines)
	}
}
