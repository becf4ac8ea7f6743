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

	edges int // rows crossed by the edges of this outline so far

	// What may still be done: steps along rows to place an edge, and pixels to
	// paint.
	steps, pixels int
}

const (
	// brushSteps bounds the work of placing edges. Where an edge crosses a row,
	// the filler walks along those of its outline that cross the row already;
	// thousands of simple shapes take some millions of steps, and one scribble
	// of a hundred thousand lines takes billions.
	brushSteps = 100_000_000
	// brushCanvases bounds the pixels painted over the pixels there are. Flat
	// illustrations paint each spot a few times.
	brushCanvases = 50
)

// spent reports whether the drawing asked for more than that. What came after
// was not drawn.
func (b *brush) spent() bool { return b.steps < 0 || b.pixels < 0 }

func newBrush(img *image.RGBA) *brush {
	size := img.Bounds().Size()
	return &brush{
		img:    img,
		fill:   raster.NewRasterizer(size.X, size.Y),
		colour: color.Black,
		steps:  brushSteps,
		pixels: brushCanvases * size.X * size.Y,
	}
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
	rows := 1 + int((min(max(from.Y, to.Y), bottom)-max(min(from.Y, to.Y), top))>>6)
	b.edges += rows
	b.steps -= rows * (1 + min(b.edges/size.Y, size.X))
	if b.spent() {
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
			b.pixels -= s.X1 - s.X0
			if s.Alpha != 0 && !b.spent() {
				b.paint(s)
			}
		}
	}))
}

func (b *brush) paint(s raster.Span) {
	row := b.img.Pix[b.img.PixOffset(s.X0, s.Y):][:pixelBytes*(s.X1-s.X0)]
	if b.colours == nil {
		layer := cover(b.colour, s.Alpha)
		for i := 0; i < len(row); i += pixelBytes {
			layer.over(row[i : i+pixelBytes])
		}
		return
	}
	for x := s.X0; x < s.X1; x++ {
		cover(b.colours(x, s.Y), s.Alpha).over(row[pixelBytes*(x-s.X0):][:pixelBytes])
	}
}

// A layer is a premultiplied colour, 16 bits a channel, and how much of what is
// under it shows.
type layer struct {
	add  [pixelBytes]uint32
	keep uint32
}

const fullCover = 0xffff

// cover dims a colour by coverage, 0..0xffff.
func cover(c color.Color, coverage uint32) layer {
	r, g, b, a := c.RGBA()
	l := layer{keep: fullCover - a*coverage/fullCover}
	for i, v := range [pixelBytes]uint32{r, g, b, a} {
		l.add[i] = v * coverage / fullCover
	}
	return l
}

// over composes the layer over a pixel.
func (l layer) over(pixel []uint8) {
	const widen = 0x101 // 8 to 16 bits
	for i := range pixel {
		pixel[i] = uint8((uint32(pixel[i])*widen*l.keep/fullCover + l.add[i]) >> 8)
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
	b.edges = 0
	b.started = false
	b.extent = fixed.Rectangle26_6{}
}

// SetClip does nothing: nothing is clipped but by the canvas.
func (b *brush) SetClip(image.Rectangle) {}
