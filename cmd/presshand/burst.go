package main

import (
	"runtime/debug"
	"sync"

	"presshand/bot/workspace"
)

const (
	// burstQueue is how many messages wait where a burst is taken to begin: more
	// than a shop writes in a second.
	burstQueue = 64
	// burstGCPercent is how far the heap may grow while a burst is answered.
	// Collecting as often as bot.GCPercent asks takes a fifth of the processors'
	// time then, and the memory is given back after it.
	burstGCPercent = 200
)

// A burstMeter lets the heap grow further while many messages wait, and as
// usual again when none does.
type burstMeter struct {
	workspace.Meter
	mu    sync.Mutex
	burst bool
	usual int
}

// Queue implements workspace.Meter.
func (m *burstMeter) Queue(n int) {
	m.Meter.Queue(n)
	m.mu.Lock()
	defer m.mu.Unlock()
	switch {
	case !m.burst && n >= burstQueue:
		m.burst, m.usual = true, debug.SetGCPercent(burstGCPercent)
		if m.usual < 0 || m.usual > burstGCPercent { // someone chose so (GOGC)
			debug.SetGCPercent(m.usual)
		}
	case m.burst && n == 0:
		debug.SetGCPercent(m.usual)
		m.burst = false
	}
}
