package colour

import "golang.org/x/image/colornames"

// rebeccapurple came with Level 4 of the CSS list, after the 147 names that
// colornames holds.
const rebeccapurple = "rebeccapurple"

// Name returns the CSS name nearest to c by CIEDE2000. Of names that lie
// equally near, the first of the alphabet is taken, except that toner's own
// words win: cyan over aqua, magenta over fuchsia.
func Name(c Colour) string {
	lab := c.Lab()
	best, bestDistance := rebeccapurple, CIEDE2000(lab, rebecca().Lab())
	for _, name := range colornames.Names {
		if name == "aqua" || name == "fuchsia" {
			continue
		}
		named, _ := byName(name)
		if d := CIEDE2000(lab, named.Lab()); d < bestDistance {
			best, bestDistance = name, d
		}
	}
	return best
}

func byName(name string) (Colour, bool) {
	if name == rebeccapurple {
		return rebecca(), true
	}
	c, ok := colornames.Map[name]
	return Colour{R: c.R, G: c.G, B: c.B}, ok
}

func rebecca() Colour { return Colour{R: 0x66, G: 0x33, B: 0x99} }
