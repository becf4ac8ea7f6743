package artwork

import (
	"image"

	"presshand/planner/colour"
)

// Alpha values, of 255, between which a pixel counts as half transparent. Below
// faint nothing is seen in print, and from firm on nothing is missed: 3 % of
// the scale at either end, which is the rounding of usual editors' shadows.
const (
	faint = 8
	firm  = 248
)

// A plane says of each pixel of a rectangle how much of it the art covers, 0
// to 255: alpha where the file has transparency, and otherwise the distance
// from the plain colour behind the art.
type plane struct {
	at   image.Rectangle // place in the stored picture
	w, h int
	pix  []uint8
	ink  uint8 // least value that counts as art
	full uint8 // least value that leaves no gap
	// byColour is set where values are distances from a ground colour, so that
	// a pale colour's full cover is well below 255. Then weakest is the least
	// value that a flat colour of the art has, or 0 if none is flat.
	byColour bool
	weakest  uint8
}

// Least distances from the ground colour, largest of the three channels'. Up
// to groundNoise a pixel of the border belongs to the ground: JPEG leaves about
// that much round edges at usual qualities. From groundInk on a pixel is art.
const (
	groundNoise = 8
	groundInk   = 24
)

// alphaInk and alphaFull are the cover, an eighth from either end, at which a
// smoothed edge pixel counts as art and as gap, so that a hairline or a slit
// narrower than a pixel is found. Its width is measured from its shades.
const (
	alphaInk  = 32
	alphaFull = 256 - alphaInk
)

// mostSeeThrough: up to one pixel in so many may be see-through in a file whose
// background counts as filled in; scans and exports leave such strays.
const mostSeeThrough = 500

// A layout is where the art lies in its picture.
type layout struct {
	bounds image.Rectangle // stored pixels that are neither transparent nor plain border
	cover  *plane          // nil where the art fills its bounds entirely
	box    bool            // a plain ground lies behind the art
	ground colour.Colour   // its colour, if box
}

// locate finds the art. The zero bounds mean that nothing is there. In a lossy
// file, shades that compression scatters round edges don't count as art.
func locate(img image.Image, lossy bool) layout {
	r := newRows(img)
	size := img.Bounds().Size()
	whole := image.Rectangle{Max: size}
	bounds := whole
	var cover *plane
	if !opaque(img) {
		cover = newPlane(whole, alphaInk, alphaFull)
		cover.fill(r, func(p []uint8) uint8 {
			if p[3] < faint {
				return 0
			}
			return p[3]
		})
		bounds = cover.trim(faint)
		if bounds.Empty() {
			return layout{}
		}
		cover = cover.crop(bounds)
		if cover.below(firm) > len(cover.pix)/mostSeeThrough {
			return layout{bounds: bounds, cover: cover}
		}
	}
	ground, plain := border(r, bounds)
	if !plain {
		return layout{bounds: bounds}
	}
	cover = newPlane(bounds, groundInk, groundInk)
	cover.byColour = true
	cover.fill(r, func(p []uint8) uint8 { return distance(p, ground) })
	cover.settle(lossy)
	inner := cover.trim(cover.ink)
	if inner.Empty() || cover.below(cover.ink) == 0 {
		// One flat colour: a patch, with nothing on it.
		return layout{bounds: bounds}
	}
	return layout{bounds: inner, cover: cover.crop(inner), box: true, ground: ground}
}

const (
	// flatCover is the largest step to the neighbours inside a flat colour.
	flatCover = 8
	// fewFlat: a colour counts as one of the art's from one flat pixel in so
	// many pixels of art.
	fewFlat = 20
	// strongShare of the art's pixels are no stronger than its strongest
	// colour, and stand for it where nothing is flat, as in line art. The rest
	// leaves room for what compression overshoots.
	strongShare = 0.9
	// ghostShare of a colour's strength is more than JPEG scatters round it:
	// at quality 60, beside saturated red, it reaches a quarter.
	ghostShare = 3
)

// settle finds the weakest colour of a plane by colour, flat ones first. It
// counts as gap what is below three quarters of it, so that a slit of little
// more than a pixel is found although smoothing has half filled it, and in a
// lossy file as art only what is a third of it.
func (p *plane) settle(lossy bool) {
	art, flat := p.strengths()
	ink, still := art.sum(), flat.sum()
	if still*fewFlat >= ink {
		p.weakest = flat.reached(ink / fewFlat)
	} else {
		p.weakest = art.reached(int(strongShare * float64(ink)))
	}
	p.full = max(p.ink, uint8(3*int(p.weakest)/4))
	if lossy {
		p.ink = max(p.ink, p.weakest/ghostShare)
	}
}

func (p *plane) flatAt(x, y int, v uint8) bool {
	return apart(v, p.value(x-1, y)) <= flatCover && apart(v, p.value(x+1, y)) <= flatCover &&
		apart(v, p.value(x, y-1)) <= flatCover && apart(v, p.value(x, y+1)) <= flatCover
}

// A histogram counts pixels by value.
type histogram [256]int

// strengths counts the pixels of art, all of them and those in flat colours.
func (p *plane) strengths() (art, flat histogram) {
	for _, pair := range eachBand(p.h, func(from, to int) [2]histogram {
		var pair [2]histogram
		for y := from; y < to; y++ {
			for x, v := range p.row(y) {
				if v < p.ink {
					continue
				}
				pair[0][v]++
				if p.flatAt(x, y, v) {
					pair[1][v]++
				}
			}
		}
		return pair
	}) {
		for v := range art {
			art[v] += pair[0][v]
			flat[v] += pair[1][v]
		}
	}
	return art, flat
}

func (h histogram) sum() int {
	sum := 0
	for _, n := range h {
		sum += n
	}
	return sum
}

// reached returns the first value at which so many have been counted.
func (h histogram) reached(count int) uint8 {
	sum := 0
	for v, n := range h {
		if sum += n; n > 0 && sum >= count {
			return uint8(v)
		}
	}
	return 0
}

func opaque(img image.Image) bool {
	o, ok := img.(interface{ Opaque() bool })
	return ok && o.Opaque()
}

// distance is the largest difference of the three channels.
func distance(p []uint8, c colour.Colour) uint8 {
	return max(apart(p[0], c.R), apart(p[1], c.G), apart(p[2], c.B))
}

func apart(a, b uint8) uint8 {
	if a > b {
		return a - b
	}
	return b - a
}

// plainBorder is the least share of the outermost ring of pixels that has one
// colour where a box is behind the art: three sides of a square, so that art
// that runs off one side still shows its box.
const plainBorder = 0.75

// border looks for one colour along the edge of a rectangle.
func border(r *rows, b image.Rectangle) (colour.Colour, bool) {
	ring := ringPixels(r, b)
	ground := commonest(ring)
	same := 0
	for _, c := range ring {
		if distance([]uint8{c.R, c.G, c.B}, ground) <= groundNoise {
			same++
		}
	}
	return ground, float64(same) >= plainBorder*float64(len(ring))
}

func ringPixels(r *rows, b image.Rectangle) []colour.Colour {
	buf := make([]uint8, pixelBytes*b.Dx())
	var ring []colour.Colour
	take := func(p []uint8) { ring = append(ring, colour.Colour{R: p[0], G: p[1], B: p[2]}) }
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := r.read(y, b.Min.X, b.Max.X, buf)
		step := len(row) - pixelBytes // only the two ends
		if y == b.Min.Y || y == b.Max.Y-1 || step == 0 {
			step = pixelBytes
		}
		for i := 0; i < len(row); i += step {
			take(row[i:])
		}
	}
	return ring
}

// commonest returns the mean of the fullest cell of a coarse colour cube.
// Cells of 16 steps hold a flat colour and its noise; where two are equally
// full the darker wins.
func commonest(colours []colour.Colour) colour.Colour {
	type cell struct{ n, r, g, b int }
	var cells [1 << 12]cell
	best := 0
	for _, c := range colours {
		i := int(c.R>>4)<<8 | int(c.G>>4)<<4 | int(c.B>>4)
		k := &cells[i]
		k.n, k.r, k.g, k.b = k.n+1, k.r+int(c.R), k.g+int(c.G), k.b+int(c.B)
		if k.n > cells[best].n || k.n == cells[best].n && i < best {
			best = i
		}
	}
	k := cells[best]
	if k.n == 0 {
		return colour.Colour{}
	}
	half := k.n / 2
	return colour.Colour{R: uint8((k.r + half) / k.n), G: uint8((k.g + half) / k.n), B: uint8((k.b + half) / k.n)}
}

func newPlane(at image.Rectangle, ink, full uint8) *plane {
	return &plane{at: at, w: at.Dx(), h: at.Dy(), pix: make([]uint8, at.Dx()*at.Dy()), ink: ink, full: full}
}

func (p *plane) row(y int) []uint8 { return p.pix[y*p.w : (y+1)*p.w] }

// fill sets every value from its pixel.
func (p *plane) fill(r *rows, value func(pixel []uint8) uint8) {
	eachBand(p.h, func(from, to int) struct{} {
		buf := make([]uint8, pixelBytes*p.w)
		for y := from; y < to; y++ {
			pixels := r.read(p.at.Min.Y+y, p.at.Min.X, p.at.Max.X, buf)
			out := p.row(y)
			for x := range out {
				out[x] = value(pixels[pixelBytes*x : pixelBytes*x+pixelBytes])
			}
		}
		return struct{}{}
	})
}

// trim returns the smallest rectangle, in stored pixels, that holds every
// value of at least least.
func (p *plane) trim(least uint8) image.Rectangle {
	bands := eachBand(p.h, func(from, to int) image.Rectangle {
		var box image.Rectangle
		for y := from; y < to; y++ {
			if first, last, ok := ends(p.row(y), least); ok {
				box = box.Union(image.Rect(first, y, last+1, y+1))
			}
		}
		return box
	})
	var box image.Rectangle
	for _, b := range bands {
		box = box.Union(b)
	}
	return box.Add(p.at.Min).Intersect(p.at)
}

// ends finds the first and last value of at least least.
func ends(row []uint8, least uint8) (first, last int, ok bool) {
	for first < len(row) && row[first] < least {
		first++
	}
	if first == len(row) {
		return 0, 0, false
	}
	last = len(row) - 1
	for row[last] < least {
		last--
	}
	return first, last, true
}

// below counts the values below least.
func (p *plane) below(least uint8) int {
	n := 0
	for _, v := range p.pix {
		if v < least {
			n++
		}
	}
	return n
}

// crop returns the part of the plane inside a rectangle of stored pixels.
func (p *plane) crop(to image.Rectangle) *plane {
	if to == p.at {
		return p
	}
	c := newPlane(to, p.ink, p.full)
	c.byColour, c.weakest = p.byColour, p.weakest
	dx, dy := to.Min.X-p.at.Min.X, to.Min.Y-p.at.Min.Y
	for y := range c.h {
		copy(c.row(y), p.row(y + dy)[dx:dx+c.w])
	}
	return c
}

// value returns the cover at x, y, and 0 beyond the edges.
func (p *plane) value(x, y int) uint8 {
	if x < 0 || y < 0 || x >= p.w || y >= p.h {
		return 0
	}
	return p.pix[y*p.w+x]
}
