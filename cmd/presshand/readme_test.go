package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The README's conversation is held as it stands there: its questions are
// asked in order, and the answers must be those printed. -update rewrites them.
func TestReadmeDialogue(t *testing.T) {
	const path = "../../README.md"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const open, end = "compares -->\n```text\n", "```\n"
	head, rest, ok := strings.Cut(string(text), open)
	if !ok {
		t.Fatal("README.md has no marked conversation")
	}
	dialogue, tail, ok := strings.Cut(rest, end)
	if !ok {
		t.Fatal("README.md: the conversation does not end")
	}
	var questions []string
	for line := range strings.Lines(dialogue) {
		if q, ok := strings.CutPrefix(line, "> "); ok {
			questions = append(questions, strings.TrimSpace(q))
		}
	}
	if len(questions) < 5 {
		t.Fatalf("the conversation has %d questions, want at least 5", len(questions))
	}
	got := hold(t, questions)
	if *update {
		if err := os.WriteFile(path, []byte(head+open+got+end+tail), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(dialogue, got); diff != "" {
		t.Errorf("the README's conversation went otherwise (-README +now); go test ./cmd/presshand -run Readme -update rewrites it:\n%s", diff)
	}
}

// hold holds a conversation at ten in the morning of the README's Wednesday.
func hold(t *testing.T, questions []string) string {
	t.Helper()
	var out bytes.Buffer
	s := &session{ctx: context.Background(), flags: &commands{Now: "2026-11-25T10:00:00-05:00"}, getenv: func(string) string { return "" }, streams: Streams{Out: &out, Err: os.Stderr}}
	h, err := s.open()
	if err != nil {
		t.Fatal(err)
	}
	for i, q := range questions {
		if i > 0 {
			out.WriteString("\n")
		}
		out.WriteString("> " + q + "\n")
		if err := s.show(h.bot.Handle(s.ctx, fromTerminal(q, "readme")), false, &out); err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}

// The README's two commands stand as CI and a new hand run them.
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, command := range []string{
		"go run ./cmd/presshand ask \"24 black cotton tees, 9x7 front, need it Friday\"",
		"go test ./...",
	} {
		if !strings.Contains(string(text), "```sh\n"+command+"\n```") {
			t.Errorf("README.md lacks the command %q in a block of its own", command)
		}
	}
}
