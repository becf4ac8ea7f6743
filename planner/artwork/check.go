package artwork

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Check says what in a report contradicts itself: art outside its picture,
// shares that don't add up, sizes that don't follow from pixels and density,
// places outside the art, coverage beyond what is printed, a verdict that its
// findings don't bear out. It shares no code with Inspect and doesn't see the
// picture: the measures themselves are held by tests with known truth.
func Check(r Report) error {
	var c checker
	c.geometry(r)
	c.shares(r)
	c.places(r)
	c.verdict(r)
	if len(c.faults) == 0 {
		return nil
	}
	return fmt.Errorf("art report: %w", errors.Join(c.faults...))
}

type checker struct {
	faults []error
}

func (c *checker) want(ok bool, format string, args ...any) {
	if !ok {
		c.faults = append(c.faults, fmt.Errorf(format, args...))
	}
}

func (c *checker) geometry(r Report) {
	p, b := r.Pixels, r.Bounds
	c.want(p.Width > 0 && p.Height > 0, "%d x %d pixels", p.Width, p.Height)
	c.want(b.Width > 0 && b.Height > 0, "art of %d x %d pixels", b.Width, b.Height)
	c.want(b.X >= 0 && b.Y >= 0 && b.X+b.Width <= p.Width && b.Y+b.Height <= p.Height, "art %+v lies outside the picture %+v", b, p)
	c.want(r.EffectivePPI > 0, "%g ppi", r.EffectivePPI)
	c.size("print", r.Print.Width, r.Print.Height, r.EffectivePPI, b)
	for _, l := range r.Largest {
		c.size(fmt.Sprintf("largest at %g ppi", l.PPI), l.Width, l.Height, l.PPI, b)
	}
}

// size checks a print against density x size = pixels, allowing for rounding
// of mm and of ppi to a tenth.
func (c *checker) size(what string, width, height, ppi float64, b Box) {
	agrees := func(mm float64, pixels int) bool {
		inches := float64(pixels) / ppi
		slack := 0.051/25.4 + inches*0.051/ppi
		return math.Abs(mm/25.4-inches) <= slack+1e-9
	}
	c.want(agrees(width, b.Width), "%s is %g mm wide, which is not %d px at %g ppi", what, width, b.Width, ppi)
	c.want(agrees(height, b.Height), "%s is %g mm high, which is not %d px at %g ppi", what, height, b.Height, ppi)
}

func (c *checker) shares(r Report) {
	in := func(what string, v float64) { c.want(v >= 0 && v <= 1, "%s is %g, want a share of 1", what, v) }
	in("transparent", r.Transparent)
	in("half transparent", r.HalfTransparent)
	in("solid", r.Solid)
	sum := r.Transparent + r.HalfTransparent + r.Solid
	c.want(math.Abs(sum-1) < 1e-6, "transparency adds up to %g", sum)
	// A few stray pixels don't make a filled-in background transparent.
	c.want(!r.Box || r.Solid > 0.99, "a box behind art of which only %g is solid", r.Solid)
	printed := 1 - r.Transparent
	coloured := 0.0
	for _, m := range r.Colours {
		in(m.Name, m.Share)
		c.want(m.Name != "", "%s has no name", m.Hex)
		coloured += m.Share
	}
	// A ten-thousandth of rounding for each of a dozen colours.
	c.want(coloured <= printed+0.002, "colours take %g of the area, and only %g is printed", coloured, printed)
	for _, cov := range []Coverage{r.Coverage, r.OnLight, r.OnDark} {
		for i, v := range []float64{cov.C, cov.M, cov.Y, cov.K, cov.White} {
			what := []string{"cyan", "magenta", "yellow", "black", "white"}[i]
			in(what, v)
			c.want(v <= printed+0.0002, "%s covers %g, and only %g is printed", what, v, printed)
		}
		c.want(cov.K == 0 || cov.White == 0, "black and white toner at once")
	}
	c.want(r.OnLight.White <= r.OnDark.White+0.0002, "a light blank takes more white (%g) than a dark one (%g)", r.OnLight.White, r.OnDark.White)
	c.want(r.Coverage == r.OnLight || r.Coverage == r.OnDark, "coverage is neither that on light nor that on dark")
	c.want(r.CoveredSquare >= 0 && r.CoveredSquare <= (r.Print.Width+0.1)*(r.Print.Height+0.1), "%g mm2 printed on %+v", r.CoveredSquare, r.Print)
}

func (c *checker) places(r Report) {
	inside := func(what string, x, y int) {
		b := r.Bounds
		c.want(x >= b.X && x < b.X+b.Width && y >= b.Y && y < b.Y+b.Height, "%s at %d, %d lies outside the art", what, x, y)
	}
	longest := math.Hypot(r.Print.Width, r.Print.Height)
	for i, s := range []*Spot{r.ThinnestStroke, r.ThinnestGap, r.SoftBand, r.SmallText} {
		if s == nil {
			continue
		}
		what := []string{"thinnest stroke", "thinnest gap", "soft band", "small text"}[i]
		inside(what, s.X, s.Y)
		c.want(s.MM >= 0 && s.MM <= longest+0.1, "%s is %g mm in a print %g mm across", what, s.MM, longest)
	}
	c.want(r.Specks.Count > 0 || r.Specks == Specks{}, "no specks, and yet %+v", r.Specks)
	if r.Specks.Count > 0 {
		inside("smallest speck", r.Specks.X, r.Specks.Y)
	}
	for _, f := range r.Findings {
		inside(f.ID, f.X, f.Y)
	}
	for _, m := range r.Colours {
		inside(m.Name, m.X, m.Y)
	}
}

func (c *checker) verdict(r Report) {
	want := Fits
	seen := map[string]bool{}
	for _, f := range r.Findings {
		c.want(!seen[f.ID], "finding %s twice", f.ID)
		seen[f.ID] = true
		c.want(strings.TrimSpace(f.Text) != "" && strings.TrimSpace(f.Mend) != "", "finding %s lacks its text or mend", f.ID)
		if f.Level == Bar {
			want = RuledOut
		} else if f.Level == Care && want == Fits {
			want = WithCare
		}
	}
	c.want(r.Verdict == want, "verdict %q, and the findings say %q", r.Verdict, want)
	c.want(len(r.Forecast.Swatches) == 0 || len(r.Forecast.Swatches) == len(r.Colours), "%d forecasts for %d colours", len(r.Forecast.Swatches), len(r.Colours))
}
