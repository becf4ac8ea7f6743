package sheet

// Bound returns a number of sheets that no layout of the problem goes below;
// 0 where the problem has no pieces or is at fault.
func Bound(p Problem) int {
	if p.validate() != nil || p.tooLarge() != nil || len(p.Pieces) == 0 {
		return 0
	}
	if p.Endless {
		return 1
	}
	return newTask(p).bound()
}

// bound is the number of sheets by area alone.
func (t task) bound() int {
	var area float64
	for _, k := range t.kinds {
		area += float64(k.area()) * float64(k.count)
	}
	room := float64(t.width) * float64(t.height)
	n := int(area / room * (1 - 1e-12))
	return n + 1
}
