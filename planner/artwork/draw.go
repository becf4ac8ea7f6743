package artwork

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	"presshand/planner/colour"
	"presshand/planner/picture"
	"presshand/planner/unit"
)

// Sizes of the picture, in pixels.
const (
	drawMargin = 28.0
	drawArt    = 600.0 // longer side of the art
	drawPad    = 36.0  // blank left visible round the art
	drawRuler  = 46.0  // room under the blank for the measure
	drawLegend = 400.0 // width of the words
	ringRadius = 15.0
	badge      = 11.0 // radius of a number's disc
	legendSize = 14.0
	legendLine = 20.0
)

// Draw shows the art at true proportion as it is forecast on the wish's blank,
// or on white where none is known, with each placed finding ringed and
// numbered, a measure under it, and a legend beside it. The report must be this
// art's for this wish. What is transparent shows the blank.
func (a *Art) Draw(r Report, wish Wish) *picture.Canvas {
	d := panel{report: r, wish: wish, blank: colour.White()}
	if wish.Blank.Known {
		d.blank = wish.Blank.Colour
	}
	d.scale = drawArt / float64(max(r.Bounds.Width, r.Bounds.Height))
	d.w, d.h = d.scale*float64(r.Bounds.Width), d.scale*float64(r.Bounds.Height)
	// A sliver still needs room for its rings and its measure.
	panelW, panelH := max(d.w, badge*8)+2*drawPad, max(d.h, badge*8)+2*drawPad
	d.x, d.y = drawMargin+(panelW-d.w)/2, drawMargin+(panelH-d.h)/2

	legendX := drawMargin + panelW + drawMargin
	words := d.legend()
	height := max(panelH+drawRuler, words.height()) + 2*drawMargin
	c := picture.New(legendX+drawLegend+drawMargin, height, paper())
	c.Rect(drawMargin, drawMargin, panelW, panelH, picture.Style{Fill: d.blank, Stroke: faintLine()})
	c.Image(d.x, d.y, d.w, d.h, a.onBlank(r, wish, d.blank))
	d.ruler(c, drawMargin+panelH)
	d.rings(c)
	words.draw(c, legendX)
	return c
}

// panel is the place of the art on the canvas and what is written by it.
type panel struct {
	report     Report
	wish       Wish
	blank      colour.Colour
	x, y, w, h float64 // of the art
	scale      float64 // canvas pixels of an art pixel
}

func paper() colour.Colour     { return colour.Colour{R: 0xfb, G: 0xfa, B: 0xf7} }
func inkColour() colour.Colour { return colour.Colour{R: 0x26, G: 0x2b, B: 0x30} }
func softInk() colour.Colour   { return colour.Colour{R: 0x5c, G: 0x63, B: 0x69} }
func faintLine() colour.Colour { return colour.Colour{R: 0xa9, G: 0xae, B: 0xb3} }
func markInk() colour.Colour   { return colour.Colour{R: 0x7a, G: 0x1f, B: 0x6b} }

// ruler draws the print's width as a measure under the blank.
func (d *panel) ruler(c *picture.Canvas, top float64) {
	y := top + drawRuler/3
	line := picture.Style{Stroke: softInk(), Width: 1.5}
	c.Line(d.x, y, d.x+d.w, y, line)
	const tick = 5
	c.Line(d.x, y-tick, d.x, y+tick, line)
	c.Line(d.x+d.w, y-tick, d.x+d.w, y+tick, line)
	c.Text(d.x+d.w/2, y+legendLine, d.size(), picture.Text{Size: legendSize, Colour: inkColour(), Anchor: picture.Middle})
}

func (d *panel) size() string {
	return d.wish.Style.Size(unit.Millimetres(d.report.Print.Width), unit.Millimetres(d.report.Print.Height))
}

// rings circles each placed finding. Badges move round their ring until they
// are clear of those before.
func (d *panel) rings(c *picture.Canvas) {
	var badges [][2]float64
	for i, f := range d.report.Findings {
		if !f.Placed {
			continue
		}
		x := d.x + (float64(f.X-d.report.Bounds.X)+0.5)*d.scale
		y := d.y + (float64(f.Y-d.report.Bounds.Y)+0.5)*d.scale
		// Light, dark, light: seen on any colour.
		c.Circle(x, y, ringRadius, picture.Style{Stroke: color.White, Width: 6})
		c.Circle(x, y, ringRadius, picture.Style{Stroke: markInk(), Width: 3})
		at := freePlace(x, y, badges)
		badges = append(badges, at)
		c.Circle(at[0], at[1], badge, picture.Style{Fill: markInk(), Stroke: color.White, Width: 1.5})
		c.Text(at[0], at[1]+5, strconv.Itoa(i+1), picture.Text{Size: legendSize, Colour: color.White, Anchor: picture.Middle, Bold: true})
	}
}

// freePlace returns a place on a ring's rim that lies off all taken ones, or the
// first tried where none does.
func freePlace(x, y float64, taken [][2]float64) [2]float64 {
	const away = ringRadius + badge - 3
	place := func(turn float64) [2]float64 {
		return [2]float64{x + away*math.Cos(turn), y + away*math.Sin(turn)}
	}
	const first, ways = -math.Pi / 4, 8
	for i := range ways {
		p := place(first + float64(i)*2*math.Pi/ways)
		free := true
		for _, t := range taken {
			free = free && math.Hypot(p[0]-t[0], p[1]-t[1]) > 2*badge
		}
		if free {
			return p
		}
	}
	return place(first)
}

// onBlank renders the art small, as forecast, in its orientation.
func (a *Art) onBlank(r Report, wish Wish, blank colour.Colour) image.Image {
	small := a.shrink(r, int(drawArt))
	table := printTable(wish, blank)
	for i := 0; i < len(small.Pix); i += pixelBytes {
		p := small.Pix[i : i+pixelBytes]
		p[0], p[1], p[2] = table[p[0]].R, table[p[1]].G, table[p[2]].B
	}
	return small
}

// printTable forecasts each value of each channel; the model treats channels
// apart, so 256 greys tell all.
func printTable(wish Wish, blank colour.Colour) [256]colour.Colour {
	ground := wish.ground()
	var table [256]colour.Colour
	for v := range table {
		grey := colour.Colour{R: uint8(v), G: uint8(v), B: uint8(v)}
		switch {
		case !wish.Blank.Known:
			table[v] = grey
		case wish.Rules.Dye:
			table[v] = colour.Sublimated(grey, blank, wish.Blank.Polyester)
		default:
			table[v] = colour.Transferred(grey, ground)
		}
	}
	return table
}

// shrink averages the art's rectangle down to at most side pixels along its
// longer side, weighted by alpha.
func (a *Art) shrink(r Report, side int) *image.NRGBA {
	bounds := image.Rect(r.Bounds.X, r.Bounds.Y, r.Bounds.X+r.Bounds.Width, r.Bounds.Y+r.Bounds.Height)
	w, h := bounds.Dx(), bounds.Dy()
	if longer := max(w, h); longer > side {
		w, h = max(1, w*side/longer), max(1, h*side/longer)
	}
	type sums struct{ r, g, b, a, n uint64 }
	cells := make([]sums, w*h)
	size := a.img.Bounds().Size()
	rows := newRows(a.img)
	buf := make([]uint8, pixelBytes*size.X)
	for y := range size.Y {
		row := rows.read(y, 0, size.X, buf)
		for x := range size.X {
			sx, sy := a.turn.seen(x, y)
			if !(image.Point{X: sx, Y: sy}).In(bounds) {
				continue
			}
			s := &cells[(sy-bounds.Min.Y)*h/bounds.Dy()*w+(sx-bounds.Min.X)*w/bounds.Dx()]
			p := row[pixelBytes*x:][:pixelBytes]
			alpha := uint64(p[3])
			s.r, s.g, s.b = s.r+alpha*uint64(p[0]), s.g+alpha*uint64(p[1]), s.b+alpha*uint64(p[2])
			s.a, s.n = s.a+alpha, s.n+1
		}
	}
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i, s := range cells {
		if s.a == 0 {
			continue
		}
		out.Pix[4*i], out.Pix[4*i+1], out.Pix[4*i+2], out.Pix[4*i+3] = uint8(s.r/s.a), uint8(s.g/s.a), uint8(s.b/s.a), uint8(s.a/s.n)
	}
	return out
}

// A legend is lines of words, some beside a number or swatches.
type legend struct {
	lines []legendText
}

type legendText struct {
	text     string
	set      picture.Text
	number   int // 0 for none
	ringed   bool
	swatches []colour.Colour
	inset    float64 // room left for number and swatches
	above    float64 // extra room
}

func (d *panel) legend() legend {
	var l legend
	r := d.report
	strong := picture.Text{Size: 20, Colour: inkColour(), Bold: true}
	plain := picture.Text{Size: legendSize, Colour: inkColour()}
	soft := picture.Text{Size: legendSize, Colour: softInk()}
	l.wrap(legendText{text: string(r.Verdict), set: strong})
	l.wrap(legendText{text: d.heading(), set: plain, above: 4})
	l.wrap(legendText{text: d.figures(), set: soft})
	for i, f := range r.Findings {
		l.wrap(legendText{text: f.Text, set: plain, number: i + 1, ringed: f.Placed, inset: indent, above: 12})
		l.wrap(legendText{text: f.Mend, set: soft, inset: indent})
	}
	for i, m := range r.Colours {
		line := legendText{text: m.Name + ", " + percent(m.Share), set: plain, swatches: []colour.Colour{m.Hex}, inset: indent, above: 6}
		if i == 0 {
			line.above = 20
		}
		if len(r.Forecast.Swatches) > i {
			s := r.Forecast.Swatches[i]
			line.swatches = append(line.swatches, s.Seen)
			line.inset += swatchPitch
			line.text += ": " + s.Word
			if s.Vanishes {
				line.text += ", vanishes"
			}
		}
		l.wrap(line)
	}
	return l
}

func percent(share float64) string {
	if share < 0.01 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func (d *panel) heading() string {
	var words []string
	if d.wish.Method != "" {
		words = append(words, d.wish.Method)
	}
	if d.wish.Blank.Name != "" {
		words = append(words, "on "+d.wish.Blank.Name)
	}
	if len(words) == 0 {
		return "no method or blank named"
	}
	return strings.Join(words, " ")
}

func (d *panel) figures() string {
	r := d.report
	s := fmt.Sprintf("%s, %.0f pixels an inch", d.size(), r.EffectivePPI)
	if t := r.ThinnestStroke; t != nil {
		s += ", thinnest stroke " + fine(t.MM)
	}
	if t := r.ThinnestGap; t != nil {
		s += ", thinnest gap " + fine(t.MM)
	}
	return s
}

// indent is where words begin beside numbers and swatches.
const indent = 2*badge + 10

// wrap breaks a line at spaces to fit the legend; what follows the first line
// carries no number.
func (l *legend) wrap(line legendText) {
	measure := picture.New(1, 1, nil)
	room := drawLegend - line.inset
	text := ""
	flush := func() {
		part := line
		part.text = text
		l.lines = append(l.lines, part)
		line.number, line.swatches, line.above = 0, nil, 0
	}
	for _, word := range strings.Fields(line.text) {
		longer := strings.TrimSpace(text + " " + word)
		if text != "" && measure.TextWidth(longer, line.set.Size, line.set.Bold) > room {
			flush()
			longer = word
		}
		text = longer
	}
	flush()
}

func (l legend) height() float64 {
	h := 0.0
	for _, line := range l.lines {
		h += line.above + line.pitch()
	}
	return h
}

func (l legendText) pitch() float64 { return l.set.Size + legendLine - legendSize }

// swatch is the side of a swatch, swatchPitch its distance to the next.
const (
	swatch      = 16.0
	swatchPitch = swatch + 4
)

func (l legend) draw(c *picture.Canvas, x float64) {
	y := drawMargin
	for _, line := range l.lines {
		y += line.above + line.pitch()
		if line.number > 0 {
			style := picture.Style{Fill: softInk()}
			if line.ringed {
				style.Fill = markInk()
			}
			c.Circle(x+badge, y-5, badge, style)
			c.Text(x+badge, y, strconv.Itoa(line.number), picture.Text{Size: legendSize, Colour: color.White, Anchor: picture.Middle, Bold: true})
		}
		for i, s := range line.swatches {
			c.Rect(x+float64(i)*swatchPitch+3, y-swatch+3, swatch, swatch, picture.Style{Fill: s, Stroke: faintLine()})
		}
		c.Text(x+line.inset, y, line.text, line.set)
	}
}
