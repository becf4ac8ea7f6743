package main

import (
	"fmt"
	"strings"
)

// dataCommand looks after the store.
type dataCommand struct {
	Backup dataBackup `cmd:"" help:"Copy the store to a file, while others go on using it."`
	Check  dataCheck  `cmd:"" help:"Read the whole store and report what is damaged."`
}

type dataBackup struct {
	File string `arg:"" help:"The copy; it must not exist yet."`
}

// Run implements the command.
func (c *dataBackup) Run(s *session) error {
	kept, err := s.existingStore()
	if err != nil {
		return err
	}
	if err := kept.Backup(s.ctx, c.File); err != nil {
		return err
	}
	s.print("Copied to " + c.File + " and checked. To go back to it, end presshand and put it in the place of " + kept.Path() + ".")
	return nil
}

type dataCheck struct{}

// Run implements the command: faults to standard output, their count to
// standard error.
func (dataCheck) Run(s *session) error {
	kept, err := s.existingStore()
	if err != nil {
		return err
	}
	report, err := kept.Check(s.ctx)
	if err != nil {
		return err
	}
	for _, f := range report.Faults {
		s.print(oneLine(f))
	}
	if n := len(report.Faults); n > 0 {
		fmt.Fprintf(s.streams.Err, "presshand: %d %s in %s: copy it aside and put the last backup in its place\n", n, faults(n), kept.Path())
		return errTold
	}
	var counts []string
	for _, c := range report.Counts {
		counts = append(counts, fmt.Sprintf("%d %s", c.N, c.What))
	}
	s.print("Sound: " + strings.Join(counts, ", ") + ".")
	return nil
}

// print writes a line to standard output, free of what could steer a terminal.
func (s *session) print(text string) {
	for line := range strings.Lines(text) {
		fmt.Fprintln(s.streams.Out, plainLine(line))
	}
}

// oneLine joins the lines of a text and drops control characters.
func oneLine(s string) string { return strings.Join(strings.Fields(plainLine(s)), " ") }

// plainLine makes a blank of each control character and of each that turns the
// direction of writing.
func plainLine(s string) string {
	return strings.TrimRight(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return ' '
		}
		return r
	}, s), " ")
}
