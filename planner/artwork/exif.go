package artwork

import (
	"bytes"
	"encoding/binary"
)

// meta is what a file says of itself beside its pixels.
type meta struct {
	orientation int     // 1..8 as in EXIF; 1 where not said
	ppiX, ppiY  float64 // 0 where not said
}

// Tags of TIFF 6.0 and EXIF (JEITA CP-3451), and the values used of them.
const (
	tagOrientation = 0x0112
	tagXResolution = 0x011a
	tagYResolution = 0x011b
	tagUnit        = 0x0128

	typeShort    = 3
	typeRational = 5

	unitInch       = 2
	unitCentimetre = 3
)

const (
	centimetresPerInch = 2.54
	metresPerInch      = 0.0254
)

// readMeta finds orientation and density in a file of a known format. Odd or
// broken metadata is passed over: it is no reason to refuse a picture.
func readMeta(format Format, data []byte) meta {
	m := meta{orientation: 1}
	switch format {
	case PNG:
		m.fromPNG(data)
	case JPEG:
		m.fromJPEG(data)
	case WebP:
		m.fromWebP(data)
	case TIFF:
		m.fromTIFF(data)
	case BMP:
		m.fromBMP(data)
	}
	if !plausible(m.ppiX) || !plausible(m.ppiY) {
		m.ppiX, m.ppiY = 0, 0
	}
	return m
}

// plausible keeps densities such as 1 ppi, which some programs write for "no
// idea", from becoming a print a yard wide. The span covers screens to film.
func plausible(ppi float64) bool { return ppi >= 30 && ppi <= 10_000 }

// fromPNG reads the chunks before the pixels: pHYs (pixels a metre) and eXIf
// (PNG, third edition, W3C 2025).
func (m *meta) fromPNG(data []byte) {
	const signature, frame = 8, 12
	for pos := signature; pos+frame <= len(data); {
		size := int(binary.BigEndian.Uint32(data[pos:]))
		kind := string(data[pos+4 : pos+8])
		if size < 0 || size > len(data)-pos-frame || kind == "IDAT" {
			return
		}
		body := data[pos+8 : pos+8+size]
		switch {
		case kind == "pHYs" && size == 9 && body[8] == 1:
			m.ppiX = float64(binary.BigEndian.Uint32(body)) * metresPerInch
			m.ppiY = float64(binary.BigEndian.Uint32(body[4:])) * metresPerInch
		case kind == "eXIf":
			m.fromTIFF(body)
		}
		pos += frame + size
	}
}

// fromJPEG reads the marker segments before the first scan: JFIF density
// (ITU-T T.871) and EXIF.
func (m *meta) fromJPEG(data []byte) {
	const (
		app0, app1, startOfScan = 0xe0, 0xe1, 0xda
	)
	for pos := 2; pos+4 <= len(data) && data[pos] == 0xff; {
		marker, size := data[pos+1], int(binary.BigEndian.Uint16(data[pos+2:]))
		if marker == startOfScan || size < 2 || size > len(data)-pos-2 {
			return
		}
		body := data[pos+4 : pos+2+size]
		switch {
		case marker == app0 && len(body) >= 12 && string(body[:5]) == "JFIF\x00":
			m.fromJFIF(body)
		case marker == app1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			m.fromTIFF(body[6:])
		}
		pos += 2 + size
	}
}

func (m *meta) fromJFIF(body []byte) {
	x, y := float64(binary.BigEndian.Uint16(body[8:])), float64(binary.BigEndian.Uint16(body[10:]))
	switch body[7] {
	case 1:
		m.ppiX, m.ppiY = x, y
	case 2:
		m.ppiX, m.ppiY = x*centimetresPerInch, y*centimetresPerInch
	}
}

// fromWebP reads the EXIF chunk of the RIFF container (RFC 9649).
func (m *meta) fromWebP(data []byte) {
	for pos := 12; pos+8 <= len(data); {
		size := int(binary.LittleEndian.Uint32(data[pos+4:]))
		if size < 0 || size > len(data)-pos-8 {
			return
		}
		if string(data[pos:pos+4]) == "EXIF" {
			m.fromTIFF(bytes.TrimPrefix(data[pos+8:pos+8+size], []byte("Exif\x00\x00")))
			return
		}
		pos += 8 + size + size%2
	}
}

// bmpHeader is the length of the file header and the common info header.
const bmpHeader = 54

func (m *meta) fromBMP(data []byte) {
	if len(data) < bmpHeader {
		return
	}
	m.ppiX = float64(int32(binary.LittleEndian.Uint32(data[38:]))) * metresPerInch
	m.ppiY = float64(int32(binary.LittleEndian.Uint32(data[42:]))) * metresPerInch
}

// fromTIFF reads the first directory of a TIFF structure, which EXIF shares.
func (m *meta) fromTIFF(data []byte) {
	if len(data) < 8 {
		return
	}
	var order binary.ByteOrder = binary.LittleEndian
	if data[0] == 'M' {
		order = binary.BigEndian
	}
	start := int64(order.Uint32(data[4:]))
	if start+2 > int64(len(data)) {
		return
	}
	const entrySize = 12
	perInch := 1.0
	entries := data[start+2:]
	for n := order.Uint16(data[start:]); n > 0 && len(entries) >= entrySize; n-- {
		e := entries[:entrySize]
		switch tag, kind := order.Uint16(e), order.Uint16(e[2:]); {
		case tag == tagOrientation && kind == typeShort:
			if v := int(order.Uint16(e[8:])); v >= 1 && v <= 8 {
				m.orientation = v
			}
		case tag == tagUnit && kind == typeShort:
			perInch = map[uint16]float64{unitInch: 1, unitCentimetre: centimetresPerInch}[order.Uint16(e[8:])]
		case tag == tagXResolution && kind == typeRational:
			m.ppiX = rational(data, order, e)
		case tag == tagYResolution && kind == typeRational:
			m.ppiY = rational(data, order, e)
		}
		entries = entries[entrySize:]
	}
	m.ppiX, m.ppiY = m.ppiX*perInch, m.ppiY*perInch
}

// rational reads the fraction that an entry points to, 0 where it is broken.
func rational(data []byte, order binary.ByteOrder, entry []byte) float64 {
	at := int64(order.Uint32(entry[8:]))
	if at+8 > int64(len(data)) {
		return 0
	}
	above, below := order.Uint32(data[at:]), order.Uint32(data[at+4:])
	if below == 0 {
		return 0
	}
	return float64(above) / float64(below)
}
