package picture

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"
	"strings"
)

// SVG writes the picture as SVG 1.1 (W3C Recommendation, 16 August 2011).
func (c *Canvas) SVG(w io.Writer) error {
	v := &vector{}
	v.printf(`<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%s" height="%s" viewBox="0 0 %s %s">`+"\n",
		num(c.width), num(c.height), num(c.width), num(c.height))
	if c.background != nil {
		v.printf(`<rect width="100%%" height="100%%"%s/>`+"\n", paintOf("fill", c.background))
	}
	for _, s := range c.shapes {
		s.write(v)
	}
	v.printf("</svg>\n")
	if v.err != nil {
		return v.err
	}
	if _, err := w.Write(v.buf.Bytes()); err != nil {
		return fmt.Errorf("writing the SVG: %w", err)
	}
	return nil
}

// vector is where shapes are written. It keeps the first error.
type vector struct {
	buf bytes.Buffer
	err error
}

func (v *vector) printf(format string, args ...any) { fmt.Fprintf(&v.buf, format, args...) }

// num writes a coordinate with at most two decimals: a hundredth of a pixel
// can't be seen.
func num(x float64) string {
	r := math.Round(x*100) / 100
	if r == 0 {
		r = 0 // no "-0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// paintOf writes a colour as the attribute given ("fill", "stroke"), with its
// opacity where it is not solid; a nil colour is "none".
func paintOf(attribute string, c color.Color) string {
	if c == nil {
		return fmt.Sprintf(` %s="none"`, attribute)
	}
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	s := fmt.Sprintf(` %s="#%02x%02x%02x"`, attribute, n.R, n.G, n.B)
	if n.A < math.MaxUint8 {
		s += fmt.Sprintf(` %s-opacity="%s"`, attribute, num(float64(n.A)/math.MaxUint8))
	}
	return s
}

func escape(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		return "" // a Builder never fails
	}
	return b.String()
}

func (s Style) attributes() string {
	var b strings.Builder
	b.WriteString(paintOf("fill", s.Fill))
	if s.Stroke != nil {
		b.WriteString(paintOf("stroke", s.Stroke))
		fmt.Fprintf(&b, ` stroke-width="%s"`, num(s.width()))
	}
	if s.Stroke != nil && len(s.Dash) > 0 {
		parts := make([]string, len(s.Dash))
		for i, d := range s.Dash {
			parts[i] = num(d)
		}
		fmt.Fprintf(&b, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	return b.String()
}

func (v *vector) hatch(s Style, points [][2]float64) {
	if !s.Hatch || s.Stroke == nil {
		return
	}
	var d strings.Builder
	for _, l := range hatch(points) {
		fmt.Fprintf(&d, "M%s %sL%s %s", num(l.x1), num(l.y1), num(l.x2), num(l.y2))
	}
	v.printf(`<path d="%s" fill="none"%s stroke-width="%s"/>`+"\n", d.String(), paintOf("stroke", s.Stroke), num(hatchWidth))
}

func (l line) write(v *vector) {
	if l.style.Stroke == nil {
		return
	}
	s := Style{Stroke: l.style.Stroke, Width: l.style.Width, Dash: l.style.Dash}
	v.printf(`<line x1="%s" y1="%s" x2="%s" y2="%s"%s/>`+"\n", num(l.x1), num(l.y1), num(l.x2), num(l.y2), s.attributes())
}

func (c circle) write(v *vector) {
	v.printf(`<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", num(c.x), num(c.y), num(c.r), c.style.attributes())
	v.hatch(c.style, c.outline())
}

func (p polygon) write(v *vector) {
	parts := make([]string, len(p.points))
	for i, q := range p.points {
		parts[i] = num(q[0]) + "," + num(q[1])
	}
	v.printf(`<polygon points="%s"%s/>`+"\n", strings.Join(parts, " "), p.style.attributes())
	v.hatch(p.style, p.points)
}

func (l label) write(v *vector) {
	anchor := [...]string{Start: "start", Middle: "middle", End: "end"}
	var extra string
	if l.set.Anchor > Start && int(l.set.Anchor) < len(anchor) {
		extra += fmt.Sprintf(` text-anchor="%s"`, anchor[l.set.Anchor])
	}
	if l.set.Bold {
		extra += ` font-weight="bold"`
	}
	if l.set.Turn {
		extra += fmt.Sprintf(` transform="rotate(-90 %s %s)"`, num(l.x), num(l.y))
	}
	v.printf(`<text x="%s" y="%s" font-family="Go, Verdana, sans-serif" font-size="%s" textLength="%s" lengthAdjust="spacingAndGlyphs" xml:space="preserve"%s%s>%s</text>`+"\n",
		num(l.x), num(l.y), num(l.set.size()), num(l.length), paintOf("fill", l.set.colour()), extra, escape(l.text))
}

func (p photo) write(v *vector) {
	var data bytes.Buffer
	if err := png.Encode(&data, p.image); err != nil {
		if v.err == nil {
			v.err = fmt.Errorf("embedding an image: %w", err)
		}
		return
	}
	v.printf(`<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" xlink:href="data:image/png;base64,%s"/>`+"\n",
		num(p.x), num(p.y), num(p.w), num(p.h), base64.StdEncoding.EncodeToString(data.Bytes()))
}
