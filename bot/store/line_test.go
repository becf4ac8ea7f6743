package store_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"presshand/bot/answer"
	"presshand/bot/store"
)

// Writes that come at the same time share transactions: each is made or fails
// by itself, whatever becomes of the others.
func TestWritesTogether(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	first, err := s.Keep(ctx, kept("choir", 1, answer.Priced))
	if err != nil {
		t.Fatal(err)
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	const writers = 200
	errs := make([]error, writers)
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			switch i % 4 {
			case 0: // one of these changes the order, the others come too late
				k := first
				k.Due = now.Add(time.Duration(i+1) * time.Hour)
				_, errs[i] = s.Change(ctx, k, fmt.Sprint("T1/U", i), now)
			case 1:
				if _, err := s.Keep(gone, kept("never", 1000+i, answer.Open)); !errors.Is(err, context.Canceled) {
					t.Errorf("a write nobody waits for: %v", err)
				}
				// It fails half-way: its key is written, its empty payload is refused.
				_, errs[i] = s.AddDeliveries(ctx, []store.Delivery{{Keys: []string{fmt.Sprint("half ", i)}, At: now}})
			case 2:
				_, errs[i] = s.Keep(ctx, kept("club", 1000+i, answer.Open))
			case 3:
				_, errs[i] = s.AddDeliveries(ctx, []store.Delivery{{Keys: []string{fmt.Sprint("key ", i)}, Payload: []byte("{}"), At: now}})
			}
		})
	}
	wg.Wait()
	changed := 0
	for i, err := range errs {
		switch i % 4 {
		case 0:
			if err == nil {
				changed++
			} else if !errors.Is(err, answer.ErrChanged) {
				t.Errorf("a change too late: %v, want ErrChanged", err)
			}
		case 1:
			fresh, again := s.AddDeliveries(ctx, []store.Delivery{{Keys: []string{fmt.Sprint("half ", i)}, Payload: []byte("{}"), At: now}})
			if err == nil || again != nil || !fresh[0] {
				t.Errorf("a write that failed (%v) left something behind: %v, %v", err, fresh, again)
			}
		default:
			if err != nil {
				t.Errorf("write %d: %v", i, err)
			}
		}
	}
	s.Close()
	s = open(t, dir)
	orders, err := s.Find(ctx, answer.OrderQuery{})
	if err != nil {
		t.Fatal(err)
	}
	open, err := s.OpenDeliveries(ctx)
	if err != nil {
		t.Fatal(err)
	}
	history, err := s.History(ctx, first.Number)
	if err != nil {
		t.Fatal(err)
	}
	if changed != 1 || len(history) != 2 || len(orders) != 1+writers/4 || len(open) != writers/2 {
		t.Errorf("%d changes of %d in the history, %d orders, %d deliveries; want 1 of 2, %d, %d", changed, len(history), len(orders), len(open), 1+writers/4, writers/2)
	}
}

// What one of many waiting writes takes.
func BenchmarkWritesTogether(b *testing.B) {
	s, err := store.Open(ctx, b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	b.SetParallelism(100)
	var n atomic.Int64
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if err := s.Join(ctx, fmt.Sprint("T1/C1/", n.Add(1))); err != nil {
				b.Error(err)
			}
		}
	})
}
