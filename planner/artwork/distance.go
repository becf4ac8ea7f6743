package artwork

// A field is a set of pixels of a plane, those with values from low to high.
// Beyond the plane's edges nothing is art: outside says whether that belongs
// to the set.
type field struct {
	*plane
	low, high uint8
	outside   bool
}

// art is where there is something to print, gaps where there is nothing, soft
// where it is half transparent.
func (p *plane) art() field  { return field{plane: p, low: p.ink, high: 0xff} }
func (p *plane) gaps() field { return field{plane: p, low: 0, high: p.full - 1, outside: true} }
func (p *plane) soft() field { return field{plane: p, low: faint, high: firm - 1} }

func (f field) holds(v uint8) bool { return v >= f.low && v <= f.high }

// in reports whether pixel x, y belongs to the field, at any coordinates.
func (f field) in(x, y int) bool {
	if x < 0 || y < 0 || x >= f.w || y >= f.h {
		return f.outside
	}
	return f.holds(f.pix[y*f.w+x])
}

// unreached stands for a column without any pixel outside the field.
const unreached = 1<<16 - 1

// columns returns, for each pixel, the distance along its column to the
// nearest pixel outside the field: the first phase of A. Meijster, J. B. T. M.
// Roerdink, W. H. Hesselink, A general algorithm for computing distance
// transforms in linear time, Mathematical Morphology and its Applications to
// Image and Signal Processing, 2000, 331-340.
func (f field) columns() []uint16 {
	g := make([]uint16, f.w*f.h)
	// Strips of columns are independent; their width is a few cache lines.
	eachBand(f.w, func(from, to int) struct{} {
		f.columnStrip(g, from, to)
		return struct{}{}
	})
	return g
}

func (f field) columnStrip(g []uint16, from, to int) {
	var edge uint16 // the row just beyond the plane
	if f.outside {
		edge = unreached
	}
	last := make([]uint16, to-from)
	reset := func() {
		for i := range last {
			last[i] = edge
		}
	}
	reset()
	for y := range f.h {
		values, row := f.pix[y*f.w+from:y*f.w+to], g[y*f.w+from:y*f.w+to]
		for i, v := range values {
			d := uint16(0)
			if f.holds(v) {
				d = next(last[i])
			}
			row[i], last[i] = d, d
		}
	}
	reset()
	for y := f.h - 1; y >= 0; y-- {
		row := g[y*f.w+from : y*f.w+to]
		for i, d := range row {
			d = min(d, next(last[i]))
			row[i], last[i] = d, d
		}
	}
}

// next is one step further, except that unreached stays so.
func next(d uint16) uint16 {
	if d == unreached {
		return d
	}
	return d + 1
}

// A line holds squared distances of one row and, for each pixel, the column in
// which its nearest pixel outside the field lies. far stands for none.
type line struct {
	squared []int32
	column  []int32
}

const far = 1<<31 - 1

func newLine(w int) line { return line{squared: make([]int32, w), column: make([]int32, w)} }

// A parabola is one candidate of the lower envelope in a row.
type parabola struct {
	column int32 // its lowest point
	height int32 // the squared column distance there
	from   int32 // first pixel at which it is the lowest
}

// measure fills l for row y: the second phase of Meijster and others, which is
// the lower envelope of parabolas of P. F. Felzenszwalb, D. P. Huttenlocher,
// Distance transforms of sampled functions, Theory of Computing 8 (2012),
// 415-428. Pixels outside the field part the row into runs that are solved by
// themselves.
func (f field) measure(g []uint16, y int, l line, stack []parabola) []parabola {
	row := g[y*f.w : (y+1)*f.w]
	for x := 0; x < f.w; {
		if row[x] == 0 {
			l.squared[x], l.column[x] = 0, int32(x)
			x++
			continue
		}
		end := x
		for end < f.w && row[end] != 0 {
			end++
		}
		stack = f.measureRun(row, x, end, l, stack[:0])
		x = end
	}
	return stack
}

// measureRun solves pixels [from, to), all in the field. The pixel before and
// the one after are outside it, or beyond the plane.
func (f field) measureRun(row []uint16, from, to int, l line, stack []parabola) []parabola {
	first, last := from-1, to
	if f.outside {
		first, last = max(first, 0), min(last, f.w-1)
	}
	for c := first; c <= last; c++ {
		height := int32(0)
		if c >= from && c < to {
			if row[c] == unreached {
				continue
			}
			height = int32(row[c]) * int32(row[c])
		}
		stack = push(stack, int32(c), height, int32(from), int32(to))
	}
	if len(stack) == 0 {
		for x := from; x < to; x++ {
			l.squared[x], l.column[x] = far, int32(x)
		}
		return stack
	}
	k := 0
	for x := int32(from); x < int32(to); x++ {
		for k+1 < len(stack) && stack[k+1].from <= x {
			k++
		}
		d := x - stack[k].column
		l.squared[x], l.column[x] = d*d+stack[k].height, stack[k].column
	}
	return stack
}

// push adds a parabola to the envelope, dropping those it undercuts.
func push(stack []parabola, column, height, from, to int32) []parabola {
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		// First whole pixel at which the new one is strictly lower:
		// floor((c^2 - t^2 + h(c) - h(t)) / 2(c - t)) + 1, in 64 bits since
		// the squares of two long sides are added.
		c, t := int64(column), int64(top.column)
		above := c*c - t*t + int64(height) - int64(top.height)
		start := floorDiv(above, 2*(c-t)) + 1
		if start >= int64(to) {
			return stack
		}
		if start > int64(top.from) {
			return append(stack, parabola{column, height, int32(start)})
		}
		stack = stack[:len(stack)-1]
	}
	return append(stack, parabola{column, height, from})
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
