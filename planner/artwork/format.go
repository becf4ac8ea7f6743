package artwork

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

// Errors that Open and Inspect wrap, for whoever branches on the kind of
// trouble. The wrapping text says what to send instead.
var (
	ErrFormat   = errors.New("not a picture format this reads")
	ErrDamaged  = errors.New("the file is damaged or cut off")
	ErrTooLarge = errors.New("the picture is too large")
	ErrEmpty    = errors.New("there is nothing in the picture")
)

// A Format is a file format by its usual short name.
type Format string

// The formats that are read. The content decides, never the file's name.
const (
	PNG  Format = "png"
	JPEG Format = "jpeg"
	GIF  Format = "gif"
	WebP Format = "webp"
	TIFF Format = "tiff"
	BMP  Format = "bmp"
	SVG  Format = "svg"
)

// sendInstead ends every refusal of a format.
const sendInstead = "send a PNG with a transparent background, at the printed size and 300 pixels an inch"

// sniff tells a format from the first bytes, or says in words what the file is
// and what to send instead.
func sniff(data []byte) (Format, error) {
	at := func(offset int, magic string) bool {
		return len(data) >= offset+len(magic) && string(data[offset:offset+len(magic)]) == magic
	}
	switch {
	case len(data) == 0:
		return "", fmt.Errorf("%w: it has zero bytes: send it again", ErrDamaged)
	case at(0, "\x89PNG\r\n\x1a\n"):
		return PNG, nil
	case at(0, "\xff\xd8\xff"):
		return JPEG, nil
	case at(0, "GIF87a"), at(0, "GIF89a"):
		return GIF, nil
	case at(0, "RIFF") && at(8, "WEBP"):
		return WebP, nil
	case at(0, "II*\x00"), at(0, "MM\x00*"):
		return TIFF, nil
	case at(0, "BM") && len(data) >= bmpHeader:
		return BMP, nil
	case looksLikeSVG(data):
		return SVG, nil
	}
	return "", fmt.Errorf("%w: %s", ErrFormat, strange(data, at))
}

// strange names what a file that isn't read seems to be.
func strange(data []byte, at func(int, string) bool) string {
	switch {
	case bytes.Contains(data[:min(len(data), 1024)], []byte("%PDF-")):
		// ISO 32000 readers accept the mark anywhere in the first kilobyte.
		return "this is a PDF, which may hold pages, type and pictures at many sizes: " + sendInstead + ", or an SVG with its type turned to outlines"
	case at(0, "%!PS"), at(0, "\xc5\xd0\xd3\xc6"):
		return "this is a PostScript file: " + sendInstead + ", or an SVG with its type turned to outlines"
	case at(4, "ftyp"):
		return "this is a phone's photo or video container: " + sendInstead + ", or a JPEG for a photo"
	case at(0, "8BPS"):
		return "this is an editor's own layered file: " + sendInstead
	case at(0, "PK\x03\x04"):
		return "this is an archive: unpack it and " + sendInstead
	case at(0, "II+\x00"), at(0, "MM\x00+"):
		return "this is a TIFF of the large kind: " + sendInstead
	}
	return "its first bytes are those of no picture: " + sendInstead
}

// looksLikeSVG finds an svg element after an optional byte-order mark, XML
// declaration, comments and document type.
func looksLikeSVG(data []byte) bool {
	const enough = 4096
	head := strings.TrimSpace(strings.TrimPrefix(string(data[:min(len(data), enough)]), "\ufeff"))
	return strings.HasPrefix(head, "<") && strings.Contains(head, "<svg")
}
