package terminal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
)

// A Talk answers one line. An error is told and does not end the talk.
type Talk func(ctx context.Context, line string) error

// maxLine bounds one message on standard input, in bytes: more than the
// longest message that is read (20,000 characters of four bytes), so that an
// overlong one is told as such.
const maxLine = 1 << 20

// Lines reads messages from in, one a line, until its end. Faults of single
// messages, an empty line among them, go to errs, so that whoever drives the
// talk does not lose step; the first of them is returned at the end.
func Lines(ctx context.Context, in io.Reader, errs io.Writer, talk Talk) error {
	var first error
	scanner := bufio.NewScanner(in)
	scanner.Buffer(make([]byte, 0, 64<<10), maxLine)
	for scanner.Scan() {
		if err := ctx.Err(); err != nil {
			return err
		}
		line := scanner.Text()
		if err := talk(ctx, line); err != nil {
			fmt.Fprintln(errs, "presshand:", err)
			if first == nil {
				first = err
			}
		}
	}
	if err := scanner.Err(); err != nil {
		return fmt.Errorf("reading standard input: %w: send one message a line, of less than %d bytes", err, maxLine)
	}
	return first
}

// Edit holds a conversation on a terminal, with line editing and history
// (arrow keys). It ends at the end of input, or at "bye" typed alone or
// control-D.
func Edit(ctx context.Context, in, out *os.File, errs io.Writer, colour bool, talk func(ctx context.Context, line string, out io.Writer) error) error {
	state, err := term.MakeRaw(int(in.Fd()))
	if err != nil {
		return fmt.Errorf("setting up the terminal: %w: use ask, or send lines on standard input", err)
	}
	defer term.Restore(int(in.Fd()), state)
	prompt := "> "
	if colour {
		prompt = bold + "> " + plain
	}
	t := term.NewTerminal(struct {
		io.Reader
		io.Writer
	}{in, out}, prompt)
	if w, h, err := term.GetSize(int(out.Fd())); err == nil && w > 0 {
		_ = t.SetSize(w, h) // a terminal that can't tell its size keeps the default
	}
	for ctx.Err() == nil {
		line, err := t.ReadLine()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil && !errors.Is(err, term.ErrPasteIndicator) {
			return err
		}
		if strings.TrimSpace(line) == "" {
			continue
		}
		if err := talk(ctx, line, t); err != nil {
			fmt.Fprintln(t, "presshand:", err)
		}
	}
	return ctx.Err()
}
