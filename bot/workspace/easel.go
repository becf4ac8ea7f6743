package workspace

import (
	"context"
	"fmt"
	"sync"
	"time"

	"presshand/bot/reply"
)

// drawLater is how long a picture waits at most for others' answers to be worked
// out. A burst is over sooner; where it is not, pictures come one by one.
const drawLater = time.Second

// An easel draws one file at a time, as a drawing takes megabytes, and while
// nobody waits for an answer: the text that others wait for comes first, and
// nobody misses a picture for a moment who can read what it says.
type easel struct {
	turn chan struct{} // holds a token while a file is drawn

	mu   sync.Mutex
	open int           // messages whose answer is being worked out
	idle chan struct{} // closed while there are none
}

func newEasel() *easel {
	e := &easel{turn: make(chan struct{}, 1), idle: make(chan struct{})}
	close(e.idle)
	return e
}

// asked notes that a message waits for its answer; answered, that it does no
// more.
func (e *easel) asked() {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.open == 0 {
		e.idle = make(chan struct{})
	}
	e.open++
}

func (e *easel) answered() {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.open--; e.open == 0 {
		close(e.idle)
	}
}

// draw makes what a file holds once it is its turn. A panic comes back as an
// error: the answer stands, and so may its other files.
func (e *easel) draw(ctx context.Context, f reply.File) (data []byte, err error) {
	select {
	case e.turn <- struct{}{}:
		defer func() { <-e.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if err := e.rest(ctx); err != nil {
		return nil, err
	}
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("draw %q: panic: %s", f.Name, faultKind(fault))
		}
	}()
	if data, err = f.Draw(); err != nil {
		return nil, fmt.Errorf("draw %q: %w", f.Name, err)
	}
	return data, nil
}

// rest waits until no message waits for its answer, or drawLater.
func (e *easel) rest(ctx context.Context) error {
	e.mu.Lock()
	idle := e.idle
	e.mu.Unlock()
	late := time.NewTimer(drawLater)
	defer late.Stop()
	select {
	case <-idle:
	case <-late.C:
	case <-ctx.Done():
	}
	return ctx.Err()
}
