package engine

import "sort"

// sortedBy returns the indexes of keys, lowest key first, lower index first
// among equals.
func sortedBy(keys []int64) []int {
	order := sequence(len(keys))
	sort.SliceStable(order, func(i, k int) bool { return keys[order[i]] < keys[order[k]] })
	return order
}

func sequence(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
