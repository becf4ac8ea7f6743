package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
)

// slackReady asks a running bot whether messages reach it: the health check of a
// container, which holds no other program that could ask.
type slackReady struct {
	Listen string `default:"127.0.0.1:8080" placeholder:"ADDR" help:"The bot's --listen; 127.0.0.1:8080 by default."`
}

// Run implements the command: the bot's words to standard output.
func (c *slackReady) Run(s *session) error {
	host, port, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return usageError{fmt.Errorf("--listen %s is no address: write it as 127.0.0.1:8080", c.Listen)}
	}
	if host == "" { // ":8080" listens everywhere
		host = "localhost"
	}
	ctx, cancel := context.WithTimeout(s.ctx, serveWait)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+net.JoinHostPort(host, port)+"/readyz", nil)
	if err != nil {
		return usageError{fmt.Errorf("--listen %s is no address: write it as 127.0.0.1:8080", c.Listen)}
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return fmt.Errorf("no bot answers at %s: start presshand slack with --listen %s", c.Listen, c.Listen)
	}
	defer resp.Body.Close()
	said, _ := io.ReadAll(io.LimitReader(resp.Body, 4096)) // what can't be read was not said
	if resp.StatusCode != http.StatusOK {
		return fmt.Errorf("the bot at %s is not ready: %s", c.Listen, oneLine(string(said)))
	}
	s.print(string(said))
	return nil
}
