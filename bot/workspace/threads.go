package workspace

import (
	"context"
	"sync"
)

// Threads knows the conversations the bot has answered in, where it needs no
// mention any more.
type Threads interface {
	Joined(ctx context.Context, conversation string) (bool, error)
	Join(ctx context.Context, conversation string) error
}

// maxThreads bounds the memory of MemoryThreads; the first joined are
// forgotten first.
const maxThreads = 20000

// MemoryThreads is a Threads that lasts as long as the program.
type MemoryThreads struct {
	mu     sync.Mutex
	joined map[string]bool
	order  []string
}

// NewMemoryThreads returns an empty one.
func NewMemoryThreads() *MemoryThreads { return &MemoryThreads{joined: map[string]bool{}} }

// Joined implements Threads. It never fails.
func (t *MemoryThreads) Joined(_ context.Context, conversation string) (bool, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.joined[conversation], nil
}

// Join implements Threads. It never fails.
func (t *MemoryThreads) Join(_ context.Context, conversation string) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.joined[conversation] {
		return nil
	}
	t.joined[conversation] = true
	t.order = append(t.order, conversation)
	if len(t.order) > maxThreads {
		delete(t.joined, t.order[0])
		t.order = append([]string(nil), t.order[1:]...)
	}
	return nil
}
