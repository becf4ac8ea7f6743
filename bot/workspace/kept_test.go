package workspace_test

import (
	"path/filepath"
	"testing"

	"presshand/bot/bottest/workspace/kept"
	"presshand/bot/workspace"
)

func TestMemoryInbox(t *testing.T) {
	kept.Inbox(t, func(*testing.T) workspace.Inbox { return workspace.NewMemoryInbox() }, false)
}

func TestFileInbox(t *testing.T) {
	path := filepath.Join(t.TempDir(), "inbox")
	kept.Inbox(t, func(t *testing.T) workspace.Inbox {
		box, err := openFileInbox(path)
		if err != nil {
			t.Fatal(err)
		}
		return box
	}, true)
}

func TestMemoryThreads(t *testing.T) {
	kept.Threads(t, func(*testing.T) workspace.Threads { return workspace.NewMemoryThreads() }, false)
}
