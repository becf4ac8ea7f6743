package rephrase

import (
	"sync"
	"time"
)

const (
	// failures in a row after which the model is left alone: one slow answer is
	// chance, three cost their askers six seconds.
	failures = 3
	// rest is how long it is left alone: a local server loads a model in
	// about a minute.
	rest = time.Minute
)

// A breaker stops asking after repeated failure; after a rest one try is let
// through.
type breaker struct {
	mu    sync.Mutex
	row   int
	until time.Time
}

// ready reports whether to ask now.
func (b *breaker) ready(now time.Time) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.row < failures {
		return true
	}
	if now.Before(b.until) {
		return false
	}
	b.until = now.Add(rest) // this one try
	return true
}

// tell records how a try went.
func (b *breaker) tell(ok bool, now time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if ok {
		b.row = 0
		return
	}
	if b.row++; b.row >= failures {
		b.until = now.Add(rest)
	}
}
