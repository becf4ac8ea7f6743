package unit

// Share is a part of a whole, 0..1.
type Share float64

// Percent returns the share of p per cent.
func Percent(p float64) Share { return Share(p / 100) }

// Percent returns the share in per cent.
func (s Share) Percent() float64 { return float64(s) * 100 }
