package price

import (
	"fmt"
	"math"
	"math/big"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

const (
	// MaxPieces bounds an order. It guards against slips of typing and keeps
	// the floating-point error of the binomial sums (about pieces x 1e-16)
	// far below closeCall.
	MaxPieces = 100_000

	// maxSpoilage bounds the share of spoiled pieces: where more than half
	// fail, the process wants mending and not a price.
	maxSpoilage unit.Share = 0.5

	// maxConfidence bounds the wanted chance. Beyond it the model, in which
	// pieces spoil independently, says nothing any more; and every count
	// would be a close call.
	maxConfidence unit.Share = 0.99999

	// closeCall is the distance from the wanted chance within which the
	// floating-point sum does not decide, but exact integers do.
	closeCall = 1e-9

	// overflowGuard keeps the sums of the binomial inside float64.
	overflowGuard = 1e250
)

// Copies returns the smallest n with
//
//	P(Binomial(n, 1 - spoilage) >= q) >= confidence,
//
// pieces being spoiled independently of each other. The shares are taken as
// the decimals they are written as, and a close call is decided in whole
// numbers, so that q = 1 at 5 % and 95 % is 1. Spoilage 0..0.5, confidence
// 0..0.99999, q 0..MaxPieces; anything else is an error.
//
// A wrong setting spoils a whole run, which this model does not see: keep a
// spare in any case ([WithFloor]) and check the first piece.
func Copies(q int, spoilage, confidence unit.Share) (int, error) {
	switch {
	case q < 0 || q > MaxPieces:
		return 0, fmt.Errorf("copies for %d pieces: give 0 to %d", q, MaxPieces)
	case !(spoilage >= 0 && spoilage <= maxSpoilage):
		return 0, fmt.Errorf("copies at %v %% spoilage: give 0 to %v %%", spoilage.Percent(), maxSpoilage.Percent())
	case !(confidence >= 0 && confidence <= maxConfidence):
		return 0, fmt.Errorf("copies for a chance of %v %%: give 0 to %v %%", confidence.Percent(), maxConfidence.Percent())
	}
	return copies(q, 1, spoilage, confidence), nil
}

// copies is Copies where the chance must hold for so many equal parts
// together: P^parts >= confidence. The count rises with q, with spoilage and
// with parts.
//
// The chance is summed as that of needing n tries for q good pieces (negative
// binomial), term by term:
//
//	t(q) = p^q,  t(n+1) = t(n) (1-p) n / (n+1-q),  P(n) = t(q) + ... + t(n).
//
// W. Feller, An Introduction to Probability Theory, vol. 1, 3rd ed., 1968, VI.8.
func copies(q, parts int, spoilage, confidence unit.Share) int {
	if q == 0 || spoilage == 0 {
		return q
	}
	wanted := math.Pow(float64(confidence), 1/float64(parts))
	s := float64(spoilage)
	scale := float64(q) * math.Log1p(-s)
	term, sum := 1.0, 1.0
	for n := q; ; n++ {
		chance := sum * math.Exp(scale)
		if chance > wanted+closeCall ||
			chance > wanted-closeCall && enough(q, n, parts, spoilage, confidence) {
			return n
		}
		term *= s * float64(n) / float64(n+1-q)
		sum += term
		if sum > overflowGuard {
			term, sum = term/overflowGuard, sum/overflowGuard
			scale += math.Log(overflowGuard)
		}
	}
}

// enough decides P(Binomial(n, 1-s) >= q)^parts >= confidence in whole
// numbers. With 1-s = a/b and k = n-q,
//
//	P = a^q sum_{j=0..k} C(q-1+j, j) (b-a)^j b^(k-j) / b^n.
func enough(q, n, parts int, spoilage, confidence unit.Share) bool {
	good := new(big.Rat).Sub(big.NewRat(1, 1), exactly(spoilage))
	wanted := exactly(confidence)
	a, b := good.Num(), good.Denom()
	bad := new(big.Int).Sub(b, a)

	// Horner in b: sum = (...(C0 b + C1 bad) b + C2 bad^2) b ...
	sum, ways, power := big.NewInt(1), big.NewInt(1), big.NewInt(1)
	for j := 1; j <= n-q; j++ {
		ways.Mul(ways, big.NewInt(int64(q-1+j)))
		ways.Quo(ways, big.NewInt(int64(j)))
		power.Mul(power, bad)
		sum.Mul(sum, b)
		sum.Add(sum, new(big.Int).Mul(ways, power))
	}
	left := new(big.Int).Exp(a, big.NewInt(int64(q)), nil)
	left.Mul(left, sum)
	left.Exp(left, big.NewInt(int64(parts)), nil)
	left.Mul(left, wanted.Denom())
	right := new(big.Int).Exp(b, big.NewInt(int64(n)*int64(parts)), nil)
	right.Mul(right, wanted.Num())
	return left.Cmp(right) >= 0
}

// written is the share as it was written: the shortest decimal within twelve
// places, so that 0.05 is a twentieth, and 2.9 / 100 is 0.029, rather than the
// binary number next to it.
func written(s unit.Share) decimal.Decimal {
	const places = 12
	return decimal.NewFromFloat(float64(s)).Round(places)
}

// exactly is the share, as written, as a fraction.
func exactly(s unit.Share) *big.Rat { return written(s).Rat() }

// ChanceEnough returns P(Binomial(n, 1 - spoilage) >= q), to about 1e-9: the
// chance that n pieces hold q good ones. No piece wanted is certain; fewer
// pieces than wanted is impossible.
func ChanceEnough(n, q int, spoilage unit.Share) float64 {
	switch {
	case q <= 0:
		return 1
	case n < q || !(spoilage < 1):
		return 0
	case spoilage <= 0:
		return 1
	}
	s := float64(spoilage)
	scale := float64(q) * math.Log1p(-s)
	term, sum := 1.0, 1.0
	for i := q; i < n; i++ {
		term *= s * float64(i) / float64(i+1-q)
		sum += term
		if sum > overflowGuard {
			term, sum = term/overflowGuard, sum/overflowGuard
			scale += math.Log(overflowGuard)
		}
	}
	return min(1, sum*math.Exp(scale))
}

// WithFloor raises n to one spare where q is from or more; from 0 means no
// such rule.
func WithFloor(n, q, from int) int {
	if from > 0 && q >= from {
		return max(n, q+1)
	}
	return n
}
