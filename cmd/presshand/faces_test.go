package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/terminal"
	"presshand/bot/workspace"
)

const heldAt = "2026-11-25T10:00:00-05:00"

// A transcript is a conversation: what is typed, and the file's whole text.
type transcript struct {
	name, text string
	questions  []string
}

func transcripts(t *testing.T) []transcript {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/transcripts/*.txt")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no transcripts: %v", err)
	}
	var out []transcript
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		tr := transcript{name: path, text: string(text)}
		for line := range strings.Lines(tr.text) {
			if q, ok := strings.CutPrefix(line, "> "); ok {
				tr.questions = append(tr.questions, strings.TrimSuffix(q, "\n"))
			}
		}
		out = append(out, tr)
	}
	return out
}

func heldHouse(t *testing.T) *house {
	t.Helper()
	s := &session{ctx: context.Background(), flags: &commands{Now: heldAt}, getenv: func(string) string { return "" }, streams: Streams{Out: os.Stdout, Err: os.Stderr}}
	h, err := s.open()
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Every transcript goes as it is written down, on a terminal.
func TestFacesTerminal(t *testing.T) {
	for _, tr := range transcripts(t) {
		t.Run(filepath.Base(tr.name), func(t *testing.T) {
			h := heldHouse(t)
			var out bytes.Buffer
			for i, q := range tr.questions {
				if i > 0 {
					out.WriteString("\n")
				}
				out.WriteString("> " + q + "\n")
				r := h.bot.Handle(context.Background(), fromTerminal(q, tr.name))
				if err := (terminal.Face{Out: &out}).Write(r); err != nil {
					t.Fatal(err)
				}
			}
			if *update {
				if err := os.WriteFile(tr.name, out.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(tr.text, out.String()); diff != "" {
				t.Errorf("(-written down +now):\n%s", diff)
			}
		})
	}
}

// The workspace says what the terminal says: every line, caution and table
// cell of a reply stands in what is posted, and nothing foreign can ping.
func TestFacesWorkspace(t *testing.T) {
	for _, tr := range transcripts(t) {
		t.Run(filepath.Base(tr.name), func(t *testing.T) {
			h := heldHouse(t)
			synctest.Test(t, func(t *testing.T) {
				fake := fakeworkspace.Start()
				defer fake.Close()
				fake.Limit(1000, time.Millisecond) // this test is about words, not pace
				var said []reply.Reply
				ws, err := workspace.New(workspace.Config{
					BotToken: fakeworkspace.BotToken, AppToken: fakeworkspace.AppToken, APIURL: fake.URL(), Dial: fake.Dial,
					Handler: workspace.HandlerFunc(func(ctx context.Context, m workspace.Message) reply.Reply {
						m.At = time.Time{} // the house's clock stands still
						r := h.handle(ctx, m)
						said = append(said, r)
						return r
					}),
				})
				if err != nil {
					t.Fatal(err)
				}
				ctx, cancel := context.WithCancel(t.Context())
				ended := make(chan error, 1)
				go func() { ended <- ws.Run(ctx) }()
				defer func() {
					cancel()
					if err := <-ended; err != nil {
						t.Error(err)
					}
				}()
				synctest.Wait()
				for _, q := range tr.questions {
					fake.Write(fakeworkspace.Say{Channel: "D1", User: "U1", Text: q})
					time.Sleep(5 * time.Second)
					synctest.Wait()
				}
				answers := fake.Answers("D1")
				if len(answers) != len(tr.questions) || len(said) != len(tr.questions) {
					t.Fatalf("%d answers, %d replies to %d questions", len(answers), len(said), len(tr.questions))
				}
				for i, r := range said {
					posted := shownText(t, answers[i])
					for _, want := range wanted(r) {
						if !strings.Contains(posted, plainWords(want)) {
							t.Errorf("%q: the workspace does not say %q", tr.questions[i], want)
						}
					}
					for _, ping := range []string{"<!channel", "<!here", "<@U123"} {
						if strings.Contains(answers[i].Text, ping) || strings.Contains(string(answers[i].Blocks), ping) {
							t.Errorf("%q: the answer could ping: %s", tr.questions[i], ping)
						}
					}
				}
			})
		})
	}
}

// wanted is what a face must not lose of a reply.
func wanted(r reply.Reply) []string {
	out := append([]string{}, r.Lines...)
	for _, c := range r.Cautions {
		out = append(out, c.Text)
	}
	for _, t := range r.Tables {
		for _, row := range append([][]string{t.Header}, t.Rows...) {
			out = append(out, row...)
		}
	}
	return append(out, r.Assumptions...)
}

// shownText is all text of a posted message, as words.
func shownText(t *testing.T, m fakeworkspace.Message) string {
	t.Helper()
	var b strings.Builder
	var walk func(v any)
	walk = func(v any) {
		switch x := v.(type) {
		case string:
			b.WriteString(x + " ")
		case []any:
			for _, y := range x {
				walk(y)
			}
		case map[string]any:
			for _, key := range []string{"text", "elements", "rows", "fields", "blocks", "element"} {
				walk(x[key])
			}
			// Rows of a table and further nesting come as lists of cells.
		}
	}
	var blocks any
	if err := json.Unmarshal(m.Blocks, &blocks); err != nil {
		t.Fatalf("blocks: %v", err)
	}
	walk(blocks)
	b.WriteString(m.Text)
	return plainWords(b.String())
}

// plainWords folds what the platform's markup changes: escapes, blanks, marks.
func plainWords(s string) string {
	s = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&", "*", "", "_", "", "~", "", "`", "", "‹", "<", "›", ">").Replace(s)
	return strings.Join(strings.Fields(s), " ")
}
