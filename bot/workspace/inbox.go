package workspace

import (
	"context"
	"sync"
	"time"
)

// An Item is one delivery of the platform, kept until it is answered.
type Item struct {
	// Keys name what the delivery is about; a later delivery that shares one
	// of them is a repeat. The first is the item's id.
	Keys    []string
	Kind    string // envelope type: "events_api", "slash_commands", "interactive"
	Payload []byte // as delivered
	At      time.Time
}

// ID is the item's first key.
func (it Item) ID() string { return it.Keys[0] }

// An Inbox keeps deliveries. It must remember keys for at least ten minutes,
// the longest time after which the platform still repeats one.
type Inbox interface {
	// Add keeps the items none of whose keys was seen before and reports
	// which those are. They are kept for good when it returns.
	Add(ctx context.Context, items []Item) (fresh []bool, err error)
	// Done notes that an item needs no more work.
	Done(ctx context.Context, id string) error
	// Open lists the items added and not done, oldest first.
	Open(ctx context.Context) ([]Item, error)
}

// keyLife is how long the memory inbox knows a key. The platform's last repeat
// comes about six minutes after the first try.
const keyLife = time.Hour

// MemoryInbox is an Inbox that lasts as long as the program. The zero value is
// not ready; use NewMemoryInbox.
type MemoryInbox struct {
	mu    sync.Mutex
	seen  map[string]time.Time
	open  map[string]Item
	order []string // ids of open items, oldest first; done ones are skipped
	swept time.Time
}

// NewMemoryInbox returns an empty inbox.
func NewMemoryInbox() *MemoryInbox {
	return &MemoryInbox{seen: map[string]time.Time{}, open: map[string]Item{}, swept: time.Now()}
}

// Add implements Inbox. It never fails.
func (m *MemoryInbox) Add(_ context.Context, items []Item) ([]bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	now := time.Now()
	m.sweep(now)
	fresh := make([]bool, len(items))
	for i, it := range items {
		fresh[i] = !m.known(it)
		for _, key := range it.Keys {
			m.seen[key] = now
		}
		if fresh[i] {
			m.open[it.ID()] = it
			m.order = append(m.order, it.ID())
		}
	}
	return fresh, nil
}

func (m *MemoryInbox) known(it Item) bool {
	for _, key := range it.Keys {
		if _, ok := m.seen[key]; ok {
			return true
		}
	}
	return false
}

// sweep forgets old keys and the places of items that are done.
func (m *MemoryInbox) sweep(now time.Time) {
	if now.Sub(m.swept) < keyLife/4 {
		return
	}
	m.swept = now
	for key, at := range m.seen {
		if now.Sub(at) > keyLife {
			delete(m.seen, key)
		}
	}
	kept := m.order[:0:0]
	for _, id := range m.order {
		if _, ok := m.open[id]; ok {
			kept = append(kept, id)
		}
	}
	m.order = kept
}

// Done implements Inbox.
func (m *MemoryInbox) Done(_ context.Context, id string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.open, id)
	return nil
}

// Open implements Inbox.
func (m *MemoryInbox) Open(context.Context) ([]Item, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var items []Item
	for _, id := range m.order {
		if it, ok := m.open[id]; ok {
			items = append(items, it)
		}
	}
	return items, nil
}
