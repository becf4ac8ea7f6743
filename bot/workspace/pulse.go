package workspace

import (
	"crypto/rand"
	"net"
	"sync/atomic"
	"time"
)

// A pulse is a connection that remembers when something last came over it and
// can send a websocket ping between two frames.
//
// Its owner's write deadline is kept and set anew for each write. The websocket
// library leaves the deadline of its last control frame standing; a ping sent
// after that would fail, and a write that times out spoils an encrypted
// connection for good (crypto/tls, Conn.SetWriteDeadline).
type pulse struct {
	net.Conn
	limit    time.Duration
	heard    atomic.Int64
	open     atomic.Bool   // the websocket handshake is done
	turn     chan struct{} // holds one token while a write is under way
	deadline atomic.Pointer[time.Time]
}

func (p *pulse) Read(b []byte) (int, error) {
	n, err := p.Conn.Read(b)
	if n > 0 {
		p.heard.Store(time.Now().UnixNano())
	}
	return n, err
}

// SetWriteDeadline is for the writes to come, not for one under way.
func (p *pulse) SetWriteDeadline(t time.Time) error {
	p.deadline.Store(&t)
	return nil
}

// SetDeadline sets both deadlines.
func (p *pulse) SetDeadline(t time.Time) error {
	p.deadline.Store(&t)
	return p.Conn.SetReadDeadline(t)
}

// Write writes whole: the websocket library hands over one frame a call, so a
// ping never falls inside a frame.
func (p *pulse) Write(b []byte) (int, error) {
	p.turn <- struct{}{}
	defer func() { <-p.turn }()
	var deadline time.Time
	if d := p.deadline.Load(); d != nil {
		deadline = *d
	}
	if err := p.Conn.SetWriteDeadline(deadline); err != nil {
		return 0, err
	}
	return p.Conn.Write(b)
}

// ping sends an empty ping frame (RFC 6455 5.2: final frame, opcode 9, masked,
// no payload, four bytes of mask). It gives up where a write is under way: then
// the link shows life, or the write's own deadline ends it.
func (p *pulse) ping() {
	select {
	case p.turn <- struct{}{}:
		defer func() { <-p.turn }()
	default:
		return
	}
	if err := p.Conn.SetWriteDeadline(time.Now().Add(p.limit)); err != nil {
		return
	}
	frame := []byte{0x89, 0x80, 0, 0, 0, 0}
	_, _ = rand.Read(frame[2:]) // the mask of nothing; it never fails
	_, _ = p.Conn.Write(frame)  // a failure shows as silence
}
