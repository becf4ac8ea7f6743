package listen

import (
	"math"
	"testing"
)

// small is an index of five wordings whose scores can be worked out by hand.
func small(same map[string]string) *index {
	fillers := map[string]bool{"how": true, "do": true, "i": true, "the": true, "is": true, "a": true, "what": true}
	return newIndex([]rawPhrase{
		{target: Target{Topic: "wait"}, text: "how long cool"},
		{target: Target{Topic: "setting"}, text: "press temperature"},
		{target: Target{Topic: "method", Ask: "can"}, text: "print {item}"},
		{target: Target{Topic: "colour"}, text: "{colour} look {colour}"},
		{target: Target{Topic: "term"}, text: "what is ghosting", factor: meant},
	}, func(w string) bool { return fillers[w] }, same)
}

func word(text string) token { return token{text: text, anchor: true} }

func nobody(string) bool { return false }

func first(t *testing.T, x *index, tokens ...token) candidate {
	t.Helper()
	found := x.find(tokens, nobody)
	if len(found) == 0 {
		t.Fatalf("nothing found for %v", tokens)
	}
	return found[0]
}

// TestScore holds p^2 m against hand-worked figures. All words occur in one of
// five wordings and weigh the same, small words of a wording smallWeight.
func TestScore(t *testing.T) {
	x := small(nil)
	w := math.Log(1+5.0) / math.Log(1+5.0) // one wording of five
	tests := []struct {
		name   string
		tokens []token
		topic  string
		score  float64
	}{
		{"every word", []token{word("press"), word("temperature")}, "setting", 1},
		{"endings folded", []token{word("pressing"), word("temperatures")}, "setting", 1},
		{"an unknown word counts against", []token{word("press"), word("temperature"), word("zebra")}, "setting", 2 * w / (2*w + unknownWeight)},
		{"a word of another wording half", []token{word("press"), word("temperature"), word("cool")}, "setting", (2*w + strayShare*w) / (3 * w)},
		{"a thing fills its slot", []token{word("print"), {text: "mug", kinds: []string{"item"}, weight: namedWeight}}, "method", 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := first(t, x, tt.tokens...)
			if got.target.Topic != tt.topic || math.Abs(got.score-tt.score) > 1e-9 {
				t.Errorf("%s scores %.4f, want %s %.4f", got.target.Topic, got.score, tt.topic, tt.score)
			}
		})
	}
}

func TestNothingFound(t *testing.T) {
	x := small(nil)
	item := token{text: "mug", kinds: []string{"item"}, weight: namedWeight}
	colour := token{text: "navy", kinds: []string{"colour"}, weight: measureWeight}
	tests := []struct {
		name   string
		tokens []token
	}{
		{"a thing named alone asks for nothing", []token{item}},
		{"one colour where two are asked for", []token{word("look"), colour}},
		{"a word of another trade", []token{word("press"), word("temperature"), {text: "rice", alien: true}}},
		{"half a wording", []token{word("temperature")}},
		{"no word of the trade, and an unknown one", []token{{text: "press"}, {text: "temperature"}, {text: "zebra"}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, c := range x.find(tt.tokens, nobody) {
				if c.score >= accept {
					t.Errorf("%s answers with %.3f", c.target.Topic, c.score)
				}
			}
		})
	}
}

func TestSameWords(t *testing.T) {
	x := small(map[string]string{"heat": "temperature", "temp": "temperature"})
	for _, w := range []string{"temp", "heat", "temperature"} {
		if got := first(t, x, word("press"), word(w)); got.target.Topic != "setting" || got.score != 1 {
			t.Errorf("press %s: %s %.3f, want setting 1", w, got.target.Topic, got.score)
		}
	}
}

func TestSlip(t *testing.T) {
	x := small(nil)
	got := first(t, x, word("press"), word("temperatrue"))
	if got.target.Topic != "setting" || got.score >= 1 {
		t.Errorf("%s %.3f, want setting below 1: a mended word explains less", got.target.Topic, got.score)
	}
	kept := func(w string) bool { return w == "temperatrue" }
	if c := x.find([]token{word("press"), word("temperatrue")}, kept); len(c) > 0 && c[0].score >= accept {
		t.Errorf("an ordinary word was mended: %s %.3f", c[0].target.Topic, c[0].score)
	}
}

func TestAsksMeaning(t *testing.T) {
	tests := []struct {
		words []string
		want  bool
	}{
		{[]string{"what", "is", "a", "platen"}, true},
		{[]string{"whats", "ghosting"}, true},
		{[]string{"define", "dwell"}, true},
		{[]string{"what", "does", "marry", "mean"}, true},
		{[]string{"what", "is", "the", "dwell"}, false},
		{[]string{"how", "long"}, false},
		{nil, false},
	}
	for _, tt := range tests {
		var tokens []token
		for _, w := range tt.words {
			tokens = append(tokens, token{text: w})
		}
		if got := asksMeaning(tokens); got != tt.want {
			t.Errorf("%v: %v, want %v", tt.words, got, tt.want)
		}
	}
}
