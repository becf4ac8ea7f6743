package listen

import (
	_ "embed"
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

// A topicModel is the model with what its labels stand for here.
type topicModel struct {
	*guess.Model
	targets []Target       // of each label
	topic   []int          // of each label
	at      map[Target]int // the label of a target
	place   map[string]int // of each topic
	scratch sync.Pool      // of *paper
}

// A paper is what weighing a message is worked out on.
type paper struct {
	chances []float64
	worded  []int32 // of each label: its best candidate's place, counted from 1
}

func (m *topicModel) paper() *paper {
	p, ok := m.scratch.Get().(*paper)
	if !ok {
		p = &paper{make([]float64, m.Room()), make([]int32, len(m.targets))}
	}
	return p
}

var topics = sync.OnceValues(func() (*topicModel, error) {
	m, err := guess.Load(topicsModel)
	if err != nil {
		return nil, err
	}
	return newTopicModel(m), nil
})

func newTopicModel(m *guess.Model) *topicModel {
	t := &topicModel{Model: m, at: map[Target]int{}, place: map[string]int{}}
	for i, topic := range m.Topics() {
		t.place[topic] = i
	}
	for i, label := range m.Labels() {
		target := targetOf(label)
		t.targets = append(t.targets, target)
		t.topic = append(t.topic, t.place[target.Topic])
		t.at[target] = i
	}
	return t
}

const (
	// wordShare is the part of an entry's weight within its topic that wordings
	// decide; the model decides the rest.
	wordShare = 0.3
	// exact: a wording that explains so much needs no second opinion; the shop's
	// own entries, which no model has seen, are found by it. Words gathered from
	// several wordings never reach it.
	exact = gathered + 0.01
	// A topic must be so many times as likely as none: more where no word of the
	// trade was said, or one of another trade. Both were set on the tune questions
	// and on the rate of everyday queries that are answered.
	plainNeed    = 3.5
	strangerNeed = 50.0
	// nothing is the topic of messages that are not the bot's business.
	nothing = "none"
)

// candidates returns what a message may be about, each target once, best first,
// and how likely it is that it is none of it; 0 where no model tells.
func (l *Listener) candidates(r span.Reading) (found []candidate, none float64) {
	tokens := l.tokens(r)
	if e, ok := l.defined(r); ok {
		return []candidate{{target: Target{Topic: "term", Entry: e}, score: 1, wording: 1}}, 0
	}
	found = l.index.find(tokens, l.everyday)
	if cues := l.foreign[r.Lang]; cues != nil {
		found = append(found, cues().find(tokens, l.everyday)...)
		slices.SortStableFunc(found, byScore)
	}
	model, err := topics()
	if err != nil || len(r.Tokens) == 0 {
		return found, 0
	}
	needed, stranger := plainNeed, l.stranger(r, tokens)
	if stranger {
		needed = strangerNeed
	}
	paper := model.paper()
	defer model.scratch.Put(paper)
	chances := model.Weigh(l.signs(r, stranger), paper.chances)
	out, none := model.weigh(found, chances, needed, paper.worded)
	return slices.DeleteFunc(out, func(c candidate) bool { return !l.may(c.target.Entry, r) }), none
}

// may reports whether an entry may answer a message: one that wants a word said
// only where it was, and none where a phrase of it means something else.
func (l *Listener) may(e Entry, r span.Reading) bool {
	if l.except[e].inside(r, "any") {
		return false
	}
	only := l.only[e]
	return len(only) == 0 || slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		return slices.Contains(only, t.Text) || slices.Contains(only, t.Word)
	})
}

// stranger reports a message without a word of the trade, or with one of
// another.
func (l *Listener) stranger(r span.Reading, tokens []token) bool {
	return l.offTrade(r) || !slices.ContainsFunc(tokens, func(t token) bool { return t.anchor })
}

// weigh blends the index's candidates with the model's chances. The score of a
// target reaches accept where its topic is so many times as likely as none at all.
// worded is room for a number of each label.
func (m *topicModel) weigh(found []candidate, chances guess.Chances, needed float64, worded []int32) ([]candidate, float64) {
	clear(worded)
	const usual = 8 // so many targets more are near
	out := make([]candidate, 0, len(found)+usual)
	for _, c := range found {
		out = append(out, c)
		if i, ok := m.at[c.target]; ok {
			worded[i] = int32(len(out))
		}
	}
	odds := m.blended(found, chances)
	none := m.place[nothing]
	rival := 0.0 // the likeliest of the other topics
	for topic, p := range odds {
		if topic != none {
			rival = max(rival, p)
		}
	}
	part := func(label int, wording float64) float64 { // within its topic
		if label < 0 {
			return wordShare * wording
		}
		return (1-wordShare)*chances.Labels[label] + wordShare*wording
	}
	best := make([]float64, len(odds))
	for i := range m.targets {
		wording := 0.0
		if k := worded[i]; k > 0 {
			wording = out[k-1].wording
		}
		best[m.topic[i]] = max(best[m.topic[i]], part(i, wording))
	}
	for _, c := range out {
		if _, known := m.at[c.target]; !known {
			if topic, ok := m.place[c.target.Topic]; ok {
				best[topic] = max(best[topic], part(-1, c.wording))
			}
		}
	}
	score := func(topic, label int, wording float64) float64 {
		against := needed * odds[none]
		if topic == none { // a thing outside the trade that the base has an answer to
			against = rival
		}
		s := accept * odds[topic] / against
		if odds[topic] >= against {
			s = accept + (1-accept)*odds[topic]
		}
		return s * part(label, wording) / best[topic]
	}
	for k, c := range out {
		label, known := m.at[c.target]
		if !known {
			label = -1
		}
		if topic, ok := m.place[c.target.Topic]; ok {
			out[k].score = score(topic, label, c.wording)
		}
		if c.wording >= exact {
			out[k].score = max(out[k].score, c.wording)
		}
	}
	for i, t := range m.targets {
		if worded[i] > 0 || t == (Target{Topic: nothing}) {
			continue
		}
		if s := score(m.topic[i], i, 0); s >= near {
			out = append(out, candidate{target: t, score: s, phrase: math.MaxInt - len(m.targets) + i})
		}
	}
	slices.SortFunc(out, byScore)
	return out, odds[none]
}

// blended returns how likely each topic is, all together 1.
func (m *topicModel) blended(found []candidate, chances guess.Chances) []float64 {
	out := m.views(found, chances, m.Extra())
	sum := 0.0
	for _, p := range out {
		sum += p
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// views returns the odds of each topic by what index and model say of it.
func (m *topicModel) views(found []candidate, chances guess.Chances, blend []float64) []float64 {
	out := make([]float64, len(chances.Topics))
	m.eachView(found, chances, func(topic int, row []float64) { out[topic] = guess.Odds(blend, row) })
	return out
}

// eachView lists for each topic what index and model say of it, in a row that the
// next one overwrites.
func (m *topicModel) eachView(found []candidate, chances guess.Chances, yield func(topic int, row []float64)) {
	const least = 1e-3 // a chance below it tells no more
	words := make([]float64, len(chances.Topics))
	top := 0.0
	for _, c := range found {
		if i, ok := m.place[c.target.Topic]; ok {
			words[i] = max(words[i], c.wording)
		}
		top = max(top, c.wording)
	}
	none := m.place[nothing]
	var room [9]float64
	row := room[:]
	for topic, p := range chances.Topics {
		s := words[topic]
		*(*[9]float64)(row) = [9]float64{0: 1, 1: s, 2: math.Log(p + least), 3: p, 4: s * p}
		if s > 0 && s == top {
			row[5] = 1
		}
		if topic == none {
			row[6], row[7] = 1, top
		} else {
			row[8] = math.Log(chances.Topics[none] + least)
		}
		yield(topic, row)
	}
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
