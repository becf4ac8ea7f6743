package main

import (
	"errors"
	"fmt"
	"os"

	"presshand/knowledge/shop"
)

// shopCommand looks after shop profiles.
type shopCommand struct {
	Init  shopInit  `cmd:"" help:"Write a commented profile to start from, to standard output."`
	Check shopCheck `cmd:"" help:"Report every fault of a profile, with line and column."`
}

type shopInit struct{}

// Run implements the command.
func (shopInit) Run(s *session) error { return shop.WriteExample(s.streams.Out) }

type shopCheck struct {
	File string `arg:"" help:"The profile."`
}

// Run implements the command.
func (c *shopCheck) Run(s *session) error {
	base, err := s.base()
	if err != nil {
		return err
	}
	f, err := os.Open(c.File)
	if err != nil {
		return pathError(err)
	}
	defer f.Close()
	_, err = loadProfile(f, c.File, base)
	var problems shop.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			fmt.Fprintln(s.streams.Out, p)
		}
		fmt.Fprintf(s.streams.Err, "%d %s\n", len(problems), faults(len(problems)))
		return errTold
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(s.streams.Err, "no faults")
	return nil
}

func faults(n int) string {
	if n == 1 {
		return "fault"
	}
	return "faults"
}
