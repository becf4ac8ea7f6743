package artwork

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"runtime"
	"testing"

	"presshand/planner/unit"
)

// logo draws rings, bars and fine lines with smoothed edges on transparency.
func logo(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	unit := float64(min(w, h)) / 100
	for y := range h {
		for x := range w {
			u, v := (float64(x)-float64(w)/2)/unit, (float64(y)-float64(h)/2)/unit
			r := math.Hypot(u, v)
			ring := 2 - math.Abs(r-40)
			disc := 25 - r
			bars := min(1-math.Abs(math.Mod(math.Abs(u), 5)-2.5), 48-math.Abs(u), 48-math.Abs(v))
			if r < 30 || math.Abs(r-40) < 6 {
				bars = -1
			}
			cover := min(max(max(ring, disc, bars)*unit+0.5, 0), 1)
			c := color.NRGBA{R: 200, G: 30, B: 40}
			if disc > 0 {
				c = color.NRGBA{R: 20, G: 60, B: 160}
			}
			c.A = uint8(math.Round(cover * 255))
			m.SetNRGBA(x, y, c)
		}
	}
	return m
}

// scene is a photo-like picture: shading, texture and noise.
func scene(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	seed := uint32(1)
	for y := range h {
		for x := range w {
			seed = seed*1664525 + 1013904223
			n := float64(seed>>28) - 8
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			m.SetNRGBA(x, y, color.NRGBA{
				R: uint8(min(max(128+100*math.Sin(9*u+3*v)+n, 0), 255)),
				G: uint8(min(max(128+90*math.Sin(5*v-2*u)+n, 0), 255)),
				B: uint8(min(max(120+100*math.Cos(7*u*v)+n, 0), 255)),
				A: 255,
			})
		}
	}
	return m
}

// noise is the worst that transparency can hold: specks and holes everywhere.
func noise(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	seed := uint32(1)
	for i := range m.Pix {
		seed = seed*1664525 + 1013904223
		m.Pix[i] = uint8(seed >> 24)
		if i%4 == 3 && m.Pix[i] < 140 {
			m.Pix[i] = 0
		}
	}
	return m
}

func pngOf(tb testing.TB, m image.Image) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, m); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func jpegOf(tb testing.TB, m image.Image) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

// 24 megapixels are what a phone or camera sends: 6000 x 4000.
const (
	largeW = 6000
	largeH = 4000
)

func benchmark(b *testing.B, data []byte) {
	wish := testWish()
	wish.Width = unit.Inches(11)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	b.ResetTimer()
	var peak uint64
	for b.Loop() {
		if _, err := Inspect(bytes.NewReader(data), wish, DefaultLimits()); err != nil {
			b.Fatal(err)
		}
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak = max(peak, m.Sys-m.HeapReleased)
	}
	b.ReportMetric(float64(peak)/(1<<20), "MB-held")
}

func BenchmarkLogo1MP(b *testing.B)   { benchmark(b, pngOf(b, logo(1000, 1000))) }
func BenchmarkLogo24MP(b *testing.B)  { benchmark(b, pngOf(b, logo(largeW, largeH))) }
func BenchmarkPhoto24MP(b *testing.B) { benchmark(b, jpegOf(b, scene(largeW, largeH))) }
func BenchmarkNoise4MP(b *testing.B)  { benchmark(b, pngOf(b, noise(2000, 2000))) }
func BenchmarkScene24MP(b *testing.B) { benchmark(b, pngOf(b, scene(largeW, largeH))) }
