package bot_test

import (
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	desks "presshand/bot/answer"
	"presshand/bot/bottest/questions"
	"presshand/bot/listen"
	"presshand/bot/rephrase"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// The language chosen changes how an answer is said, never what is true: each
// tune question, understood once, is answered in both.
func TestLanguageChangesNoFact(t *testing.T) {
	_, cases := open(t)
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	profile := shop.Example()
	desk, err := desks.New(base, profile)
	if err != nil {
		t.Fatal(err)
	}
	listener := listen.New(base, profile)
	tried, said := 0, 0
	for i, c := range cases {
		if c.Set != questions.Tune || len(c.After) > 0 || i%questions.Every != 0 {
			continue
		}
		tried++
		ask := listener.Listen(c.Ask, listen.Memory{}, questions.Now).Asks[0]
		in := func(lang string) reply.Reply {
			ask := ask
			ask.Lang = lang
			return desk.Answer(t.Context(), ask, desks.Turn{Now: questions.Now})
		}
		en, es := in(rephrase.English), in(rephrase.Spanish)
		if en.Outcome != es.Outcome || en.Topic != es.Topic {
			t.Errorf("%q: %s/%s in English, %s/%s in Spanish", c.Ask, en.Outcome, en.Topic, es.Outcome, es.Topic)
		}
		if d := cmp.Diff(en.Facts, es.Facts); d != "" {
			t.Errorf("%q: the facts differ:\n%s", c.Ask, d)
		}
		var ids [2][]string
		for i, r := range []reply.Reply{en, es} {
			for _, k := range r.Cautions {
				ids[i] = append(ids[i], k.ID)
			}
			if !utf8.ValidString(r.Full()) {
				t.Errorf("%q: a letter is cut apart: %q", c.Ask, r.Full())
			}
		}
		if d := cmp.Diff(ids[0], ids[1]); d != "" {
			t.Errorf("%q: the cautions differ:\n%s", c.Ask, d)
		}
		if !cmp.Equal(en.Lines, es.Lines) {
			said++
		}
	}
	t.Logf("%d questions, %d answered in other words", tried, said)
	if tried < 200/questions.Every || said < tried/2 {
		t.Errorf("only %d of %d answers were said in Spanish", said, tried)
	}
}
