package artwork

import (
	"image"
	"sync"

	"presshand/planner/colour"
)

// Cells of the colour histogram: 5 bits a channel. Steps of 8 keep a flat
// colour and its noise together and two colours people tell apart asunder.
const (
	cellBits  = 5
	cellShift = 8 - cellBits
	cells     = 1 << (3 * cellBits)
)

// A cell sums the pixels of like colour, weighted by alpha.
type cell struct {
	weight, r, g, b uint64
	index           int // its place in the histogram, once picked from it
}

// cellOf returns the place of a pixel's colour in the histogram.
func cellOf(p []uint8) int {
	return int(p[0]>>cellShift)<<(2*cellBits) | int(p[1]>>cellShift)<<cellBits | int(p[2]>>cellShift)
}

func (c *cell) add(d cell) {
	c.weight += d.weight
	c.r += d.r
	c.g += d.g
	c.b += d.b
}

// tones is what one pass over the art's own rectangle adds up. Ink sums are in
// units of 1/255 of a pixel at full alpha, times 255.
type tones struct {
	transparent, half, solid int
	alpha                    uint64
	c, m, y                  uint64 // three toners
	black                    uint64 // the part that all three share
	paper                    uint64 // the part that none of them covers
	all, flat                []cell // all pixels; those in flat patches of colour
}

// flatStep is the largest step to the four neighbours, in any channel, inside a
// patch that counts as one flat colour. JPEG noise stays below it, smoothed
// edges do not.
const flatStep = 16

// gather walks the art's rectangle. With a ground colour, pixels of it count as
// printed, but not as one of the art's colours. Each worker sums for itself;
// since sums of whole numbers don't depend on their order, neither does the
// result.
func gather(img image.Image, lay layout) tones {
	r := newRows(img)
	b := lay.bounds
	var mu sync.Mutex
	var sum tones
	bands := (b.Dy() + bandHeight - 1) / bandHeight
	shareOut(bands, func(pieces <-chan int) {
		own := tones{all: make([]cell, cells), flat: make([]cell, cells)}
		for i := range pieces {
			own.band(r, lay, i*bandHeight, min((i+1)*bandHeight, b.Dy()))
		}
		mu.Lock()
		defer mu.Unlock()
		if sum.all == nil {
			sum = own
			return
		}
		sum.merge(own)
	})
	return sum
}

func (t *tones) band(r *rows, lay layout, from, to int) {
	b := lay.bounds
	var buffers [3][]uint8
	for i := range buffers {
		buffers[i] = make([]uint8, pixelBytes*b.Dx())
	}
	read := func(y int) []uint8 {
		y = min(max(y, 0), b.Dy()-1)
		return r.read(b.Min.Y+y, b.Min.X, b.Max.X, buffers[y%len(buffers)])
	}
	above, here := read(from-1), read(from)
	for y := from; y < to; y++ {
		below := read(y + 1)
		t.row(above, here, below, lay)
		above, here = here, below
	}
}

func (t *tones) row(above, here, below []uint8, lay layout) {
	last := len(here) - pixelBytes
	for i := 0; i <= last; i += pixelBytes {
		p := here[i : i+pixelBytes : i+pixelBytes]
		a := uint64(p[3])
		switch {
		case a < faint:
			t.transparent++
			continue
		case a < firm:
			t.half++
		default:
			t.solid++
		}
		t.ink(p, a)
		if lay.box && distance(p, lay.ground) < lay.cover.ink {
			continue
		}
		flat := near(p, here[max(i-pixelBytes, 0):]) && near(p, here[min(i+pixelBytes, last):]) &&
			near(p, above[i:]) && near(p, below[i:])
		t.colour(p, a, flat)
	}
}

// ink adds what a pixel takes of each toner: a share 1 - v of the channel's
// complement for a value v.
func (t *tones) ink(p []uint8, a uint64) {
	c, m, y := 255-p[0], 255-p[1], 255-p[2]
	t.alpha += a
	t.c += a * uint64(c)
	t.m += a * uint64(m)
	t.y += a * uint64(y)
	t.black += a * uint64(min(c, m, y))
	t.paper += a * uint64(255-max(c, m, y))
}

func (t *tones) colour(p []uint8, a uint64, flat bool) {
	i := cellOf(p)
	c := cell{weight: a, r: a * uint64(p[0]), g: a * uint64(p[1]), b: a * uint64(p[2])}
	t.all[i].add(c)
	if flat {
		t.flat[i].add(c)
	}
}

func near(p, q []uint8) bool {
	return apart(p[0], q[0]) <= flatStep && apart(p[1], q[1]) <= flatStep && apart(p[2], q[2]) <= flatStep
}

func (t *tones) merge(u tones) {
	t.transparent += u.transparent
	t.half += u.half
	t.solid += u.solid
	t.alpha += u.alpha
	t.c += u.c
	t.m += u.m
	t.y += u.y
	t.black += u.black
	t.paper += u.paper
	for i := range t.all {
		t.all[i].add(u.all[i])
		t.flat[i].add(u.flat[i])
	}
}

func weightOf(cells []cell) uint64 {
	sum := uint64(0)
	for _, c := range cells {
		sum += c.weight
	}
	return sum
}

func (c cell) colour() colour.Colour {
	half := c.weight / 2
	return colour.Colour{
		R: uint8((c.r + half) / c.weight),
		G: uint8((c.g + half) / c.weight),
		B: uint8((c.b + half) / c.weight),
	}
}
