package artwork

import (
	"cmp"
	"fmt"
	"image"
	"io"
	"maps"
	"math"
	"slices"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// Inspect opens a file and inspects it for one wish; see Open and Art.Inspect.
func Inspect(r io.Reader, wish Wish, limits Limits) (Report, error) {
	art, err := Open(r, limits)
	if err != nil {
		return Report{}, err
	}
	return art.Inspect(wish)
}

// Inspect measures the art and judges it for a wish.
//
// Invariants: Bounds lies in Pixels and both are as seen; the three shares add
// up to 1; EffectivePPI, Print and Bounds agree; the verdict is the worst that
// a finding calls for; findings come in the order of the list in this package.
// Ties: of equal spots the first in reading order of the stored picture.
// What does not hold: that nothing else is wrong with the art. Strokes and gaps
// are those of the print's outline, not of colours inside it; type is found
// only where letters stand apart; colours are guesses without a profile.
//
// It fails with ErrEmpty where nothing is to be seen, and where the wish is out
// of range.
func (a *Art) Inspect(wish Wish) (Report, error) {
	report, err := a.inspect(wish)
	if err != nil {
		return Report{}, fmt.Errorf("art: %w", err)
	}
	return report, nil
}

func (a *Art) inspect(wish Wish) (Report, error) {
	if err := wish.validate(); err != nil {
		return Report{}, fmt.Errorf("wish: %w", err)
	}
	lay := locate(a.img, a.format == JPEG || a.format == WebP)
	if lay.bounds.Empty() {
		return Report{}, fmt.Errorf("%w: every pixel is transparent: send the file that shows the art", ErrEmpty)
	}
	r := Report{Format: a.format, Box: lay.box, Ground: lay.ground}
	r.Pixels.Width, r.Pixels.Height = a.turn.size()
	seen := a.turn.rect(lay.bounds)
	r.Bounds = Box{X: seen.Min.X, Y: seen.Min.Y, Width: seen.Dx(), Height: seen.Dy()}

	scale := a.size(&r, wish)
	a.widths(&r, lay, wish.Rules, scale)
	a.fillTones(&r, lay, wish, scale)
	if wish.Blank.Known && len(r.Colours) > 0 {
		if err := forecast(&r, wish); err != nil {
			return Report{}, err
		}
	}
	a.judge(&r, wish, scale)
	return r, nil
}

// size settles the printed size and returns the width of a pixel in mm.
func (a *Art) size(r *Report, wish Wish) float64 {
	w, h := float64(r.Bounds.Width), float64(r.Bounds.Height)
	perPixel := 0.0
	switch {
	case wish.Width > 0 || wish.Height > 0:
		r.SizeFrom = FromWish
		perPixel = math.Inf(1)
		if wish.Width > 0 {
			perPixel = wish.Width.MM() / w
		}
		if wish.Height > 0 {
			perPixel = min(perPixel, wish.Height.MM()/h)
		}
	case a.ppiX > 0:
		r.SizeFrom = FromFile
		perPixel = unit.MillimetresPerInch / a.ppiX
	default:
		r.SizeFrom = FromDensity
		perPixel = unit.MillimetresPerInch / cmp.Or(wish.Rules.WantedPPI, usualPPI)
	}
	r.Print = Print{Width: roundTo(w*perPixel, sizeStep), Height: roundTo(h*perPixel, sizeStep)}
	r.EffectivePPI = roundPPI(unit.MillimetresPerInch / perPixel)
	r.Largest = []AtPPI{}
	for _, ppi := range wish.Rules.LargestAt {
		at := unit.MillimetresPerInch / ppi
		r.Largest = append(r.Largest, AtPPI{PPI: ppi, Width: roundTo(w*at, sizeStep), Height: roundTo(h*at, sizeStep)})
	}
	return perPixel
}

// roundPPI rounds as a size is rounded, except that absurdly coarse pixels
// don't become none.
func roundPPI(ppi float64) float64 {
	if ppi < 1 {
		return max(roundTo(ppi, shareStep), shareStep)
	}
	return roundTo(ppi, sizeStep)
}

// usualPPI sizes a file that names no density for a wish that names no size and
// rules that name no density: what an eye resolves at reading distance (1 minute
// of arc at 300 mm is 291 ppi).
const usualPPI = 300

// widths measures strokes, gaps, specks, type and soft bands.
func (a *Art) widths(r *Report, lay layout, rules Rules, scale float64) {
	speckArea := math.Pi / 4 * square(rules.Speck.MM()/scale)
	if lay.cover == nil {
		// A full rectangle: its shorter side is its only stroke.
		b := lay.bounds
		r.ThinnestStroke = a.spot(spotPx{width: float64(min(b.Dx(), b.Dy())), x: b.Dx() / 2, y: b.Dy() / 2, found: true}, b, scale)
		return
	}
	p := lay.cover
	// A speck of 1 mm at 600 ppi has 440 pixels. More would only slow the search
	// in a file of noise.
	const mostSpeck = 500
	speck := int(min(speckArea, mostSpeck))
	stroke := p.art().thinnest(speck)
	if !stroke.found {
		// Nothing but corners and tapers, as in a star, or dust: as wide as the
		// largest disc that fits in.
		stroke = p.art().widest()
	}
	r.ThinnestStroke = a.spot(stroke, p.at, scale)
	r.ThinnestGap = a.spot(p.gaps().thinnest(speck), p.at, scale)

	dust, letters := p.survey(speckArea, rules.MinText.MM()/scale)
	r.Specks.Count = dust.count
	if s := a.spot(dust.smallest, p.at, scale); s != nil {
		r.Specks.SmallestMM, r.Specks.X, r.Specks.Y = s.MM, s.X, s.Y
	}
	r.SmallText = a.spot(smallestText(letters), p.at, scale)
	if !p.byColour {
		r.SoftBand = a.spot(p.softBand(rules.SoftEdge.MM()/scale), p.at, scale)
	}
}

func square(x float64) float64 { return x * x }

// spot turns a width in pixels of a plane into mm at a seen pixel.
func (a *Art) spot(s spotPx, at image.Rectangle, scale float64) *Spot {
	if !s.found {
		return nil
	}
	x, y := a.turn.seen(at.Min.X+s.x, at.Min.Y+s.y)
	return &Spot{MM: roundTo(s.width*scale, spotStep), X: x, Y: y}
}

// edgeBand is the widest band, in pixels, that smoothing leaves along an edge:
// the diagonal of a pixel on each side.
const edgeBand = 2.0

// softBand finds the widest half-transparent band that is wider than limit
// pixels and more than a smoothed edge. Most files have none, and a look at a
// lattice of pixels tells: a band of width w holds a square of side w/sqrt 2,
// and that a lattice point, with as many pixels across and down.
func (p *plane) softBand(limit float64) spotPx {
	limit = max(limit, edgeBand)
	soft := p.soft()
	step := max(1, int(limit/math.Sqrt2))
	for y := step / 2; y < p.h; y += step {
		for x := step / 2; x < p.w; x += step {
			if soft.in(x, y) && soft.span(x, y, 1, 0) > step && soft.span(x, y, 0, 1) > step {
				if s := soft.widest(); s.width > limit {
					return s
				}
				return spotPx{}
			}
		}
	}
	return spotPx{}
}

// span counts the pixels of the field in a row through one of them, both ways.
func (f field) span(x, y, dx, dy int) int {
	n := 1
	for i := 1; f.in(x+i*dx, y+i*dy); i++ {
		n++
	}
	for i := 1; f.in(x-i*dx, y-i*dy); i++ {
		n++
	}
	return n
}

// fillTones measures transparency, coverage and colours.
func (a *Art) fillTones(r *Report, lay layout, wish Wish, scale float64) {
	t := gather(a.img, lay)
	area := lay.bounds.Dx() * lay.bounds.Dy()
	r.Transparent, r.HalfTransparent, r.Solid = sharesOf(t.transparent, t.half, t.solid)
	r.Colours = t.mainColours(area)
	a.place(r.Colours, lay)
	r.Photo = t.continuous()
	r.OnLight, r.OnDark = t.coverage(area, wish.Rules, false), t.coverage(area, wish.Rules, true)
	r.Coverage = r.OnLight
	if wish.Blank.Dark {
		r.Coverage = r.OnDark
	}
	r.CoveredSquare = roundTo(float64(t.alpha)/255*square(scale), sizeStep)
}

// sharesOf returns rounded shares that add up to 1: the largest takes what
// rounding leaves.
func sharesOf(a, b, c int) (float64, float64, float64) {
	n := float64(a + b + c)
	shares := [3]float64{}
	largest := 0
	for i, v := range [3]int{a, b, c} {
		shares[i] = roundTo(float64(v)/n, shareStep)
		if shares[i] > shares[largest] {
			largest = i
		}
	}
	shares[largest] = 0
	shares[largest] = roundTo(1-shares[0]-shares[1]-shares[2], shareStep)
	return shares[0], shares[1], shares[2]
}

// place finds a pixel of each main colour, the first in reading order that lies
// in its cell of the histogram.
func (a *Art) place(colours []MainColour, lay layout) {
	var wanted [cells]int // 1 + index of the main colour; 0 where none is sought
	for i, c := range colours {
		wanted[c.cell] = 1 + i
	}
	left := len(colours)
	r := newRows(a.img)
	b := lay.bounds
	buf := make([]uint8, pixelBytes*b.Dx())
	for y := b.Min.Y; y < b.Max.Y && left > 0; y++ {
		row := r.read(y, b.Min.X, b.Max.X, buf)
		for i := 0; i < len(row); i += pixelBytes {
			p := row[i : i+pixelBytes]
			if p[3] < faint || wanted[cellOf(p)] == 0 {
				continue
			}
			c := &colours[wanted[cellOf(p)]-1]
			c.X, c.Y = a.turn.seen(b.Min.X+i/pixelBytes, y)
			wanted[c.cell] = 0
			left--
		}
	}
}

// coverage turns the sums into shares of an area.
//
// A channel's toner is the complement of its value, c = 1 - R, as drivers begin
// with; with a black toner the part common to all three is printed in black
// instead. On a dark blank white lies under the whole print. On a light one it
// is needed only where the art itself is white: to the share that no toner
// covers, 1 - max(c, m, y). Printers' own curves differ from this by their
// calibration.
func (t *tones) coverage(area int, rules Rules, dark bool) Coverage {
	full := float64(area) * 255 * 255
	share := func(v uint64) float64 { return roundTo(float64(v)/full, shareStep) }
	c := Coverage{C: share(t.c), M: share(t.m), Y: share(t.y)}
	if rules.Black {
		c = Coverage{C: share(t.c - t.black), M: share(t.m - t.black), Y: share(t.y - t.black), K: share(t.black)}
	}
	if rules.White {
		c.White = share(t.paper)
		if dark {
			c.White = share(t.alpha * 255)
		}
	}
	return c
}

// forecast says how the main colours will look on the blank.
func forecast(r *Report, wish Wish) error {
	p := colour.Problem{
		Blank:     wish.Blank.Colour,
		Polyester: wish.Blank.Polyester,
		Vanish:    wish.Rules.Vanish,
	}
	if !wish.Rules.Dye {
		ground := wish.ground()
		p.Ground = &ground
	}
	for _, c := range r.Colours {
		p.Wanted = append(p.Wanted, c.Hex)
	}
	plan, err := colour.Solve(p)
	if err != nil {
		return err
	}
	r.Forecast = plan
	return nil
}

func sortedKeys[V any](m map[string]V) []string {
	return slices.Sorted(maps.Keys(m))
}
