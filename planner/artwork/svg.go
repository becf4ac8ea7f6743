package artwork

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/srwiley/oksvg"
	"github.com/srwiley/rasterx"
	"golang.org/x/image/math/fixed"
	"golang.org/x/net/html/charset"
)

// Limits of drawings. They bound what a small file can make the renderer do.
const (
	// svgFinest is how many pixels a unit of the drawing is given at most. The
	// renderer keeps coordinates in 64ths of a unit, and finer pixels would
	// show its rounding as if it were the artist's.
	svgFinest = 64
	// svgBytes: real drawings stay below a few hundred kilobytes of paths.
	svgBytes = 8 << 20
	// svgDepth bounds nesting; the deepest real drawings reach about twenty.
	svgDepth = 256
	// svgUseBytes bounds uses x size of the definitions they may repeat.
	svgUseBytes = 32 << 20
	// svgPaths bounds the shapes. Rich illustrations have a few thousand.
	svgPaths = 20_000
	// svgDashes bounds the dashes of a drawing; beyond it lines are solid. A
	// dash a pixel long along every side of a thousand boxes comes to it.
	svgDashes = 200_000
)

// A drawing is what a scan of the SVG's elements tells before it is rendered.
type drawing struct {
	root    xml.StartElement
	rootEnd int64 // offset just after "<svg"
	skipped []string
	shades  gradients
}

func openSVG(data []byte, limits Limits) (*Art, error) {
	if len(data) > svgBytes {
		return nil, fmt.Errorf("%w: the SVG has more than %d MB: simplify its paths", ErrTooLarge, svgBytes>>20)
	}
	scanned, err := scanSVG(data)
	if err != nil {
		return nil, damaged(SVG, err)
	}
	plain, flattened := scanned.shades.flatten(scanned.withDefaults(data))
	if flattened {
		scanned.skipped = append(scanned.skipped, "gradients, taken as one colour")
	}
	img, err := renderSVG(plain, limits)
	if err != nil {
		return nil, err
	}
	m := meta{orientation: 1}
	if wide, ok := scanned.physicalWidth(); ok {
		m.ppiX = float64(img.Bounds().Dx()) / wide
		m.ppiY = m.ppiX
	}
	a := newArt(SVG, img, m)
	if len(scanned.skipped) > 0 {
		a.notes = append(a.notes, note{
			id:   SVGParts,
			text: "parts of the drawing are not seen here as they are: " + strings.Join(scanned.skipped, ", "),
			mend: "turn type and effects to outlines, or send a PNG",
		})
	}
	return a, nil
}

// drawn lists the elements the renderer draws or may pass over unharmed.
func drawn() []string {
	return []string{"svg", "g", "line", "stop", "rect", "circle", "ellipse", "polyline", "polygon", "path",
		"desc", "defs", "style", "title", "linearGradient", "radialGradient", "use", "metadata"}
}

// scanSVG walks the elements once, refuses what could make the renderer run
// for ever, and notes what it will not draw.
func scanSVG(data []byte) (drawing, error) {
	var d drawing
	known := drawn()
	dec := xml.NewDecoder(bytes.NewReader(data))
	dec.CharsetReader = charset.NewReaderLabel
	var open []string
	var uses, defsBytes, defsStart int64
	for {
		before := dec.InputOffset()
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return d, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			name := e.Name.Local
			d.shades.start(e)
			if len(open) == 0 {
				d.root, d.rootEnd = e.Copy(), before+int64(len("<svg"))
			}
			inDefs := slices.Contains(open, "defs")
			switch {
			case len(open) > svgDepth:
				return d, fmt.Errorf("elements nested more than %d deep", svgDepth)
			case inDefs && (name == "use" || name == "defs"):
				// The renderer follows a use inside a definition without end.
				return d, fmt.Errorf("a %s inside a definition can't be drawn: expand it", name)
			case name == "use":
				uses++
			case name == "defs":
				defsStart = before
			}
			if !slices.Contains(known, name) && isSVG(e) && !slices.Contains(d.skipped, name) && !slices.Contains(open, "metadata") {
				d.skipped = append(d.skipped, name)
			}
			open = append(open, name)
		case xml.EndElement:
			d.shades.end(e.Name.Local)
			if e.Name.Local == "defs" {
				defsBytes += dec.InputOffset() - defsStart
			}
			open = open[:len(open)-1]
		}
	}
	if d.root.Name.Local != "svg" {
		return d, errors.New("its outermost element is no svg")
	}
	if uses*defsBytes > svgUseBytes {
		return d, errors.New("it repeats its definitions too often: expand them")
	}
	slices.Sort(d.skipped)
	return d, nil
}

// isSVG tells drawing elements from editors' own in other name spaces.
func isSVG(e xml.StartElement) bool {
	return e.Name.Space == "" || e.Name.Space == "http://www.w3.org/2000/svg"
}

// evenOdd marks, as a mitre limit, a path to be filled by the even-odd rule. The
// renderer can fill so, but doesn't read the property; it does hand down and
// keep mitre limits, which matter only for spikes. The value is just beside
// SVG's initial 4.
const evenOdd = 4 + 1.0/32

// withDefaults spells out what the renderer leaves out or gets wrong: by SVG 2
// a stroke is 1 wide, lines join in a mitre, scale(s) is scale(s, s), and a
// fill may be even-odd. Mitre limits of the file's own give way to that.
func (d drawing) withDefaults(data []byte) []byte {
	at := int(d.rootEnd)
	if at > len(data) || string(data[at-len("<svg"):at]) != "<svg" {
		return data // a prefixed or recoded root: leave it
	}
	add := ""
	for _, initial := range [][2]string{{"stroke-width", "1"}, {"stroke-linejoin", "miter"}} {
		if attrOf(d.root, initial[0]) == "" {
			add += fmt.Sprintf(" %s=%q", initial[0], initial[1])
		}
	}
	data = slices.Concat(data[:at], []byte(add), data[at:])
	mark := strconv.FormatFloat(evenOdd, 'f', -1, 64)
	for _, change := range [][2]string{
		{`\bscale\(\s*([^\s,()]+)\s*\)`, "scale($1,$1)"},
		{`\bstroke-miterlimit\b`, "unread-miterlimit"},
		{`\bfill-rule(\s*[=:]\s*["']?\s*)evenodd\b`, "stroke-miterlimit${1}" + mark},
		{`\bfill-rule(\s*[=:]\s*["']?\s*)nonzero\b`, "stroke-miterlimit${1}4"},
	} {
		data = regexp.MustCompile(change[0]).ReplaceAll(data, []byte(change[1]))
	}
	return data
}

// physicalWidth returns the root's width in inches where it has a unit of
// length. A bare number is in pixels and promises no size.
func (d drawing) physicalWidth() (float64, bool) {
	width := strings.TrimSpace(attrOf(d.root, "width"))
	for unit, perInch := range map[string]float64{"mm": 10 * centimetresPerInch, "cm": centimetresPerInch, "in": 1, "pt": 72} {
		if digits, ok := strings.CutSuffix(width, unit); ok {
			v, err := strconv.ParseFloat(strings.TrimSpace(digits), 64)
			return v / perInch, err == nil && v > 0
		}
	}
	return 0, false
}

func renderSVG(data []byte, limits Limits) (img *image.RGBA, err error) {
	defer func() {
		if err != nil && !errors.Is(err, ErrTooLarge) {
			err = damaged(SVG, err)
		}
	}()
	defer caught(&err)
	icon, err := oksvg.ReadIconStream(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	box := icon.ViewBox
	if !(box.W > 0 && box.H > 0) || math.IsInf(box.W, 0) || math.IsInf(box.H, 0) || math.IsNaN(box.X+box.Y) {
		return nil, errors.New("it has no usable viewBox, width or height")
	}
	scale := min(float64(limits.Drawing)/max(box.W, box.H), svgFinest)
	w, h := int(math.Ceil(box.W*scale)), int(math.Ceil(box.H*scale))
	if err := limits.admit(w, h); err != nil {
		return nil, err
	}
	img = image.NewRGBA(image.Rect(0, 0, w, h))
	if len(icon.SVGPaths) > svgPaths {
		return nil, fmt.Errorf("%w: the SVG has more than %d shapes: flatten it", ErrTooLarge, svgPaths)
	}
	brush := newBrush(img)
	dashes := svgDashes
	dasher := rasterx.NewDasher(w, h, brush)
	whole := rasterx.Identity.Scale(scale, scale).Translate(-box.X, -box.Y)
	for i := range icon.SVGPaths {
		path := icon.SVGPaths[i]
		path.UseNonZeroWinding = path.MiterLimit != evenOdd
		own := ownScale(path)
		scaleStroke(&path, scale*own)
		if len(path.Dash) > 0 {
			dashes = spendDashes(&path, whole, dashes)
		}
		path.DrawTransformed(dasher, 1, whole)
		if brush.spent() {
			return nil, fmt.Errorf("%w: the SVG paints too much over itself: flatten it", ErrTooLarge)
		}
	}
	return img, nil
}

// scaleStroke carries the transform over to the stroke, which the renderer
// leaves in its own units.
func scaleStroke(p *oksvg.SvgPath, scale float64) {
	p.LineWidth *= scale
	p.DashOffset *= scale
	p.Dash = slices.Clone(p.Dash)
	for i := range p.Dash {
		p.Dash[i] *= scale
	}
}

// spendDashes takes a path's dashes, counted along its outline, from those that
// are left, or makes it a solid line where they don't suffice or make no sense.
func spendDashes(p *oksvg.SvgPath, whole rasterx.Matrix2D, left int) int {
	pattern := 0.0
	for _, d := range p.Dash {
		if !(d >= 0) {
			pattern = math.NaN()
		}
		pattern += d
	}
	count := float64(len(p.Dash)) * (outline(*p, whole)/pattern + 1)
	if !(count <= float64(left)) || !(math.Abs(p.DashOffset) <= pattern*svgDashes) {
		p.Dash = nil
		return left
	}
	p.DashOffset = math.Mod(p.DashOffset, pattern)
	return left - int(count)
}

// outline returns the length of a path in pixels.
func outline(p oksvg.SvgPath, whole rasterx.Matrix2D) float64 {
	p.SetFillColor(image.Black.C)
	p.SetLineColor(nil)
	var probe probe
	p.DrawTransformed(rasterx.NewDasher(1, 1, &probe), 1, whole)
	length := 0.0
	for i := 1; i < len(probe.points); i++ {
		step := probe.points[i].Sub(probe.points[i-1])
		length += math.Hypot(float64(step.X), float64(step.Y)) / 64
	}
	return length
}

// ownScale returns the factor by which a path's own transform stretches
// lengths, sqrt |det M|. The renderer keeps M to itself, so a triangle is sent
// through it.
func ownScale(p oksvg.SvgPath) float64 {
	const leg = 1000
	p.Path = rasterx.Path{}
	p.Path.Start(rasterx.ToFixedP(0, 0))
	p.Path.Line(rasterx.ToFixedP(leg, 0))
	p.Path.Line(rasterx.ToFixedP(0, leg))
	p.SetFillColor(image.Black.C)
	p.SetLineColor(nil)
	var probe probe
	p.DrawTransformed(rasterx.NewDasher(leg, leg, &probe), 1, rasterx.Identity)
	if len(probe.points) < 3 {
		return 1
	}
	u, v := probe.points[1].Sub(probe.points[0]), probe.points[2].Sub(probe.points[0])
	const unit = 64 * leg
	ux, uy, vx, vy := float64(u.X)/unit, float64(u.Y)/unit, float64(v.X)/unit, float64(v.Y)/unit
	return math.Sqrt(math.Abs(ux*vy - uy*vx))
}

// A probe is a scanner that only remembers the points it is sent.
type probe struct {
	points []fixed.Point26_6
}

func (p *probe) Start(a fixed.Point26_6)          { p.points = append(p.points, a) }
func (p *probe) Line(b fixed.Point26_6)           { p.points = append(p.points, b) }
func (*probe) Draw()                              {}
func (*probe) GetPathExtent() fixed.Rectangle26_6 { return fixed.Rectangle26_6{} }
func (*probe) SetBounds(_, _ int)                 {}
func (*probe) SetColor(any)                       {}
func (*probe) SetWinding(bool)                    {}
func (*probe) Clear()                             {}
func (*probe) SetClip(image.Rectangle)            {}
