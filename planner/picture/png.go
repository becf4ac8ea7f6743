package picture

import (
	"fmt"
	"image"
	"image/png"
	"io"
	"math"

	"github.com/fogleman/gg"
	"golang.org/x/image/draw"
)

// MaxPixels is the largest picture PNG writes: 64 million pixels take 256 MB
// while they are drawn, and no phone shows more.
const MaxPixels = 64 << 20

// PNG writes the picture as a PNG of one pixel a unit. It fails when the
// canvas holds more than MaxPixels or w fails.
func (c *Canvas) PNG(w io.Writer) error {
	width, height := int(math.Ceil(c.width)), int(math.Ceil(c.height))
	if c.width*c.height > MaxPixels {
		return fmt.Errorf("picture of %d x %d pixels is too large for a PNG: draw it smaller or write an SVG", width, height)
	}
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	r := &raster{img: img, dc: gg.NewContextForRGBA(img), fonts: c.fonts}
	if c.background != nil {
		r.dc.SetColor(c.background)
		r.dc.Clear()
	}
	for _, s := range c.shapes {
		s.paint(r)
	}
	if r.err != nil {
		return r.err
	}
	if err := png.Encode(w, img); err != nil {
		return fmt.Errorf("writing the PNG: %w", err)
	}
	return nil
}

// raster is where shapes are painted. It keeps the first error.
type raster struct {
	img   *image.RGBA
	dc    *gg.Context
	fonts *fonts
	err   error
}

// finish fills and strokes the current path.
func (r *raster) finish(s Style, points [][2]float64) {
	if s.Fill != nil {
		r.dc.SetColor(s.Fill)
		r.dc.FillPreserve()
	}
	if s.Stroke == nil {
		r.dc.ClearPath()
		return
	}
	r.dc.SetColor(s.Stroke)
	r.dc.SetLineWidth(s.width())
	r.dc.SetDash(s.Dash...)
	r.dc.Stroke()
	r.dc.SetDash()
	if !s.Hatch {
		return
	}
	r.dc.SetLineWidth(hatchWidth)
	for _, l := range hatch(points) {
		r.dc.DrawLine(l.x1, l.y1, l.x2, l.y2)
		r.dc.Stroke() // one by one: the rasteriser's work grows with the square of the lines in a path
	}
}

// hatchWidth keeps hatching lighter than any outline.
const hatchWidth = 0.8

func (l line) paint(r *raster) {
	if l.style.Stroke == nil {
		return
	}
	r.dc.SetLineCapButt()
	r.dc.DrawLine(l.x1, l.y1, l.x2, l.y2)
	r.finish(Style{Stroke: l.style.Stroke, Width: l.style.Width, Dash: l.style.Dash}, nil)
}

func (c circle) paint(r *raster) {
	r.dc.DrawCircle(c.x, c.y, c.r)
	r.finish(c.style, c.outline())
}

func (p polygon) paint(r *raster) {
	for _, q := range p.points {
		r.dc.LineTo(q[0], q[1])
	}
	r.dc.ClosePath()
	r.finish(p.style, p.points)
}

func (l label) paint(r *raster) {
	face, err := r.fonts.face(l.set.size(), l.set.Bold)
	if err != nil {
		if r.err == nil {
			r.err = err
		}
		return
	}
	r.dc.SetFontFace(face)
	r.dc.SetColor(l.set.colour())
	r.dc.Push()
	if l.set.Turn {
		r.dc.RotateAbout(-math.Pi/2, l.x, l.y)
	}
	r.dc.DrawString(l.text, l.x-l.set.Anchor.share()*l.length, l.y)
	r.dc.Pop()
}

// share is the part of a text's length that lies before its point.
func (a Anchor) share() float64 {
	switch a {
	case Middle:
		return 0.5
	case End:
		return 1
	default:
		return 0
	}
}

func (p photo) paint(r *raster) {
	to := image.Rect(round(p.x), round(p.y), round(p.x+p.w), round(p.y+p.h))
	draw.CatmullRom.Scale(r.img, to, p.image, p.image.Bounds(), draw.Over, nil)
}

func round(x float64) int { return int(math.Round(x)) }
