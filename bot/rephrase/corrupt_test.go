package rephrase_test

import (
	"context"
	"slices"
	"strings"
	"testing"

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
const small = " a an the it its it's this that these those you your you'll we our is are be will to of for at please here there now and so then " +
	"el la los las un una unos unas lo le se te tu su este esta eso es son de del al que por y luego entonces así "

func trivial(w string) bool {
	return strings.Contains(small, " "+strings.ToLower(strings.Trim(w, ".,;:()?!¿¡-–"))+" ") || strings.Trim(w, ".,;:()?!¿¡-– ") == ""
}

// corrupt changes the meaning of a masked text: it drops, doubles, swaps or
// replaces content words and tokens, or adds some.
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
	strange := rapid.SampledFrom([]string{"not", "never", "hot", "cold", "twice", "without", "except", "no", "sin", "nunca", "double", "all", "any", "unless", "bleach", "20", "ten", "°C", "opposite", "more", "less", "before", "after", "also", "must", "only", "ignore"}).Draw(rt, "strange")
	switch rapid.IntRange(0, 4).Draw(rt, "kind") {
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
	}
	lines[n] = strings.Join(words, " ")
	return strings.Join(lines, "\n")
}

func answers(t *testing.T) []reply.Reply {
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
	var list []reply.Reply
	for _, c := range cases {
		list = append(list, house.Ask(c).Reply)
	}
	return list
}

func TestNoCorruptionOfAnyAnswerIsTaken(t *testing.T) {
	model := &corrupter{}
	base := load(t)
	echo := rephrase.New(base, rephrase.Echo{})
	sent := 0
	var list []reply.Reply
	for _, r := range answers(t) {
		got := echo.Reply(context.Background(), r, rephrase.Voice{})
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
			if got := p.Reply(context.Background(), r, rephrase.Voice{}); got.Rephrase.Used {
				rt.Fatalf("taken:\n%s\nfor\n%s", said, source)
			}
			tried++
		}
	})
	t.Logf("%d answers sent, %d corruptions refused", sent, tried)
}
