package fakeworkspace

import (
	"encoding/json"
	"net/http"
	"slices"
	"time"

	"github.com/gorilla/websocket"
)

// An Envelope is one delivery over the socket.
type Envelope struct {
	ID      string
	Kind    string
	Payload json.RawMessage
	Sent    []time.Time // each try that left the server
	Acked   time.Time
	Answer  json.RawMessage // the acknowledgement's payload
	try     int
}

// A socket is one websocket connection.
type socket struct {
	s    *Server
	conn *websocket.Conn
	out  chan []byte
	gone chan struct{}
}

func (s *Server) serveSocket(rw http.ResponseWriter, req *http.Request) {
	up := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	conn, err := up.Upgrade(rw, req, nil)
	if err != nil {
		return
	}
	k := &socket{s: s, conn: conn, out: make(chan []byte, 8192), gone: make(chan struct{})}
	s.mu.Lock()
	s.conns = append(s.conns, k)
	n := len(s.conns)
	s.mu.Unlock()
	k.send(answer{
		"type": "hello", "num_connections": n, "connection_info": answer{"app_id": AppID},
		"debug_info": answer{"host": "applink-test", "approximate_connection_time": 18060},
	})
	go k.write()
	k.read()
}

func (k *socket) send(frame any) bool {
	data, _ := json.Marshal(frame)
	select {
	case k.out <- data:
		return true
	case <-k.gone:
		return false
	default:
		return false
	}
}

// write sends frames and pings until the connection ends.
func (k *socket) write() {
	k.s.mu.Lock()
	every := k.s.pingEvery
	k.s.mu.Unlock()
	ping := time.NewTicker(every)
	defer ping.Stop()
	defer k.conn.Close()
	for {
		var err error
		select {
		case data := <-k.out:
			if data == nil {
				return
			}
			err = k.conn.WriteMessage(websocket.TextMessage, data)
		case <-ping.C:
			err = k.conn.WriteControl(websocket.PingMessage, []byte("ping"), time.Now().Add(time.Second))
		case <-k.gone:
			return
		case <-k.s.done:
			return
		}
		if err != nil {
			return
		}
	}
}

// read takes acknowledgements until the connection ends.
func (k *socket) read() {
	defer k.leave()
	for {
		_, data, err := k.conn.ReadMessage()
		if err != nil {
			return
		}
		var ack struct {
			ID      string          `json:"envelope_id"`
			Payload json.RawMessage `json:"payload"`
		}
		if json.Unmarshal(data, &ack) != nil || ack.ID == "" {
			continue
		}
		k.s.mu.Lock()
		if e := k.s.envelopes[ack.ID]; e != nil && e.Acked.IsZero() {
			e.Acked, e.Answer = time.Now(), ack.Payload
		}
		k.s.mu.Unlock()
	}
}

func (k *socket) leave() {
	k.s.mu.Lock()
	k.s.conns = slices.DeleteFunc(k.s.conns, func(o *socket) bool { return o == k })
	k.s.mu.Unlock()
	close(k.gone)
	k.conn.Close()
}

// deliver makes an envelope and sends it over one of the connections. Events
// not acknowledged within three seconds are sent again: at once, a minute
// later, five minutes later.
func (s *Server) deliver(kind string, payload any) string {
	data, err := json.Marshal(payload)
	if err != nil {
		panic(err)
	}
	s.mu.Lock()
	e := &Envelope{ID: s.id("env-"), Kind: kind, Payload: data}
	s.envelopes[e.ID] = e
	s.order = append(s.order, e.ID)
	copies, retry := 1+s.copies, kind == "events_api" && !s.noRetry
	s.mu.Unlock()
	for range copies {
		s.transmit(e, "")
	}
	if retry {
		go s.repeat(e)
	}
	return e.ID
}

// transmit sends an envelope over one connection, if there is one.
func (s *Server) transmit(e *Envelope, reason string) {
	s.mu.Lock()
	frame := answer{
		"envelope_id": e.ID, "type": e.Kind, "payload": e.Payload,
		"accepts_response_payload": e.Kind != "events_api",
	}
	if e.Kind == "events_api" {
		frame["retry_attempt"], frame["retry_reason"] = e.try, reason
	}
	var k *socket
	if len(s.conns) > 0 {
		k = s.conns[s.turn%len(s.conns)]
		s.turn++
	}
	if k != nil && k.send(frame) {
		e.Sent = append(e.Sent, time.Now())
	}
	s.mu.Unlock()
}

func (s *Server) repeat(e *Envelope) {
	for _, wait := range []time.Duration{3 * time.Second, time.Minute, 5 * time.Minute} {
		select {
		case <-time.After(wait):
		case <-s.done:
			return
		}
		s.mu.Lock()
		acked := !e.Acked.IsZero()
		e.try++
		s.mu.Unlock()
		if acked {
			return
		}
		s.transmit(e, "timeout")
	}
}

// Redeliver sends an envelope once more, acknowledged or not.
func (s *Server) Redeliver(id string) {
	s.mu.Lock()
	e := s.envelopes[id]
	s.mu.Unlock()
	s.transmit(e, "timeout")
}

// Duplicate makes the server send every envelope n times more than once.
func (s *Server) Duplicate(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.copies = n
}

// Envelopes lists what was delivered, oldest first.
func (s *Server) Envelopes() []Envelope {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Envelope
	for _, id := range s.order {
		out = append(out, *s.envelopes[id])
	}
	return out
}

// PingEvery sets how often connections made from now on are pinged; ten seconds
// is the default.
func (s *Server) PingEvery(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pingEvery = d
}

// Sockets is the number of open connections.
func (s *Server) Sockets() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.conns)
}

// Opened lists when connections were asked for.
func (s *Server) Opened() []time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.opened)
}

// Disconnect tells every connection to go, as the platform does every few
// hours, and closes it.
func (s *Server) Disconnect(reason string) {
	s.mu.Lock()
	conns := slices.Clone(s.conns)
	s.mu.Unlock()
	for _, k := range conns {
		k.send(answer{"type": "disconnect", "reason": reason, "debug_info": answer{"host": "applink-test"}})
	}
}

// DisconnectOne tells one connection to go.
func (s *Server) DisconnectOne(reason string) {
	s.mu.Lock()
	conns := slices.Clone(s.conns)
	s.mu.Unlock()
	if len(conns) > 0 {
		conns[0].send(answer{"type": "disconnect", "reason": reason})
	}
}

// Drop breaks every websocket without a word.
func (s *Server) Drop() {
	s.mu.Lock()
	conns := slices.Clone(s.conns)
	s.mu.Unlock()
	for _, k := range conns {
		sever(k.conn.NetConn())
	}
}

// Frame sends a raw frame over one connection: for what the library cannot
// read.
func (s *Server) Frame(data string) {
	s.mu.Lock()
	conns := slices.Clone(s.conns)
	s.mu.Unlock()
	if len(conns) > 0 {
		conns[0].send(json.RawMessage(data))
	}
}

// Track makes an envelope sent as a raw frame known, so that its
// acknowledgement is noted.
func (s *Server) Track(id, kind string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.envelopes[id] = &Envelope{ID: id, Kind: kind}
	s.order = append(s.order, id)
}
