package guess

import "math"

// Fit learns a logistic regression over rows of numbers: the weights with which
// Odds tells how likely a row is a right one. It takes Newton's steps, which
// settle within a dozen (Hastie, Tibshirani and Friedman, The Elements of
// Statistical Learning, 4.4.1), with a small pull towards 0.
func Fit(rows [][]float64, right []bool) []float64 {
	const (
		steps = 25
		decay = 1e-6 // of the mean loss
	)
	n := len(rows[0])
	w := make([]float64, n)
	for range steps {
		// slope and curvature of the loss side by side, as the rows of one system
		system := make([][]float64, n)
		for i := range system {
			system[i] = make([]float64, n+1)
			system[i][i] = decay * float64(len(rows))
			system[i][n] = decay * float64(len(rows)) * w[i]
		}
		for k, row := range rows {
			p := Odds(w, row)
			d := p
			if right[k] {
				d--
			}
			for i, x := range row {
				system[i][n] += d * x
				for j, y := range row {
					system[i][j] += p * (1 - p) * x * y
				}
			}
		}
		for i, d := range solve(system) {
			w[i] -= d
		}
	}
	return w
}

// solve brings a system of linear equations, each with its right side last, to
// its solution, by elimination with the largest pivot.
func solve(a [][]float64) []float64 {
	n := len(a)
	for i := range a {
		best := i
		for k := i; k < n; k++ {
			if math.Abs(a[k][i]) > math.Abs(a[best][i]) {
				best = k
			}
		}
		a[i], a[best] = a[best], a[i]
		for k := range a {
			if k == i {
				continue
			}
			f := a[k][i] / a[i][i]
			for j := i; j <= n; j++ {
				a[k][j] -= f * a[i][j]
			}
		}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = a[i][n] / a[i][i]
	}
	return out
}

// Odds is the probability, 0 to 1, that a row is a right one.
func Odds(weights, row []float64) float64 {
	sum := 0.0
	for i, x := range row {
		sum += weights[i] * x
	}
	return 1 / (1 + math.Exp(-sum))
}
