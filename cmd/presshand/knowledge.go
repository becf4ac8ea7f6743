package main

import (
	"fmt"
	"io/fs"
	"os"

	"presshand/knowledge"
)

// factsCommand looks after the knowledge files.
type factsCommand struct {
	Check factsCheck `cmd:"" help:"Report every fault of the knowledge files, with file, line and column."`
	Rules factsRules `cmd:"" help:"List the rules that owners gave by chat, with who, when and why."`
	Gaps  factsGaps  `cmd:"" help:"List what could not be answered, most often first."`
}

type factsCheck struct {
	Dir string `arg:"" optional:"" placeholder:"DIR" help:"The shop's own files, checked over the built-in ones."`
}

// Run implements the command: faults to standard output, their count to
// standard error.
func (c *factsCheck) Run(s *session) error {
	files := []fs.FS{knowledge.Builtin()}
	for _, dir := range []string{s.flags.Knowledge, c.Dir} {
		if dir == "" {
			continue
		}
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return fmt.Errorf("%s is no folder that can be read: name the folder that holds the .yaml files", dir)
		}
		files = append(files, os.DirFS(dir))
	}
	problems := knowledge.Check(files...)
	for _, p := range problems {
		fmt.Fprintln(s.streams.Out, p)
	}
	switch n := len(problems); n {
	case 0:
		fmt.Fprintln(s.streams.Err, "no faults")
		return nil
	default:
		fmt.Fprintf(s.streams.Err, "%d %s\n", n, faults(n))
	}
	return errTold
}
