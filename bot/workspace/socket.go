package workspace

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/url"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

// The socket's heartbeat. The library never pings and notices a dead link only
// after up to a minute; so the bot pings, as RFC 6455 5.5.2 allows either side,
// and closes a link from which nothing came for silenceLimit.
const (
	pingEvery    = time.Second
	silenceLimit = 3500 * time.Millisecond
	// quietLimit is the limit where no ping can be sent (a proxy holds the
	// encrypted link): the platform pings at least every 30 s.
	quietLimit = 35 * time.Second
)

// restartAbove is the library's back-off from which a session is begun anew:
// the library's goes up to five minutes, and it never sees the server's return.
const restartAbove = time.Second

// handshakeWait bounds one websocket handshake.
const handshakeWait = 10 * time.Second

// ackQueue is how many acknowledgements may wait for the link. Beyond it they
// are dropped: the platform repeats the delivery, which is then a repeat.
const ackQueue = 4096

// An envelope is one delivery with the way to acknowledge it.
type envelope struct {
	kind    string
	payload []byte
	came    time.Time
	// ack acknowledges, with a payload for forms; it does not block.
	ack func(payload any)
}

// A session is one client of the socket, from its first connection until it is
// begun anew. Several run side by side, so that a planned disconnect of one
// leaves no gap.
type session struct {
	w       *Workspace
	client  *socketmode.Client
	acks    chan ackOrder
	link    atomic.Pointer[pulse]
	refused atomic.Pointer[error] // a reason for which trying on is useless
	cancel  context.CancelFunc
}

type ackOrder struct {
	id      string
	payload any
	came    time.Time
}

// listen keeps a session going until ctx ends or the platform refuses for good.
func (w *Workspace) listen(ctx context.Context) error {
	for ctx.Err() == nil {
		err := w.session(ctx)
		if err != nil && fatal(err) {
			return fmt.Errorf("join the workspace: %w; check SLACK_APP_TOKEN (app-level, connections:write)", err)
		}
		if err != nil && ctx.Err() == nil {
			w.log.Warn("begin the connection anew", "error", err)
		}
		// Begun anew after failed connects: the opener's limiter sets the pace.
		if err := sleep(ctx, retryFirst); err != nil {
			break
		}
	}
	return ctx.Err()
}

// session runs one client until its connection fails for longer or ctx ends.
func (w *Workspace) session(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s := &session{w: w, acks: make(chan ackOrder, ackQueue), cancel: cancel}
	s.client = socketmode.New(w.api,
		socketmode.OptionDialer(s.dialer()),
		socketmode.OptionReadLimit(maxFrame),
		socketmode.OptionLog(log.New(io.Discard, "", 0)),
		socketmode.OptionPingInterval(quietLimit),
	)
	var wg sync.WaitGroup
	wg.Go(func() { s.drain(ctx) })
	wg.Go(func() { s.acknowledge(ctx) })
	wg.Go(func() { s.watch(ctx) })
	err := s.client.RunContext(ctx)
	cancel()
	wg.Wait()
	w.links.lost(s)
	if reason := s.refused.Load(); reason != nil {
		return *reason
	}
	return err
}

// drain takes events off the library's channel and hands them over; it never
// waits, since a full channel kills the connection.
func (s *session) drain(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case ev := <-s.client.Events:
			s.event(ev)
		}
	}
}

func (s *session) event(ev socketmode.Event) {
	switch ev.Type {
	case socketmode.EventTypeEventsAPI, socketmode.EventTypeSlashCommand, socketmode.EventTypeInteractive:
		s.take(ev.Request.EnvelopeID, ev.Request.Type, ev.Request.Payload)
	case socketmode.EventTypeErrorBadMessage:
		s.unparsed(ev)
	case socketmode.EventTypeConnected:
		if link := s.link.Load(); link != nil {
			link.open.Store(true)
		}
	case socketmode.EventTypeHello:
		s.w.links.made(s)
		s.w.meter.Connected()
		if n := ev.Request.NumConnections; n > s.w.cfg.Connections {
			s.w.log.Warn("another program shares the app token and takes some of the messages", "connections", n, "own", s.w.cfg.Connections)
		}
	case socketmode.EventTypeConnecting:
		s.w.links.lost(s)
	case socketmode.EventTypeConnectionError:
		s.failed(ev.Data)
	case socketmode.EventTypeErrorWriteFailed:
		s.w.log.Warn("acknowledgement not sent; the delivery will be repeated")
	}
}

// failed begins the session anew when the library is about to wait long, and
// ends it when trying on is useless.
func (s *session) failed(data any) {
	failure, ok := data.(*slack.ConnectionErrorEvent)
	if !ok {
		return
	}
	s.w.log.Warn("connection failed", "attempt", failure.Attempt, "error", failure.ErrorObj)
	if fatal(failure.ErrorObj) {
		s.refused.Store(&failure.ErrorObj)
		s.cancel()
		return
	}
	if failure.Backoff > restartAbove {
		s.cancel()
	}
}

// unparsed takes a delivery the library could not read as a whole: it must be
// acknowledged all the same, and the bot's own reader may do with it.
func (s *session) unparsed(ev socketmode.Event) {
	bad, ok := ev.Data.(*socketmode.ErrorBadMessage)
	if !ok {
		return
	}
	var frame struct {
		ID      string          `json:"envelope_id"`
		Type    string          `json:"type"`
		Payload json.RawMessage `json:"payload"`
	}
	if err := json.Unmarshal(bad.Message, &frame); err != nil || frame.ID == "" {
		s.w.meter.Dropped("unreadable")
		return
	}
	s.take(frame.ID, frame.Type, frame.Payload)
}

// take hands a delivery to the intake.
func (s *session) take(id, kind string, payload []byte) {
	came := time.Now()
	s.w.take(envelope{kind: kind, payload: payload, came: came, ack: func(payload any) {
		select {
		case s.acks <- ackOrder{id: id, payload: payload, came: came}:
		default:
			s.w.meter.Dropped("ack")
		}
	}})
}

// acknowledge sends acknowledgements one by one.
func (s *session) acknowledge(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case order := <-s.acks:
			waitCtx, cancel := context.WithTimeout(ctx, ackWait)
			err := s.client.AckCtx(waitCtx, order.id, order.payload)
			cancel()
			if err != nil {
				s.w.log.Warn("acknowledgement not queued; the delivery will be repeated", "error", err)
				continue
			}
			s.w.meter.Acknowledged(time.Since(order.came))
		}
	}
}

// watch pings and closes a link that has gone silent; the library then connects
// again.
func (s *session) watch(ctx context.Context) {
	tick := time.NewTicker(pingEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			if link := s.link.Load(); link != nil {
				link.Close()
			}
			return
		case <-tick.C:
			link := s.link.Load()
			if link == nil || !link.open.Load() {
				continue
			}
			if silent := time.Since(time.Unix(0, link.heard.Load())); silent > link.limit {
				s.w.log.Warn("link is silent, connecting again", "silent", silent.Round(time.Millisecond))
				link.open.Store(false)
				link.Close()
				s.w.closeIdle() // what silenced the link has silenced idle connections too
				continue
			}
			if link.limit == silenceLimit {
				go link.ping() // a dead link may hold the write until it is closed
			}
		}
	}
}

// dialer makes links whose pulse the session can feel.
func (s *session) dialer() *websocket.Dialer {
	dial := s.w.dial
	d := &websocket.Dialer{
		Proxy:            http.ProxyFromEnvironment,
		TLSClientConfig:  s.w.cfg.TLS.Clone(),
		HandshakeTimeout: handshakeWait,
		// The platform drops acknowledgements that come in more than one
		// frame: the buffer must hold the largest, 20 KiB.
		WriteBufferSize: 32 << 10,
		NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
			conn, err := dial(ctx, network, addr)
			if err != nil {
				return nil, err
			}
			limit := silenceLimit
			if proxied(addr) {
				limit = quietLimit
			}
			return s.feel(conn, limit), nil
		},
	}
	if !proxied("wss-primary.slack.com:443") {
		// The pulse sits above the encryption, so that it can ping.
		d.NetDialTLSContext = func(ctx context.Context, network, addr string) (net.Conn, error) {
			conn, err := dial(ctx, network, addr)
			if err != nil {
				return nil, err
			}
			host, _, err := net.SplitHostPort(addr)
			if err != nil {
				host = addr
			}
			config := s.w.cfg.TLS.Clone()
			config.ServerName = host
			secure := tls.Client(conn, config)
			if err := secure.HandshakeContext(ctx); err != nil {
				conn.Close()
				return nil, err
			}
			return s.feel(secure, silenceLimit), nil
		}
	}
	return d
}

// proxied reports whether the environment sends the address through a proxy.
func proxied(addr string) bool {
	proxy, err := http.ProxyFromEnvironment(&http.Request{URL: &url.URL{Scheme: "https", Host: addr}})
	return err == nil && proxy != nil
}

func (s *session) feel(conn net.Conn, limit time.Duration) *pulse {
	p := &pulse{Conn: conn, limit: limit, turn: make(chan struct{}, 1)}
	p.heard.Store(time.Now().UnixNano())
	s.link.Store(p)
	return p
}

// fatal reports whether an error of joining will not go away by trying on.
func fatal(err error) bool {
	var said slack.SlackErrorResponse
	code := ""
	if errors.As(err, &said) {
		code = said.Err
	}
	switch code {
	case "invalid_auth", "account_inactive", "not_authed", "token_revoked", "token_expired",
		"missing_scope", "not_allowed_token_type", "no_permission", "access_denied":
		return true
	}
	return false
}

// links counts the sessions that are connected.
type links struct {
	mu   sync.Mutex
	live map[*session]bool
}

func (l *links) made(s *session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.live == nil {
		l.live = map[*session]bool{}
	}
	l.live[s] = true
}

func (l *links) lost(s *session) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.live, s)
}

func (l *links) count() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.live)
}
