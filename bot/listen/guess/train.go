package guess

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// An Example is a message as its signs, with the label it deserves: a topic,
// or a topic, a space, and which of its questions.
type Example struct {
	Signs []string
	Label string
}

// A Schooling says how to learn.
type Schooling struct {
	Rounds  int     // passes over the examples
	Rate    float64 // of the first step; each weight's own rate falls with its steps
	Decay   float64 // pull of every weight towards 0, a step
	Least   int     // a sign fewer examples hold is dropped, or taken for Unknown if it is a word
	Drop    float64 // share of a message's signs left out at a step, others each time
	Balance float64 // 0: every example counts alike; 1: every class does
	Prune   float64 // weights of labels smaller than this share of the largest are dropped; those of topics stay
	Seed    uint64

	Vectors VectorSchooling
}

// A VectorSchooling says how to learn the vectors; its fields mean what those of
// Schooling do.
type VectorSchooling struct {
	Width  int // numbers a vector; 0: no vectors
	Rounds int
	Rate   float64
	Least  int // a sign fewer examples hold has no vector
	Drop   float64
}

// Usual is what has served: it was chosen by cross-validation over the examples
// and on the tune questions.
func Usual() Schooling {
	return Schooling{
		Rounds: 20, Rate: 0.2, Decay: 1e-4, Least: 4, Drop: 0.2, Balance: 0.2, Prune: 0.25, Seed: 1,
		Vectors: VectorSchooling{Width: 64, Rounds: 20, Rate: 0.1, Least: 4, Drop: 0.4},
	}
}

// Train learns a model and returns it as bytes that Load reads; extra numbers
// are kept with it. Same examples, same bytes on one kind of machine.
func Train(mark string, extra []float64, examples []Example, s Schooling) []byte {
	t := newTrainer(examples, s)
	topics, labels := classes(examples)
	columns := len(topics) + len(labels)
	weights := make([][]float32, len(t.signs))
	for i := range weights {
		weights[i] = make([]float32, columns)
	}
	put := func(from int, learnt [][]float32) {
		for i, w := range learnt {
			copy(weights[i][from:], w)
		}
	}
	all := make([]int, len(examples))
	class := make([]int, len(examples))
	for i, e := range examples {
		all[i] = i
		class[i], _ = slices.BinarySearch(topics, Topic(e.Label))
	}
	var second vectors
	var learning sync.WaitGroup
	if s.Vectors.Width > 0 {
		learning.Go(func() { second = t.learnVectors(labelClasses(examples, labels), len(labels)) })
	}
	put(0, t.learn(all, class, len(topics)))
	for k := range topics {
		var own []int
		from := slices.IndexFunc(labels, func(l string) bool { return Topic(l) == topics[k] })
		n := 0
		for _, l := range labels {
			if Topic(l) == topics[k] {
				n++
			}
		}
		if n < 2 {
			continue
		}
		for i, e := range examples {
			if Topic(e.Label) == topics[k] {
				own = append(own, i)
				class[i] = slices.Index(labels, e.Label) - from
			}
		}
		put(len(topics)+from, t.learn(own, class, n))
	}
	var scale [2]float64
	for _, row := range weights {
		for c, w := range row {
			k := part(c, len(topics))
			scale[k] = max(scale[k], math.Abs(float64(w))/math.MaxInt8)
		}
	}
	learning.Wait()
	rows := map[string]row{}
	for i, sign := range t.signs {
		r := row{rarity: t.rarity[i], topics: make([]int8, len(topics))}
		for c, w := range weights[i] {
			k := part(c, len(topics))
			q := math.Round(float64(w) / scale[k])
			switch label := c - len(topics); {
			case label < 0:
				r.topics[c] = int8(q)
			case math.Abs(q) >= max(1, s.Prune*math.MaxInt8):
				r.cells = append(r.cells, cell{label, int8(q)})
			}
		}
		if s.Vectors.Width > 0 {
			r.vector = second.of[i]
		}
		rows[sign] = r
	}
	return encode(mark, extra, topics, labels, scale, rows, second)
}

// classes lists topics and labels, sorted by topic and then label.
func classes(examples []Example) (topics, labels []string) {
	seen := map[string]bool{}
	for _, e := range examples {
		if !seen[e.Label] {
			seen[e.Label] = true
			labels = append(labels, e.Label)
		}
		if t := Topic(e.Label); !slices.Contains(topics, t) {
			topics = append(topics, t)
		}
	}
	slices.Sort(topics)
	slices.SortFunc(labels, func(a, b string) int {
		if Topic(a) != Topic(b) {
			return strings.Compare(Topic(a), Topic(b))
		}
		return strings.Compare(a, b)
	})
	return topics, labels
}

// A trainer holds the examples as rows of numbers.
type trainer struct {
	Schooling
	signs  []string // sorted; the first is always
	rarity []float64
	rows   [][]int     // of each example: its signs
	shares [][]float32 // and how much each counts
}

func newTrainer(examples []Example, s Schooling) *trainer {
	df := map[string]int{}
	for _, e := range examples {
		for _, sign := range distinct(whole(e.Signs)) {
			df[sign]++
		}
	}
	t := &trainer{Schooling: s}
	for sign, n := range df {
		if n >= s.Least && sign != Unknown {
			t.signs = append(t.signs, sign)
		}
	}
	slices.Sort(t.signs)
	t.signs = append([]string{always, Unknown}, t.signs...)
	index := map[string]int{}
	for i, sign := range t.signs {
		index[sign] = i
	}
	n := float64(len(examples))
	t.rows = make([][]int, len(examples))
	seen := make([]int, len(t.signs))
	for i, e := range examples {
		var row []int
		for _, sign := range whole(e.Signs) {
			k, known := index[sign]
			if !known && single(sign) {
				k, known = index[Unknown], true
			}
			if known && !slices.Contains(row, k) {
				row = append(row, k)
				seen[k]++
			}
		}
		t.rows[i] = row
	}
	t.rarity = make([]float64, len(t.signs))
	for i, k := range seen {
		t.rarity[i] = 1 + math.Log((1+n)/float64(1+k))
	}
	t.shares = make([][]float32, len(examples))
	for i, row := range t.rows {
		length := 0.0
		for _, k := range row {
			length += t.rarity[k] * t.rarity[k]
		}
		for _, k := range row {
			t.shares[i] = append(t.shares[i], float32(t.rarity[k]/math.Sqrt(length)))
		}
	}
	return t
}

// whole is signs with the pieces of words among them.
func whole(signs []string) []string {
	out := make([]string, 0, 4*len(signs))
	for _, s := range signs {
		out = append(out, s)
		eachPiece(s, func(piece string) { out = append(out, pieceMark+piece) })
	}
	return out
}

func distinct(signs []string) []string {
	out := slices.Clone(signs)
	slices.Sort(out)
	return slices.Compact(out)
}

// learn fits the weights of n classes to some of the examples by stochastic
// gradient steps whose rate falls for each weight by itself (AdaGrad: Duchi,
// Hazan and Singer, JMLR 12, 2011).
func (t *trainer) learn(which, class []int, n int) [][]float32 {
	weights := make([][]float32, len(t.signs))
	steps := make([][]float32, len(t.signs))
	for _, i := range append([]int{-1}, which...) {
		row := []int{0}
		if i >= 0 {
			row = t.rows[i]
		}
		for _, k := range row {
			if weights[k] == nil {
				weights[k], steps[k] = make([]float32, n), make([]float32, n)
			}
		}
	}
	count := make([]float64, n)
	for _, i := range which {
		count[class[i]]++
	}
	heed := make([]float64, n)
	for c := range heed {
		heed[c] = math.Pow(float64(len(which))/float64(n)/max(1, count[c]), t.Balance)
	}
	order := slices.Clone(which)
	rng := rand.New(rand.NewPCG(t.Seed, 0))
	p := make([]float64, n)
	slope := make([]float32, n)
	var th thinned
	for range t.Rounds {
		rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		for _, at := range order {
			for c, w := range weights[0] {
				p[c] = float64(w)
			}
			t.thin(at, t.Drop, rng, nil, &th)
			for j, k := range th.signs {
				x := th.shares[j]
				for c, w := range weights[k] {
					p[c] += float64(x * w)
				}
			}
			softmax(p)
			for c := range slope {
				slope[c] = float32(p[c] * heed[class[at]])
			}
			slope[class[at]] -= float32(heed[class[at]])
			t.step(weights[0], steps[0], slope, 1)
			for j, k := range th.signs {
				t.step(weights[k], steps[k], slope, th.shares[j])
			}
		}
	}
	return weights
}

// A thinned message is one of which some signs were left out, brought back to
// length one.
type thinned struct {
	signs  []int
	shares []float32
}

// thin leaves out a share of an example's signs, and those without a vector where
// there are vectors.
func (t *trainer) thin(example int, drop float64, rng *rand.Rand, of [][]float32, to *thinned) {
	to.signs, to.shares = to.signs[:0], to.shares[:0]
	length := 0.0
	for j, k := range t.rows[example] {
		if of != nil && of[k] == nil || drop > 0 && rng.Float64() < drop {
			continue
		}
		s := t.shares[example][j]
		to.signs, to.shares = append(to.signs, k), append(to.shares, s)
		length += float64(s * s)
	}
	for j := range to.shares {
		to.shares[j] *= float32(1 / math.Sqrt(length))
	}
}

func (t *trainer) step(weights, steps, slope []float32, x float32) {
	for c, d := range slope {
		g := d*x + float32(t.Decay)*weights[c]
		steps[c] += g * g
		if g != 0 {
			weights[c] -= float32(t.Rate) * g / (1e-3 + float32(math.Sqrt(float64(steps[c]))))
		}
	}
}

func number(s string) (float64, error) { return strconv.ParseFloat(s, 64) }

func text(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
