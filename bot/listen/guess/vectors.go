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
	rng := rand.New(rand.NewPCG(t.Seed, 1))
	row := func(k int, spread float64) []float32 {
		out := make([]float32, k)
		for i := range out {
			out[i] = float32(rng.NormFloat64() * spread)
		}
		return out
	}
	v := vectors{of: make([][]float32, len(t.signs)), bias: make([]float32, n)}
	count := make([]int, len(t.signs))
	for _, r := range t.rows {
		for _, k := range r {
			count[k]++
		}
	}
	for k := range v.of {
		if k != 0 && count[k] >= t.Vectors.Least {
			v.of[k] = row(t.Vectors.Width, 0.3)
		}
	}
	for range n {
		v.out = append(v.out, row(t.Vectors.Width, 0.05))
	}
	paceOf, paceOut, paceBias := make([]float32, len(v.of)), make([]float32, n), make([]float32, n)
	order := make([]int, len(t.rows))
	for i := range order {
		order[i] = i
	}
	x, dx, p := make([]float32, t.Vectors.Width), make([]float32, t.Vectors.Width), make([]float32, n)
	var th thinned
	rate := float32(t.Vectors.Rate)
	for range t.Vectors.Rounds {
		rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		for _, at := range order {
			t.thin(at, t.Vectors.Drop, rng, v.of, &th)
			if len(th.signs) == 0 {
				continue
			}
			clear(x)
			for j, k := range th.signs {
				s := th.shares[j]
				for c, w := range v.of[k] {
					x[c] += s * w
				}
			}
			var norm float32
			for _, w := range x {
				norm += w * w
			}
			v.odds(x, p)
			p[class[at]]--
			clear(dx)
			for i, g := range p {
				if g < 1e-5 && g > -1e-5 {
					continue
				}
				w := v.out[i]
				paceOut[i] += g * g * norm / float32(t.Vectors.Width)
				step := rate * g / (1e-4 + float32(math.Sqrt(float64(paceOut[i]))))
				for c, xc := range x {
					dx[c] += g * w[c]
					w[c] -= step * xc
				}
				paceBias[i] += g * g
				v.bias[i] -= rate * g / (1e-4 + float32(math.Sqrt(float64(paceBias[i]))))
			}
			norm = 0
			for _, w := range dx {
				norm += w * w
			}
			for j, k := range th.signs {
				s := th.shares[j]
				paceOf[k] += s * s * norm / float32(t.Vectors.Width)
				step := rate * s / (1e-4 + float32(math.Sqrt(float64(paceOf[k]))))
				w := v.of[k]
				for c, g := range dx {
					w[c] -= step * g
				}
			}
		}
	}
	return v
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
