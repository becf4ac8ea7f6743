package span

import (
	"strings"
	"testing"

	edlib "github.com/hbollon/go-edlib"
	"pgregory.net/rapid"
)

// One slip is seen by comparing both ends; it must agree with the counted
// distance of an independent implementation.
func TestOneSlipIsDistanceOne(t *testing.T) {
	word := rapid.StringOfN(rapid.SampledFrom([]rune("abc")), 0, 7, -1)
	rapid.Check(t, func(rt *rapid.T) {
		a, b := word.Draw(rt, "a"), word.Draw(rt, "b")
		if got, want := oneSlip(a, b), edlib.OSADamerauLevenshteinDistance(a, b) == 1; got != want {
			rt.Fatalf("oneSlip(%q, %q) = %v, want %v", a, b, got, want)
		}
	})
}

func TestMend(t *testing.T) {
	s := New(testBase(t), testProfile(t)).speller
	alone := func(string) int { return 0 }
	rows := []struct{ typed, want string }{
		{"hoddie", "hoodie"}, {"blakc", "black"}, {"nvay", "navy"}, {"polyestr", "polyester"}, {"sublimaton", "sublimation"},
		{"cottn", "cotton"}, {"sweatshrit", "sweatshirt"}, {"frotn", "front"}, {"firday", "friday"},
		{"hoodi", "hoodie"}, // dropped
		{"ct", ""},          // too short
		{"xqzwv", ""},       // like nothing
		{"hobbies", ""},     // an ordinary word: known, so never asked for; see below
	}
	for _, r := range rows {
		got, score, ok := s.mend(r.typed, alone)
		if s.knows(r.typed) {
			got, ok = "", false
		}
		if got != r.want || ok != (r.want != "") {
			t.Errorf("mend(%q) = %q, %v, want %q", r.typed, got, ok, r.want)
		}
		if ok && (score <= 0 || score >= 1) {
			t.Errorf("mend(%q) scores %v, want between 0 and 1", r.typed, score)
		}
	}
}

// An ordinary word stays what it is, though a word of the trade is near.
func TestOrdinaryWordsStay(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	for _, w := range []string{"savings", "states", "united", "hits", "miles", "starting", "test", "least", "lime", "peach", "bake", "sign"} {
		r := reader.Read(w, now)
		if len(r.Tokens) != 1 || r.Tokens[0].Word != w {
			t.Errorf("%q was read as %q", w, r.Tokens[0].Word)
		}
	}
}

// Neighbours decide between words that are equally near.
func TestMendBesideNeighbours(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	for _, r := range []struct{ text, want string }{
		{"left hest", "left chest"}, {"lft chst", "left chest"}, {"24 totes, uper bak", "24 totes , upper back"}, {"how mcuh", "how much"},
	} {
		var words []string
		for _, tok := range reader.Read(r.text, now).Tokens {
			words = append(words, tok.Word)
		}
		if got := strings.Join(words, " "); got != r.want {
			t.Errorf("%q was read as %q, want %q", r.text, got, r.want)
		}
	}
}
