package artwork

import (
	"errors"
	"fmt"
)

// Limits bound what a file may cost before it is decoded. They are no trade
// figures: they guard memory and time.
type Limits struct {
	Bytes  int64 // of the file
	Side   int   // pixels along the longer side
	Pixels int   // width x height
	// Drawing is the longer side, in pixels, at which a drawing (SVG) is
	// rastered to be measured. What is finer than a pixel then goes unseen.
	Drawing int
}

// DefaultLimits returns what a shop's machine takes in its stride. 60 million
// pixels is a full back of 14 x 17 in at 500 ppi; at the 8 bytes a pixel of
// the widest format that is 480 MB. The side keeps a column count well inside
// the 16 bits that the distance transform gives it. Drawings get 8 in at 300 pixels an inch, so
// that a 0.1 mm line at that size is seen.
func DefaultLimits() Limits {
	return Limits{Bytes: 128 << 20, Side: 30_000, Pixels: 60_000_000, Drawing: 2400}
}

// maxSide is the longest column the distance transform can count.
const maxSide = unreached - 1

func (l Limits) validate() error {
	switch {
	case l.Bytes <= 0 || l.Side <= 0 || l.Pixels <= 0 || l.Drawing <= 0:
		return errors.New("limits: each must be above 0; DefaultLimits gives usable ones")
	case l.Side > maxSide:
		return fmt.Errorf("limits: side is %d pixels: give at most %d", l.Side, maxSide)
	}
	return nil
}

// admit says whether a picture of w x h pixels may be decoded.
func (l Limits) admit(w, h int) error {
	if w <= 0 || h <= 0 {
		return fmt.Errorf("%w: its header says %d x %d pixels: export it again", ErrDamaged, w, h)
	}
	// Compared by division, so that no product can overflow.
	if w > l.Side || h > l.Side || w > l.Pixels/h {
		return fmt.Errorf("%w: %d x %d pixels, and at most %d a side and %d million in all are taken: send it smaller",
			ErrTooLarge, w, h, l.Side, l.Pixels/1_000_000)
	}
	return nil
}
