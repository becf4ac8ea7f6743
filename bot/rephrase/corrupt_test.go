package rephrase_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"presshand/bot/bottest/questions"
	"presshand/bot/rephrase"
	"presshand/bot/reply"
)

// corrupter is a model that spoils a text.
type corrupter struct{ spoil func(string) string }

// Reword implements rephrase.Model.
func (c *corrupter) Reword(_ context.Context, q rephrase.Request) (string, error) {
	return c.spoil(q.Text), nil
}

// small are words that may vanish or move without a change of meaning; a
// corruption keeps clear of them. The list stands apart from the lexicons on
// purpose: a lexicon that grew too wide is found here.
const small = " a an the it its it's this that these those you your you'll we our is are be will for at please there and so then " +
	"el la los las te tu tus su sus este esta estos estas es son y e luego entonces "

func trivial(w string) bool {
	return strings.Contains(small, " "+strings.ToLower(strings.Trim(w, ".,;:()?!¿¡-–"))+" ") || strings.Trim(w, ".,;:()?!¿¡-– ") == ""
}

const ends = ".,;:!?)-–"

// bare reports that nothing parts what stands before words from their first
// content word.
func bare(words []string) bool {
	for _, w := range words {
		if strings.Contains(" and so then y e luego entonces así ", " "+strings.ToLower(w)+" ") || strings.ContainsAny(w[:1], "(-") || !strings.ContainsFunc(w, unicode.IsLetter) {
			return false
		}
		if !trivial(w) {
			return true
		}
		if strings.TrimRight(w, ends) != w {
			return false
		}
	}
	return false
}

// strangers are words that change what a line says wherever they are put: also
// small ones, of both languages.
func strangers() []string {
	return strings.Fields("not never hot cold twice without except double all any each unless bleach 20 ten °C opposite more less before after also must may only ignore " +
		"to by of from until or now here once when if some first last instead other off under over up down out both half always " +
		"no sin nunca nada caliente frío diez doble más menos antes después también debe puede solo todo cada si o cuando hasta desde por de del al lo se un una que sobre bajo otra veces siempre casi ahora aquí primero sino aunque")
}

// corrupt changes the meaning of a masked text: it drops, doubles, swaps or
// replaces content words and tokens, adds some, or moves where clauses end.
func corrupt(rt *rapid.T, text string) string {
	lines := strings.Split(text, "\n")
	n := rapid.IntRange(0, len(lines)-1).Draw(rt, "line")
	words := strings.Fields(lines[n])
	var content []int
	for i, w := range words {
		if !trivial(w) {
			content = append(content, i)
		}
	}
	if len(content) == 0 {
		return ""
	}
	at := rapid.SampledFrom(content).Draw(rt, "word")
	other := rapid.SampledFrom(content).Draw(rt, "other")
	strange := rapid.SampledFrom(strangers()).Draw(rt, "strange")
	switch rapid.IntRange(0, 6).Draw(rt, "kind") {
	case 0:
		words = slices.Delete(words, at, at+1)
	case 1:
		words = slices.Insert(words, at, words[at])
	case 2:
		if strings.EqualFold(strings.Trim(words[at], ".,;:"), strings.Trim(words[other], ".,;:")) {
			return ""
		}
		words[at], words[other] = words[other], words[at]
	case 3:
		words = slices.Insert(words, at, strange)
	case 4:
		if strings.EqualFold(strings.Trim(words[at], ".,;:()"), strange) {
			return ""
		}
		words[at] = strange
	case 5: // ends a clause where none ends
		if strings.TrimRight(words[at], ends) != words[at] || !bare(words[at+1:]) {
			return ""
		}
		words[at] += rapid.SampledFrom([]string{",", ";", ":", ".", ", and", " and", " so", " then", ", y", " y", " luego"}).Draw(rt, "end")
	case 6: // runs two clauses together
		last := strings.TrimRight(words[at], ".,;:")
		if last == words[at] || !bare(words[at+1:]) {
			return ""
		}
		words[at] = last
	}
	spoiled := strings.Join(words, " ")
	if strings.EqualFold(phrasal.Replace(spoiled), phrasal.Replace(lines[n])) {
		return ""
	}
	lines[n] = spoiled
	return strings.Join(lines, "\n")
}

// phrasal takes particles off that add nothing to their verb: a stray "down"
// behind "let it cool" is no change of meaning.
var phrasal = strings.NewReplacer("cool down", "cool", "Fold over", "Fold", "fold over", "fold", "Trim off", "Trim", "trim off", "trim")

// answers are those to all questions of the files, in a language; "" is each
// question's own.
func answers(t *testing.T, lang string) []reply.Reply {
	t.Helper()
	house, err := questions.Open()
	if err != nil {
		t.Fatal(err)
	}
	root, err := questions.Root()
	if err != nil {
		t.Fatal(err)
	}
	cases, err := questions.Load(root)
	if err != nil {
		t.Fatal(err)
	}
	house.Speak(rephrase.Voice{Lang: lang})
	var list []reply.Reply
	for i, c := range cases {
		if i%questions.Every == 0 {
			list = append(list, house.Ask(c).Reply)
		}
	}
	return list
}

func TestNoCorruptionOfAnyAnswerIsTaken(t *testing.T) {
	noCorruption(t, rephrase.English)
}

func TestNoCorruptionOfAnySpanishAnswerIsTaken(t *testing.T) {
	noCorruption(t, rephrase.Spanish)
}

func noCorruption(t *testing.T, lang string) {
	model := &corrupter{}
	base := load(t)
	voice := rephrase.Voice{Lang: lang}
	echo := rephrase.New(base, rephrase.Echo{})
	sent := 0
	var list []reply.Reply
	for _, r := range answers(t, lang) {
		got := echo.Reply(context.Background(), r, voice)
		if got.Rephrase.Used {
			sent++
			list = append(list, r)
			if !strings.EqualFold(strings.Join(got.Lines, "\n"), strings.Join(r.Lines, "\n")) {
				t.Errorf("an echo changed\n%q to\n%q", r.Lines, got.Lines)
			}
		} else if got.Rephrase.Refused != rephrase.Nothing {
			t.Errorf("an echo was refused, %s: %q", got.Rephrase.Refused, r.Lines)
		}
	}
	if sent < 100 {
		t.Fatalf("only %d answers were sent", sent)
	}
	tried := 0
	rapid.Check(t, func(rt *rapid.T) {
		p := rephrase.New(base, model) // a new one, so that no cache answers
		for range 20 {
			r := rapid.SampledFrom(list).Draw(rt, "answer")
			var source, said string
			model.spoil = func(text string) string {
				source, said = text, corrupt(rt, text)
				return said
			}
			if got := p.Reply(context.Background(), r, voice); got.Rephrase.Used {
				rt.Fatalf("taken:\n%s\nfor\n%s", said, source)
			}
			if said != "" { // else the draw found nothing to spoil
				tried++
			}
		}
	})
	if tried < 500 {
		t.Errorf("only %d corruptions were tried", tried)
	}
	t.Logf("%d answers sent, %d corruptions refused", sent, tried)
}
