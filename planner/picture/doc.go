// Package picture records simple shapes and writes them as PNG or SVG, so
// that both come from one drawing.
//
// It promises that the same calls give the same bytes, that text is measured
// with the very font it is drawn in (the Go fonts, by Bigelow & Holmes), and
// that an SVG needs nothing from the machine that shows it: text keeps its
// measured length in whatever sans-serif stands in, and images are embedded.
//
// One unit is one pixel of the PNG and one user unit of the SVG; x grows to
// the right, y downwards. It knows nothing of what is drawn.
package picture
