package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"presshand/bot/rephrase"
)

// Exit status, as promised to scripts.
const (
	exitDone  = 0
	exitFault = 1 // a fault of a file, profile, store or of the world
	exitUsage = 2 // wrong usage
)

// Streams are what a command reads and writes. Results go to Out and nothing
// else does.
type Streams struct {
	In  io.Reader
	Out io.Writer
	Err io.Writer
}

// commands is the command line, one field a command.
type commands struct {
	Shop      string `placeholder:"FILE" help:"Shop profile; the built-in example shop without it."`
	Knowledge string `placeholder:"DIR" help:"The shop's own facts, over the built-in ones."`
	Data      string `placeholder:"DIR" help:"Where orders, waits and conversations are kept; kept nowhere without it."`
	Now       string `placeholder:"RFC3339" help:"Holds the clock still, for repeatable answers."`

	Ask   askCommand   `cmd:"" help:"Answer one question or order."`
	Chat  chatCommand  `cmd:"" help:"Hold a conversation on standard input, one message a line."`
	Slack slackCommand `cmd:"" help:"Join the messaging workspace, or print its app manifest."`

	Gang  gangCommand  `cmd:"" help:"Lay pieces on sheets."`
	Plan  planCommand  `cmd:"" help:"Time orders through printer, presses, people and racks."`
	Quote quoteCommand `cmd:"" help:"Price orders."`
	Art   artCommand   `cmd:"" help:"Inspect one artwork file."`

	Orders ordersCommand `cmd:"" help:"List or export the kept orders."`
	Kept   dataCommand   `cmd:"" name:"data" help:"Copy or check the store."`
	Doctor doctorCommand `cmd:"" help:"Check tokens, scopes, clock, store and knowledge, and say how to mend."`

	Facts factsCommand `cmd:"" name:"knowledge" help:"Check knowledge files, or list what could not be answered."`
	Store shopCommand  `cmd:"" name:"shop" help:"Write or check a shop profile."`
}

// A session is what every command runs with.
type session struct {
	ctx     context.Context
	flags   *commands
	getenv  func(string) string
	streams Streams

	log      *slog.Logger // nil where nothing is logged
	pictures bool         // answers carry pictures
	rephrase bool         // answers are reworded, whatever the profile says
	meter    rephrase.Meter
	closers  []io.Closer // what is open until the command ends
}

// close closes what the command opened, the last first.
func (s *session) close() {
	for _, c := range slices.Backward(s.closers) {
		if err := c.Close(); err != nil {
			fmt.Fprintln(s.streams.Err, "presshand: closing:", err)
		}
	}
}

// usageError marks wrong usage found after parsing.
type usageError struct{ error }

// errTold marks a fault that has been reported already.
var errTold = errors.New("reported above")

// Run runs one command line and returns its exit status.
func Run(ctx context.Context, args []string, getenv func(string) string, streams Streams) int {
	var flags commands
	done, code := false, exitDone
	parser, err := newParser(&flags, streams, func(c int) {
		done = true
		if c != 0 {
			code = exitUsage
		}
	})
	if err != nil {
		fmt.Fprintln(streams.Err, "presshand:", err)
		return exitFault
	}
	parsed, err := parser.Parse(plainText(args))
	if done {
		return code
	}
	if err != nil {
		fmt.Fprintf(streams.Err, "presshand: %v; see presshand --help\n", err)
		return exitUsage
	}
	s := &session{ctx: ctx, flags: &flags, getenv: getenv, streams: streams}
	defer s.close()
	return s.status(parsed.Run(s))
}

// newParser makes the parser of the command line; it calls exit after a help
// page.
func newParser(flags *commands, streams Streams, exit func(int)) (*kong.Kong, error) {
	return kong.New(flags,
		kong.Name("presshand"),
		kong.Description("A print shop's extra hand: methods, press settings, waits, orders."),
		kong.Writers(streams.Out, streams.Err),
		kong.Exit(exit),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
}

// status turns an error into an exit status and one line on standard error.
func (s *session) status(err error) int {
	var usage usageError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errTold):
		return exitFault
	case errors.As(err, &usage):
		fmt.Fprintf(s.streams.Err, "presshand: %v; see presshand --help\n", usage.error)
		return exitUsage
	case errors.Is(err, context.Canceled):
		return exitFault
	}
	fmt.Fprintln(s.streams.Err, "presshand:", err)
	return exitFault
}

// plainText lets people write "presshand ask -5 shirts?": of the arguments of
// ask, only its own flags are flags; whatever else stands there is the
// question.
func plainText(args []string) []string {
	at := -1
	for i, a := range args {
		if a == "ask" {
			at = i
			break
		}
		if !strings.HasPrefix(a, "-") && (i == 0 || !takesValue(args[i-1])) {
			return args
		}
	}
	if at < 0 {
		return args
	}
	out := append([]string{}, args[:at+1]...)
	var text []string
	for i := at + 1; i < len(args); i++ {
		a := args[i]
		switch {
		case a == "--":
			text = append(text, args[i+1:]...)
			i = len(args)
		case takesValue(a) && i+1 < len(args):
			out = append(out, a, args[i+1])
			i++
		case isFlag(a):
			out = append(out, a)
		default:
			text = append(text, a)
		}
	}
	if len(text) == 0 {
		return out
	}
	return append(append(out, "--"), text...)
}

func takesValue(a string) bool {
	switch a {
	case "--shop", "--knowledge", "--data", "--now":
		return true
	}
	return false
}

// isFlag reports what looks like a flag of ours, known or mistyped; a number,
// or anything with a blank in it, is text.
func isFlag(a string) bool {
	if a == "-h" {
		return true
	}
	return strings.HasPrefix(a, "--") && len(a) > 2 && a[2] >= 'a' && a[2] <= 'z' && !strings.Contains(a, " ")
}
