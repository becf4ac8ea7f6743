package workspace

import (
	"context"
	"slices"
	"sync"
	"time"
)

// work is one message to answer.
type work struct {
	at time.Time // when it was written
	do func()
}

// lanes is the bounded queue of work: one lane a channel, each in the order in
// which the messages were written, all lanes side by side. A lane's goroutine
// lives only while it has work.
type lanes struct {
	mu      sync.Mutex
	waiting map[string][]work
	size    int
	most    int
	closed  bool
	idle    chan struct{} // closed when closed and nothing waits
}

func newLanes(most int) *lanes {
	return &lanes{waiting: map[string][]work{}, most: most, idle: make(chan struct{})}
}

// put queues work before what was written later, or reports that there is no
// room. What was acknowledged before a restart always finds room.
func (l *lanes) put(lane string, w work, always bool) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed || l.size >= l.most && !always {
		return false
	}
	l.size++
	queue, running := l.waiting[lane]
	i := len(queue)
	for i > 0 && queue[i-1].at.After(w.at) {
		i--
	}
	l.waiting[lane] = slices.Insert(queue, i, w)
	if !running {
		go l.run(lane)
	}
	return true
}

// run does a lane's work until none is left.
func (l *lanes) run(lane string) {
	for {
		l.mu.Lock()
		queue := l.waiting[lane]
		if len(queue) == 0 {
			delete(l.waiting, lane)
			l.settle()
			l.mu.Unlock()
			return
		}
		next := queue[0]
		queue[0] = work{}
		l.waiting[lane] = queue[1:]
		l.mu.Unlock()
		next.do()
		l.mu.Lock()
		l.size--
		l.mu.Unlock()
	}
}

// settle tells the closer once the last lane has ended. It holds the lock.
func (l *lanes) settle() {
	if l.closed && len(l.waiting) == 0 {
		select {
		case <-l.idle:
		default:
			close(l.idle)
		}
	}
}

// len is the number of pieces of work waiting or under way.
func (l *lanes) len() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.size
}

// close takes no more work and waits until all is done or ctx ends.
func (l *lanes) close(ctx context.Context) error {
	l.mu.Lock()
	l.closed = true
	l.settle()
	l.mu.Unlock()
	select {
	case <-l.idle:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
