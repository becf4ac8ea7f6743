package artwork

import (
	"image"
	"image/color"
	"testing"

	"pgregory.net/rapid"
)

// Whatever an image is stored as, rows reads what the standard library's own
// colour conversion gives, to within a step of rounding.
func TestRowsAgreeWithAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// An odd corner and an odd width bring subsampling and offsets to bear.
		box := image.Rect(3, 5, 12, 10)
		some := rapid.SliceOfN(rapid.Byte(), 9*5*8, 9*5*8).Draw(t, "bytes")
		ratio := rapid.SampledFrom([]image.YCbCrSubsampleRatio{image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420}).Draw(t, "ratio")
		luma, alpha := image.NewYCbCr(box, ratio), image.NewNYCbCrA(box, ratio)
		for _, plane := range [][]uint8{luma.Y, luma.Cb, luma.Cr, alpha.Y, alpha.Cb, alpha.Cr, alpha.A} {
			copy(plane, some)
		}
		straight, grey, deepGrey, cmyk := image.NewNRGBA(box), image.NewGray(box), image.NewGray16(box), image.NewCMYK(box)
		deep := image.NewNRGBA64(box)
		for _, pix := range [][]uint8{straight.Pix, grey.Pix, deepGrey.Pix, cmyk.Pix, deep.Pix} {
			copy(pix, some)
		}
		indexed := image.NewPaletted(box, color.Palette{red(), color.NRGBA{10, 20, 30, 40}, color.Black})
		for i := range indexed.Pix {
			indexed.Pix[i] = some[i] % 3
		}
		premultiplied, deepPremultiplied := image.NewRGBA(box), image.NewRGBA64(box)
		for y := box.Min.Y; y < box.Max.Y; y++ {
			for x := box.Min.X; x < box.Max.X; x++ {
				premultiplied.Set(x, y, straight.At(x, y))
				deepPremultiplied.Set(x, y, deep.At(x, y))
			}
		}
		for _, m := range []image.Image{luma, alpha, straight, grey, deepGrey, cmyk, deep, indexed, premultiplied, deepPremultiplied, image.NewAlpha(box)} {
			agree(t, m)
		}
	})
}

func agree(t *rapid.T, m image.Image) {
	b := m.Bounds()
	r := newRows(m)
	buf := make([]uint8, pixelBytes*b.Dx())
	for y := range b.Dy() {
		row := r.read(y, 1, b.Dx()-1, buf)
		for x := 1; x < b.Dx()-1; x++ {
			want := color.NRGBAModel.Convert(m.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA)
			got := row[pixelBytes*(x-1):]
			if got[3] != want.A {
				t.Fatalf("%T: alpha %d, want %d", m, got[3], want.A)
			}
			// Little alpha leaves little of the colour to recover.
			if want.A < faint {
				continue
			}
			const slack = 1
			if apart(got[0], want.R) > slack || apart(got[1], want.G) > slack || apart(got[2], want.B) > slack {
				t.Fatalf("%T at %d,%d: %v, want %v", m, x, y, got[:4], want)
			}
		}
	}
}
