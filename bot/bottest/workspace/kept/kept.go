// Package kept holds the tests that every keeper of workspace state must pass:
// inboxes and thread lists, in memory or on disk.
//
// It says what a keeper promises; it does not test how one survives a crash in
// the middle of a write.
package kept

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/workspace"
)

// Inbox checks an inbox. open opens it anew each time, over the same state
// where it lasts; lasting says whether it does.
func Inbox(t *testing.T, open func(t *testing.T) workspace.Inbox, lasting bool) {
	t.Helper()
	ctx := context.Background()
	at := time.Date(2026, 11, 25, 9, 0, 0, 123456000, time.UTC)
	item := func(n int, keys ...string) workspace.Item {
		return workspace.Item{Keys: keys, Kind: "events_api", Payload: []byte(fmt.Sprintf(`{"n":%d}`, n)), At: at.Add(time.Duration(n) * time.Second)}
	}
	box := open(t)
	add := func(want []bool, items ...workspace.Item) {
		t.Helper()
		fresh, err := box.Add(ctx, items)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(want, fresh) {
			t.Errorf("fresh: %v, want %v", fresh, want)
		}
	}
	left := func(want ...string) {
		t.Helper()
		items, err := box.Open(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, it := range items {
			ids = append(ids, it.ID())
		}
		if !slices.Equal(want, ids) {
			t.Errorf("open: %v, want %v", ids, want)
		}
	}
	done := func(id string) {
		t.Helper()
		if err := box.Done(ctx, id); err != nil {
			t.Fatal(err)
		}
	}

	left()
	add(nil)
	add([]bool{true, true}, item(1, "message/a", "event/1"), item(2, "message/b", "event/2"))
	left("message/a", "message/b")
	// A repeat under either key, in one group or over two.
	add([]bool{false}, item(1, "message/a", "event/9"))
	add([]bool{false}, item(1, "message/z", "event/2"))
	add([]bool{true, false}, item(3, "message/c", "event/3"), item(3, "message/c", "event/4"))
	// The keys of a repeat are known from then on.
	add([]bool{false}, item(3, "message/y", "event/4"))
	done("message/a")
	done("message/a")
	done("never added")
	left("message/b", "message/c")
	add([]bool{false}, item(1, "message/a"))
	left("message/b", "message/c")

	if lasting {
		box = open(t)
		left("message/b", "message/c")
		add([]bool{false, false}, item(1, "message/a"), item(2, "message/b"))
	}
	items, err := box.Open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	want := item(2, "message/b", "event/2")
	if diff := cmp.Diff(want.Payload, items[0].Payload); diff != "" {
		t.Errorf("payload: %s", diff)
	}
	if items[0].Kind != want.Kind || items[0].At.Sub(want.At).Abs() > time.Millisecond || items[0].ID() != want.ID() {
		t.Errorf("kept %+v, want %+v", items[0], want)
	}
}

// Threads checks a thread list, as Inbox does an inbox.
func Threads(t *testing.T, open func(t *testing.T) workspace.Threads, lasting bool) {
	t.Helper()
	ctx := context.Background()
	list := open(t)
	joined := func(conversation string, want bool) {
		t.Helper()
		got, err := list.Joined(ctx, conversation)
		if err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("%s joined: %v", conversation, got)
		}
	}
	joined("T/C/1", false)
	for range 2 {
		if err := list.Join(ctx, "T/C/1"); err != nil {
			t.Fatal(err)
		}
	}
	joined("T/C/1", true)
	joined("T/C/2", false)
	if lasting {
		list = open(t)
		joined("T/C/1", true)
	}
}
