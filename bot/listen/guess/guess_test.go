package guess

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// words makes the signs of a toy message.
func words(text string) []string { return strings.Fields(text) }

func toy() []Example {
	var out []Example
	for range 4 { // so that each word is seen often enough to be learnt
		for _, e := range []struct{ label, texts string }{
			{"heat how-hot", "how hot is it, what heat, hot enough, degrees please"},
			{"heat how-long", "how long is it, what time, long enough, seconds please"},
			{"price", "what does one cost, price please, how dear, cost of ten"},
			{"nothing at-all", "sing me a song, weather today, who won, tell a joke"},
		} {
			for text := range strings.SplitSeq(e.texts, ", ") {
				out = append(out, Example{words(text), e.label})
			}
		}
	}
	return out
}

func trained(t *testing.T) (*Model, []byte) {
	t.Helper()
	data := Train("a mark", []float64{1.5, -2}, toy(), Usual())
	m, err := Load(string(data))
	if err != nil {
		t.Fatal(err)
	}
	return m, data
}

// named puts the names to chances.
func named(names []string, p []float64) map[string]float64 {
	out := map[string]float64{}
	for i, name := range names {
		out[name] = p[i]
	}
	return out
}

func likeliest(m map[string]float64) string {
	best := ""
	for k, p := range m {
		if best == "" || p > m[best] {
			best = k
		}
	}
	return best
}

func TestWeigh(t *testing.T) {
	m, _ := trained(t)
	if m.Mark() != "a mark" || len(m.Extra()) != 2 || m.Extra()[0] != 1.5 || m.Extra()[1] != -2 {
		t.Errorf("mark %q, extra %v", m.Mark(), m.Extra())
	}
	for _, tt := range []struct{ text, topic, label string }{
		{"hot please", "heat", "heat how-hot"},
		{"long please", "heat", "heat how-long"},
		{"cost please", "price", "price"},
		{"sing today", "nothing", "nothing at-all"},
	} {
		weighed := m.Weigh(words(tt.text), nil)
		c := struct{ Topics, Labels map[string]float64 }{named(m.Topics(), weighed.Topics), named(m.Labels(), weighed.Labels)}
		if got := likeliest(c.Topics); got != tt.topic {
			t.Errorf("%q: topic %s, not %s: %v", tt.text, got, tt.topic, c.Topics)
		}
		in := map[string]float64{}
		topics, labels := 0.0, map[string]float64{}
		for label, p := range c.Labels {
			labels[Topic(label)] += p
			if Topic(label) == tt.topic {
				in[label] = p
			}
		}
		if got := likeliest(in); got != tt.label {
			t.Errorf("%q: label %s, not %s: %v", tt.text, got, tt.label, c.Labels)
		}
		for topic, p := range c.Topics {
			topics += p
			if math.Abs(labels[topic]-1) > 1e-9 {
				t.Errorf("%q: the labels of %s come to %g", tt.text, topic, labels[topic])
			}
		}
		if math.Abs(topics-1) > 1e-9 {
			t.Errorf("%q: the topics come to %g", tt.text, topics)
		}
	}
}

// Words nobody taught all weigh the same.
func TestUnknownWords(t *testing.T) {
	m, _ := trained(t)
	a, b := m.Weigh(words("hot zxq"), nil), m.Weigh(words("hot vbn"), nil)
	for topic, p := range a.Topics {
		if p != b.Topics[topic] {
			t.Errorf("%s: %g and %g", m.Topics()[topic], p, b.Topics[topic])
		}
	}
}

// A word nobody taught counts for those it looks like.
func TestPieces(t *testing.T) {
	m, _ := trained(t)
	for text, want := range map[string]string{"degreez": "heat", "pricing": "price", "songs": "nothing"} {
		if got := likeliest(named(m.Topics(), m.Weigh(words(text), nil).Topics)); got != want {
			t.Errorf("%q: %s, not %s", text, got, want)
		}
	}
	if a, b := m.Weigh(words("degreez"), nil).Topics, m.Weigh(words("zzzzzz"), nil).Topics; a[0] == b[0] {
		t.Error("a word like one that was taught weighs no more than any other")
	}
}

// The vectors' chances are worked out as their weights say, by another way: read
// back from the bytes and summed here.
func TestVectors(t *testing.T) {
	examples := toy()
	s := Usual()
	with, _ := Load(string(Train("", nil, examples, s)))
	s.Vectors.Width = 0
	without, _ := Load(string(Train("", nil, examples, s)))
	signs := words("how hot please")
	all, first := with.Weigh(signs, nil), without.Weigh(signs, nil)
	trainer := newTrainer(examples, Usual())
	topics, labels := classes(examples)
	v := trainer.learnVectors(labelClasses(examples, labels), len(labels))
	x, length := make([]float64, Usual().Vectors.Width), 0.0
	for _, sign := range distinct(whole(signs)) {
		k := slices.Index(trainer.signs, sign)
		if k < 0 || v.of[k] == nil {
			continue
		}
		for c, w := range v.of[k] {
			x[c] += trainer.rarity[k] * float64(w)
		}
		length += trainer.rarity[k] * trainer.rarity[k]
	}
	odds := make([]float64, len(labels))
	for i := range odds {
		odds[i] = float64(v.bias[i])
		for c := range x {
			odds[i] += x[c] / math.Sqrt(length) * float64(v.out[i][c])
		}
	}
	softmax(odds)
	mean, sum := map[string]float64{}, 0.0
	for k, topic := range topics {
		second := 0.0
		for i, label := range labels {
			if Topic(label) == topic {
				second += odds[i]
			}
		}
		mean[topic] = math.Sqrt(first.Topics[k] * second)
		sum += mean[topic]
	}
	for k, topic := range topics {
		if want := mean[topic] / sum; math.Abs(all.Topics[k]-want) > 0.01 { // the vectors are kept in steps
			t.Errorf("%s: %g, want %g", topic, all.Topics[k], want)
		}
	}
}

func TestSameBytes(t *testing.T) {
	_, a := trained(t)
	_, b := trained(t)
	if string(a) != string(b) {
		t.Error("the same examples gave other bytes")
	}
}

// A model that was cut off anywhere is refused, and never read past its end.
func TestCutOff(t *testing.T) {
	_, data := trained(t)
	for n := range len(data) {
		if _, err := Load(string(data[:n])); err == nil {
			t.Fatalf("a model cut off after %d of %d bytes was taken", n, len(data))
		}
	}
}

// With one sign that is there or not, the weights of a logistic regression are
// known in closed form: the constant is the log odds without the sign, the
// sign's weight the logarithm of the odds ratio (Agresti, Categorical Data
// Analysis, on logistic regression for two-by-two tables). The counts are
// invented.
func TestFitOddsRatio(t *testing.T) {
	const withRight, withWrong, withoutRight, withoutWrong = 30, 10, 12, 48
	var rows [][]float64
	var right []bool
	add := func(n int, x float64, y bool) {
		for range n {
			rows, right = append(rows, []float64{1, x}), append(right, y)
		}
	}
	add(withRight, 1, true)
	add(withWrong, 1, false)
	add(withoutRight, 0, true)
	add(withoutWrong, 0, false)
	w := Fit(rows, right)
	constant := math.Log(float64(withoutRight) / withoutWrong)
	ratio := math.Log(float64(withRight) * withoutWrong / (float64(withWrong) * withoutRight))
	if math.Abs(w[0]-constant) > 1e-3 || math.Abs(w[1]-ratio) > 1e-3 {
		t.Errorf("weights %.4f, want %.4f and %.4f", w, constant, ratio)
	}
	if p := Odds(w, []float64{1, 1}); math.Abs(p-float64(withRight)/(withRight+withWrong)) > 1e-3 {
		t.Errorf("odds %.4f", p)
	}
}
