package artwork

// A flooding spreads over pixels near a point. Marks of former ones stay in its
// window and are told apart by their turn, so that it is never cleared.
type flooding struct {
	marks []int32
	turn  int32
	queue [][2]int
}

// dust reports whether the part of the field that holds a pixel has at most
// speck pixels. It looks at no more than that many, which all lie within speck
// steps of the first.
func (s *search) dust(x, y int) bool {
	if s.speck <= 0 {
		return false
	}
	side := 2*s.speck + 1
	if s.flood.marks == nil {
		s.flood.marks = make([]int32, side*side)
	}
	s.flood.turn++
	count := 0
	s.flood.queue = s.flood.queue[:0]
	visit := func(u, v int) {
		mark := &s.flood.marks[(v-y+s.speck)*side+u-x+s.speck]
		if *mark == s.flood.turn || !s.in(u, v) {
			return
		}
		*mark = s.flood.turn
		count++
		s.flood.queue = append(s.flood.queue, [2]int{u, v})
	}
	visit(x, y)
	for len(s.flood.queue) > 0 && count <= s.speck {
		last := len(s.flood.queue) - 1
		u, v := s.flood.queue[last][0], s.flood.queue[last][1]
		s.flood.queue = s.flood.queue[:last]
		for dv := -1; dv <= 1 && count <= s.speck; dv++ {
			for du := -1; du <= 1 && count <= s.speck; du++ {
				visit(u+du, v+dv)
			}
		}
	}
	return count <= s.speck
}
