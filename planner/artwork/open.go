package artwork

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"
)

// An Art is a picture file, decoded once, from which any number of wishes can
// be inspected. It is never changed after Open and safe to share.
type Art struct {
	format Format
	img    image.Image
	turn   turn
	ppiX   float64 // embedded density across the picture as seen; 0 where not said
	ppiY   float64
	notes  []note // what the file itself gives cause to say
}

// A note is a finding that no wish changes.
type note struct {
	id, text, mend string
}

// Format returns the format the content turned out to be.
func (a *Art) Format() Format { return a.format }

// Size returns width and height in pixels, as seen.
func (a *Art) Size() (w, h int) { return a.turn.size() }

// Density returns the pixels per inch that the file itself names, across and
// down, or 0, 0 where it names none or an absurd one.
func (a *Art) Density() (across, down float64) { return a.ppiX, a.ppiY }

// Open reads and decodes one picture file. Size limits are checked on the
// header, before anything is allocated for pixels. Of an animation only the
// first picture is taken. Colour profiles are not applied: values count as
// sRGB, and CMYK is turned to RGB by its plain complement.
//
// Errors wrap ErrFormat, ErrDamaged or ErrTooLarge, and say what to send
// instead; a fault of the reader comes back as it is, wrapped.
func Open(r io.Reader, limits Limits) (*Art, error) {
	art, err := open(r, limits)
	if err != nil {
		return nil, fmt.Errorf("art: %w", err)
	}
	return art, nil
}

func open(r io.Reader, limits Limits) (*Art, error) {
	if err := limits.validate(); err != nil {
		return nil, err
	}
	data, err := readUpTo(r, limits.Bytes)
	if err != nil {
		return nil, err
	}
	format, err := sniff(data)
	if err != nil {
		return nil, err
	}
	if format == SVG {
		return openSVG(data, limits)
	}
	config, err := decodeConfig(format, data)
	if err != nil {
		return nil, damaged(format, err)
	}
	if err := limits.admit(config.Width, config.Height); err != nil {
		return nil, err
	}
	img, err := decode(format, data)
	if err != nil {
		return nil, damaged(format, err)
	}
	a := newArt(format, onScreen(img, config.Width, config.Height), readMeta(format, data))
	if format == GIF && animated(data) {
		a.notes = append(a.notes, note{
			id:   Animation,
			text: "the file is an animation; only its first picture was looked at",
			mend: "send the one picture that shall be printed",
		})
	}
	return a, nil
}

// onScreen lays a GIF's first frame where it belongs on its screen. Others fill
// theirs already.
func onScreen(img image.Image, w, h int) image.Image {
	screen := image.Rect(0, 0, w, h)
	if _, ok := img.(*image.Paletted); !ok || img.Bounds() == screen {
		return img
	}
	whole := image.NewNRGBA(screen)
	draw.Draw(whole, img.Bounds(), img, img.Bounds().Min, draw.Src)
	return whole
}

// animated walks a GIF's blocks (GIF89a, appendix B) and reports whether there
// is a second picture.
func animated(data []byte) bool {
	const (
		screenEnd  = 13
		extension  = 0x21
		picture    = 0x2c
		pictureEnd = 10
	)
	if len(data) < screenEnd {
		return false
	}
	pos := screenEnd + colourTable(data[10])
	pictures := 0
	for pos < len(data) {
		switch data[pos] {
		case extension:
			pos += 2
		case picture:
			if pictures++; pictures > 1 {
				return true
			}
			if pos+pictureEnd > len(data) {
				return false
			}
			pos += pictureEnd + colourTable(data[pos+pictureEnd-1]) + 1
		default:
			return false
		}
		for pos < len(data) && data[pos] != 0 {
			pos += 1 + int(data[pos])
		}
		pos++
	}
	return false
}

// colourTable returns the bytes of the table that a flags byte announces.
func colourTable(flags byte) int {
	if flags&0x80 == 0 {
		return 0
	}
	return 3 << (1 + flags&7)
}

func newArt(format Format, img image.Image, m meta) *Art {
	size := img.Bounds().Size()
	a := &Art{
		format: format,
		img:    img,
		turn:   turn{orientation: m.orientation, w: size.X, h: size.Y},
		ppiX:   m.ppiX,
		ppiY:   m.ppiY,
	}
	if a.turn.sideways() {
		a.ppiX, a.ppiY = a.ppiY, a.ppiX
	}
	if _, ok := img.(*image.CMYK); ok {
		a.notes = append(a.notes, note{
			id:   CMYKFile,
			text: "the file is in CMYK; its colours are only guessed here",
			mend: "send it in RGB",
		})
	}
	return a
}

// readUpTo reads a whole file of at most limit bytes.
func readUpTo(r io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("reading the file: %w", err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%w: the file has more than %d MB: send it smaller", ErrTooLarge, limit>>20)
	}
	return data, nil
}

func decodeConfig(format Format, data []byte) (config image.Config, err error) {
	defer caught(&err)
	r := bytes.NewReader(data)
	switch format {
	case PNG:
		return png.DecodeConfig(r)
	case JPEG:
		return jpeg.DecodeConfig(r)
	case GIF:
		return gif.DecodeConfig(r)
	case WebP:
		return webp.DecodeConfig(r)
	case TIFF:
		return tiff.DecodeConfig(r)
	case BMP:
		return bmp.DecodeConfig(r)
	}
	return image.Config{}, ErrFormat
}

func decode(format Format, data []byte) (img image.Image, err error) {
	defer caught(&err)
	r := bytes.NewReader(data)
	switch format {
	case PNG:
		img, err = png.Decode(r)
	case JPEG:
		if scans := bytes.Count(data, []byte{0xff, 0xda}); scans > maxScans {
			return nil, fmt.Errorf("%d scans, and at most %d are taken", scans, maxScans)
		}
		img, err = jpeg.Decode(r)
	case GIF:
		img, err = gif.Decode(r)
	case WebP:
		img, err = webp.Decode(r)
	case TIFF:
		img, err = tiff.Decode(r)
	case BMP:
		img, err = bmp.Decode(r)
	}
	if err == nil && (img == nil || img.Bounds().Empty()) {
		err = errors.New("no pixels")
	}
	return img, err
}

// maxScans bounds the passes of a progressive JPEG: each may cost a walk over
// the whole picture for a few bytes. Encoders write about ten; a thumbnail in
// the metadata adds some.
const maxScans = 100

// caught turns a decoder's panic into an error. The decoders are other
// people's and read whatever a stranger drops into a chat.
func caught(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("the decoder gave up: %v", p)
	}
}

func damaged(format Format, err error) error {
	return fmt.Errorf("%w: it starts like a %s, but then: %w: export it again, or %s", ErrDamaged, format, err, sendInstead)
}
