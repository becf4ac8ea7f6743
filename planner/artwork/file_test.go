package artwork

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"presshand/planner/colour"
)

// chunk builds a PNG chunk.
func chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// afterHeader puts chunks behind a PNG's first one.
func afterHeader(png []byte, chunks ...[]byte) []byte {
	const headerEnd = 8 + 25
	out := bytes.Clone(png[:headerEnd])
	for _, c := range chunks {
		out = append(out, c...)
	}
	return append(out, png[headerEnd:]...)
}

// exif builds a TIFF structure that holds an orientation and a density.
func exif(order binary.AppendByteOrder, orientation uint16, ppiX, ppiY uint32) []byte {
	mark := "II"
	if order == binary.AppendByteOrder(binary.BigEndian) {
		mark = "MM"
	}
	b := order.AppendUint16([]byte(mark), 42)
	b = order.AppendUint32(b, 8)
	entry := func(tag, kind uint16, value uint32) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, 1)
		if kind == typeShort {
			b = order.AppendUint16(order.AppendUint16(b, uint16(value)), 0)
			return
		}
		b = order.AppendUint32(b, value)
	}
	const entries = 4
	const rationals = 8 + 2 + 12*entries + 4
	b = order.AppendUint16(b, entries)
	entry(tagOrientation, typeShort, uint32(orientation))
	entry(tagXResolution, typeRational, rationals)
	entry(tagYResolution, typeRational, rationals+8)
	entry(tagUnit, typeShort, unitInch)
	b = order.AppendUint32(b, 0)
	for _, v := range []uint32{ppiX, 1, ppiY, 1} {
		b = order.AppendUint32(b, v)
	}
	return b
}

// corner is a picture whose top left quarter is empty but for a mark, so that
// every turn of it looks different.
func corner() *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 40, 20))
	fill(m, image.Rect(8, 4, 12, 6), red())
	fill(m, image.Rect(20, 10, 40, 20), red())
	return m
}

// JEITA CP-3451 (EXIF 2.2), tag 274: which visual side the first row and the
// first column are. The mark's box follows from that by hand.
func TestOrientation(t *testing.T) {
	// The art spans 8,4 to 40,20 of 40 x 20.
	want := map[uint16]Box{
		1: {8, 4, 32, 16}, 2: {0, 4, 32, 16}, 3: {0, 0, 32, 16}, 4: {8, 0, 32, 16},
		5: {4, 8, 16, 32}, 6: {0, 8, 16, 32}, 7: {0, 0, 16, 32}, 8: {4, 0, 16, 32},
	}
	for orientation, box := range want {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			data := afterHeader(pngOf(t, corner()), chunk("eXIf", exif(order, orientation, 200, 100)))
			art, err := openBytes(data)
			if err != nil {
				t.Fatal(err)
			}
			r, err := art.Inspect(Wish{})
			if err != nil {
				t.Fatal(err)
			}
			size := Size{40, 20}
			across, down := 200.0, 100.0
			if orientation >= 5 {
				size = Size{20, 40}
				across, down = 100, 200
			}
			if r.Bounds != box || r.Pixels != size {
				t.Errorf("orientation %d: bounds %+v of %+v, want %+v of %+v", orientation, r.Bounds, r.Pixels, box, size)
			}
			if x, y := art.Density(); x != across || y != down {
				t.Errorf("orientation %d: density %g x %g, want %g x %g", orientation, x, y, across, down)
			}
			if err := Check(r); err != nil {
				t.Errorf("orientation %d: %v", orientation, err)
			}
		}
	}
}

// A phone's photo stored on its side is seen upright in the picture too.
func TestDrawTurns(t *testing.T) {
	data := afterHeader(pngOf(t, corner()), chunk("eXIf", exif(binary.BigEndian, 6, 72, 72)))
	art, err := openBytes(data)
	if err != nil {
		t.Fatal(err)
	}
	r, err := art.Inspect(Wish{})
	if err != nil {
		t.Fatal(err)
	}
	small := art.shrink(r, 100)
	if got := small.Bounds().Size(); got != (image.Point{16, 32}) {
		t.Fatalf("seen at %v, want 16 x 32", got)
	}
	// Turned a quarter clockwise, the mark lies top right, and the big box
	// fills the lower left.
	for p, want := range map[image.Point]uint8{{15, 0}: 255, {0, 0}: 0, {0, 31}: 255, {15, 31}: 0} {
		if got := small.NRGBAAt(p.X, p.Y).A; got != want {
			t.Errorf("alpha at %v is %d, want %d", p, got, want)
		}
	}
}

func TestDensity(t *testing.T) {
	plain := corner()
	phys := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 11811), 11811) // 300 ppi, in pixels a metre
	jpg := jpegOf(t, plain)
	jfif := append([]byte("JFIF\x00\x01\x01\x01\x01\x2c\x00\x96\x00\x00"), nil...) // 300 x 150 an inch
	tests := []struct {
		name   string
		data   []byte
		across float64
		down   float64
	}{
		{"png, pHYs", afterHeader(pngOf(t, plain), chunk("pHYs", append(phys, 1))), 300, 300},
		{"png, only a ratio", afterHeader(pngOf(t, plain), chunk("pHYs", append(phys, 0))), 0, 0},
		{"png, none", pngOf(t, plain), 0, 0},
		{"jpeg, JFIF", withSegment(jpg, 0xe0, jfif), 300, 150},
		{"jpeg, EXIF", withSegment(jpg, 0xe1, append([]byte("Exif\x00\x00"), exif(binary.LittleEndian, 1, 240, 240)...)), 240, 240},
		{"jpeg, absurd", withSegment(jpg, 0xe1, append([]byte("Exif\x00\x00"), exif(binary.LittleEndian, 1, 1, 1)...)), 0, 0},
		{"svg, 100 mm wide", []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50" width="100mm"><rect width="100" height="50"/></svg>`), 2400 / 100 * 25.4, 2400 / 100 * 25.4},
	}
	for _, tt := range tests {
		art, err := openBytes(tt.data)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if x, y := art.Density(); math.Abs(x-tt.across) > 0.01 || math.Abs(y-tt.down) > 0.01 {
			t.Errorf("%s: %g x %g, want %g x %g", tt.name, x, y, tt.across, tt.down)
		}
	}
}

// withSegment puts a marker segment first in a JPEG.
func withSegment(jpg []byte, marker byte, body []byte) []byte {
	out := append([]byte{0xff, 0xd8, 0xff, marker}, binary.BigEndian.AppendUint16(nil, uint16(len(body)+2))...)
	return append(append(out, body...), jpg[2:]...)
}

// One picture in every format that keeps its pixels measures the same.
func TestFormatsAgree(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 60, 40))
	fill(m, m.Rect, color.NRGBA{255, 255, 255, 255})
	fill(m, image.Rect(10, 5, 50, 30), red())
	palette := color.Palette{color.NRGBA{255, 255, 255, 255}, red()}
	indexed := image.NewPaletted(m.Rect, palette)
	deep := image.NewNRGBA64(m.Rect)
	grey := image.NewGray16(m.Rect)
	for y := range 40 {
		for x := range 60 {
			indexed.Set(x, y, m.At(x, y))
			deep.Set(x, y, m.At(x, y))
			grey.Set(x, y, m.At(x, y))
		}
	}
	encode := func(write func(*bytes.Buffer) error) []byte {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	// A drawing is rastered at ten pixels a unit.
	limits := testLimits()
	files := map[Format][]byte{
		PNG:         pngOf(t, m),
		GIF:         encode(func(b *bytes.Buffer) error { return gif.Encode(b, indexed, nil) }),
		TIFF:        encode(func(b *bytes.Buffer) error { return tiff.Encode(b, m, &tiff.Options{Compression: tiff.Deflate}) }),
		BMP:         encode(func(b *bytes.Buffer) error { return bmp.Encode(b, m) }),
		SVG:         []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><rect width="60" height="40" fill="white"/><rect x="10" y="5" width="40" height="25" fill="#c81e28"/></svg>`),
		"png, 16":   pngOf(t, deep),
		"png, pal":  pngOf(t, indexed),
		"png, grey": pngOf(t, grey),
	}
	for format, data := range files {
		art, err := Open(bytes.NewReader(data), limits)
		if err != nil {
			t.Errorf("%s: %v", format, err)
			continue
		}
		r, err := art.Inspect(Wish{})
		if err != nil {
			t.Errorf("%s: %v", format, err)
			continue
		}
		scale := r.Pixels.Width / 60
		want := Box{10 * scale, 5 * scale, 40 * scale, 25 * scale}
		if r.Bounds != want || !r.Box || len(r.Colours) != 1 || (r.Colours[0].Hex != colour.Colour{R: 200, G: 30, B: 40}) && format != "png, grey" {
			t.Errorf("%s: bounds %+v, box %t, colours %+v; want %+v, a box, #c81e28", format, r.Bounds, r.Box, r.Colours, want)
		}
		if err := Check(r); err != nil {
			t.Errorf("%s: %v", format, err)
		}
	}
}

// An SVG's strokes scale with it, its even-odd holes are holes, its gradients
// have a colour, and what isn't drawn is said.
func TestSVG(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="-50 -50 200 200">`
	tests := []struct {
		name   string
		body   string
		stroke float64 // drawing units
		solid  float64
		notes  string
	}{
		{"default stroke", `<path d="M0 0H100" stroke="black"/><rect y="10" width="100" height="60"/>`, 1, 0, ""},
		{"scaled group", `<g transform="scale(2)"><path d="M0 0H50" stroke="black" stroke-width="3"/></g><rect y="10" width="100" height="60"/>`, 6, 0, ""},
		{"even-odd", `<path fill-rule="evenodd" d="M0 0h100v100h-100zM25 25h50v50h-50z"/>`, 25, 0.75, ""},
		{"even-odd in a style", `<g style="fill-rule:evenodd"><path d="M0 0h100v100h-100zM25 25h50v50h-50z"/></g>`, 25, 0.75, ""},
		{"nonzero", `<path d="M0 0h100v100h-100zM25 25h50v50h-50z"/>`, 100, 1, ""},
		{"beyond the canvas", `<path d="M-5e4 0H5e4V100H-5e4z"/>`, 100, 1, ""},
		{"type", `<rect width="100" height="100"/><text>hi</text>`, 100, 1, "text"},
		{"gradient", `<defs><linearGradient id="a"><stop stop-color="#ff0000"/><stop offset="1" style="stop-color:#0000ff"/></linearGradient>` +
			`<radialGradient id="b" xlink:href="#a" gradientUnits="userSpaceOnUse"/></defs><rect width="100" height="100" style="fill:url(#b)"/>`, 100, 1, "gradients"},
	}
	for _, tt := range tests {
		art, err := Open(strings.NewReader(head+tt.body+`</svg>`), testLimits())
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		r, err := art.Inspect(Wish{})
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		unit := r.Print.Width / float64(r.Bounds.Width) * float64(testLimits().Drawing) / 200
		if got := r.ThinnestStroke.MM / unit; math.Abs(got-tt.stroke) > 0.25 && tt.name != "nonzero" && tt.name != "beyond the canvas" {
			t.Errorf("%s: stroke of %.2f units, want %g", tt.name, got, tt.stroke)
		}
		if tt.solid > 0 && math.Abs(r.Solid-tt.solid) > 0.01 {
			t.Errorf("%s: %g solid, want %g", tt.name, r.Solid, tt.solid)
		}
		said := ""
		for _, f := range r.Findings {
			if f.ID == SVGParts {
				said = f.Text
			}
		}
		if tt.notes == "" && said != "" || !strings.Contains(said, tt.notes) {
			t.Errorf("%s: note %q, want %q in it", tt.name, said, tt.notes)
		}
		if tt.name == "gradient" && (len(r.Colours) != 1 || r.Colours[0].Hex != colour.Colour{R: 127, B: 127}) {
			t.Errorf("gradient's colour is %+v, want #7f007f", r.Colours)
		}
	}
}

// Real pictures; their README says where they come from.
func TestPictures(t *testing.T) {
	tests := []struct {
		file       string
		w, h       int
		photo, box bool
		colours    string // a name that must be among the main ones
		finding    string // one that must be there
	}{
		{"cat.jpg", 320, 213, true, false, "sienna", TooFewPixels},
		{"cup.jpg", 320, 213, true, false, "chocolate", TooFewPixels},
		{"bricks.jpg", 200, 200, false, false, "dimgray", TooFewPixels},
		{"horse.png", 400, 328, false, true, "black", BoxBehind},
		{"monkey.svg", 600, 600, false, false, "saddlebrown", SVGParts},
		{"sun.png", 32, 32, false, false, "gold", SoftEdges},
		{"petals.webp", 150, 100, true, false, "palevioletred", TooFewPixels},
		{"cmyk.jpg", 24, 16, false, false, "cyan", CMYKFile},
	}
	for _, tt := range tests {
		data, err := os.ReadFile(filepath.Join("testdata", "pictures", tt.file))
		if err != nil {
			t.Fatal(err)
		}
		wish := testWish()
		wish.Width = 228.6
		r, err := Inspect(bytes.NewReader(data), wish, testLimits())
		if err != nil {
			t.Errorf("%s: %v", tt.file, err)
			continue
		}
		if err := Check(r); err != nil {
			t.Errorf("%s: %v", tt.file, err)
		}
		if r.Pixels != (Size{tt.w, tt.h}) || r.Photo != tt.photo || r.Box != tt.box {
			t.Errorf("%s: %+v, photo %t, box %t; want %d x %d, %t, %t", tt.file, r.Pixels, r.Photo, r.Box, tt.w, tt.h, tt.photo, tt.box)
		}
		var names, ids []string
		for _, c := range r.Colours {
			names = append(names, c.Name)
		}
		for _, f := range r.Findings {
			ids = append(ids, f.ID)
		}
		if !strings.Contains(fmt.Sprint(names), tt.colours) || !strings.Contains(fmt.Sprint(ids), tt.finding) {
			t.Errorf("%s: colours %v, findings %v; want %s and %s", tt.file, names, ids, tt.colours, tt.finding)
		}
	}
}

// A plain complement: pure cyan ink is 0, 255, 255. JPEG is off by a step.
func TestCMYK(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "pictures", "cmyk.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	wish := testWish()
	wish.Rules.White, wish.Rules.Black = false, true
	r, err := Inspect(bytes.NewReader(data), wish, DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range []float64{r.Coverage.C, r.Coverage.M, r.Coverage.K} {
		if math.Abs(v-1.0/3) > 0.01 {
			t.Errorf("channel %d covers %g, want a third", i, v)
		}
	}
	if r.Coverage.Y > 0.01 {
		t.Errorf("yellow covers %g, want none", r.Coverage.Y)
	}
}

func TestRefusals(t *testing.T) {
	png := pngOf(t, corner())
	header := func(w, h uint32) []byte {
		ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
		return append(append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(ihdr, 8, 6, 0, 0, 0))...), chunk("IDAT", nil)...)
	}
	gifHeader := append([]byte("GIF89a"), 0xff, 0xff, 0xff, 0xff, 0, 0, 0)
	tests := []struct {
		name string
		data []byte
		kind error
		say  string
	}{
		{"zero bytes", nil, ErrDamaged, "zero bytes"},
		{"text called png", []byte("not a picture"), ErrFormat, "send a PNG"},
		{"pdf", []byte("%PDF-1.7\n"), ErrFormat, "PDF"},
		{"pdf behind junk", append(bytes.Repeat([]byte{' '}, 100), "%PDF-1.4"...), ErrFormat, "PDF"},
		{"postscript", []byte("%!PS-Adobe-3.0 EPSF-3.0"), ErrFormat, "PostScript"},
		{"phone photo", []byte("\x00\x00\x00\x18ftypheic"), ErrFormat, "phone"},
		{"archive", []byte("PK\x03\x04...."), ErrFormat, "archive"},
		{"layers", []byte("8BPS\x00\x01"), ErrFormat, "layered"},
		{"cut png", png[:len(png)/2], ErrDamaged, "export it again"},
		{"png of 50,000 x 50,000", header(50_000, 50_000), ErrTooLarge, "50000 x 50000"},
		{"png of 2^31 - 1 squared", header(1<<31-1, 1<<31-1), ErrDamaged, "overflow"},
		{"png of 20,000 x 20,000", header(20_000, 20_000), ErrTooLarge, "60 million"},
		{"png of no pixels", header(0, 10), ErrDamaged, ""},
		{"gif of 65,535 squared", gifHeader, ErrTooLarge, "65535"},
		{"svg without a size", []byte("<svg></svg>"), ErrDamaged, "viewBox"},
		{"svg that is html", []byte("<html><body><svg></svg></body></html>"), ErrDamaged, "outermost"},
		{"svg cut off", []byte(`<svg viewBox="0 0 9 9"><g>`), ErrDamaged, ""},
		{"svg use without end", []byte(`<svg viewBox="0 0 9 9"><defs><g id="a"><use href="#a"/></g></defs><use href="#a"/></svg>`), ErrDamaged, "expand"},
		{"svg nested without end", []byte(`<svg viewBox="0 0 9 9">` + strings.Repeat("<g>", 5000)), ErrDamaged, "deep"},
		{"svg entities", []byte(`<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg viewBox="0 0 9 9">&b;</svg>`), ErrDamaged, "entity"},
	}
	for _, tt := range tests {
		_, err := openBytes(tt.data)
		if !errors.Is(err, tt.kind) || !strings.Contains(err.Error(), tt.say) {
			t.Errorf("%s: %v; want %v with %q", tt.name, err, tt.kind, tt.say)
		}
	}
}

// A small drawing may ask for endless work: it is refused, or drawn plainly,
// after a counted part of it.
func TestSVGWorkIsBounded(t *testing.T) {
	const head = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">`
	scribble := func(lines int) string {
		var b strings.Builder
		b.WriteString(`<path d="M0 0`)
		for i := range lines {
			fmt.Fprintf(&b, "L%d %dL%d 0", i*7919%200, 200-i%3, i*104729%200)
		}
		return b.String() + `"/>`
	}
	tests := []struct {
		name string
		body string
		kind error
	}{
		{"painted over", strings.Repeat(`<rect width="200" height="200" opacity=".5"/>`, 100), ErrTooLarge},
		{"too many shapes", strings.Repeat(`<path d="M0 0h1v1z"/>`, svgPaths+1), ErrTooLarge},
		{"repeated definitions", `<defs><g id="a">` + strings.Repeat(`<path d="M0 0h9v9z"/>`, 300) + `</g></defs>` + strings.Repeat(`<use href="#a"/>`, 100), ErrTooLarge},
		{"scribble", scribble(5000), ErrTooLarge},
		{"dashes without number", `<path d="M0 0L200 200" stroke="black" stroke-dasharray="0.0001"/>`, nil},
		{"dashes far out", strings.Repeat(`<path d="M-500000 0L500000 200" stroke="black" stroke-dasharray="0.05 0.05"/>`, 20), nil},
		{"stroke wider than all", `<path d="M0 0L50 50L100 0" stroke="black" stroke-width="50000" stroke-linejoin="round" stroke-linecap="round"/>`, nil},
		{"numbers that are none", `<path d="M0 0LNaN 1e999" stroke="black" stroke-width="NaN"/><rect width="9" height="9"/>`, nil},
		{"gradients in a ring", `<defs><linearGradient id="a" href="#b"/><linearGradient id="b" href="#a"/></defs><rect width="9" height="9" fill="url(#a)"/>`, nil},
	}
	limits := testLimits()
	limits.Drawing = 200
	for _, tt := range tests {
		_, err := Open(strings.NewReader(head+tt.body+"</svg>"), limits)
		if !errors.Is(err, tt.kind) {
			t.Errorf("%s: %v, want %v", tt.name, err, tt.kind)
		}
	}
}

// Headers that promise what isn't there must not make room for it.
func TestBombsAllocateLittle(t *testing.T) {
	header := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 50_000), 50_000)
	png := append(append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(header, 16, 6, 0, 0, 0))...), chunk("IDAT", nil)...)
	tiffFile := tiffHeader(50_000, 50_000)
	for name, data := range map[string][]byte{"png": png, "tiff": tiffFile} {
		const few = 1 << 20
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := openBytes(data); !errors.Is(err, ErrTooLarge) {
			t.Errorf("%s: %v, want too large", name, err)
		}
		runtime.ReadMemStats(&after)
		allocated := after.TotalAlloc - before.TotalAlloc
		if allocated > few {
			t.Errorf("%s: a refused header took %d bytes", name, allocated)
		}
	}
}

// tiffHeader builds an uncompressed grey TIFF without its pixels.
func tiffHeader(w, h uint32) []byte {
	order := binary.LittleEndian
	b := order.AppendUint32(order.AppendUint16([]byte("II"), 42), 8)
	entries := [][4]uint32{{256, 4, 1, w}, {257, 4, 1, h}, {258, 3, 1, 8}, {259, 3, 1, 1}, {262, 3, 1, 1}, {273, 4, 1, 8}, {277, 3, 1, 1}, {278, 4, 1, h}, {279, 4, 1, 0}}
	b = order.AppendUint16(b, uint16(len(entries)))
	for _, e := range entries {
		b = order.AppendUint16(order.AppendUint16(b, uint16(e[0])), uint16(e[1]))
		b = order.AppendUint32(order.AppendUint32(b, e[2]), e[3])
	}
	return order.AppendUint32(b, 0)
}

// Of a GIF with very many frames only the first is decoded.
func TestFramesAreNotDecoded(t *testing.T) {
	first := image.NewPaletted(image.Rect(0, 0, 64, 64), color.Palette{color.Black, red()})
	fillPaletted(first, image.Rect(8, 8, 40, 40), 1)
	frames := &gif.GIF{}
	for range 200 {
		frames.Image = append(frames.Image, first)
		frames.Delay = append(frames.Delay, 1)
	}
	var b bytes.Buffer
	if err := gif.EncodeAll(&b, frames); err != nil {
		t.Fatal(err)
	}
	cut := b.Bytes()[:b.Len()/2] // a decoder that reads all frames would notice
	r, err := Inspect(bytes.NewReader(cut), Wish{}, DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if want := (Box{8, 8, 32, 32}); r.Bounds != want {
		t.Errorf("bounds %+v, want %+v", r.Bounds, want)
	}
	if got := ids(r); !slices.Contains(got, Animation) {
		t.Errorf("findings %v, want that it is an animation", got)
	}
}

// A frame that covers part of its screen keeps its place on it.
func TestFrameOnScreen(t *testing.T) {
	frame := image.NewPaletted(image.Rect(20, 10, 30, 40), color.Palette{red()})
	var b bytes.Buffer
	g := &gif.GIF{Image: []*image.Paletted{frame}, Delay: []int{0}, Config: image.Config{Width: 60, Height: 50, ColorModel: frame.Palette}}
	if err := gif.EncodeAll(&b, g); err != nil {
		t.Fatal(err)
	}
	r, err := Inspect(&b, Wish{}, testLimits())
	if err != nil {
		t.Fatal(err)
	}
	if r.Pixels != (Size{60, 50}) || r.Bounds != (Box{20, 10, 10, 30}) || len(r.Findings) != 0 {
		t.Errorf("%+v in %+v, findings %v; want 20,10 10 x 30 in 60 x 50, none", r.Bounds, r.Pixels, ids(r))
	}
}

func fillPaletted(m *image.Paletted, box image.Rectangle, index uint8) {
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			m.SetColorIndex(x, y, index)
		}
	}
}

// Cut anywhere, a file gives an error in words or a report that holds.
func TestTruncated(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("testdata", "pictures", "*.*"))
	if err != nil {
		t.Fatal(err)
	}
	limits := testLimits()
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range []int{0, 1, 3, 7, 11, 12, 20, 40, 53, 100, len(data) / 3, len(data) / 2, len(data) - 1} {
			art, err := Open(bytes.NewReader(data[:min(n, len(data))]), limits)
			if err == nil {
				_, err = art.Inspect(Wish{})
			}
			if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrFormat) && !errors.Is(err, ErrEmpty) {
				t.Errorf("%s cut to %d bytes: %v", file, n, err)
			}
		}
	}
}

type brokenReader struct{}

var errBroken = errors.New("line went dead")

func (brokenReader) Read([]byte) (int, error) { return 0, errBroken }

func TestReaderFaults(t *testing.T) {
	if _, err := Open(brokenReader{}, DefaultLimits()); !errors.Is(err, errBroken) {
		t.Errorf("%v, want the reader's own error", err)
	}
	small := Limits{Bytes: 50, Side: 100, Pixels: 1000, Drawing: 100}
	if _, err := Open(bytes.NewReader(pngOf(t, corner())), small); !errors.Is(err, ErrTooLarge) {
		t.Errorf("%v, want too many bytes", err)
	}
	for _, bad := range []Limits{{}, {Bytes: 1, Side: 1 << 17, Pixels: 1, Drawing: 1}, {Bytes: -1, Side: 1, Pixels: 1, Drawing: 1}} {
		if _, err := Open(bytes.NewReader(nil), bad); err == nil {
			t.Errorf("limits %+v are taken", bad)
		}
	}
}

func TestEmptyPicture(t *testing.T) {
	_, err := newArt(PNG, image.NewNRGBA(image.Rect(0, 0, 9, 9)), meta{orientation: 1}).Inspect(Wish{})
	if !errors.Is(err, ErrEmpty) {
		t.Errorf("%v, want %v", err, ErrEmpty)
	}
}

func FuzzOpen(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("testdata", "pictures", "*.*"))
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add(pngOf(f, corner()))
	f.Add(afterHeader(pngOf(f, corner()), chunk("eXIf", exif(binary.BigEndian, 7, 72, 72))))
	f.Add(tiffHeader(4, 4))
	f.Add([]byte(`<svg viewBox="0 0 9 9"><defs><g id="a"><path d="M0 0h9v9z"/></g></defs><use href="#a"/></svg>`))
	f.Fuzz(func(t *testing.T, data []byte) {
		art, err := Open(bytes.NewReader(data), Limits{Bytes: 1 << 16, Side: 2400, Pixels: 1 << 19, Drawing: 200})
		if err != nil {
			return
		}
		wish := testWish()
		wish.Width = 100
		r, err := art.Inspect(wish)
		if err != nil {
			if !errors.Is(err, ErrEmpty) {
				t.Fatal(err)
			}
			return
		}
		if err := Check(r); err != nil {
			t.Fatal(err)
		}
		art.Draw(r, wish)
	})
}
