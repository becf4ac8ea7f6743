package price

import (
	"cmp"
	"slices"
)

// apportion spreads total over the weights by odd-number divisors (Webster;
// Sainte-Lague), ties to the larger weight, then to the first. One piece more
// never takes a piece from anyone, so that a larger order is never a smaller
// one in some size; a total equal to the sum of the weights gives the weights
// back. M. Balinski, H. P. Young, Fair Representation, 2nd ed., 2001.
func apportion(weights []int, total int) []int {
	got := make([]int, len(weights))
	for range total {
		award(weights, got)
	}
	return got
}

// award gives one more piece.
func award(weights, got []int) {
	best := 0
	for i := range weights {
		// weights[i]/(2 got[i]+1) > weights[best]/(2 got[best]+1)
		left, right := weights[i]*(2*got[best]+1), weights[best]*(2*got[i]+1)
		if left > right || left == right && weights[i] > weights[best] {
			best = i
		}
	}
	got[best]++
}

// sizeOrder ranks sizes as they are read out; unknown ones come last, by name.
func sizeOrder(a, b string) int {
	return cmp.Or(cmp.Compare(sizeRank(a), sizeRank(b)), cmp.Compare(a, b))
}

func sizeRank(size string) int {
	known := [...]string{
		"NB", "6M", "12M", "18M", "24M", "2T", "3T", "4T", "5T", "YXS", "YS", "YM", "YL", "YXL",
		"XS", "S", "M", "L", "XL", "2XL", "3XL", "4XL", "5XL", "6XL",
	}
	if i := slices.Index(known[:], size); i >= 0 {
		return i
	}
	return len(known)
}
