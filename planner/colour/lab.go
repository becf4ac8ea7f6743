package colour

import "math"

// XYZ is a colour in CIE 1931 tristimulus values for the 2 degree observer,
// scaled so that white has Y = 1.
type XYZ struct {
	X, Y, Z float64
}

// Lab is a colour in CIELAB (CIE 15; ISO/CIE 11664-4): L from 0, black, to
// 100, white; A from green to red; B from blue to yellow.
type Lab struct {
	L, A, B float64
}

// Chroma is C*ab = sqrt(a*^2 + b*^2), 0 for a grey.
func (l Lab) Chroma() float64 { return math.Hypot(l.A, l.B) }

// XYZ returns the tristimulus values of c under D65, sRGB's own white.
func (c Colour) XYZ() XYZ {
	return mulLinear(linear(c.R), linear(c.G), linear(c.B))
}

// Lab returns c in CIELAB under D65.
func (c Colour) Lab() Lab {
	return c.XYZ().lab(whiteD65())
}

// LabD50 returns c in CIELAB under D50, the white of print, adapted by
// Bradford's linear transform as in ICC profiles.
func (c Colour) LabD50() Lab {
	return adaptToD50(c.XYZ()).lab(whiteD50())
}

// Luminance is the relative luminance Y of c, 0..1.
func (c Colour) Luminance() float64 { return c.XYZ().Y }

// The transfer curve of IEC 61966-2-1: v <= 0.04045 is v/12.92, above it
// ((v + 0.055)/1.055)^2.4.
const (
	curveKnee   = 0.04045
	curveSlope  = 12.92
	curveOffset = 0.055
	curvePower  = 2.4
)

// linear returns the linear light of an 8-bit sRGB channel, 0..1.
func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= curveKnee {
		return s / curveSlope
	}
	return math.Pow((s+curveOffset)/(1+curveOffset), curvePower)
}

// encode is the inverse of linear, rounded to the nearest of 256 steps; light
// outside 0..1 is clipped.
func encode(light float64) uint8 {
	light = min(max(light, 0), 1)
	s := light * curveSlope
	if light > curveKnee/curveSlope {
		s = (1+curveOffset)*math.Pow(light, 1/curvePower) - curveOffset
	}
	return uint8(math.Round(s * 255))
}

// mulLinear turns linear sRGB into XYZ with the matrix of the sRGB primaries
// and D65 to seven places (B. Lindbloom, RGB/XYZ matrices).
func mulLinear(r, g, b float64) XYZ {
	return XYZ{
		X: 0.4124564*r + 0.3575761*g + 0.1804375*b,
		Y: 0.2126729*r + 0.7151522*g + 0.0721750*b,
		Z: 0.0193339*r + 0.1191920*g + 0.9503041*b,
	}
}

// whiteD65 is the matrix's own white, so that every grey has no chroma.
func whiteD65() XYZ { return mulLinear(1, 1, 1) }

// whiteD50 is the profile connection white of ICC.1 (ASTM E308 D50).
func whiteD50() XYZ { return XYZ{X: 0.96422, Y: 1, Z: 0.82521} }

// adaptToD50 carries a colour seen under D65 over to D50. The matrix is
// Bradford's for these two whites (B. Lindbloom, Chromatic adaptation).
func adaptToD50(c XYZ) XYZ {
	return XYZ{
		X: 1.0478112*c.X + 0.0228866*c.Y - 0.0501270*c.Z,
		Y: 0.0295424*c.X + 0.9904844*c.Y - 0.0170491*c.Z,
		Z: -0.0092345*c.X + 0.0150436*c.Y + 0.7521316*c.Z,
	}
}

// lab is CIE 15: L* = 116 f(Y/Yn) - 16, a* = 500 (f(X/Xn) - f(Y/Yn)),
// b* = 200 (f(Y/Yn) - f(Z/Zn)).
func (c XYZ) lab(white XYZ) Lab {
	fx, fy, fz := labF(c.X/white.X), labF(c.Y/white.Y), labF(c.Z/white.Z)
	return Lab{L: 116*fy - 16, A: 500 * (fx - fy), B: 200 * (fy - fz)}
}

// labF is the cube root above CIE's exact threshold, its tangent line below.
func labF(t float64) float64 {
	const (
		threshold = 216.0 / 24389
		slope     = 24389.0 / 27
	)
	if t > threshold {
		return math.Cbrt(t)
	}
	return (slope*t + 16) / 116
}
