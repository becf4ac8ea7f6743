package artwork

import (
	"image"
	"image/color"
	"runtime"
	"sync"
)

// pixelBytes is the size of a pixel as rows hand it out: R, G, B, A, not
// premultiplied.
const pixelBytes = 4

// rows reads an image row by row as unpremultiplied 8-bit RGBA, whatever it is
// stored as.
type rows struct {
	img     image.Image
	min     image.Point
	palette [256][pixelBytes]uint8
}

func newRows(img image.Image) *rows {
	r := &rows{img: img, min: img.Bounds().Min}
	if p, ok := img.(*image.Paletted); ok {
		for i, c := range p.Palette[:min(len(p.Palette), len(r.palette))] {
			n := color.NRGBAModel.Convert(c).(color.NRGBA)
			r.palette[i] = [pixelBytes]uint8{n.R, n.G, n.B, n.A}
		}
	}
	return r
}

// read returns pixels x0..x1 of row y, counted from the image's own corner. The
// result is either buf, which needs 4(x1-x0) bytes, or the image's own memory:
// it must not be written to, and holds until the next call with the same buf.
func (r *rows) read(y, x0, x1 int, buf []uint8) []uint8 {
	y += r.min.Y
	x0, x1 = x0+r.min.X, x1+r.min.X
	out := buf[:pixelBytes*(x1-x0)]
	switch m := r.img.(type) {
	case *image.NRGBA:
		at := m.PixOffset(x0, y)
		return m.Pix[at : at+len(out)]
	case *image.RGBA:
		unpremultiply(out, m.Pix[m.PixOffset(x0, y):])
	case *image.YCbCr:
		luma := m.Y[m.YOffset(x0, y):][:x1-x0]
		for i, v := range luma {
			c := m.COffset(x0+i, y)
			o := out[pixelBytes*i:][:pixelBytes]
			o[0], o[1], o[2] = color.YCbCrToRGB(v, m.Cb[c], m.Cr[c])
			o[3] = 0xff
		}
	case *image.Gray:
		for i, v := range m.Pix[m.PixOffset(x0, y):][:x1-x0] {
			o := out[pixelBytes*i:][:pixelBytes]
			o[0], o[1], o[2], o[3] = v, v, v, 0xff
		}
	case *image.Paletted:
		for i, v := range m.Pix[m.PixOffset(x0, y):][:x1-x0] {
			copy(out[pixelBytes*i:], r.palette[v][:])
		}
	case *image.NRGBA64:
		high(out, m.Pix[m.PixOffset(x0, y):])
	case *image.RGBA64:
		unpremultiplyDeep(out, m.Pix[m.PixOffset(x0, y):])
	case *image.Gray16:
		for i := range x1 - x0 {
			v := m.Pix[m.PixOffset(x0+i, y)]
			o := out[pixelBytes*i:][:pixelBytes]
			o[0], o[1], o[2], o[3] = v, v, v, 0xff
		}
	case *image.CMYK:
		for i := range x1 - x0 {
			p := m.Pix[m.PixOffset(x0+i, y):][:4]
			o := out[pixelBytes*i:][:pixelBytes]
			o[0], o[1], o[2] = color.CMYKToRGB(p[0], p[1], p[2], p[3])
			o[3] = 0xff
		}
	case *image.NYCbCrA:
		for i := range x1 - x0 {
			c := m.COffset(x0+i, y)
			o := out[pixelBytes*i:][:pixelBytes]
			o[0], o[1], o[2] = color.YCbCrToRGB(m.Y[m.YOffset(x0+i, y)], m.Cb[c], m.Cr[c])
			o[3] = m.A[m.AOffset(x0+i, y)]
		}
	default:
		for i, x := 0, x0; x < x1; i, x = i+pixelBytes, x+1 {
			n := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
			out[i], out[i+1], out[i+2], out[i+3] = n.R, n.G, n.B, n.A
		}
	}
	return out
}

// high takes the upper byte of each 16-bit big-endian value.
func high(out, pix []uint8) {
	for i := range out {
		out[i] = pix[2*i]
	}
}

// unpremultiplyDeep divides 16-bit values by their alpha before it takes their
// upper bytes: afterwards the low ones would be missed.
func unpremultiplyDeep(out, pix []uint8) {
	for i := 0; i < len(out); i += pixelBytes {
		p, o := pix[2*i:2*i+2*pixelBytes], out[i:i+pixelBytes]
		a := uint32(p[6])<<8 | uint32(p[7])
		if a == 0 {
			clear(o)
			continue
		}
		for j := range 3 {
			v := uint32(p[2*j])<<8 | uint32(p[2*j+1])
			o[j] = uint8(min(v*0xffff/a, 0xffff) >> 8)
		}
		o[3] = p[6]
	}
}

func unpremultiply(out, pix []uint8) {
	for i := 0; i < len(out); i += pixelBytes {
		p, o := pix[i:i+pixelBytes], out[i:i+pixelBytes]
		switch a := uint32(p[3]); a {
		case 0xff:
			copy(o, p)
		case 0:
			clear(o)
		default:
			for j := range 3 {
				o[j] = uint8(min((uint32(p[j])*0xff+a/2)/a, 0xff))
			}
			o[3] = p[3]
		}
	}
}

// bandHeight is how many rows make one piece of parallel work. It is fixed, so
// that the pieces, and with them every result, are the same on any machine.
const bandHeight = 128

// eachBand runs work on rows [from, to) of every band of a height, several at
// a time, and returns the results in order.
func eachBand[T any](height int, work func(from, to int) T) []T {
	results := make([]T, (height+bandHeight-1)/bandHeight)
	shareOut(len(results), func(bands <-chan int) {
		for i := range bands {
			results[i] = work(i*bandHeight, min((i+1)*bandHeight, height))
		}
	})
	return results
}

// shareOut lets as many workers as there are processors draw from n pieces.
func shareOut(n int, worker func(pieces <-chan int)) {
	pieces := make(chan int, n)
	for i := range n {
		pieces <- i
	}
	close(pieces)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() { worker(pieces) })
	}
	wait.Wait()
}
