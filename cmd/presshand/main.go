// Command presshand is a print shop's extra hand: ask it which method suits a
// blank, what the press is set to, how long a sheet cools, or post an order.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(program()) }

// program runs the command line of the process until it is done or asked to
// stop, and returns its exit status.
func program() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return Run(ctx, os.Args[1:], os.Getenv, Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr})
}
