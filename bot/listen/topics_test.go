package listen

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v3"

	"presshand/bot/listen/guess"
	"presshand/knowledge"
)

var (
	update = flag.Bool("update", false, "write the golden files anew")
	blend  = flag.Bool("blend", true, "with -update: fit the blend anew too, which takes longer")
)

// An example is a message with what it is about.
type example struct {
	text string
	guess.Example
	found []candidate // what the index makes of it
}

// examples reads examples/*.yaml, with a mark that tells one collection from
// another. Only of one in so many are signs made.
func examples(t *testing.T, l *Listener, every int) (mark string, out []example) {
	t.Helper()
	files, err := filepath.Glob("examples/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no examples: %v", err)
	}
	sum := sha256.New()
	for _, path := range files {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		sum.Write(data)
		var blocks []struct {
			Topic, Ask, Entry string
			Texts             []string
		}
		if err := yaml.Unmarshal(data, &blocks); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		for _, b := range blocks {
			label := b.Topic
			if rest := b.Ask + b.Entry; rest != "" {
				label += " " + rest
			}
			for _, text := range b.Texts {
				e := example{text: text, Example: guess.Example{Label: label}}
				if len(out)%every == 0 {
					r := l.reader.Read(text, time.Time{})
					tokens := l.tokens(r)
					e.Signs, e.found = l.signs(r, l.stranger(r, tokens)), l.index.find(tokens, l.everyday)
				}
				out = append(out, e)
			}
		}
	}
	return fmt.Sprintf("%x", sum.Sum(nil)), out
}

// wordings are the base's own wordings as examples, without those that name things
// by a slot. The model is no older for a wording more: it only knows it less well.
func wordings(l *Listener, all []example) (out []guess.Example) {
	labels := map[string]bool{}
	for _, e := range all {
		labels[e.Label] = true
	}
	for _, p := range l.phrases() {
		label := labelOf(p.target)
		if !labels[label] || strings.Contains(p.text, "{") {
			continue
		}
		r := l.reader.Read(p.text, time.Time{})
		out = append(out, guess.Example{Signs: l.signs(r, l.stranger(r, l.tokens(r))), Label: label})
	}
	return out
}

func learn(mark string, extra []float64, from []example, more []guess.Example) []byte {
	plain := slices.Clone(more)
	for _, e := range from {
		plain = append(plain, e.Example)
	}
	return guess.Train(mark, extra, plain, guess.Usual())
}

// folds is in how many parts the examples are cut to see how a model does on
// messages it has not seen.
const folds = 5

// unseen weighs every example with a model learnt from the other folds, and
// returns one of these as well.
func unseen(t *testing.T, all []example, more []guess.Example) (out []guess.Chances, one *topicModel) {
	t.Helper()
	out = make([]guess.Chances, len(all))
	for k := range folds {
		var rest []example
		for i, e := range all {
			if i%folds != k {
				rest = append(rest, e)
			}
		}
		m, err := guess.Load(string(learn("", nil, rest, more)))
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range all {
			if i%folds == k {
				out[i] = m.Weigh(e.Signs, nil)
			}
		}
		one = newTopicModel(m)
	}
	return out, one
}

// blendOf fits the blend to examples that the model has not seen and logs how
// often it is right on them; without -blend it is the one that is kept.
func blendOf(t *testing.T, all []example, more []guess.Example) []float64 {
	t.Helper()
	if !*blend {
		kept, err := topics()
		if err != nil {
			t.Fatal(err)
		}
		return kept.Extra()
	}
	var rows [][]float64
	var right []bool
	chances, m := unseen(t, all, more)
	for i, e := range all {
		m.eachView(e.found, chances[i], func(topic int, row []float64) {
			rows = append(rows, slices.Clone(row))
			right = append(right, m.Topics()[topic] == guess.Topic(e.Label))
		})
	}
	weights := guess.Fit(rows, right)
	hits := 0
	for i, e := range all {
		if m.Topics()[largest(m.views(e.found, chances[i], weights))] == guess.Topic(e.Label) {
			hits++
		}
	}
	t.Logf("unseen: topic right in %.1f %% of %d examples", 100*float64(hits)/float64(len(all)), len(all))
	return weights
}

// largest is the place of the largest figure, the first of equal ones.
func largest(p []float64) int {
	best := 0
	for i := range p {
		if p[i] > p[best] {
			best = i
		}
	}
	return best
}

// TestTopics holds the model to the examples.
func TestTopics(t *testing.T) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	l := New(base, nil)
	every := 1000
	if *update {
		every = 1
	}
	mark, all := examples(t, l, every)
	if *update {
		more := wordings(l, all)
		weights := blendOf(t, all, more)
		data := learn(mark, weights, all, more)
		if err := os.WriteFile("topics.model", data, 0o644); err != nil {
			t.Fatal(err)
		}
		topicsModel = string(data)
	}
	m, err := guess.Load(topicsModel)
	if err != nil {
		t.Fatal(err)
	}
	if m.Mark() != mark {
		t.Error("topics.model is older than the examples: run go generate ./bot/listen")
	}
}

// The examples point to what the base holds, each text to one target, and the
// model knows most of those it was taught.
func TestExamples(t *testing.T) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	l := New(base, nil)
	known := map[Target]bool{}
	for _, p := range l.phrases() {
		known[Target{Topic: p.target.Topic}] = true
		known[targetOf(labelOf(p.target))] = true
	}
	const sample = 20 // enough to see a model that does not fit its signs
	_, all := examples(t, l, sample)
	m, err := topics()
	if err != nil {
		t.Fatal(err)
	}
	label := map[string]string{}
	hits, asked := 0, 0
	for i, e := range all {
		if target := targetOf(e.Label); !known[target] && target.Topic != nothing {
			t.Errorf("%q is said to be about %q, which the base does not hold", e.text, e.Label)
		}
		if other, twice := label[e.text]; twice && other != e.Label {
			t.Errorf("%q is said to be about %q and %q", e.text, other, e.Label)
		}
		label[e.text] = e.Label
		if i%sample != 0 {
			continue
		}
		asked++
		c := m.Weigh(e.Signs, nil)
		if m.Topics()[largest(c.Topics)] == guess.Topic(e.Label) {
			hits++
		}
	}
	if share := float64(hits) / float64(asked); share < 0.9 {
		t.Errorf("the model knows %.1f %% of the examples it was taught, less than 90 %%", 100*share)
	}
}

// Two listeners over one base understand every message alike: nothing hangs on
// the order in which Go walks a map.
func TestSameAnswerTwice(t *testing.T) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	a, b := New(base, nil), New(base, nil)
	const sample = 100
	_, all := examples(t, a, 1_000_000)
	for i := 0; i < len(all); i += sample {
		text := all[i].text
		if diff := cmp.Diff(a.Explain(text, time.Time{}), b.Explain(text, time.Time{})); diff != "" {
			t.Fatalf("%q: %s", text, diff)
		}
	}
}
