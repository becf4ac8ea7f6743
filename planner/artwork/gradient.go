package artwork

import (
	"encoding/xml"
	"fmt"
	"image/color"
	"regexp"
	"strconv"
	"strings"

	"github.com/srwiley/oksvg"
)

// A gradient is what is needed of one to stand in for it with a flat colour.
type gradient struct {
	from  string // id of the one it takes its stops from; "" for its own
	stops []color.NRGBA
}

// gradients collects them by id while the elements of a drawing are scanned.
//
// The renderer knows neither stops taken from another gradient nor user-space
// coordinates under a transform, and paints both black, or in one of the end
// colours. The mean of the stops, with their mean opacity, is nearer to what
// is printed, and the report says that it was taken.
type gradients struct {
	byID map[string]*gradient
	open *gradient
}

func (g *gradients) start(e xml.StartElement) {
	switch e.Name.Local {
	case "linearGradient", "radialGradient":
		g.open = &gradient{from: strings.TrimPrefix(attrOf(e, "href"), "#")}
		if g.byID == nil {
			g.byID = map[string]*gradient{}
		}
		g.byID[attrOf(e, "id")] = g.open
	case "stop":
		if g.open != nil {
			g.open.stops = append(g.open.stops, stopColour(e))
		}
	}
}

func (g *gradients) end(name string) {
	if name == "linearGradient" || name == "radialGradient" {
		g.open = nil
	}
}

func attrOf(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// stopColour reads colour and opacity of a stop from its attributes, and from
// its style, which has the last word. SVG's initial stop is opaque black.
func stopColour(e xml.StartElement) color.NRGBA {
	values := map[string]string{"stop-color": attrOf(e, "stop-color"), "stop-opacity": attrOf(e, "stop-opacity")}
	for part := range strings.SplitSeq(attrOf(e, "style"), ";") {
		if name, value, ok := strings.Cut(part, ":"); ok {
			values[strings.TrimSpace(name)] = strings.TrimSpace(value)
		}
	}
	stop := color.NRGBA{A: 0xff}
	if c, err := oksvg.ParseSVGColor(values["stop-color"]); err == nil && c != nil {
		stop = color.NRGBAModel.Convert(c).(color.NRGBA)
	}
	if v, err := strconv.ParseFloat(values["stop-opacity"], 64); err == nil && v >= 0 && v <= 1 {
		stop.A = uint8(v * 0xff)
	}
	return stop
}

// mean returns the mean colour of a gradient, weighted by opacity, and its mean
// opacity. A chain of references is followed once round at most.
func (g *gradients) mean(id string) (color.NRGBA, float64, bool) {
	found := g.byID[id]
	for range g.byID {
		if found == nil || len(found.stops) > 0 {
			break
		}
		found = g.byID[found.from]
	}
	if found == nil || len(found.stops) == 0 {
		return color.NRGBA{}, 0, false
	}
	var r, gr, b, a int
	for _, s := range found.stops {
		w := int(s.A)
		r, gr, b, a = r+w*int(s.R), gr+w*int(s.G), b+w*int(s.B), a+w
	}
	opacity := float64(a) / 0xff / float64(len(found.stops))
	if a == 0 {
		return color.NRGBA{}, 0, true
	}
	return color.NRGBA{R: uint8(r / a), G: uint8(gr / a), B: uint8(b / a), A: 0xff}, opacity, true
}

// flatten replaces every reference to a gradient by its mean, both as an
// attribute and in a style, and reports whether there was one.
func (g *gradients) flatten(data []byte) ([]byte, bool) {
	if len(g.byID) == 0 {
		return data, false
	}
	reference := regexp.MustCompile(`\b(fill|stroke)(\s*[=:]\s*["']?\s*)url\(\s*#([^)\s]*)\s*\)[^;"'<>]*`)
	any := false
	data = reference.ReplaceAllFunc(data, func(match []byte) []byte {
		parts := reference.FindSubmatch(match)
		c, opacity, ok := g.mean(string(parts[3]))
		if !ok {
			return match
		}
		any = true
		property, joint := string(parts[1]), string(parts[2])
		flat := fmt.Sprintf("%s%s#%02x%02x%02x", property, joint, c.R, c.G, c.B)
		if opacity == 1 {
			return []byte(flat)
		}
		if strings.Contains(joint, "=") {
			// Inside an attribute: close it and leave the new one open, as the
			// old one was.
			quote := strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(joint), "="))
			return fmt.Appendf(nil, "%s%s %s-opacity=%s%.3f", flat, quote, property, quote, opacity)
		}
		return fmt.Appendf(nil, "%s;%s-opacity:%.3f", flat, property, opacity)
	})
	return data, any
}
