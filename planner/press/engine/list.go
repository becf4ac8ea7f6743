package engine

// A lister turns keys into a list of activities in which each one comes after
// those it waits for; among those that may come next the one with the lowest
// key does, then the one with the lowest index.
type lister struct {
	next  [][]int32 // activities that wait for this one
	preds []int32
	left  []int32
	heap  []int32
	keys  []int64
}

func newLister(p *Problem) *lister {
	n := len(p.Activities)
	l := &lister{next: make([][]int32, n), preds: make([]int32, n), left: make([]int32, n)}
	for i := range p.Activities {
		for _, k := range p.Activities[i].After {
			l.next[k.Pred] = append(l.next[k.Pred], int32(i))
			l.preds[i]++
		}
	}
	return l
}

// list appends the list to into[:0]. It is shorter than the number of
// activities where links run in a ring.
func (l *lister) list(keys []int64, into []int) []int {
	l.keys, l.heap = keys, l.heap[:0]
	copy(l.left, l.preds)
	for i, k := range l.left {
		if k == 0 {
			l.push(int32(i))
		}
	}
	into = into[:0]
	for len(l.heap) > 0 {
		i := l.pop()
		into = append(into, int(i))
		for _, k := range l.next[i] {
			if l.left[k]--; l.left[k] == 0 {
				l.push(k)
			}
		}
	}
	return into
}

func (l *lister) less(a, b int32) bool {
	if l.keys[a] != l.keys[b] {
		return l.keys[a] < l.keys[b]
	}
	return a < b
}

func (l *lister) push(i int32) {
	l.heap = append(l.heap, i)
	for k := len(l.heap) - 1; k > 0; {
		up := (k - 1) / 2
		if !l.less(l.heap[k], l.heap[up]) {
			return
		}
		l.heap[k], l.heap[up] = l.heap[up], l.heap[k]
		k = up
	}
}

func (l *lister) pop() int32 {
	top, last := l.heap[0], len(l.heap)-1
	l.heap[0] = l.heap[last]
	l.heap = l.heap[:last]
	for k := 0; ; {
		low := 2*k + 1
		if low >= last {
			return top
		}
		if low+1 < last && l.less(l.heap[low+1], l.heap[low]) {
			low++
		}
		if !l.less(l.heap[low], l.heap[k]) {
			return top
		}
		l.heap[k], l.heap[low] = l.heap[low], l.heap[k]
		k = low
	}
}
