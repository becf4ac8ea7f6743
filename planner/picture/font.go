package picture

import (
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
)

// fonts keeps the faces of one canvas, so that a size is prepared once.
type fonts struct {
	faces map[faceKey]font.Face
}

type faceKey struct {
	size float64
	bold bool
}

func newFonts() *fonts { return &fonts{faces: map[faceKey]font.Face{}} }

// pointsPerInch makes a point of the font equal to a pixel.
const pointsPerInch = 72

func (f *fonts) face(size float64, bold bool) (font.Face, error) {
	key := faceKey{size, bold}
	if face, ok := f.faces[key]; ok {
		return face, nil
	}
	data := goregular.TTF
	if bold {
		data = gobold.TTF
	}
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("reading the built-in font: %w", err)
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: size, DPI: pointsPerInch, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("setting the built-in font at %g px: %w", size, err)
	}
	f.faces[key] = face
	return face, nil
}

// averageAdvance stands in, as a share of the size, for a font that could not
// be read; the built-in fonts always can.
const averageAdvance = 0.55

func (f *fonts) measure(text string, size float64, bold bool) float64 {
	if !(size > 0) {
		size = defaultTextSize
	}
	face, err := f.face(size, bold)
	if err != nil {
		return averageAdvance * size * float64(len([]rune(text)))
	}
	return float64(font.MeasureString(face, text)) / 64
}
