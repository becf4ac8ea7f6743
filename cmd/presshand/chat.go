package main

import (
	"context"
	"io"
	"os"

	"golang.org/x/term"

	"presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/bot/terminal"
)

// chatCommand holds a conversation.
type chatCommand struct {
	Rephrase bool `help:"Let the model of PRESSHAND_MODEL_URL reword the answer, behind a guard."`
	JSON     bool `name:"json" help:"One answer object a line, flushed after each message."`
}

// Run implements the command.
func (c *chatCommand) Run(s *session) error {
	s.rephrase = c.Rephrase
	h, err := s.open()
	if err != nil {
		return err
	}
	talk := func(ctx context.Context, line string, out io.Writer) error {
		m := fromTerminal(line, atTerminal)
		if err := m.Readable(); err != nil {
			return err
		}
		over := h.overHere(ctx)
		h.rules.look()
		r := h.bot.Handle(ctx, m)
		if c.JSON { // one object a message: what is over stands in it
			for _, o := range over {
				r.Lines, r.Facts = append(r.Lines, o.Lines...), append(r.Facts, o.Facts...)
			}
			return s.show(r, true, out)
		}
		for _, o := range over {
			if err := s.show(o, false, out); err != nil {
				return err
			}
		}
		return s.show(r, false, out)
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

// atTerminal names the conversation held here.
const atTerminal = "terminal"

// overHere tells the waits of this conversation, or of single questions, that
// are over, each once.
func (h *house) overHere(ctx context.Context) []reply.Reply {
	if h.store == nil {
		return nil
	}
	waits, err := h.store.RunningWaits(ctx)
	if err != nil {
		return nil // the answer itself says what is wrong with the store
	}
	var out []reply.Reply
	for _, w := range waits {
		if w.Until.After(h.now()) || w.Conversation != atTerminal && w.Conversation != "" {
			continue
		}
		w.State = answer.WaitTold
		if err := h.store.ChangeWait(ctx, w); err == nil {
			out = append(out, h.bot.Desk().Over(w, h.now()))
		}
	}
	return out
}
