// Package artwork looks at a picture file before anything is printed.
//
// Open decodes a PNG, JPEG, GIF, WebP, TIFF, BMP or SVG within size limits that
// are checked on the header. Inspect measures it: where the art lies, how large
// it can be printed, what of it is transparent, half transparent or solid,
// whether a plain box lies behind it, its thinnest strokes and gaps and where
// they are, specks, type that is too small, main colours, and how much of each
// toner it takes. With a wish (size, method, blank, and the trade's limits) it
// gives a verdict and says how to mend what is wrong. Draw shows the art on the
// blank with the trouble spots ringed.
//
// It promises: every trade limit comes in through Rules; the same file and wish
// give the same report on any machine; memory is bounded by Limits, about 12
// bytes for each pixel beyond what the decoder holds; no input makes it panic.
//
// It does not edit art, apply colour profiles, read PDF, or see strokes and
// type inside a shape of another colour: it looks at the outline of what is
// printed, which is what holds or comes off.
package artwork
