package main

import (
	"strconv"
	"strings"

	"presshand/bot/reply"
)

// factsGaps lists what staff asked that the bot could not answer.
type factsGaps struct{}

// Run implements the command.
func (factsGaps) Run(s *session) error {
	kept, err := s.existingStore()
	if err != nil {
		return err
	}
	gaps, err := kept.Unanswered(s.ctx)
	if err != nil {
		return err
	}
	if len(gaps) == 0 {
		s.print("Everything asked so far was answered.")
		return nil
	}
	t := reply.Table{Header: []string{"times", "question", "nearest", "last asked"}, Right: []bool{true}}
	for _, g := range gaps {
		t.Rows = append(t.Rows, []string{strconv.Itoa(g.Times), oneLine(g.Question), oneLine(strings.Join(g.Near, ", ")), g.Last.Local().Format("2006-01-02 15:04")})
	}
	s.print(t.Text())
	return nil
}
