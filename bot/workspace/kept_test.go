package workspace_test

import (
	"testing"

	"presshand/bot/bottest/workspace/kept"
	"presshand/bot/workspace"
)

func TestMemoryInbox(t *testing.T) {
	kept.Inbox(t, func(*testing.T) workspace.Inbox { return workspace.NewMemoryInbox() }, false)
}

func TestMemoryThreads(t *testing.T) {
	kept.Threads(t, func(*testing.T) workspace.Threads { return workspace.NewMemoryThreads() }, false)
}
