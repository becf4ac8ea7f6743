package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"presshand/bot"
	"presshand/bot/reply"
	"presshand/bot/terminal"
)

// askCommand answers one question and ends.
type askCommand struct {
	Rephrase bool     `help:"Let the model of PRESSHAND_MODEL_URL reword the answer, behind a guard."`
	JSON     bool     `name:"json" help:"Write the answer object."`
	Text     []string `arg:"" help:"The question or order."`
}

// Run implements the command.
func (c *askCommand) Run(s *session) error {
	m := fromTerminal(strings.Join(c.Text, " "), "")
	if err := m.Readable(); err != nil {
		return err
	}
	s.rephrase = c.Rephrase
	h, err := s.open()
	if err != nil {
		return err
	}
	return s.show(h.bot.Handle(s.ctx, m), c.JSON, s.streams.Out)
}

// fromTerminal is a message typed here: whoever sits at the shop's own machine
// counts as its owner.
func fromTerminal(text, conversation string) bot.Message {
	return bot.Message{Text: text, Conversation: conversation, User: "terminal", Owner: true}
}

// show writes a reply as text or as an answer object on one line.
func (s *session) show(r reply.Reply, asJSON bool, out io.Writer) error {
	if r.Note != "" {
		fmt.Fprintln(s.streams.Err, "presshand:", r.Note)
	}
	if asJSON {
		data, err := json.Marshal(r)
		if err != nil {
			return fmt.Errorf("writing the answer: %w", err)
		}
		_, err = out.Write(append(data, '\n'))
		return err
	}
	return terminal.Face{Out: out, Colour: s.colour()}.Write(r)
}

// colour reports whether to use emphasis: only on a terminal, and not where
// NO_COLOR is set to anything.
func (s *session) colour() bool {
	if s.getenv("NO_COLOR") != "" || s.getenv("TERM") == "dumb" {
		return false
	}
	f, ok := s.streams.Out.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}
