package press

// A lot is all sheets or pieces of a print that go through the same stage: the
// search moves them together.
type lot struct {
	order, job, print int
	stage             stage
}

// lots numbers the lots, and the jobs as bundles of lots.
func (m *model) lots() (lots []lot, of, bundles []int) {
	number := map[lot]int{}
	jobs := map[[2]int]int{}
	for i := range m.tasks {
		t := &m.tasks[i]
		l := lot{t.order, t.job, t.print, t.stage}
		n, ok := number[l]
		if !ok {
			n = len(lots)
			number[l] = n
			lots = append(lots, l)
			job := [2]int{t.order, t.job}
			if _, ok := jobs[job]; !ok {
				jobs[job] = len(jobs)
			}
			bundles = append(bundles, jobs[job])
		}
		of = append(of, n)
	}
	return lots, of, bundles
}
