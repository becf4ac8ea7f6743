package terminal

import (
	"fmt"
	"io"
	"strings"

	"presshand/bot/reply"
)

// A Face writes replies.
type Face struct {
	Out    io.Writer
	Colour bool   // emphasis by escape sequences; only for terminals
	Folder string // where pictures were written, "" where they were not
}

// Escape sequences of ECMA-48, select graphic rendition.
const (
	bold   = "\x1b[1m"
	yellow = "\x1b[33m"
	faint  = "\x1b[2m"
	plain  = "\x1b[0m"
)

// Write writes one reply, with a final newline.
func (f Face) Write(r reply.Reply) error {
	var b strings.Builder
	line := func(style, text string) {
		text = printable(text)
		if f.Colour && style != "" && text != "" {
			text = style + text + plain
		}
		b.WriteString(text)
		b.WriteByte('\n')
	}
	for i, l := range r.Lines {
		if i == 0 {
			line(bold, l)
		} else {
			line("", l)
		}
	}
	for _, t := range r.Tables {
		for _, l := range strings.Split(t.Text(), "\n") {
			line("", l)
		}
	}
	if taken := r.Taken(); taken != "" {
		line("", taken)
	}
	for _, p := range r.Private {
		line("", p)
	}
	for _, c := range r.Cautions {
		line(yellow, r.Labels().Careful+" "+c.Text)
	}
	for _, file := range r.Files {
		if f.Folder != "" {
			line(faint, fmt.Sprintf("Picture: %s (%s)", file.Name, file.Alt))
		}
	}
	if len(r.Suggestions) > 0 {
		line(faint, r.Labels().Next+" "+strings.Join(r.Suggestions, " · "))
	}
	_, err := io.WriteString(f.Out, b.String())
	return err
}

// printable drops control characters, so that nothing a user wrote can steer
// the terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, s)
}
