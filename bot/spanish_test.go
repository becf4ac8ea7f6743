package bot_test

import (
	"regexp"
	"strings"
	"testing"

	desks "presshand/bot/answer"
	"presshand/bot/bottest/questions"
	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge/shop"
)

// english are common words of English that are no Spanish ones. An inch is
// "pulg" in a Spanish answer, so "in" is one of them.
var english = regexp.MustCompile(`(?i)(?:^|[^\pL])(the|and|with|until|is|are|of|about|your|this|that|it|its|be|not|for|from|or|but|if|then|than|when|what|which|who|how|why|will|would|can|should|was|were|does|you|we|they|there|here|at|by|on|in|into|up|out|all|each|more|less|some|any|only|press|sheet|sheets|shirt|blank|washes|days|make|order|settings|steps|next|today|white|black|heat|cold|hot|peel)(?:$|[^\pL])`)

// A Spanish question of the tune set is answered in Spanish through and
// through: text, tables, cautions, what can be asked next, buttons.
func TestSpanishHoldsNoEnglish(t *testing.T) {
	n := 0
	for _, a := range answers(t) {
		if a.Case.Set != questions.Tune || a.Case.Lang != "es" {
			continue
		}
		n++
		r := a.Result.Reply
		if found := english.FindStringSubmatch(shown(r)); found != nil {
			t.Errorf("%q: %q in\n%s", a.Case.Ask, found[1], shown(r))
		}
	}
	if n < 90/questions.Every {
		t.Errorf("%d Spanish questions in the tune set, fewer than 90: tune-spanish.yaml or tune-spanish-2.yaml is gone", n)
	}
}

// The questions of the tune set that were typed in English are answered in
// Spanish for someone who chose that, through and through. What an answer
// quotes of the question stays as it was typed.
func TestSpanishByChoiceHoldsNoEnglish(t *testing.T) {
	house, cases := open(t)
	profile := shop.Example()
	desk, err := desks.New(house.Base, profile)
	if err != nil {
		t.Fatal(err)
	}
	listener := listen.New(house.Base, profile)
	n := 0
	for i, c := range cases {
		if c.Set != questions.Tune || c.Lang != "" || len(c.After) > 0 || i%questions.Every != 0 {
			continue
		}
		n++
		ask := listener.Listen(c.Ask, listen.Memory{}, questions.Now).Asks[0]
		ask.Lang = "es"
		r := desk.Answer(t.Context(), ask, desks.Turn{Now: questions.Now, Owner: true})
		if found := english.FindStringSubmatch(quoted.ReplaceAllString(shown(r), "")); found != nil {
			t.Errorf("%q: %q in\n%s", c.Ask, found[1], shown(r))
		}
	}
	if n < 300/questions.Every {
		t.Errorf("%d English questions in the tune set, fewer than 300", n)
	}
}

var quoted = regexp.MustCompile(`"[^"]*"`)

// shown is all a face can show of a reply, but for the titles of its sources.
func shown(r reply.Reply) string {
	text := r.Full()
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "- ") {
			text = strings.ReplaceAll(text, line, "")
		}
	}
	parts := append([]string{text}, r.Private...)
	for _, b := range r.Buttons {
		parts = append(parts, b.Label, b.Say)
	}
	return strings.Join(parts, "\n")
}

// What a Spanish answer offers to ask next is understood when it is sent, and
// answered in Spanish: every suggestion and button of the tune set's answers,
// in its conversation.
func TestSpanishSuggestionsAreUnderstood(t *testing.T) {
	house, _ := open(t)
	sent := map[string]bool{}
	for _, a := range answers(t) {
		r := a.Result.Reply
		if a.Case.Set != questions.Tune || a.Case.Lang != "es" || r.Outcome == reply.Declined {
			continue
		}
		says := append([]string{}, r.Suggestions...)
		for _, b := range r.Buttons {
			says = append(says, b.Say)
		}
		for _, say := range says {
			if sent[r.Topic+" "+say] {
				continue
			}
			sent[r.Topic+" "+say] = true
			next := house.Ask(questions.Case{After: append(append([]string{}, a.Case.After...), a.Case.Ask), Ask: say}).Reply
			if next.Outcome == reply.Declined {
				t.Errorf("%q, then %q: %s", a.Case.Ask, say, next.Full())
			}
			if found := english.FindStringSubmatch(shown(next)); found != nil {
				t.Errorf("%q, then %q: %q in\n%s", a.Case.Ask, say, found[1], shown(next))
			}
		}
	}
	if len(sent) < 60/questions.Every {
		t.Errorf("%d suggestions were sent, fewer than 60: the answers no longer offer any", len(sent))
	}
}
