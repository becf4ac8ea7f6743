package sheet

// random is a fixed sequence of numbers: SplitMix64 of G. L. Steele, D. Lea,
// C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
// The search owns it so that the same problem gives the same plan with every
// release of the standard library.
type random struct{ state uint64 }

func (r *random) next() uint64 {
	r.state += 0x9e3779b97f4a7c15
	z := r.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n-1. Its bias is below n / 2^32.
func (r *random) below(n int) int { return int((r.next() >> 32) * uint64(n) >> 32) }
