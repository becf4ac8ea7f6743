package artwork

import (
	"cmp"
	"image"
	"math"
	"slices"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Small planes of all kinds, against slow and obvious answers.
func anyPlane() *rapid.Generator[*plane] {
	return rapid.Custom(func(t *rapid.T) *plane {
		w, h := rapid.IntRange(1, 14).Draw(t, "w"), rapid.IntRange(1, 14).Draw(t, "h")
		p := newPlane(image.Rect(0, 0, w, h), alphaInk, alphaFull)
		p.pix = rapid.SliceOfN(rapid.SampledFrom([]uint8{0, 0, 100, 255, 255}), w*h, w*h).Draw(t, "pix")
		return p
	})
}

func TestDistanceAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlane().Draw(t, "plane")
		for _, f := range []field{p.art(), p.gaps(), p.soft()} {
			g := f.columns()
			l := newLine(p.w)
			var stack []parabola
			for y := range p.h {
				stack = f.measure(g, y, l, stack)
				for x := range p.w {
					want := nearestOutside(f, x, y)
					if int64(l.squared[x]) != want {
						t.Fatalf("distance at %d,%d is %d, want %d in %+v", x, y, l.squared[x], want, f.pix)
					}
				}
			}
		}
	})
}

// nearestOutside looks at every pixel, and at a ring beyond the plane where
// that is outside the field too.
func nearestOutside(f field, x, y int) int64 {
	best := int64(far)
	ring := 1
	if f.outside {
		ring = 0
	}
	for v := -ring; v < f.h+ring; v++ {
		for u := -ring; u < f.w+ring; u++ {
			if !f.in(u, v) {
				best = min(best, int64((u-x)*(u-x)+(v-y)*(v-y)))
			}
		}
	}
	return best
}

type blob struct {
	Area int
	Box  image.Rectangle
	Peak uint8
}

func TestPartsAgainstFlooding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlane().Draw(t, "plane")
		var got []blob
		p.art().eachPart(func(q part) { got = append(got, blob{q.area, q.box, q.peak}) })
		want := flooded(p.art())
		order := func(a, b blob) int {
			return cmp.Or(a.Box.Min.Y-b.Box.Min.Y, a.Box.Min.X-b.Box.Min.X, a.Area-b.Area, a.Box.Max.X-b.Box.Max.X, a.Box.Max.Y-b.Box.Max.Y, int(a.Peak)-int(b.Peak))
		}
		slices.SortFunc(got, order)
		slices.SortFunc(want, order)
		if diff := gocmp.Diff(want, got); diff != "" {
			t.Fatalf("parts of %dx%d %v (-want +got):\n%s", p.w, p.h, p.pix, diff)
		}
	})
}

func flooded(f field) []blob {
	seen := make([]bool, f.w*f.h)
	var blobs []blob
	for i := range seen {
		if seen[i] || !f.holds(f.pix[i]) {
			continue
		}
		var b blob
		queue := []int{i}
		seen[i] = true
		for len(queue) > 0 {
			j := queue[0]
			queue = queue[1:]
			x, y := j%f.w, j/f.w
			b.Area++
			b.Box = b.Box.Union(image.Rect(x, y, x+1, y+1))
			b.Peak = max(b.Peak, f.pix[j])
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					u, v := x+dx, y+dy
					if u < 0 || v < 0 || u >= f.w || v >= f.h || seen[v*f.w+u] || !f.holds(f.pix[v*f.w+u]) {
						continue
					}
					seen[v*f.w+u] = true
					queue = append(queue, v*f.w+u)
				}
			}
		}
		blobs = append(blobs, b)
	}
	return blobs
}

func TestWidestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyPlane().Draw(t, "plane").art()
		want := 0.0
		for y := range f.h {
			for x := range f.w {
				if f.in(x, y) {
					want = max(want, 2*math.Sqrt(float64(nearestOutside(f, x, y)))-1)
				}
			}
		}
		if got := f.widest(); got.width != want || got.found != (want > 0) {
			t.Fatalf("widest %+v, want %g", got, want)
		}
	})
}
