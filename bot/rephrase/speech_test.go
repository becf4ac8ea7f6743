package rephrase_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/bottest/questions"
	"presshand/bot/rephrase"
)

func TestChoose(t *testing.T) {
	s := rephrase.NewSpeech(load(t))
	english, spanish := rephrase.Voice{Lang: rephrase.English}, rephrase.Voice{Lang: rephrase.Spanish}
	newHire, brief := rephrase.Voice{Level: rephrase.NewHire}, rephrase.Voice{Level: rephrase.Brief}
	const (
		inEnglish, inSpanish = "All right: English from now on.", "De acuerdo: de ahora en adelante, en español."
		explains, short      = "All right: I explain the terms as we go.", "All right: I keep it short."
	)
	rows := []struct {
		text  string
		was   rephrase.Voice
		now   rephrase.Voice
		lines []string
	}{
		{"in spanish please", rephrase.Voice{}, spanish, []string{inSpanish}},
		{"responde en español", rephrase.Voice{}, spanish, []string{inSpanish}},
		{"Responde en espanol, por favor.", rephrase.Voice{}, spanish, []string{inSpanish}},
		{"¿me puedes contestar en español?", rephrase.Voice{}, spanish, []string{inSpanish}},
		{"hey can you speak Spanish to me from now on", rephrase.Voice{}, spanish, []string{inSpanish}},
		{"english from now on", spanish, english, []string{inEnglish}},
		{"answer me in english", spanish, english, []string{inEnglish}},
		{"en inglés por favor", spanish, english, []string{inEnglish}},
		{"answer in the language I write in", spanish, rephrase.Voice{}, []string{"All right: each answer in the language of its question, English or Spanish."}},
		{"contesta en mi idioma", english, rephrase.Voice{}, []string{"All right: each answer in the language of its question, English or Spanish."}},
		{"Explain like I’m new.", rephrase.Voice{}, newHire, []string{explains}},
		{"can you explain like im new please", rephrase.Voice{}, newHire, []string{explains}},
		{"could you please explain it to me like I'm new?", rephrase.Voice{}, newHire, []string{explains}},
		{"keep it short", rephrase.Voice{}, brief, []string{short}},
		{"ok just keep it short from now on, thanks", rephrase.Voice{}, brief, []string{short}},
		{"keep it short", spanish, rephrase.Voice{Level: rephrase.Brief, Lang: rephrase.Spanish}, []string{"De acuerdo: respuestas cortas."}},
		{"talk normal", newHire, rephrase.Voice{}, []string{"All right: plain answers."}},
		{"Soy nueva", rephrase.Voice{}, newHire, []string{"De acuerdo: voy explicando los términos."}},
		{"oye, me puedes explicar como si fuera nuevo", rephrase.Voice{}, newHire, []string{"De acuerdo: voy explicando los términos."}},
		{"habla normal por favor", brief, rephrase.Voice{}, []string{"De acuerdo: respuestas normales."}},
		{"keep it short and in spanish please", rephrase.Voice{}, rephrase.Voice{Level: rephrase.Brief, Lang: rephrase.Spanish}, []string{"De acuerdo: respuestas cortas.", inSpanish}},
	}
	for _, r := range rows {
		now, lines, ok := s.Choose(r.text, r.was)
		if !ok || now != r.now {
			t.Errorf("%q: %+v, %v, want %+v", r.text, now, ok, r.now)
		}
		if d := cmp.Diff(r.lines, lines); d != "" {
			t.Errorf("%q: %s", r.text, d)
		}
	}
}

// What names the trade is never taken for a choice: by hand, then all
// questions of the question files.
func TestNoTradeQuestionChooses(t *testing.T) {
	s := rephrase.NewSpeech(load(t))
	root, err := questions.Root()
	if err != nil {
		t.Fatal(err)
	}
	cases, err := questions.Load(root)
	if err != nil {
		t.Fatal(err)
	}
	texts := []string{
		"keep it short sleeved, 24 tees", "make it short", "hazlo corto", "hazla corta", "back to normal", "short sleeves please", "brief",
		"can you print it in spanish", "24 tees with the text in english", "explain cold peel", "explain marrying like i'm new",
		"is it normal", "plain tees please", "can you make it brief", "the text is in spanish", "spanish blue", "new press", "explain", "explain more",
		"can you please", "hola", "thanks", "ok", "please", "from now on", "", "...", "again", "how long cool peel in spanish please",
		"don't keep it short", "en español dice hola", "playera en español", "normal", "use white", "switch to white", "change to 36", "keep it",
		"keep it short keep it short keep it short keep it short keep it short keep it short keep it short",
	}
	for _, c := range cases {
		texts = append(texts, c.Ask)
		texts = append(texts, c.After...)
	}
	if len(texts) < 500 {
		t.Fatalf("only %d texts", len(texts))
	}
	taken := 0
	for _, text := range texts {
		if _, _, ok := s.Choose(text, rephrase.Voice{}); ok {
			taken++
		}
	}
	if taken > 0 {
		t.Errorf("%d of %d texts were taken for a choice", taken, len(texts))
	}
}

// Whatever is typed, a choice comes to a voice there is, and says so.
func FuzzChoose(f *testing.F) {
	s := rephrase.NewSpeech(load(f))
	for _, text := range []string{"in spanish please", "can you explain like im new please", "¿me puedes contestar en español?", "keep it short, and in English", "24 tees in spanish", "’’’ ... ¡!", "the language i write in", "\xff\u0301"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		was := rephrase.Voice{Level: rephrase.Brief}
		now, lines, ok := s.Choose(text, was)
		switch {
		case !ok && (now != was || len(lines) > 0):
			t.Errorf("%q chooses nothing and comes to %+v, %q", text, now, lines)
		case ok && len(lines) == 0:
			t.Errorf("%q is not confirmed", text)
		}
		for _, line := range lines {
			if line == "" {
				t.Errorf("%q is confirmed with nothing", text)
			}
		}
		if now.Lang != "" && now.Lang != rephrase.English && now.Lang != rephrase.Spanish {
			t.Errorf("%q comes to the language %q", text, now.Lang)
		}
	})
}
