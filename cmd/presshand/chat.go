package main

import (
	"context"
	"io"
	"os"

	"golang.org/x/term"

	"presshand/bot/terminal"
)

// chatCommand holds a conversation.
type chatCommand struct {
	JSON bool `name:"json" help:"One answer object a line, flushed after each message."`
}

// Run implements the command.
func (c *chatCommand) Run(s *session) error {
	h, err := s.open()
	if err != nil {
		return err
	}
	talk := func(ctx context.Context, line string, out io.Writer) error {
		m := fromTerminal(line, "terminal")
		if err := m.Readable(); err != nil {
			return err
		}
		return s.show(h.bot.Handle(ctx, m), c.JSON, out)
	}
	in, ok := s.streams.In.(*os.File)
	out, ok2 := s.streams.Out.(*os.File)
	if ok && ok2 && !c.JSON && term.IsTerminal(int(in.Fd())) && term.IsTerminal(int(out.Fd())) {
		return terminal.Edit(s.ctx, in, out, s.streams.Err, s.colour(), talk)
	}
	return terminal.Lines(s.ctx, s.streams.In, s.streams.Err, func(ctx context.Context, line string) error {
		return talk(ctx, line, s.streams.Out)
	})
}
