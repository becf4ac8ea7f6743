package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"presshand/bot"
	"presshand/bot/reply"
	"presshand/bot/store"
	"presshand/bot/workspace"
)

// slackCommand joins the workspace, prints the app's manifest or asks how a
// running bot is.
type slackCommand struct {
	Join     slackJoin     `cmd:"" default:"withargs" help:"Join the workspace and answer until stopped."`
	Manifest slackManifest `cmd:"" help:"Print the app manifest, with the least scopes."`
	Ready    slackReady    `cmd:"" help:"Ask a bot on this machine whether messages reach it, and exit 1 where they do not."`
}

type slackJoin struct {
	APIURL string `name:"api-url" placeholder:"URL" help:"Another API address; it ends in a slash."`
	Listen string `placeholder:"ADDR" help:"Serve /healthz, /readyz and /metrics there: 127.0.0.1:8080."`
	HTTP   bool   `name:"http" help:"Take events at /events of --listen instead of a socket; needs SLACK_SIGNING_SECRET."`
}

// Run implements the command.
func (c *slackJoin) Run(s *session) error {
	botToken, appToken, err := c.credentials(s)
	if err != nil {
		return err
	}
	s.log = slog.New(slog.NewTextHandler(s.streams.Err, nil))
	s.pictures = true
	registry := prometheus.NewRegistry()
	meter, err := workspace.NewMetrics(registry)
	if err != nil {
		return fmt.Errorf("setting up metrics: %w", err)
	}
	registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	s.meter = meter
	h, err := s.open(bot.WithLog(s.log))
	if err != nil {
		return err
	}
	config := h.membership()
	config.BotToken, config.AppToken, config.APIURL = botToken, appToken, c.APIURL
	config.Log, config.Meter = s.log, &burstMeter{Meter: meter}
	w, err := workspace.New(config)
	if err != nil {
		return err
	}
	stop, err := c.serve(s, w, h, registry)
	if err != nil {
		return err
	}
	defer stop()
	return h.stay(s.ctx, w, s.log)
}

// stay answers in the workspace until ctx ends; meanwhile it tells waits, draws
// home tabs anew and deletes what is old.
func (h *house) stay(ctx context.Context, w *workspace.Workspace, log *slog.Logger) error {
	var beside sync.WaitGroup
	defer beside.Wait()
	busy, stop := context.WithCancel(ctx)
	defer stop()
	if h.store != nil && h.store.Fault() == nil {
		beside.Go(func() { newBell(h, w, log).ring(busy) })
		beside.Go(func() { h.redraw(busy, w, log) })
		beside.Go(func() { h.tidy(busy, log) })
	}
	return w.Run(ctx)
}

// membership is what the house brings into a workspace.
func (h *house) membership() workspace.Config {
	owners := h.profile.Owners
	config := workspace.Config{
		Handler: workspace.HandlerFunc(h.handle),
		Owner:   func(_, user string) bool { return slices.Contains(owners, user) },
		Home:    h.home,
	}
	if h.store != nil && h.store.Fault() == nil {
		config.Inbox, config.Threads = inbox{h.store}, h.store
	}
	return config
}

// credentials reads the tokens from the environment; none is ever told.
func (c *slackJoin) credentials(s *session) (botToken, appToken string, err error) {
	if c.APIURL != "" && !strings.HasSuffix(c.APIURL, "/") {
		return "", "", usageError{fmt.Errorf("--api-url %s must end in a slash", c.APIURL)}
	}
	if c.HTTP && c.Listen == "" {
		return "", "", usageError{errors.New("--http needs --listen: name the address that events come to")}
	}
	if c.HTTP && s.getenv("SLACK_SIGNING_SECRET") == "" {
		return "", "", errors.New("SLACK_SIGNING_SECRET is not set: copy the app's signing secret into the environment, so that forged requests are refused")
	}
	for _, t := range tokens() {
		value := s.getenv(t.name)
		switch {
		case c.HTTP && t.name == "SLACK_APP_TOKEN":
			continue // only the socket needs it
		case value == "":
			return "", "", fmt.Errorf("%s is not set: create the app with presshand slack manifest, install it, and put its token into the environment", t.name)
		case !strings.HasPrefix(value, t.prefix):
			return "", "", fmt.Errorf("%s does not begin with %s: the two tokens may have been swapped", t.name, t.prefix)
		}
	}
	if !c.HTTP {
		appToken = s.getenv("SLACK_APP_TOKEN")
	}
	return s.getenv("SLACK_BOT_TOKEN"), appToken, nil
}

// serve opens the address for health, metrics and events; stop ends it. Without
// --listen it does nothing.
func (c *slackJoin) serve(s *session, w *workspace.Workspace, h *house, metrics prometheus.Gatherer) (stop func(), err error) {
	if c.Listen == "" {
		return func() {}, nil
	}
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("--listen %s: %w: name a free address, such as 127.0.0.1:8080", c.Listen, err)
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(rw http.ResponseWriter, _ *http.Request) { fmt.Fprintln(rw, "alive") })
	mux.HandleFunc("GET /readyz", func(rw http.ResponseWriter, _ *http.Request) { h.ready(rw, w) })
	mux.Handle("GET /metrics", promhttp.HandlerFor(metrics, promhttp.HandlerOpts{}))
	if c.HTTP {
		mux.Handle("/events", w.Door(s.getenv("SLACK_SIGNING_SECRET")))
	}
	server := &http.Server{Handler: mux, ReadHeaderTimeout: serveWait, ReadTimeout: 2 * serveWait, IdleTimeout: 12 * serveWait, MaxHeaderBytes: 64 << 10}
	go func() {
		if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
			s.log.Error("the listening address is gone", "error", err)
		}
	}()
	s.log.Info("listening", "address", listener.Addr().String(), "events", c.HTTP)
	return func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(s.ctx), serveWait)
		defer cancel()
		_ = server.Shutdown(ctx)
	}, nil
}

// serveWait bounds what one request may hold a connection for.
const serveWait = 5 * time.Second

// ready answers 200 where messages can reach the bot. A store at fault is said,
// and no reason to take the bot away: it goes on answering.
func (h *house) ready(rw http.ResponseWriter, w *workspace.Workspace) {
	if err := w.Ready(); err != nil {
		http.Error(rw, err.Error(), http.StatusServiceUnavailable)
		return
	}
	fmt.Fprintln(rw, "ready")
	if h.store != nil && (h.store.Fault() != nil || h.store.Failing()) {
		fmt.Fprintln(rw, "the store is at fault: nothing is kept at the moment, see the log")
	}
}

// inbox keeps the workspace's deliveries in the store.
type inbox struct{ store *store.Store }

// Add implements workspace.Inbox.
func (i inbox) Add(ctx context.Context, items []workspace.Item) ([]bool, error) {
	kept := make([]store.Delivery, len(items))
	for n, it := range items {
		kept[n] = store.Delivery(it)
	}
	return i.store.AddDeliveries(ctx, kept)
}

// Done implements workspace.Inbox.
func (i inbox) Done(ctx context.Context, id string) error { return i.store.DeliveryDone(ctx, id) }

// Open implements workspace.Inbox.
func (i inbox) Open(ctx context.Context) ([]workspace.Item, error) {
	kept, err := i.store.OpenDeliveries(ctx)
	items := make([]workspace.Item, len(kept))
	for n, d := range kept {
		items[n] = workspace.Item(d)
	}
	return items, err
}

// handle passes a message of the workspace to the bot.
func (h *house) handle(ctx context.Context, m workspace.Message) reply.Reply {
	in := bot.Message{Text: m.Text, Conversation: m.Conversation(), User: m.Team + "/" + m.User, Owner: m.Owner, Shared: m.Shared, At: m.At}
	for _, f := range m.Files {
		in.Files = append(in.Files, bot.File{Name: f.Name, Size: f.Size, Open: func() (io.ReadCloser, error) { return f.Open(ctx) }})
	}
	h.rules.look()
	return h.bot.Handle(ctx, in)
}

type slackManifest struct{}

// Run implements the command.
func (slackManifest) Run(s *session) error {
	text, err := workspace.Manifest("")
	if err != nil {
		return err
	}
	_, err = s.streams.Out.Write(text)
	return err
}
