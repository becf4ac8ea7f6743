package method

import "math"

// Lightness returns the class of a colour given in CIELAB (D65): the first
// class with MinL <= L* < MaxL and C*ab <= MaxC, where C*ab = sqrt(a*^2 + b*^2)
// (CIE 15). A MaxL or MaxC of zero sets no limit. It returns "" where no class
// takes the colour.
func Lightness(l, a, b float64, classes []Class) string {
	chroma := math.Hypot(a, b)
	for _, c := range classes {
		if l >= c.MinL && (c.MaxL == 0 || l < c.MaxL) && (c.MaxC == 0 || chroma <= c.MaxC) {
			return c.Name
		}
	}
	return ""
}
