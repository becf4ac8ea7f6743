package rephrase

import (
	"container/list"
	"sync"
)

// mostKept bounds the cache: a shop's staff ask a few hundred different
// things, each below some kilobytes.
const mostKept = 512

// A cache keeps accepted rewordings by the masked text they reword, so by what
// an answer means and not by its figures.
type cache struct {
	mu    sync.Mutex
	items map[string]*list.Element
	order *list.List
}

type cached struct{ key, text string }

func newCache() *cache { return &cache{items: map[string]*list.Element{}, order: list.New()} }

func (c *cache) get(key string) (string, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.items[key]
	if !ok {
		return "", false
	}
	c.order.MoveToFront(e)
	return e.Value.(cached).text, true
}

func (c *cache) put(key, text string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, ok := c.items[key]; ok {
		return
	}
	c.items[key] = c.order.PushFront(cached{key, text})
	if c.order.Len() > mostKept {
		last := c.order.Back()
		c.order.Remove(last)
		delete(c.items, last.Value.(cached).key)
	}
}
