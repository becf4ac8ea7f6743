package terminal

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/reply"
)

func sample() reply.Reply {
	return reply.Reply{
		Lines:       []string{"Wait 10 min.", "Then peel."},
		Tables:      []reply.Table{{Header: []string{"a", "b"}, Rows: [][]string{{"1", "2"}}}},
		Cautions:    []reply.Caution{{ID: "hot", Text: "It is hot."}},
		Assumptions: []string{"cotton"},
		Suggestions: []string{"why?"},
		Private:     []string{"For you only."},
	}
}

// Off a terminal the text is plain; it says what the reply's own text says, and
// the private line besides.
func TestPlain(t *testing.T) {
	var out bytes.Buffer
	if err := (Face{Out: &out}).Write(sample()); err != nil {
		t.Fatal(err)
	}
	want := "Wait 10 min.\nThen peel.\n  a  b\n  1  2\nI took: cotton.\nFor you only.\nCareful: It is hot.\nNext: why?\n"
	if diff := cmp.Diff(want, out.String()); diff != "" {
		t.Error(diff)
	}
}

// On a terminal only emphasis is added.
func TestColour(t *testing.T) {
	var plainOut, coloured bytes.Buffer
	if err := (Face{Out: &plainOut}).Write(sample()); err != nil {
		t.Fatal(err)
	}
	if err := (Face{Out: &coloured, Colour: true}).Write(sample()); err != nil {
		t.Fatal(err)
	}
	stripped := strings.NewReplacer(bold, "", yellow, "", faint, "", plain, "").Replace(coloured.String())
	if stripped == coloured.String() {
		t.Error("no emphasis")
	}
	if diff := cmp.Diff(plainOut.String(), stripped); diff != "" {
		t.Error(diff)
	}
}

// Nothing a user wrote can steer the terminal.
func TestControlCharacters(t *testing.T) {
	var out bytes.Buffer
	if err := (Face{Out: &out}).Write(reply.Reply{Lines: []string{"a\x1b[2Jb\x07c\r\u202ed\u009be"}}); err != nil {
		t.Fatal(err)
	}
	if got := out.String(); got != "a[2Jbcde\n" {
		t.Errorf("got %q", got)
	}
}

// Lines are taken one by one; a fault of one is told, the rest go on, and the
// first fault decides how the talk ends.
func TestLines(t *testing.T) {
	bad := errors.New("too long")
	var got []string
	var errs bytes.Buffer
	err := Lines(context.Background(), strings.NewReader("one\nbad\n\ntwo"), &errs, func(_ context.Context, line string) error {
		got = append(got, line)
		if line == "bad" {
			return bad
		}
		return nil
	})
	if !errors.Is(err, bad) || errs.String() != "presshand: too long\n" {
		t.Errorf("error %v, told %q", err, errs.String())
	}
	if diff := cmp.Diff([]string{"one", "bad", "", "two"}, got); diff != "" {
		t.Error(diff)
	}
}

// A line beyond all bounds ends the talk with a word on the bound.
func TestEndlessLine(t *testing.T) {
	err := Lines(context.Background(), strings.NewReader(strings.Repeat("x", maxLine+1)), &bytes.Buffer{}, func(context.Context, string) error { return nil })
	if err == nil || !strings.Contains(err.Error(), "one message a line") {
		t.Errorf("error %v", err)
	}
}
