package guess

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Vectors are the model's second opinion: each sign has a short vector, a message
// the weighed mean of those of its signs, and each label a weight for every place
// of it, so that what is learnt of one label serves the others too (Joulin, Grave,
// Bojanowski and Mikolov, EACL 2017, on text as the mean of such vectors). While
// it learns, a share of each message's words is left out, so that no single word
// is relied on (Iyyer, Manjunatha, Boyd-Graber and Daumé, ACL 2015).
type vectors struct {
	of   [][]float32 // of each sign; nil for one without
	out  [][]float32 // of each label
	bias []float32
}

// learnVectors fits vectors to all examples by stochastic gradient steps, each
// row at a rate that falls with its own steps (AdaGrad, a row for a number).
func (t *trainer) learnVectors(class []int, n int) vectors {
	l := newVectorLearner(t, n)
	order := make([]int, len(t.rows))
	for i := range order {
		order[i] = i
	}
	for range t.Vectors.Rounds {
		l.rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		for _, at := range order {
			l.learn(at, class[at])
		}
	}
	return l.vectors
}

// A vectorLearner is the state of learning vectors.
type vectorLearner struct {
	*trainer
	vectors
	rng *rand.Rand

	paceOf, paceOut, paceBias []float32 // what each row has moved, squared

	message thinned
	x, dx   []float32 // a message's vector, and how it ought to move
	p       []float32 // its odds, then how each ought to move
}

func newVectorLearner(t *trainer, n int) *vectorLearner {
	l := &vectorLearner{
		trainer: t, rng: rand.New(rand.NewPCG(t.Seed, 1)),
		vectors: vectors{of: make([][]float32, len(t.signs)), bias: make([]float32, n)},
		paceOf:  make([]float32, len(t.signs)), paceOut: make([]float32, n), paceBias: make([]float32, n),
		x: make([]float32, t.Vectors.Width), dx: make([]float32, t.Vectors.Width), p: make([]float32, n),
	}
	count := make([]int, len(t.signs))
	for _, r := range t.rows {
		for _, k := range r {
			count[k]++
		}
	}
	for k := range l.of {
		if k != 0 && count[k] >= t.Vectors.Least {
			l.of[k] = l.random(0.3)
		}
	}
	for range n {
		l.out = append(l.out, l.random(0.05))
	}
	return l
}

// random is a row to begin with.
func (l *vectorLearner) random(spread float64) []float32 {
	out := make([]float32, l.Vectors.Width)
	for i := range out {
		out[i] = float32(l.rng.NormFloat64() * spread)
	}
	return out
}

// learn takes one step by one example.
func (l *vectorLearner) learn(example, class int) {
	l.thin(example, l.Vectors.Drop, l.rng, l.of, &l.message)
	if len(l.message.signs) == 0 {
		return
	}
	clear(l.x)
	for j, k := range l.message.signs {
		s := l.message.shares[j]
		for c, w := range l.of[k] {
			l.x[c] += s * w
		}
	}
	l.odds(l.x, l.p)
	l.p[class]--
	clear(l.dx)
	size := meanSquare(l.x)
	for i, g := range l.p {
		if g < 1e-5 && g > -1e-5 { // too little to matter, and most are
			continue
		}
		w, step := l.out[i], l.pace(&l.paceOut[i], g*g*size)*g
		for c, x := range l.x {
			l.dx[c] += g * w[c]
			w[c] -= step * x
		}
		l.bias[i] -= l.pace(&l.paceBias[i], g*g) * g
	}
	size = meanSquare(l.dx)
	for j, k := range l.message.signs {
		s := l.message.shares[j]
		w, step := l.of[k], l.pace(&l.paceOf[k], s*s*size)*s
		for c, g := range l.dx {
			w[c] -= step * g
		}
	}
}

// pace adds a row's squared slope to what it has moved and returns its rate.
func (l *vectorLearner) pace(moved *float32, squared float32) float32 {
	*moved += squared
	return float32(l.Vectors.Rate) / (1e-4 + float32(math.Sqrt(float64(*moved))))
}

func meanSquare(v []float32) float32 {
	sum := float32(0)
	for _, x := range v {
		sum += x * x
	}
	return sum / float32(len(v))
}

// odds writes into p how likely each label is for a message's vector.
func (v *vectors) odds(x, p []float32) {
	top := float32(math.Inf(-1))
	for i, w := range v.out {
		s := v.bias[i]
		for c, xc := range x {
			s += w[c] * xc
		}
		p[i] = s
		top = max(top, s)
	}
	sum := float32(0)
	for i, s := range p {
		p[i] = float32(math.Exp(float64(s - top)))
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
}

// labelClasses is the place of each example's label among all.
func labelClasses(examples []Example, labels []string) []int {
	at := map[string]int{}
	for i, l := range labels {
		at[l] = i
	}
	out := make([]int, len(examples))
	for i, e := range examples {
		out[i] = at[e.Label]
	}
	return slices.Clip(out)
}
