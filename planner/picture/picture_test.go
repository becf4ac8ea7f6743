package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"
)

var (
	red  = color.NRGBA{R: 200, A: 255}
	blue = color.NRGBA{B: 200, A: 255}
)

func drawing() *Canvas {
	c := New(120, 80, color.White)
	c.Rect(10, 10, 40, 30, Style{Fill: red, Stroke: blue, Width: 2, Hatch: true})
	c.Circle(90, 25, 15, Style{Stroke: blue, Dash: []float64{3, 2}, Hatch: true})
	c.Polygon([][2]float64{{60, 60}, {110, 60}, {85, 75}}, Style{Fill: color.NRGBA{G: 120, A: 128}})
	c.Line(0, 79, 120, 79, Style{Stroke: blue})
	c.Text(60, 50, `a<b & "c"`, Text{Size: 10, Anchor: Middle, Bold: true})
	c.Text(8, 60, "up", Text{Turn: true, Colour: red})
	small := image.NewNRGBA(image.Rect(0, 0, 2, 2))
	small.Set(0, 0, red)
	c.Image(70, 30, 10, 10, small)
	return c
}

func decode(t *testing.T, c *Canvas) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := c.PNG(&b); err != nil {
		t.Fatalf("PNG: %v", err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatalf("the PNG can't be read: %v", err)
	}
	return img
}

func TestPNGHoldsShapes(t *testing.T) {
	c := New(100, 60, color.White)
	c.Rect(20, 10, 30, 20, Style{Fill: red})
	c.Circle(75, 30, 10, Style{Fill: blue})
	img := decode(t, c)
	if got := img.Bounds(); got != image.Rect(0, 0, 100, 60) {
		t.Fatalf("bounds = %v, want 100 x 60", got)
	}
	rows := []struct {
		name string
		x, y int
		want color.Color
	}{
		{"inside the rectangle", 30, 20, red},
		{"outside the rectangle", 55, 20, color.White},
		{"inside the circle", 75, 30, blue},
		{"in the corner beside the circle", 66, 21, color.White},
	}
	for _, r := range rows {
		if got := color.NRGBAModel.Convert(img.At(r.x, r.y)); got != color.NRGBAModel.Convert(r.want) {
			t.Errorf("%s: colour at %d,%d = %v, want %v", r.name, r.x, r.y, got, r.want)
		}
	}
}

func TestTextStandsOnItsBaseline(t *testing.T) {
	rows := []struct {
		name string
		turn bool
		at   image.Rectangle // where ink is allowed
	}{
		{"level", false, image.Rect(50, 20, 100, 51)},
		{"turned", true, image.Rect(20, 0, 51, 51)},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			c := New(100, 100, color.White)
			c.Text(50, 50, "HHH", Text{Size: 20, Turn: r.turn})
			img := decode(t, c)
			ink := 0
			for y := range 100 {
				for x := range 100 {
					if l := color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y; l < 128 {
						ink++
						if !(image.Point{x, y}).In(r.at) {
							t.Fatalf("ink at %d,%d, want it inside %v", x, y, r.at)
						}
					}
				}
			}
			if ink == 0 {
				t.Fatal("no ink at all")
			}
		})
	}
}

func TestTextWidthGrowsWithSizeAndWeight(t *testing.T) {
	c := New(10, 10, nil)
	one, two := c.TextWidth("left chest", 10, false), c.TextWidth("left chest", 20, false)
	if math.Abs(two-2*one) > 1 {
		t.Errorf("width at 20 = %g, want about twice %g", two, one)
	}
	if bold := c.TextWidth("left chest", 10, true); bold <= one {
		t.Errorf("bold width = %g, want more than %g", bold, one)
	}
}

func TestSVGIsWellFormedAndSelfContained(t *testing.T) {
	var b bytes.Buffer
	if err := drawing().SVG(&b); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(b.Bytes()))
	seen := map[string]int{}
	text := ""
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v\n%s", err, b.String())
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			seen[tok.Name.Local]++
			for _, a := range tok.Attr {
				if a.Name.Local == "href" && !strings.HasPrefix(a.Value, "data:") {
					t.Errorf("refers to %q outside the file", a.Value)
				}
			}
		case xml.CharData:
			text += string(tok)
		}
	}
	for _, want := range []string{"polygon", "circle", "line", "text", "image", "path"} {
		if seen[want] == 0 {
			t.Errorf("no <%s> in the SVG", want)
		}
	}
	if !strings.Contains(text, `a<b & "c"`) {
		t.Errorf("text %q does not hold the label", text)
	}
}

func TestSameCallsGiveSameBytes(t *testing.T) {
	for _, name := range []string{"a.png", "a.SVG"} {
		var one, two bytes.Buffer
		if err := drawing().Write(&one, name); err != nil {
			t.Fatal(err)
		}
		if err := drawing().Write(&two, name); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(one.Bytes(), two.Bytes()) {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

func TestWriteNamesTheKnownForms(t *testing.T) {
	err := New(1, 1, nil).Write(io.Discard, "sheet.bmp")
	if err == nil || !strings.Contains(err.Error(), ".png") || !strings.Contains(err.Error(), ".svg") {
		t.Errorf("error = %v, want one that names .png and .svg", err)
	}
}

func TestHatchStaysInside(t *testing.T) {
	lines := hatch([][2]float64{{0, 0}, {40, 0}, {40, 24}, {0, 24}})
	if len(lines) != 7 { // at x + y = 8, 16 ... 56; nothing at the corners 0 and 64
		t.Errorf("%d lines, want 7", len(lines))
	}
	for _, l := range lines {
		for _, p := range [][2]float64{{l.x1, l.y1}, {l.x2, l.y2}} {
			if p[0] < 0 || p[0] > 40 || p[1] < 0 || p[1] > 24 {
				t.Errorf("line %v leaves the rectangle", l)
			}
		}
	}
}

func TestOddNumbersAreHarmless(t *testing.T) {
	c := New(math.NaN(), math.Inf(1), nil)
	c.Rect(math.NaN(), 0, 1, 1, Style{Fill: red})
	c.Text(0, math.Inf(1), "x", Text{})
	c.Polygon([][2]float64{{0, 0}}, Style{Fill: red})
	var b bytes.Buffer
	if err := c.SVG(&b); err != nil {
		t.Fatal(err)
	}
	if s := b.String(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Errorf("SVG holds a number that is none: %s", s)
	}
	if err := New(1e6, 1e6, nil).PNG(io.Discard); err == nil {
		t.Error("a huge PNG was not refused")
	}
}
