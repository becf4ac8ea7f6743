package fakeworkspace

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"net"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Who is who in the workspace.
const (
	Team     = "T0ALDER"
	Bot      = "U0BOT"
	BotID    = "B0BOT"
	AppID    = "A0APP"
	BotToken = "xoxb-test-bot"
	AppToken = "xapp-test-app"
	Host     = "workspace.test"
)

// AllScopes is what the bot token is granted unless Scopes says otherwise.
const AllScopes = "app_mentions:read,channels:history,chat:write,commands,files:read,files:write,groups:history,im:history,im:write"

// A Message stands in a channel.
type Message struct {
	Channel  string
	TS       string
	Thread   string
	User     string
	Text     string
	Blocks   json.RawMessage
	Metadata json.RawMessage
	Files    []File
	At       time.Time
	Edits    int
}

// A File was uploaded or dropped.
type File struct {
	ID    string
	Name  string
	Alt   string
	Data  []byte
	Title string
}

// A Call is one call of the web API that reached the server.
type Call struct {
	Method string
	Values map[string]string
	Token  string
	Host   string
	At     time.Time
	Status int
	Error  string // the "error" of the answer
}

// A Fault makes calls go wrong. The zero value of each field means "not so".
type Fault struct {
	Method      string // the calls it is for; empty: all
	Channel     string // only calls for this channel
	Skip        int    // calls it lets pass first
	Times       int    // calls it spoils; 0: one; below 0: all
	Delay       time.Duration
	Status      int // 429, 503
	RetryAfter  int // seconds, with 429
	Error       string
	ResetBefore bool // cut the connection, nothing carried out
	ResetAfter  bool // cut the connection after carrying it out
}

// A Server is a workspace.
type Server struct {
	mu        sync.Mutex
	net       *network
	secure    *network // the same over TLS
	roots     *x509.CertPool
	http      *http.Server
	scopes    string
	last      int64
	count     int
	messages  []*Message
	ephemeral []Ephemeral
	calls     []Call
	faults    []*Fault
	uploads   map[string]*File
	drops     map[string]*Drop
	answers   map[string]int // response_url id -> uses
	views     []View
	limit     *limit
	conns     []*socket
	turn      int
	envelopes map[string]*Envelope
	order     []string
	opened    []time.Time
	copies    int
	noRetry   bool
	pingEvery time.Duration
	closed    bool
	done      chan struct{}
	tcp       string
}

// An Ephemeral message was shown to one user.
type Ephemeral struct {
	Channel string
	Thread  string
	User    string // empty where it came by response_url
	Text    string
	Blocks  json.RawMessage
	Via     string // "chat.postEphemeral" or "response_url"
	At      time.Time
}

// A View was opened, updated or published.
type View struct {
	Method  string
	User    string
	ID      string
	Trigger string
	Hash    string
	View    json.RawMessage
	At      time.Time
}

// Start starts a workspace on a network in memory.
func Start() *Server {
	s := &Server{
		net: newNetwork(), secure: newNetwork(), scopes: AllScopes, uploads: map[string]*File{}, drops: map[string]*Drop{},
		answers: map[string]int{}, envelopes: map[string]*Envelope{}, pingEvery: 10 * time.Second,
		done: make(chan struct{}),
	}
	s.http = &http.Server{Handler: http.HandlerFunc(s.serve)}
	go s.http.Serve(s.net)
	certificate, roots := certify(Host)
	s.roots = roots
	go s.http.Serve(tls.NewListener(s.secure, &tls.Config{Certificates: []tls.Certificate{certificate}}))
	return s
}

// certify makes a certificate for a host, valid in fake time too.
func certify(host string) (tls.Certificate, *x509.CertPool) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		panic(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), DNSNames: []string{host}, IsCA: true, BasicConstraintsValid: true,
		NotBefore: time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC), NotAfter: time.Date(2090, 1, 1, 0, 0, 0, 0, time.UTC),
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		panic(err)
	}
	parsed, err := x509.ParseCertificate(der)
	if err != nil {
		panic(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(parsed)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, roots
}

// ListenTCP serves the same workspace on a real address as well and returns it.
func (s *Server) ListenTCP(address string) (string, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return "", err
	}
	s.tcp = l.Addr().String()
	go s.http.Serve(l)
	return s.tcp, nil
}

// URL is the web API's address.
func (s *Server) URL() string { return "http://" + Host + "/api/" }

// SecureURL is the same web API over TLS; its sockets are encrypted too.
func (s *Server) SecureURL() string { return "https://" + Host + "/api/" }

// Roots are to be trusted for SecureURL.
func (s *Server) Roots() *x509.CertPool { return s.roots }

// Dial connects to the server, whatever the host: the test sees what would have
// gone to a foreign one. Port 443 is encrypted.
func (s *Server) Dial(ctx context.Context, network, address string) (net.Conn, error) {
	if strings.HasSuffix(address, ":443") {
		return s.secure.dial(ctx)
	}
	return s.net.dial(ctx)
}

// Close ends the server and its connections.
func (s *Server) Close() {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return
	}
	s.closed = true
	close(s.done)
	s.mu.Unlock()
	s.http.Close()
	for _, n := range []*network{s.net, s.secure} {
		n.down()
		n.Close()
	}
}

// Down refuses new connections and breaks the open ones; Up ends that.
func (s *Server) Down() {
	s.net.down()
	s.secure.down()
}

// Up takes connections again.
func (s *Server) Up() {
	s.net.up()
	s.secure.up()
}

// Freeze makes every open connection half-open: what the client sends is lost
// and nothing comes back. New connections work.
func (s *Server) Freeze() {
	s.net.freeze()
	s.secure.freeze()
}

// Fail adds a fault.
func (s *Server) Fail(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.faults = append(s.faults, &f)
}

// Heal removes all faults.
func (s *Server) Heal() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
}

// Scopes sets the scopes the bot token has, comma-separated.
func (s *Server) Scopes(list string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.scopes = list
}

// limit is the real pace of posting: a burst and then one message an interval
// in each channel; what comes sooner is refused with a delay.
type limit struct {
	burst   int
	every   time.Duration
	turns   map[string]time.Time
	refused int
}

// Limit makes the server enforce a pace of posting per channel.
func (s *Server) Limit(burst int, every time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.limit = &limit{burst: burst, every: every, turns: map[string]time.Time{}}
}

// Refused is the number of posts refused for their pace, and the number of
// posts that came while a stated delay was still running.
func (s *Server) Refused() (limited, early int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.limit != nil {
		limited = s.limit.refused
	}
	return limited, s.early()
}

// early counts calls of a method made before the delay of an earlier 429 for
// it had passed.
func (s *Server) early() int {
	until, early := map[string]time.Time{}, 0
	for _, c := range s.calls {
		if c.At.Before(until[c.Method]) {
			early++
		}
		if c.Status == http.StatusTooManyRequests {
			wait, _ := strconv.Atoi(c.Error)
			until[c.Method] = c.At.Add(time.Duration(wait) * time.Second)
		}
	}
	return early
}

// Calls lists the calls of a method so far; all calls for the empty method.
func (s *Server) Calls(method string) []Call {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Call
	for _, c := range s.calls {
		if method == "" || c.Method == method {
			out = append(out, c)
		}
	}
	return out
}

// Messages lists what stands in a channel, oldest first; in all channels for
// the empty name.
func (s *Server) Messages(channel string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Message
	for _, m := range s.messages {
		if channel == "" || m.Channel == channel {
			out = append(out, *m)
		}
	}
	return out
}

// Posted is how many messages the bot posted, uploads left out.
func (s *Server) Posted() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, m := range s.messages {
		if m.User == Bot && len(m.Files) == 0 {
			n++
		}
	}
	return n
}

// Answers lists what the bot posted in a channel, uploads left out.
func (s *Server) Answers(channel string) []Message {
	return slices.DeleteFunc(s.Messages(channel), func(m Message) bool { return m.User != Bot || len(m.Files) > 0 })
}

// Ephemerals lists the messages shown to one user only.
func (s *Server) Ephemerals() []Ephemeral {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.ephemeral)
}

// Views lists the views opened, updated and published.
func (s *Server) Views() []View {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.views)
}

// host is where links of the workspace lead. The lock is held.
func (s *Server) host() string {
	if s.tcp != "" {
		return s.tcp
	}
	return Host
}

// stamp makes a time stamp that no other message has. The lock is held.
func (s *Server) stamp() string {
	now := time.Now().UnixMicro()
	if now <= s.last {
		now = s.last + 1
	}
	s.last = now
	return fmt.Sprintf("%d.%06d", now/1e6, now%1e6)
}

// id makes an id that nothing else has. The lock is held.
func (s *Server) id(prefix string) string {
	s.count++
	return fmt.Sprintf("%s%08d", prefix, s.count)
}

// fault finds the fault for a call and counts it. The lock is held.
func (s *Server) fault(method, channel string) *Fault {
	for _, f := range s.faults {
		if f.Method != "" && f.Method != method || f.Channel != "" && f.Channel != channel || f.Times == 0 {
			continue
		}
		if f.Skip > 0 {
			f.Skip--
			continue
		}
		if f.Times > 0 {
			f.Times--
		}
		return f
	}
	return nil
}

func (s *Server) serve(rw http.ResponseWriter, req *http.Request) {
	switch {
	case req.URL.Path == "/socket":
		s.serveSocket(rw, req)
	case strings.HasPrefix(req.URL.Path, "/api/"):
		s.serveAPI(rw, req, strings.TrimPrefix(req.URL.Path, "/api/"))
	case strings.HasPrefix(req.URL.Path, "/upload/"):
		s.serveUpload(rw, req)
	case strings.HasPrefix(req.URL.Path, "/response/"):
		s.serveResponse(rw, req)
	default:
		s.serveFile(rw, req)
	}
}

// cut breaks the connection of a request.
func cut(rw http.ResponseWriter) {
	if hijacker, ok := rw.(http.Hijacker); ok {
		if conn, _, err := hijacker.Hijack(); err == nil {
			sever(conn)
			return
		}
	}
	panic(http.ErrAbortHandler)
}

// sever breaks a connection; what was under way is lost.
func sever(conn net.Conn) {
	if secure, ok := conn.(*tls.Conn); ok {
		conn = secure.NetConn()
	}
	if w, ok := conn.(*wire); ok {
		w.cut()
		return
	}
	conn.Close()
}

var errDown = errors.New("connection refused")

// Forget drops the record of what happened so far, so that a test of memory
// measures the bot and not the record.
func (s *Server) Forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.messages, s.ephemeral, s.calls, s.views, s.order, s.opened = nil, nil, nil, nil, nil, nil
	clear(s.envelopes)
	clear(s.answers)
	clear(s.drops)
	clear(s.uploads)
}
