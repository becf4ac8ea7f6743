package main

import (
	"presshand/bot/answer"
)

// quoteCommand prices an order that stands in a file.
type quoteCommand struct {
	File string `arg:"" help:"An order as YAML or JSON; - for standard input."`
	JSON bool   `name:"json" help:"Write the answer object with the quote."`
}

// Run implements the command.
func (c *quoteCommand) Run(s *session) error {
	data, err := s.read(c.File)
	if err != nil {
		return err
	}
	order, err := answer.ReadOrder(c.File, data)
	if err != nil {
		return err
	}
	h, err := s.open()
	if err != nil {
		return err
	}
	now := h.now()
	if h.profile.Zone != nil {
		now = now.In(h.profile.Zone)
	}
	return s.show(h.desk.Quote(s.ctx, order, answer.Turn{Now: now, User: "terminal", Owner: true}), c.JSON, s.streams.Out)
}
