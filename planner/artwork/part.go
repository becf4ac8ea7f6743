package artwork

import "image"

// A part is a connected piece of a field, neighbours by side or corner.
type part struct {
	area   int
	box    image.Rectangle // in the plane's pixels
	peak   uint8           // largest value in it
	parent int32           // union-find; itself at the root
	row    int             // last row it was seen in
}

// A run is a stretch of pixels of one row in the field.
type run struct {
	from, to int
	part     int32
}

// eachPart calls done with every connected part of the field, in the order in
// which their last rows are passed, left to right. It keeps only the parts that
// cross the current row (A. Rosenfeld, J. L. Pfaltz, Sequential operations in
// digital picture processing, Journal of the ACM 13 (1966), 471-494, with
// R. E. Tarjan's union-find), so its memory grows with the width and not with
// what a noisy file holds.
func (f field) eachPart(done func(part)) {
	w := sweep{field: f}
	for y := range f.h {
		w.row(y)
		w.finish(y, done)
	}
	w.finish(f.h, done)
}

type sweep struct {
	field
	parts        []part
	free         []int32
	active       []int32 // roots that cross the last finished row
	before, here []run
}

func (w *sweep) row(y int) {
	w.before, w.here = w.here, w.before[:0]
	values := w.plane.row(y)
	k := 0
	for x := 0; x < len(values); x++ {
		if !w.holds(values[x]) {
			continue
		}
		r := run{from: x, part: -1}
		var peak uint8
		for x < len(values) && w.holds(values[x]) {
			peak = max(peak, values[x])
			x++
		}
		r.to = x
		// Runs of the row above that end before this one begins, corners
		// included, can't touch any later one either.
		for k < len(w.before) && w.before[k].to < r.from {
			k++
		}
		for j := k; j < len(w.before) && w.before[j].from <= r.to; j++ {
			r.part = w.join(r.part, w.before[j].part)
		}
		if r.part < 0 {
			r.part = w.start()
		}
		w.parts[r.part].take(r, y, peak)
		w.here = append(w.here, r)
	}
}

func (p *part) take(r run, y int, peak uint8) {
	p.area += r.to - r.from
	p.box = p.box.Union(image.Rect(r.from, y, r.to, y+1))
	p.peak = max(p.peak, peak)
	p.row = y
}

func (w *sweep) start() int32 {
	if n := len(w.free); n > 0 {
		i := w.free[n-1]
		w.free = w.free[:n-1]
		w.parts[i] = part{parent: i}
		return i
	}
	i := int32(len(w.parts))
	w.parts = append(w.parts, part{parent: i})
	return i
}

func (w *sweep) root(i int32) int32 {
	for w.parts[i].parent != i {
		w.parts[i].parent = w.parts[w.parts[i].parent].parent
		i = w.parts[i].parent
	}
	return i
}

// join unites a part, or none (-1), with another and returns the root.
func (w *sweep) join(a, b int32) int32 {
	b = w.root(b)
	if a < 0 {
		return b
	}
	a = w.root(a)
	if a == b {
		return a
	}
	p, q := &w.parts[a], &w.parts[b]
	p.area += q.area
	p.box = p.box.Union(q.box)
	p.peak = max(p.peak, q.peak)
	p.row = max(p.row, q.row)
	q.parent = a
	return a
}

// finish hands out the parts that row y does not continue and frees what no
// run refers to any more.
func (w *sweep) finish(y int, done func(part)) {
	if y == w.h {
		w.here = w.here[:0]
	}
	for i := range w.here {
		w.here[i].part = w.root(w.here[i].part)
	}
	for _, i := range w.active {
		if w.parts[i].parent == i && w.parts[i].row < y {
			done(w.parts[i])
			w.free = append(w.free, i)
		} else if w.parts[i].parent != i {
			w.free = append(w.free, i)
		}
	}
	w.active = w.active[:0]
	for _, r := range w.here {
		// A root may hold several runs of the row; it is marked when listed.
		if p := &w.parts[r.part]; p.row != listed {
			p.row = listed
			w.active = append(w.active, r.part)
		}
	}
	for _, i := range w.active {
		w.parts[i].row = y
	}
}

// listed marks a part while the active ones are gathered.
const listed = -1
