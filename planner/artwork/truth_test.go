package artwork

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"

	"pgregory.net/rapid"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// The pictures of this file are drawn from signed distances, so what is
// measured in them is known beforehand.

func red() color.NRGBA { return color.NRGBA{R: 200, G: 30, B: 40, A: 255} }

// shape is the distance in pixels from a point to the edge, positive inside.
type shape func(x, y float64) float64

func bar(cx, cy, length, width, turn float64) shape {
	sin, cos := math.Sincos(turn)
	return func(x, y float64) float64 {
		u, v := (x-cx)*cos+(y-cy)*sin, (y-cy)*cos-(x-cx)*sin
		return min(length/2-math.Abs(u), width/2-math.Abs(v))
	}
}

func disc(cx, cy, radius float64) shape {
	return func(x, y float64) float64 { return radius - math.Hypot(x-cx, y-cy) }
}

func union(shapes ...shape) shape {
	return func(x, y float64) float64 {
		d := math.Inf(-1)
		for _, s := range shapes {
			d = max(d, s(x, y))
		}
		return d
	}
}

func without(a, b shape) shape {
	return func(x, y float64) float64 { return min(a(x, y), -b(x, y)) }
}

// paint fills a shape, its edge smoothed over one pixel or hard, on
// transparency.
func paint(w, h int, s shape, smooth bool, c color.NRGBA) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			cover := s(float64(x), float64(y)) + 0.5
			if !smooth {
				cover = math.Round(min(max(cover, 0), 1))
			}
			c.A = uint8(math.Round(255 * min(max(cover, 0), 1)))
			m.SetNRGBA(x, y, c)
		}
	}
	return m
}

// onGround lays a picture on a plain opaque colour.
func onGround(m *image.NRGBA, ground color.NRGBA) *image.NRGBA {
	out := image.NewNRGBA(m.Rect)
	for i := 0; i < len(m.Pix); i += 4 {
		a := int(m.Pix[i+3])
		for j, g := range []uint8{ground.R, ground.G, ground.B} {
			out.Pix[i+j] = uint8((int(m.Pix[i+j])*a + int(g)*(255-a) + 127) / 255)
		}
		out.Pix[i+3] = 255
	}
	return out
}

func inspectImage(t testing.TB, m image.Image, wish Wish) Report {
	t.Helper()
	r, err := newArt(PNG, m, meta{orientation: 1}).Inspect(wish)
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(r); err != nil {
		t.Fatal(err)
	}
	return r
}

// at wishes for one pixel a given part of an inch.
func at(ppi float64, m image.Image, wish Wish) Wish {
	w, _ := extent(m)
	wish.Width = unit.Inches(float64(w) / ppi)
	return wish
}

// extent is the size of the art in a picture whose corners are empty.
func extent(m image.Image) (w, h int) {
	var box image.Rectangle
	b := m.Bounds()
	empty := m.At(b.Min.X, b.Min.Y)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if m.At(x, y) != empty {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box.Dx(), box.Dy()
}

// full widens the grid of known widths from one slant each to all five.
var full = flag.Bool("full", false, "measure every width at every slant")

// A known is a width that a test draws.
type known struct {
	name    string
	mm, ppi float64
	px      float64
	turn    float64 // radians
}

// hard reports whether a width is drawn without smoothing too: a line under 2
// pixels would break up, and wide ones hardly differ.
func (k known) hard() bool { return k.px >= 2 && (k.px < 8 || *full) }

// knownWidths are 0.1 to 2 mm at three densities and several slants.
func knownWidths() []known {
	var all []known
	slants := []float64{0, 17, 45, 73, 90}
	for k, ppi := range []float64{150, 300, 600} {
		for i, mm := range []float64{0.1, 0.2, 0.3, 0.5, 1, 2} {
			for j, degrees := range slants {
				if (i+k)%len(slants) != j && !*full {
					continue
				}
				px := mm / unit.MillimetresPerInch * ppi
				name := fmt.Sprintf("%g mm at %g ppi, %g degrees", mm, ppi, degrees)
				all = append(all, known{name, mm, ppi, px, degrees * math.Pi / 180})
			}
		}
	}
	return all
}

// Strokes beside a solid disc, on transparency and on white, are measured to
// within one pixel.
func TestThinnestStroke(t *testing.T) {
	for _, k := range knownWidths() {
		both := union(bar(90, 90, 150, k.px, k.turn), disc(210, 90, 36))
		stroke := func(r Report) *Spot { return r.ThinnestStroke }
		checkWidth(t, k, paint(250, 180, both, true, red()), stroke)
		if k.hard() {
			k.name += ", hard"
			checkWidth(t, k, paint(250, 180, both, false, red()), stroke)
		}
	}
}

// The same for gaps, cut through a solid square.
func TestThinnestGap(t *testing.T) {
	for _, k := range knownWidths() {
		halves := without(bar(75, 75, 130, 130, 0), bar(75, 75, 400, k.px, k.turn))
		gap := func(r Report) *Spot { return r.ThinnestGap }
		checkWidth(t, k, paint(150, 150, halves, true, red()), gap)
		if k.hard() {
			k.name += ", hard"
			checkWidth(t, k, paint(150, 150, halves, false, red()), gap)
		}
	}
}

func checkWidth(t *testing.T, k known, m *image.NRGBA, pick func(Report) *Spot) {
	t.Helper()
	white := color.NRGBA{255, 255, 255, 255}
	for ground, m := range map[string]image.Image{"clear": m, "white": onGround(m, white)} {
		wish := at(k.ppi, m, testWish())
		wish.Rules.Speck = 0
		spot := pick(inspectImage(t, m, wish))
		if spot == nil {
			t.Errorf("%s on %s: none found", k.name, ground)
			continue
		}
		pixel := unit.MillimetresPerInch / k.ppi
		if math.Abs(spot.MM-k.mm) > pixel {
			t.Errorf("%s on %s: measured %g mm at %d,%d; off by %.2f px", k.name, ground, spot.MM, spot.X, spot.Y, (spot.MM-k.mm)/pixel)
		}
	}
}

// What is no stroke: corners, points of stars, the outside of a disc, and
// what is no gap: where two discs touch.
func TestThinnestPassesOver(t *testing.T) {
	star := func(x, y float64) float64 {
		// Five points of 36 degrees, as of a pentagram.
		const points, tip = 5, 18 * math.Pi / 180
		angle := math.Atan2(y-150, x-150)
		step := 2 * math.Pi / points
		angle = math.Abs(math.Mod(angle+10*step+step/2, step) - step/2)
		r := math.Hypot(x-150, y-150)
		return (120-r*math.Cos(angle))*math.Sin(tip) - r*math.Sin(angle)*math.Cos(tip)
	}
	tests := []struct {
		name          string
		s             shape
		least         float64 // px, of strokes
		gap           float64 // px, least of gaps; 0 for none at all
		smooth, sharp bool
	}{
		{"square", bar(150, 150, 200, 200, 0), 198, 0, true, false},
		{"turned square", bar(150, 150, 160, 160, 0.6), 156, 0, true, false},
		{"disc", disc(150, 150, 100), 196, 0, true, false},
		{"star", star, 30, 0, true, false},
		{"hard disc", disc(150, 150, 100), 196, 0, false, false},
		{"two discs that touch", union(disc(90, 150, 60), disc(209, 150, 60)), 10, 8, true, false},
	}
	for _, tt := range tests {
		m := paint(300, 300, tt.s, tt.smooth, red())
		wish := at(300, m, testWish())
		r := inspectImage(t, m, wish)
		pixel := unit.MillimetresPerInch / 300
		if got := r.ThinnestStroke.MM / pixel; got < tt.least {
			t.Errorf("%s: stroke of %.1f px at %d,%d, want at least %g", tt.name, got, r.ThinnestStroke.X, r.ThinnestStroke.Y, tt.least)
		}
		if g := r.ThinnestGap; g != nil && g.MM/pixel < tt.gap {
			t.Errorf("%s: gap of %.1f px at %d,%d, want at least %g", tt.name, g.MM/pixel, g.X, g.Y, tt.gap)
		} else if tt.gap == 0 && g != nil && g.MM/pixel < 20 {
			t.Errorf("%s: gap of %.1f px at %d,%d, want none", tt.name, g.MM/pixel, g.X, g.Y)
		}
	}
}

// Bounds are exact wherever a box lies.
func TestBoundsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(3, 60).Draw(t, "w"), rapid.IntRange(3, 60).Draw(t, "h")
		x0, y0 := rapid.IntRange(0, w-1).Draw(t, "x0"), rapid.IntRange(0, h-1).Draw(t, "y0")
		x1, y1 := rapid.IntRange(x0+1, w).Draw(t, "x1"), rapid.IntRange(y0+1, h).Draw(t, "y1")
		want := Box{x0, y0, x1 - x0, y1 - y0}
		m := image.NewNRGBA(image.Rect(0, 0, w, h))
		fill(m, image.Rect(x0, y0, x1, y1), red())
		a := newArt(PNG, m, meta{orientation: 1})
		r, err := a.Inspect(Wish{})
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(r); err != nil {
			t.Fatal(err)
		}
		if r.Bounds != want || r.Transparent != 0 {
			t.Fatalf("bounds %+v, %g transparent; want %+v, all solid", r.Bounds, r.Transparent, want)
		}
	})
}

// On an opaque ground too, and then the box is named.
func TestBoundsOnGround(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 90, 70))
	fill(m, m.Rect, color.NRGBA{250, 250, 250, 255})
	fill(m, image.Rect(20, 11, 61, 40), red())
	r := inspectImage(t, m, at(300, m, testWish()))
	if want := (Box{20, 11, 41, 29}); r.Bounds != want || !r.Box || r.Ground != (colour.Colour{R: 250, G: 250, B: 250}) {
		t.Errorf("bounds %+v, box %t on %v; want %+v on #fafafa", r.Bounds, r.Box, r.Ground, want)
	}
}

func fill(m *image.NRGBA, box image.Rectangle, c color.NRGBA) {
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			m.SetNRGBA(x, y, c)
		}
	}
}

// Known areas of pure colours give known coverage, to within 1 %.
func TestCoverage(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 100, 100))
	fill(m, image.Rect(0, 0, 20, 100), color.NRGBA{0, 255, 255, 255})    // 20 % cyan
	fill(m, image.Rect(20, 0, 30, 100), color.NRGBA{255, 0, 255, 255})   // 10 % magenta
	fill(m, image.Rect(30, 0, 35, 100), color.NRGBA{255, 255, 0, 255})   // 5 % yellow
	fill(m, image.Rect(35, 0, 50, 100), color.NRGBA{0, 0, 0, 255})       // 15 % black
	fill(m, image.Rect(50, 0, 75, 100), color.NRGBA{255, 255, 255, 255}) // 25 % white
	fill(m, image.Rect(99, 0, 100, 100), color.NRGBA{0, 255, 255, 128})  // 1 % half a cyan
	tests := []struct {
		name         string
		white, black bool
		dark         bool
		want         Coverage
	}{
		{"three toners and white, dark blank", true, false, true, Coverage{C: 0.355, M: 0.25, Y: 0.20, White: 0.755}},
		{"three toners and white, light blank", true, false, false, Coverage{C: 0.355, M: 0.25, Y: 0.20, White: 0.25}},
		{"four toners", false, true, false, Coverage{C: 0.205, M: 0.10, Y: 0.05, K: 0.15}},
	}
	for _, tt := range tests {
		wish := testWish()
		wish.Rules.White, wish.Rules.Black, wish.Blank.Dark = tt.white, tt.black, tt.dark
		got := inspectImage(t, m, wish).Coverage
		for i, pair := range [][2]float64{{got.C, tt.want.C}, {got.M, tt.want.M}, {got.Y, tt.want.Y}, {got.K, tt.want.K}, {got.White, tt.want.White}} {
			if math.Abs(pair[0]-pair[1]) > 0.001 {
				t.Errorf("%s: channel %d is %g, want %g", tt.name, i, pair[0], pair[1])
			}
		}
	}
}

func TestShares(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 100, 10))
	fill(m, image.Rect(0, 0, 25, 10), red())
	fill(m, image.Rect(25, 0, 35, 10), color.NRGBA{200, 30, 40, 100})
	fill(m, image.Rect(95, 0, 100, 10), red())
	fill(m, image.Rect(60, 0, 62, 10), color.NRGBA{200, 30, 40, 3}) // not to be seen
	r := inspectImage(t, m, Wish{})
	if r.Transparent != 0.6 || r.HalfTransparent != 0.1 || r.Solid != 0.3 {
		t.Errorf("shares %g, %g, %g; want 0.6, 0.1, 0.3", r.Transparent, r.HalfTransparent, r.Solid)
	}
}

// A ramp of known width is measured to a pixel or two of its faint ends; a
// smoothed edge is no soft edge.
func TestSoftBand(t *testing.T) {
	for _, px := range []float64{6, 12, 40} {
		ramp := func(x, y float64) float64 { return disc(200, 200, 120)(x, y) / px }
		m := paint(400, 400, ramp, true, red())
		r := inspectImage(t, m, at(300, m, testWish()))
		// Between 3 % and 97 % of cover lie 94 % of the ramp.
		want := 0.94 * px * unit.MillimetresPerInch / 300
		if r.SoftBand == nil || math.Abs(r.SoftBand.MM-want) > 1.5*unit.MillimetresPerInch/300 {
			t.Errorf("ramp of %g px: %+v, want %.2f mm", px, r.SoftBand, want)
		}
	}
	for _, s := range []shape{disc(200, 200, 120), bar(200, 200, 250, 100, 0.3), bar(200, 200, 250, 100, 0)} {
		m := paint(400, 400, s, true, red())
		for _, ppi := range []float64{72, 300} {
			if r := inspectImage(t, m, at(ppi, m, testWish())); r.SoftBand != nil {
				t.Errorf("smoothed edge at %g ppi taken for a soft one: %+v", ppi, r.SoftBand)
			}
		}
	}
}

func TestSpecks(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 300, 200))
	fill(m, image.Rect(100, 50, 250, 150), red())
	specks := []image.Rectangle{image.Rect(10, 10, 12, 12), image.Rect(30, 160, 33, 163), image.Rect(60, 20, 61, 21), image.Rect(280, 190, 284, 194)}
	for _, s := range specks {
		fill(m, s, red())
	}
	fill(m, image.Rect(10, 100, 30, 120), red()) // large enough to stay
	wish := at(300, m, testWish())
	r := inspectImage(t, m, wish)
	pixel := unit.MillimetresPerInch / 300
	if r.Specks.Count != len(specks) || math.Abs(r.Specks.SmallestMM-pixel) > 0.01 || r.Specks.X != 60 || r.Specks.Y != 20 {
		t.Errorf("%+v, want %d, the smallest %.2f mm at 60,20", r.Specks, len(specks), pixel)
	}
	if r.ThinnestStroke.MM < 19*pixel {
		t.Errorf("thinnest stroke %+v is a speck's", r.ThinnestStroke)
	}
}

// Three bars side by side, of letter size, are type-like; a bigger row, a lone
// bar and a column of them are not below the limit.
func TestSmallText(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 400, 300))
	fill(m, image.Rect(0, 200, 400, 300), red())
	for i := range 5 {
		fill(m, image.Rect(20+12*i, 20, 28+12*i, 36), red()) // 16 px: 1.35 mm at 300 ppi
	}
	wish := at(300, m, testWish())
	r := inspectImage(t, m, wish)
	want := 16 * unit.MillimetresPerInch / 300
	if r.SmallText == nil || math.Abs(r.SmallText.MM-want) > 0.01 || r.SmallText.Y != 27 {
		t.Errorf("small text %+v, want %.2f mm at row 27", r.SmallText, want)
	}
	wish.Rules.MinText = 1
	if r := inspectImage(t, m, wish); r.SmallText != nil {
		t.Errorf("type of 1.35 mm is reported under a limit of 1 mm: %+v", r.SmallText)
	}
	lone := image.NewNRGBA(image.Rect(0, 0, 400, 300))
	fill(lone, image.Rect(0, 200, 400, 300), red())
	for i := range 3 {
		fill(lone, image.Rect(20, 20+40*i, 28, 36+40*i), red())
	}
	if r := inspectImage(t, lone, at(300, lone, testWish())); r.SmallText != nil {
		t.Errorf("a column of bars is taken for type: %+v", r.SmallText)
	}
}

func TestMainColours(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 200, 100))
	colours := []color.NRGBA{{200, 30, 40, 255}, {20, 60, 160, 255}, {255, 215, 0, 255}}
	fill(m, image.Rect(0, 0, 100, 100), colours[0])
	fill(m, image.Rect(100, 0, 160, 100), colours[1])
	fill(m, image.Rect(160, 0, 180, 100), colours[2])
	r := inspectImage(t, m, Wish{})
	want := []struct {
		name  string
		share float64
		x     int
	}{{"firebrick", 0.5556, 0}, {"darkslateblue", 0.3333, 100}, {"gold", 0.1111, 160}}
	if len(r.Colours) != len(want) {
		t.Fatalf("%+v, want three colours", r.Colours)
	}
	for i, w := range want {
		got := r.Colours[i]
		c := colours[i]
		if got.Name != w.name || math.Abs(got.Share-w.share) > 0.01 || got.Hex != (colour.Colour{R: c.R, G: c.G, B: c.B}) || got.X != w.x {
			t.Errorf("colour %d is %+v, want %s %v with %g from column %d", i, got, w.name, c, w.share, w.x)
		}
	}
	if r.Photo {
		t.Error("three flat colours are taken for a photo")
	}
}

// What JPEG scatters round edges is neither stroke, speck nor colour: widths
// hold to one pixel and a half, and one colour stays one.
func TestJPEGAddsNothing(t *testing.T) {
	white := color.NRGBA{255, 255, 255, 255}
	inks := []color.NRGBA{{0, 0, 0, 255}, red(), {20, 60, 160, 255}}
	for i, k := range knownWidths() {
		if k.px < 1 {
			continue
		}
		ink := inks[i%len(inks)]
		m := onGround(paint(250, 180, union(bar(90, 90, 150, k.px, k.turn), disc(210, 90, 36)), true, ink), white)
		var b bytes.Buffer
		if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 75}); err != nil {
			t.Fatal(err)
		}
		r, err := Inspect(&b, at(k.ppi, m, testWish()), testLimits())
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(r); err != nil {
			t.Error(err)
		}
		pixel := unit.MillimetresPerInch / k.ppi
		if off := (r.ThinnestStroke.MM - k.mm) / pixel; math.Abs(off) > 1.5 {
			t.Errorf("%s in %v: measured %g mm; off by %.2f px", k.name, ink, r.ThinnestStroke.MM, off)
		}
		if len(r.Colours) != 1 || !r.Box || r.Specks.Count != 0 {
			t.Errorf("%s in %v: colours %+v, box %t, specks %+v; want one, on a box, no specks", k.name, ink, r.Colours, r.Box, r.Specks)
		}
	}
}
