package listen

import (
	_ "embed"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"

	"presshand/bot/listen/guess"
	"presshand/bot/listen/span"
)

// Wordings tell a question by the words it must hold; people say the same
// thing in words nobody wrote down. So a model learnt from the whole messages
// of examples/*.yaml weighs every topic too, and a blend of both decides: a
// logistic regression over what each says of a topic, fitted to examples the
// model had not seen (Wolpert, Stacked generalization, Neural Networks 5, 1992).

//go:generate go test -run TestTopics . -update

//go:embed topics.model
var topicsModel string

var topics = sync.OnceValues(func() (*guess.Model, error) { return guess.Load(topicsModel) })

const (
	// wordShare is the part of an entry's weight within its topic that wordings
	// decide; the model decides the rest.
	wordShare = 0.3
	// exact: a wording that explains so much needs no second opinion; the shop's
	// own entries, which no model has seen, are found by it.
	exact = 0.8
	// A topic must be so many times as likely as none: more where no word of the
	// trade was said, or one of another trade.
	plainNeed    = 1.5
	strangerNeed = 20
	// nothing is the topic of messages that are not the bot's business.
	nothing = "none"
)

// candidates returns what a message may be about, each target once, best first.
func (l *Listener) candidates(r span.Reading) []candidate {
	found := l.index["en"].find(l.tokens(r), l.everyday)
	model, err := topics()
	if err != nil || len(r.Tokens) == 0 || r.Lang != "en" {
		return found // the model knows English only
	}
	needed := plainNeed
	if l.stranger(r) {
		needed = strangerNeed
	}
	out := weigh(found, model.Weigh(l.signs(r)), model.Extra(), needed)
	return slices.DeleteFunc(out, func(c candidate) bool { return !l.may(c.target.Entry, r) })
}

// may reports whether an entry may answer a message: one that wants a word said
// only where it was.
func (l *Listener) may(e Entry, r span.Reading) bool {
	only := l.only[e]
	return len(only) == 0 || slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		return slices.Contains(only, t.Text) || slices.Contains(only, t.Word)
	})
}

// stranger reports a message without a word of the trade.
func (l *Listener) stranger(r span.Reading) bool {
	return l.foreign(r) || !slices.ContainsFunc(l.tokens(r), func(t token) bool { return t.anchor })
}

// weigh blends the index's candidates with the model's chances. The score of a
// target reaches accept where its topic is so many times as likely as none at all.
func weigh(found []candidate, chances guess.Chances, blend []float64, needed float64) []candidate {
	words := map[Target]candidate{}
	for _, c := range found {
		if have, ok := words[c.target]; !ok || c.score > have.score {
			words[c.target] = c
		}
	}
	odds := blended(found, chances, blend)
	part := map[Target]float64{} // within its topic
	best := map[string]float64{}
	note := func(t Target, p float64) {
		part[t] = p
		best[t.Topic] = max(best[t.Topic], p)
	}
	for label, p := range chances.Labels {
		t := targetOf(label)
		note(t, (1-wordShare)*p+wordShare*words[t].score)
	}
	for t, c := range words {
		if _, known := part[t]; !known {
			note(t, wordShare*c.score)
		}
	}
	var out []candidate
	rival := 0.0 // the likeliest of the other topics
	for topic, p := range odds {
		if topic != nothing {
			rival = max(rival, p)
		}
	}
	for t, p := range part {
		if t == (Target{Topic: nothing}) {
			continue
		}
		c, ok := words[t]
		if !ok {
			c = candidate{target: t, phrase: math.MaxInt}
		}
		against := needed * odds[nothing]
		if t.Topic == nothing { // a thing outside the trade that the base has an answer to
			against = rival
		}
		topic := accept * odds[t.Topic] / against
		if odds[t.Topic] >= against {
			topic = accept + (1-accept)*odds[t.Topic]
		}
		score := topic * p / best[t.Topic]
		if c.score >= exact {
			score = max(score, c.score)
		}
		c.score = score
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b candidate) int {
		if order := byScore(a, b); order != 0 {
			return order
		}
		return strings.Compare(labelOf(a.target), labelOf(b.target))
	})
	return out
}

// blended returns how likely each topic is, all together 1.
func blended(found []candidate, chances guess.Chances, blend []float64) map[string]float64 {
	out := map[string]float64{}
	sum := 0.0
	for topic, row := range views(found, chances) {
		out[topic] = guess.Odds(blend, row)
	}
	for _, topic := range slices.Sorted(maps.Keys(out)) { // in order, for sums of fractions depend on it
		sum += out[topic]
	}
	for topic := range out {
		out[topic] /= sum
	}
	return out
}

// views lists for each topic what index and model say of it.
func views(found []candidate, chances guess.Chances) map[string][]float64 {
	const least = 1e-3 // a chance below it tells no more
	words := map[string]float64{}
	top := 0.0
	for _, c := range found {
		words[c.target.Topic] = max(words[c.target.Topic], c.score)
		top = max(top, c.score)
	}
	out := map[string][]float64{}
	for topic, p := range chances.Topics {
		s := words[topic]
		row := []float64{1, s, math.Log(p + least), p, s * p, 0, 0, 0, 0}
		if s > 0 && s == top {
			row[5] = 1
		}
		if topic == nothing {
			row[6], row[7] = 1, top
		} else {
			row[8] = math.Log(chances.Topics[nothing] + least)
		}
		out[topic] = row
	}
	return out
}

// labelOf writes a target as the model's label: its topic, then what is asked
// or the entry.
func labelOf(t Target) string {
	switch {
	case t.Entry != Entry{}:
		return t.Topic + " " + t.Entry.Section + "/" + t.Entry.ID
	case t.Ask != "":
		return t.Topic + " " + t.Ask
	}
	return t.Topic
}

func targetOf(label string) Target {
	topic, rest, _ := strings.Cut(label, " ")
	if section, id, ok := strings.Cut(rest, "/"); ok {
		return Target{Topic: topic, Entry: Entry{section, id}}
	}
	return Target{Topic: topic, Ask: rest}
}
