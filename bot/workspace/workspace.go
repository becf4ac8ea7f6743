package workspace

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/slack-go/slack"
)

// apiConnections bounds the connections to the web API, so that a burst does not
// open one for each answer.
const apiConnections = 32

// A Workspace is the bot's membership of one messaging workspace.
type Workspace struct {
	cfg    Config
	log    *slog.Logger
	meter  Meter
	api    *slack.Client
	dial   func(ctx context.Context, network, address string) (net.Conn, error)
	inbox  Inbox
	memory *MemoryInbox // knows repeats even where the inbox fails
	out    *outbox
	easel  *easel
	files  *fetcher
	lanes  *lanes
	links  links
	homes  *homes
	// closeIdle closes connections that may have gone stale.
	closeIdle func()

	intake  chan envelope
	workers chan struct{}
	lookers chan struct{} // the workers of messages with files
	side    chan struct{}
	seenSig *signatures

	mu       sync.RWMutex // guards stopping against take
	stopping bool
	self     atomic.Pointer[identity]

	busyMu sync.Mutex
	busy   map[string]time.Time // channel -> when it was last told that the queue is full
}

// New makes a Workspace; it calls nobody yet.
func New(cfg Config) (*Workspace, error) {
	cfg = cfg.withDefaults()
	switch {
	case cfg.Handler == nil:
		return nil, errors.New("workspace: no handler")
	case cfg.BotToken == "":
		return nil, errors.New("workspace: no bot token; set SLACK_BOT_TOKEN to the token that begins with xoxb-")
	case !strings.HasSuffix(cfg.APIURL, "/"):
		return nil, fmt.Errorf("workspace: API address %q must end in \"/\"", cfg.APIURL)
	case cfg.Connections > maxConnections:
		return nil, fmt.Errorf("workspace: %d connections, and the platform allows %d", cfg.Connections, maxConnections)
	}
	transport := &http.Transport{
		Proxy:               http.ProxyFromEnvironment,
		DialContext:         cfg.Dial,
		TLSClientConfig:     cfg.TLS.Clone(),
		MaxConnsPerHost:     apiConnections,
		MaxIdleConnsPerHost: apiConnections,
		IdleConnTimeout:     90 * time.Second,
		TLSHandshakeTimeout: handshakeWait,
	}
	// Opening a socket must not wait behind answers.
	opening := transport.Clone()
	opening.MaxConnsPerHost = 0
	calls := &callLimit{open: &opener{next: bodyLimit{opening}}, next: noEcho{bodyLimit{transport}}}
	api := slack.New(cfg.BotToken, slack.OptionAppLevelToken(cfg.AppToken), slack.OptionAPIURL(cfg.APIURL),
		slack.OptionHTTPClient(&http.Client{Transport: calls}))
	downloads := slack.New(cfg.BotToken, slack.OptionAPIURL(cfg.APIURL),
		slack.OptionHTTPClient(&http.Client{Transport: transport, CheckRedirect: sameHouse(cfg.APIURL)}))
	return &Workspace{
		cfg: cfg, log: cfg.Log, meter: cfg.Meter, api: api, dial: cfg.Dial,
		inbox: cfg.Inbox, memory: NewMemoryInbox(),
		out:   newOutbox(api, cfg.Log, cfg.Meter),
		easel: newEasel(),
		files: &fetcher{api: downloads, most: cfg.FileMost, wait: cfg.FileWait},
		lanes: newLanes(cfg.Queue),
		homes: newHomes(),
		closeIdle: func() {
			transport.CloseIdleConnections()
			opening.CloseIdleConnections()
		},
		intake:  make(chan envelope, intakeQueue),
		workers: make(chan struct{}, cfg.Workers),
		lookers: make(chan struct{}, fileWorkers),
		side:    make(chan struct{}, sideJobs),
		seenSig: newSignatures(),
		busy:    map[string]time.Time{},
	}, nil
}

// callLimit bounds the time of every call of the web API but the opener's, which
// waits for its turn.
type callLimit struct{ open, next http.RoundTripper }

func (c *callLimit) RoundTrip(req *http.Request) (*http.Response, error) {
	if strings.HasSuffix(req.URL.Path, openMethod) {
		return c.open.RoundTrip(req)
	}
	ctx, cancel := context.WithTimeout(req.Context(), callWait)
	resp, err := c.next.RoundTrip(req.WithContext(ctx))
	if err != nil {
		cancel()
		return nil, err
	}
	resp.Body = &cancelBody{ReadCloser: resp.Body, cancel: cancel}
	return resp, nil
}

// Run joins the workspace and answers until ctx ends; then it takes nothing
// more, finishes what it acknowledged within Config.Drain, and returns nil. It
// returns an error where the platform refuses the tokens for good.
func (w *Workspace) Run(ctx context.Context) error {
	defer w.closeIdle()
	if err := w.identify(ctx); err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return err
	}
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	if err := w.resume(work); err != nil {
		w.log.Error("inbox not readable, what was left open stays open", "error", err)
	}

	var wg sync.WaitGroup
	sockets, stopSockets := context.WithCancel(work)
	defer stopSockets()
	keeping, stopKeeping := context.WithCancel(work)
	defer stopKeeping()
	wg.Go(func() { w.keep(keeping, work) })
	failed := make(chan error, w.cfg.Connections)
	if w.cfg.AppToken != "" {
		for range w.cfg.Connections {
			wg.Go(func() {
				if err := w.listen(sockets); sockets.Err() == nil {
					failed <- err
				}
			})
		}
	}

	var failure error
	select {
	case <-ctx.Done():
	case failure = <-failed:
		w.log.Error("cannot go on", "error", failure)
	}
	w.mu.Lock()
	w.stopping = true
	w.mu.Unlock()
	// What was taken is kept and acknowledged, then the sockets close.
	_ = sleep(work, ackLinger)
	stopKeeping()
	stopSockets()
	drain, cancel := context.WithTimeout(work, w.cfg.Drain)
	defer cancel()
	if err := w.lanes.close(drain); err != nil {
		w.log.Warn("stopped before everything was answered; the rest is kept", "open", w.lanes.len())
	}
	stopWork()
	wg.Wait()
	// What was under way breaks off now; only a handler that does not heed its
	// context can hold this up.
	last, cancelLast := context.WithTimeout(context.WithoutCancel(ctx), ackLinger)
	defer cancelLast()
	_ = w.lanes.close(last)
	return failure
}

// ackLinger is how long the sockets stay open for the last acknowledgements.
const ackLinger = 300 * time.Millisecond

// Ready returns nil when messages can reach the bot, else what is missing.
func (w *Workspace) Ready() error {
	w.mu.RLock()
	stopping := w.stopping
	w.mu.RUnlock()
	switch {
	case stopping:
		return errors.New("stopping")
	case w.self.Load() == nil:
		return errors.New("not yet known to the workspace: auth.test has not succeeded")
	case w.cfg.AppToken != "" && w.links.count() == 0:
		return errors.New("no open connection to the workspace")
	}
	return nil
}

// identify asks the platform who the bot is, as long as it takes.
func (w *Workspace) identify(ctx context.Context) error {
	for try := 0; ; try++ {
		me, err := w.api.AuthTestContext(ctx)
		if err == nil {
			w.self.Store(&identity{user: me.UserID, team: me.TeamID})
			if missing := missingScopes(me.Header.Get("X-OAuth-Scopes")); len(missing) > 0 {
				w.log.Warn("the bot token lacks scopes; install the app again from the manifest", "missing", missing)
			}
			return nil
		}
		if fatal(err) {
			return fmt.Errorf("join the workspace: auth.test: %w; check SLACK_BOT_TOKEN", err)
		}
		wait := backoff(try)
		if what, hold := judge(err); what == fateLimited {
			wait = hold
		}
		w.log.Warn("auth.test failed, trying again", "error", err)
		if err := sleep(ctx, wait); err != nil {
			return err
		}
	}
}
