package artwork

import "image"

// A turn says how stored pixels are to be seen: EXIF's orientation with the
// stored width and height. All measuring is done on stored pixels, and only
// results are turned.
type turn struct {
	orientation int
	w, h        int // as stored
}

// sideways reports whether width and height change places.
func (t turn) sideways() bool { return t.orientation >= 5 }

// size returns width and height as seen.
func (t turn) size() (w, h int) {
	if t.sideways() {
		return t.h, t.w
	}
	return t.w, t.h
}

// seen maps a stored pixel to where it is seen. JEITA CP-3451 names for each
// orientation which visual side the first stored row and column are.
func (t turn) seen(x, y int) (int, int) {
	right, bottom := t.w-1-x, t.h-1-y
	switch t.orientation {
	case 2:
		return right, y
	case 3:
		return right, bottom
	case 4:
		return x, bottom
	case 5:
		return y, x
	case 6:
		return bottom, x
	case 7:
		return bottom, right
	case 8:
		return y, right
	}
	return x, y
}

// rect maps a stored rectangle.
func (t turn) rect(r image.Rectangle) image.Rectangle {
	x0, y0 := t.seen(r.Min.X, r.Min.Y)
	x1, y1 := t.seen(r.Max.X-1, r.Max.Y-1)
	return image.Rect(min(x0, x1), min(y0, y1), max(x0, x1)+1, max(y0, y1)+1)
}
