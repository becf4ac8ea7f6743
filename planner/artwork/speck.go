package artwork

import (
	"math"
	"slices"
)

// A dusting is what small lone parts there are.
type dusting struct {
	count    int
	smallest spotPx // its width is that of a square as large
}

// ghost is the distance from the ground colour that a lone part must reach
// somewhere to count in a file without transparency: JPEG scatters fainter ones
// round every edge.
const ghost = 64

// A small is a part that may be a letter.
type small struct {
	x0, y0, x1, y1 int
}

func (s small) height() int { return s.y1 - s.y0 }

// maxSmall bounds the letters looked at, so that noise can't make the search
// for lines of text long; a page of print has about 4,000.
const maxSmall = 20_000

// sort parts into specks, of at most speckArea pixels, and letter-like parts of
// at most letter pixels in height.
func (p *plane) survey(speckArea, letter float64) (dusting, []small) {
	var d dusting
	var letters []small
	p.art().eachPart(func(part part) {
		if p.byColour && part.peak < ghost {
			return
		}
		if float64(part.area) <= speckArea {
			d.add(part)
			return
		}
		box := part.box
		if h := float64(box.Dy()); h >= leastLetter && h <= letter &&
			float64(box.Dx()) <= widestLetter*h && len(letters) < maxSmall {
			letters = append(letters, small{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y})
		}
	})
	return d, letters
}

func (d *dusting) add(p part) {
	d.count++
	spot := spotPx{
		width: math.Sqrt(float64(p.area)),
		x:     (p.box.Min.X + p.box.Max.X - 1) / 2,
		y:     (p.box.Min.Y + p.box.Max.Y - 1) / 2,
		found: true,
	}
	if spot.thinner(d.smallest) {
		d.smallest = spot
	}
}

// What makes parts look like a line of type: at least leastLetters of them, of
// at least leastLetter pixels (fewer show no letter), not wider than
// widestLetter heights (an M or a joined pair), whose heights differ by no more
// than letterSpread (an x beside a capital, or one with a descender), which
// stand side by side, and no further apart than letterGap heights (the space
// between words is about a third of the type size).
const (
	leastLetters = 3
	leastLetter  = 5
	widestLetter = 2.5
	letterSpread = 2.2
	letterGap    = 1.2
)

// smallestText finds the line of type-like parts with the least cap height and
// returns that height and its first letter. Type that joins up, lies inside a
// shape of another colour, or has fewer than three letters is not found.
func smallestText(letters []small) spotPx {
	slices.SortFunc(letters, func(a, b small) int {
		if a.x0 != b.x0 {
			return a.x0 - b.x0
		}
		return a.y0 - b.y0
	})
	// Lines grow from left to right; each letter joins the line whose last
	// letter it continues.
	var lines []textLine
	open := map[int][]int{} // lines by the row band of their last letter
	for _, l := range letters {
		i, ok := continued(lines, open, l)
		if !ok {
			lines = append(lines, textLine{first: l})
			i = len(lines) - 1
		}
		lines[i].add(l)
		b := l.y0 / lineBand
		if !slices.Contains(open[b], i) {
			open[b] = append(open[b], i)
		}
	}
	var best spotPx
	for _, line := range lines {
		if line.letters < leastLetters {
			continue
		}
		f := line.first
		spot := spotPx{width: float64(line.tallest), x: (f.x0 + f.x1 - 1) / 2, y: (f.y0 + f.y1 - 1) / 2, found: true}
		if spot.thinner(best) {
			best = spot
		}
	}
	return best
}

type textLine struct {
	first, last small
	letters     int
	tallest     int
}

func (t *textLine) add(l small) {
	t.last = l
	t.letters++
	t.tallest = max(t.tallest, l.height())
}

// lineBand parts rows into bands, so that a letter is compared only with lines
// near its own height. Letters are compared with the bands above and below too.
const lineBand = 64

// continued finds the latest line that a letter continues.
func continued(lines []textLine, open map[int][]int, l small) (int, bool) {
	best, found := 0, false
	for b := l.y0/lineBand - 1; b <= l.y0/lineBand+1; b++ {
		for _, i := range open[b] {
			if follows(lines[i].last, l) && (!found || i > best) {
				best, found = i, true
			}
		}
	}
	return best, found
}

func follows(last, l small) bool {
	low, high := float64(min(last.height(), l.height())), float64(max(last.height(), l.height()))
	overlap := float64(min(last.y1, l.y1) - max(last.y0, l.y0))
	gap := float64(l.x0 - last.x1)
	return high <= letterSpread*low && overlap >= low/2 && gap >= -low/2 && gap <= letterGap*high
}
