package store

import (
	"context"
	"database/sql"
	"runtime"
	"slices"
	"sync"
)

// mostTogether bounds the writes of one transaction, so that none waits long
// for the others.
const mostTogether = 64

// A line makes writes in the order in which they come. Those that wait at the
// same time share a transaction: each is flushed to disk before it is reported,
// and a burst of them costs few flushes.
type line struct {
	db      *sql.DB
	often   *statements // of db
	mu      sync.Mutex
	waiting []*write
	busy    bool // a goroutine serves the line; it lives only while it has work
}

type write struct {
	ctx   context.Context
	do    func(*sql.Tx) error
	err   error
	ended chan struct{}
}

// run makes one write. One that ctx ends before its turn is not made.
func (l *line) run(ctx context.Context, do func(*sql.Tx) error) error {
	w := &write{ctx: ctx, do: do, ended: make(chan struct{})}
	l.mu.Lock()
	l.waiting = append(l.waiting, w)
	if !l.busy {
		l.busy = true
		go l.serve()
	}
	l.mu.Unlock()
	select {
	case <-w.ended:
		return w.err
	case <-ctx.Done():
	}
	l.mu.Lock()
	at := slices.Index(l.waiting, w)
	if at >= 0 {
		l.waiting = slices.Delete(l.waiting, at, at+1)
	}
	l.mu.Unlock()
	if at >= 0 {
		return ctx.Err()
	}
	<-w.ended // it is under way
	return w.err
}

func (l *line) serve() {
	for {
		runtime.Gosched() // whoever can write now comes into this group
		l.mu.Lock()
		group := slices.Clone(l.waiting[:min(len(l.waiting), mostTogether)])
		l.waiting = slices.Delete(l.waiting, 0, len(group))
		l.busy = len(group) > 0
		l.mu.Unlock()
		if len(group) == 0 {
			return
		}
		if len(group) == 1 || l.together(group) != nil {
			for _, w := range group {
				w.err = l.alone(w)
			}
		}
		for _, w := range group {
			close(w.ended)
		}
	}
}

// begin begins a transaction in which the statements of every message are
// parsed.
func (l *line) begin(ctx context.Context) (*sql.Tx, error) {
	for _, query := range []string{addKey, addDelivery, dropDelivery, putMemory, addWait, putSpoken} {
		if _, err := l.often.of(ctx, query); err != nil {
			return nil, err
		}
	}
	return l.db.BeginTx(ctx, nil)
}

// alone makes one write in a transaction of its own.
func (l *line) alone(w *write) error {
	tx, err := l.begin(w.ctx)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := w.do(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// together makes several writes in one transaction. An error means that none was
// made.
func (l *line) together(group []*write) error {
	tx, err := l.begin(soonest(group))
	if err != nil {
		return err
	}
	defer tx.Rollback()
	for _, w := range group {
		if err := w.do(tx); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// soonest is the context of a group that ends first, as far as is known: no
// write is held up longer than it may be.
func soonest(group []*write) context.Context {
	first := group[0].ctx
	for _, w := range group[1:] {
		at, bounded := w.ctx.Deadline()
		end, known := first.Deadline()
		if bounded && (!known || at.Before(end)) {
			first = w.ctx
		}
	}
	return first
}
