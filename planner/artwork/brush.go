package artwork

import (
	"image"
	"image/color"

	"github.com/golang/freetype/raster"
	"github.com/srwiley/rasterx"
	"golang.org/x/image/math/fixed"
)

// A brush fills outlines for the SVG renderer. The one that comes with it
// knows no even-odd rule and walks the whole canvas for each path, which a
// drawing of a thousand small paths makes slow.
type brush struct {
	img     *image.RGBA
	fill    *raster.Rasterizer
	colour  color.Color
	colours rasterx.ColorFunc // for gradients; nil where colour is meant
	pen     fixed.Point26_6
	extent  fixed.Rectangle26_6
	started bool
	painted int // pixels painted so far, a measure of the work done
}

func newBrush(img *image.RGBA) *brush {
	size := img.Bounds().Size()
	return &brush{img: img, fill: raster.NewRasterizer(size.X, size.Y), colour: color.Black}
}

// Start moves the pen without drawing.
func (b *brush) Start(a fixed.Point26_6) {
	b.pen = a
	b.stretch(a)
}

// Line adds an edge. What lies above and below the canvas is cut off, and what
// lies beside it is pushed to its edge, so that no coordinate costs more than
// the canvas is high: rows are filled from their left, so an edge's height
// counts, and not how far out it is.
func (b *brush) Line(to fixed.Point26_6) {
	from := b.pen
	b.pen = to
	b.stretch(to)
	size := b.img.Bounds().Size()
	top, bottom := fixed.I(0), fixed.I(size.Y)
	if from.Y == to.Y || max(from.Y, to.Y) <= top || min(from.Y, to.Y) >= bottom {
		return
	}
	left, right := fixed.I(-1), fixed.I(size.X+1)
	cuts := []float64{0, 1}
	cuts = cut(cuts, from.Y, to.Y, top)
	cuts = cut(cuts, from.Y, to.Y, bottom)
	cuts = cut(cuts, from.X, to.X, left)
	cuts = cut(cuts, from.X, to.X, right)
	at := func(t float64) fixed.Point26_6 {
		return fixed.Point26_6{
			X: min(max(between(from.X, to.X, t), left), right),
			Y: min(max(between(from.Y, to.Y, t), top), bottom),
		}
	}
	b.fill.Start(at(0))
	for _, t := range cuts[1:] {
		b.fill.Add1(at(t))
	}
}

// cut inserts, in order, where along an edge a boundary is crossed, if it is.
func cut(cuts []float64, from, to, boundary fixed.Int26_6) []float64 {
	if (from < boundary) == (to < boundary) {
		return cuts
	}
	t := (float64(boundary) - float64(from)) / (float64(to) - float64(from))
	i := len(cuts)
	cuts = append(cuts, t)
	for ; i > 0 && cuts[i-1] > t; i-- {
		cuts[i] = cuts[i-1]
	}
	cuts[i] = t
	return cuts
}

// between interpolates without the overflow that far-out corners cause.
func between(from, to fixed.Int26_6, t float64) fixed.Int26_6 {
	return fixed.Int26_6(float64(from) + t*(float64(to)-float64(from)))
}

func (b *brush) stretch(p fixed.Point26_6) {
	if !b.started {
		b.extent, b.started = fixed.Rectangle26_6{Min: p, Max: p}, true
		return
	}
	b.extent.Min.X, b.extent.Min.Y = min(b.extent.Min.X, p.X), min(b.extent.Min.Y, p.Y)
	b.extent.Max.X, b.extent.Max.Y = max(b.extent.Max.X, p.X), max(b.extent.Max.Y, p.Y)
}

// Draw paints what has been outlined.
func (b *brush) Draw() {
	b.fill.Rasterize(raster.PainterFunc(func(spans []raster.Span, _ bool) {
		for _, s := range spans {
			if s.Alpha != 0 {
				b.paint(s)
			}
		}
	}))
}

func (b *brush) paint(s raster.Span) {
	b.painted += s.X1 - s.X0
	for x := s.X0; x < s.X1; x++ {
		c := b.colour
		if b.colours != nil {
			c = b.colours(x, s.Y)
		}
		b.over(x, s.Y, c, s.Alpha)
	}
}

// over composes a colour, dimmed by coverage (0..0xffff), over a pixel.
func (b *brush) over(x, y int, c color.Color, coverage uint32) {
	const full = 0xffff
	cr, cg, cb, ca := c.RGBA()
	keep := full - ca*coverage/full
	pix := b.img.Pix[b.img.PixOffset(x, y):][:4:4]
	for i, v := range [4]uint32{cr, cg, cb, ca} {
		const widen = 0x101 // 8 to 16 bits
		pix[i] = uint8((uint32(pix[i])*widen*keep/full + v*coverage/full) >> 8)
	}
}

// GetPathExtent returns the corners of what has been outlined since Clear.
func (b *brush) GetPathExtent() fixed.Rectangle26_6 { return b.extent }

// SetBounds does nothing: the canvas sets the bounds.
func (b *brush) SetBounds(_, _ int) {}

// SetColor takes a color.Color or a rasterx.ColorFunc.
func (b *brush) SetColor(c any) {
	b.colours = nil
	switch c := c.(type) {
	case rasterx.ColorFunc:
		b.colours = c
	case color.Color:
		b.colour = c
	}
}

// SetWinding chooses between the nonzero and the even-odd rule of SVG.
func (b *brush) SetWinding(nonzero bool) { b.fill.UseNonZeroWinding = nonzero }

// Clear forgets what has been outlined.
func (b *brush) Clear() {
	b.fill.Clear()
	b.started = false
	b.extent = fixed.Rectangle26_6{}
}

// SetClip does nothing: nothing is clipped but by the canvas.
func (b *brush) SetClip(image.Rectangle) {}
