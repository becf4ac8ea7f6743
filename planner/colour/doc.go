// Package colour says how colours measure and how they will look once they
// are printed.
//
// It promises: sRGB to CIE XYZ and CIELAB as published, the CIEDE2000
// difference to the published figures, the nearest CSS name of a colour, and a
// forecast of a colour after dye sublimation (on a blank of a given colour and
// polyester share) or after a two-step transfer (over its white ground).
//
// # The forecast
//
// Sublimation dye lies inside the polyester as a transparent filter. Light
// passes it, is scattered back by the fibre and passes it again, so on white
// full polyester the art's own linear-light value is the filter's round-trip
// transmittance T, channel by channel, and on a blank of reflectance B the eye
// gets B T. Cotton in a blend takes no dye that holds: a share p of the surface
// is dyed and 1-p is not. Fibres are far finer than the distance light wanders
// between them, so light that enters at a bare fibre often leaves through a
// dyed one, and the mixture is darker than its areas say. That is the setting
// of Yule and Nielsen, with n = 2 for full wandering:
//
//	R = B (p T^(1/n) + 1 - p)^n
//
// J. A. C. Yule, W. J. Nielsen, The penetration of light into paper and its
// effect on halftone reproduction, TAGA Proceedings 3 (1951), 65-76 (recalled,
// not at hand). p = 1 gives B T; p = 0 gives the bare blank.
//
// Limits of the model: three broad channels stand for a whole spectrum, so
// saturated dyes on saturated blanks come out only roughly; blend shares are
// by weight and taken as shares of the surface; the dyes' own gamut, the
// press, metamerism, gloss and the texture of the cloth are left out. It says
// which way and about how far a colour moves. A test print settles it.
//
// # What it does not do
//
// It holds no trade facts: which blank is light, dark or fit for a method is
// the knowledge base's to say. It reads no files and manages no ICC profiles;
// colours come in as sRGB.
package colour
