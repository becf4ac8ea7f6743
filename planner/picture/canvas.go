package picture

import (
	"image"
	"image/color"
	"math"
)

// A Canvas records shapes in the order they are drawn; later ones cover
// earlier ones. Use New; the zero Canvas has no room.
type Canvas struct {
	width, height float64
	background    color.Color
	shapes        []shape
	fonts         *fonts
}

// New returns an empty canvas of the size given, in pixels. A nil background
// is transparent. Sizes that are no number, or below 1, are taken as 1.
func New(width, height float64, background color.Color) *Canvas {
	return &Canvas{
		width:      atLeastOne(width),
		height:     atLeastOne(height),
		background: background,
		fonts:      newFonts(),
	}
}

func atLeastOne(x float64) float64 {
	if !(x >= 1) || math.IsInf(x, 0) {
		return 1
	}
	return x
}

// Size returns the width and height the canvas was made with.
func (c *Canvas) Size() (w, h float64) { return c.width, c.height }

// A Style says how a shape is filled and outlined.
type Style struct {
	Fill   color.Color // inside; nil leaves it open
	Stroke color.Color // outline, and hatching; nil draws none
	Width  float64     // of the outline; 0 is taken as 1
	Dash   []float64   // lengths of dashes and gaps by turns; empty is solid
	Hatch  bool        // fills the shape with diagonal lines in Stroke
}

func (s Style) width() float64 {
	if !(s.Width > 0) {
		return 1
	}
	return s.Width
}

// Anchor says which end of a text stands at its point.
type Anchor int

// The anchors; Start is the zero value.
const (
	Start Anchor = iota
	Middle
	End
)

// Text says how a text is set.
type Text struct {
	Size   float64     // height of the font, in pixels; 0 is taken as 12
	Colour color.Color // nil is black
	Anchor Anchor
	Bold   bool
	Turn   bool // reads from bottom to top
}

const defaultTextSize = 12

func (t Text) size() float64 {
	if !(t.Size > 0) {
		return defaultTextSize
	}
	return t.Size
}

func (t Text) colour() color.Color {
	if t.Colour == nil {
		return color.Black
	}
	return t.Colour
}

// Rect draws a rectangle whose top left corner is at x, y.
func (c *Canvas) Rect(x, y, w, h float64, s Style) {
	c.add(polygon{points: [][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, style: s}, x, y, w, h)
}

// Line draws a straight line.
func (c *Canvas) Line(x1, y1, x2, y2 float64, s Style) {
	c.add(line{x1, y1, x2, y2, s}, x1, y1, x2, y2)
}

// Circle draws a circle round x, y.
func (c *Canvas) Circle(x, y, r float64, s Style) {
	c.add(circle{x, y, r, s}, x, y, r)
}

// Polygon draws a closed polygon; fewer than two points draw nothing.
func (c *Canvas) Polygon(pts [][2]float64, s Style) {
	if len(pts) < 2 {
		return
	}
	own := make([][2]float64, len(pts))
	copy(own, pts)
	flat := make([]float64, 0, 2*len(pts))
	for _, p := range own {
		flat = append(flat, p[0], p[1])
	}
	c.add(polygon{points: own, style: s}, flat...)
}

// Text writes one line of text with its baseline through x, y.
func (c *Canvas) Text(x, y float64, text string, t Text) {
	if text == "" {
		return
	}
	c.add(label{x: x, y: y, text: text, set: t, length: c.TextWidth(text, t.size(), t.Bold)}, x, y)
}

// TextWidth returns how wide a text is when set in the size given, in pixels.
func (c *Canvas) TextWidth(text string, size float64, bold bool) float64 {
	return c.fonts.measure(text, size, bold)
}

// Image draws img scaled into the rectangle given.
func (c *Canvas) Image(x, y, w, h float64, img image.Image) {
	if img == nil || img.Bounds().Empty() || !(w > 0) || !(h > 0) {
		return
	}
	c.add(photo{x, y, w, h, img}, x, y, w, h)
}

// add records a shape unless one of its coordinates is no finite number: such
// a shape has no place, and would make the SVG unreadable.
func (c *Canvas) add(s shape, coordinates ...float64) {
	for _, v := range coordinates {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return
		}
	}
	c.shapes = append(c.shapes, s)
}
