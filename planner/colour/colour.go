package colour

import (
	"fmt"
	"strconv"
	"strings"
)

// A Colour is an sRGB colour (IEC 61966-2-1), 8 bits a channel.
type Colour struct {
	R, G, B uint8
}

// White returns the brightest sRGB colour.
func White() Colour { return Colour{R: 255, G: 255, B: 255} }

// Black returns the darkest sRGB colour.
func Black() Colour { return Colour{} }

// String returns the colour as "#rrggbb", lower case.
func (c Colour) String() string {
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

// RGBA makes a Colour an opaque color.Color of the standard library.
func (c Colour) RGBA() (r, g, b, a uint32) {
	const widen = 0x101 // 8 to 16 bits: 0xab becomes 0xabab
	return uint32(c.R) * widen, uint32(c.G) * widen, uint32(c.B) * widen, 0xffff
}

// MarshalText writes the colour as String does.
func (c Colour) MarshalText() ([]byte, error) {
	return []byte(c.String()), nil
}

// UnmarshalText reads whatever Parse reads.
func (c *Colour) UnmarshalText(text []byte) error {
	parsed, ok := Parse(string(text))
	if !ok {
		return fmt.Errorf("colour %q: want #rrggbb, #rgb or a CSS colour name", text)
	}
	*c = parsed
	return nil
}

// Parse reads "#c81e28", "#c1f" or one of the 148 names of CSS Color Module
// Level 4 (W3C). Case, blanks and hyphens do not count: "Dark Slate-Gray" is
// darkslategray. A hex colour needs its "#", since words such as "facade" are
// hex digits too.
func Parse(s string) (Colour, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	if digits, ok := strings.CutPrefix(s, "#"); ok {
		return parseHex(digits)
	}
	return byName(parting.Replace(s))
}

// parting drops what parts the words of a name.
var parting = strings.NewReplacer(" ", "", "-", "")

func parseHex(digits string) (Colour, bool) {
	if len(digits) == 3 {
		d := digits
		digits = string([]byte{d[0], d[0], d[1], d[1], d[2], d[2]})
	}
	if len(digits) != 6 {
		return Colour{}, false
	}
	v, err := strconv.ParseUint(digits, 16, 24)
	if err != nil {
		return Colour{}, false
	}
	return Colour{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v)}, true
}
