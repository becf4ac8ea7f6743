package workspace

import (
	"context"
	"crypto/tls"
	"log/slog"
	"net"
	"time"

	"github.com/slack-go/slack"
)

// Config says how to join a workspace. Only Handler, BotToken and, for Socket
// Mode, AppToken must be set.
type Config struct {
	Handler  Handler
	BotToken string // xoxb-
	AppToken string // xapp-; without it there is no socket, only the Door
	// APIURL is the web API's address and ends in "/". Default: the platform's own.
	APIURL  string
	Inbox   Inbox   // default: in memory
	Threads Threads // default: in memory
	// Owner reports whether a user is an owner of the shop; it is asked about
	// users of the bot's own workspace only. Default: nobody is.
	Owner func(team, user string) bool
	// Home draws a user's home tab. Default: how to ask.
	Home  func(ctx context.Context, team, user string, owner bool) Home
	Log   *slog.Logger // default: none. It gets no message text and no token
	Meter Meter        // default: none
	// Dial makes network connections. Default: a dialer with TCP keep-alive.
	Dial func(ctx context.Context, network, address string) (net.Conn, error)
	// TLS holds the roots to trust. Default: the system's.
	TLS *tls.Config

	Connections   int           // sockets side by side, default 2, at most 10
	Queue         int           // messages waiting at most, default 2000
	Workers       int           // messages without files answered at a time, default 16
	Deadline      time.Duration // for one answer, default 30 s
	ProgressAfter time.Duration // until a progress line is shown, default 2 s
	Drain         time.Duration // to finish what was acknowledged, default DefaultDrain
	FileMost      int64         // bytes of a file, default 25 MiB
	FileWait      time.Duration // for one download, default 20 s
}

func (c Config) withDefaults() Config {
	if c.APIURL == "" {
		c.APIURL = slack.APIURL
	}
	if c.Inbox == nil {
		c.Inbox = NewMemoryInbox()
	}
	if c.Threads == nil {
		c.Threads = NewMemoryThreads()
	}
	if c.Owner == nil {
		c.Owner = func(string, string) bool { return false }
	}
	if c.Home == nil {
		c.Home = func(context.Context, string, string, bool) Home { return Home{} }
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Meter == nil {
		c.Meter = noMeter{}
	}
	if c.TLS == nil {
		c.TLS = &tls.Config{MinVersion: tls.VersionTLS12}
	}
	if c.Dial == nil {
		c.Dial = (&net.Dialer{Timeout: handshakeWait, KeepAliveConfig: net.KeepAliveConfig{
			Enable: true, Idle: 15 * time.Second, Interval: 5 * time.Second, Count: 3,
		}}).DialContext
	}
	c.Connections = orDefault(c.Connections, 2)
	c.Queue = orDefault(c.Queue, 2000)
	c.Workers = orDefault(c.Workers, 16)
	c.Deadline = orDefault(c.Deadline, 30*time.Second)
	c.ProgressAfter = orDefault(c.ProgressAfter, 2*time.Second)
	c.Drain = orDefault(c.Drain, DefaultDrain)
	c.FileMost = orDefault(c.FileMost, 25<<20)
	c.FileWait = orDefault(c.FileWait, 20*time.Second)
	return c
}

func orDefault[T int | int64 | time.Duration](v, fallback T) T {
	if v <= 0 {
		return fallback
	}
	return v
}

// fileWorkers is how many messages with files are answered at a time: a file may
// take long to come, which holds up no other message, and much memory.
const fileWorkers = 8

// DefaultDrain is how long Run takes at most to finish what was acknowledged.
const DefaultDrain = 20 * time.Second

// maxConnections is how many sockets the platform allows an app.
const maxConnections = 10
