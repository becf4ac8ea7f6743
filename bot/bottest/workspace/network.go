package fakeworkspace

import (
	"context"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// A network connects client and server in memory.
type network struct {
	mu     sync.Mutex
	queue  chan net.Conn
	closed chan struct{}
	isDown bool
	open   map[*wire]bool
}

func newNetwork() *network {
	return &network{queue: make(chan net.Conn, 64), closed: make(chan struct{}), open: map[*wire]bool{}}
}

func (n *network) dial(ctx context.Context) (net.Conn, error) {
	n.mu.Lock()
	if n.isDown {
		n.mu.Unlock()
		return nil, &net.OpError{Op: "dial", Net: "memory", Err: errDown}
	}
	client, server := net.Pipe()
	w := &wire{Conn: server, net: n, out: make(chan []byte, 1024), closing: make(chan struct{})}
	n.open[w] = true
	n.mu.Unlock()
	go w.carry()
	select {
	case n.queue <- w:
		return client, nil
	case <-n.closed:
		return nil, &net.OpError{Op: "dial", Net: "memory", Err: errDown}
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Accept, Close and Addr make the network a net.Listener.
func (n *network) Accept() (net.Conn, error) {
	select {
	case c := <-n.queue:
		return c, nil
	case <-n.closed:
		return nil, net.ErrClosed
	}
}

func (n *network) Close() error {
	n.mu.Lock()
	defer n.mu.Unlock()
	select {
	case <-n.closed:
	default:
		close(n.closed)
	}
	return nil
}

func (n *network) Addr() net.Addr { return address{} }

type address struct{}

func (address) Network() string { return "memory" }
func (address) String() string  { return Host }

func (n *network) wires() []*wire {
	n.mu.Lock()
	defer n.mu.Unlock()
	var all []*wire
	for w := range n.open {
		all = append(all, w)
	}
	return all
}

func (n *network) down() {
	n.mu.Lock()
	n.isDown = true
	n.mu.Unlock()
	for _, w := range n.wires() {
		w.cut()
	}
}

func (n *network) up() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.isDown = false
}

func (n *network) freeze() {
	for _, w := range n.wires() {
		w.frozen.Store(true)
	}
}

// A wire is the server's end of a connection. What the server writes is carried
// by a goroutine of its own, as a real network buffers it: else two sides that
// write at the same time would wait for each other. A frozen wire swallows what
// either side sends, as when the other host has vanished.
type wire struct {
	net.Conn
	net     *network
	out     chan []byte
	closing chan struct{}
	once    sync.Once
	frozen  atomic.Bool
}

// carry writes what was queued until the wire is closed, then closes it.
func (w *wire) carry() {
	defer w.Conn.Close()
	for {
		select {
		case b := <-w.out:
			if _, err := w.Conn.Write(b); err != nil {
				return
			}
			continue
		default:
		}
		select {
		case b := <-w.out:
			if _, err := w.Conn.Write(b); err != nil {
				return
			}
		case <-w.closing:
			if w.frozen.Load() {
				drain(w.Conn) // the other end must not see the close
			}
			if len(w.out) == 0 {
				return
			}
		}
	}
}

func (w *wire) Read(b []byte) (int, error) {
	for {
		n, err := w.Conn.Read(b)
		if err != nil || !w.frozen.Load() {
			return n, err
		}
	}
}

func (w *wire) Write(b []byte) (int, error) {
	if w.frozen.Load() {
		return len(b), nil
	}
	select {
	case <-w.closing:
		return 0, net.ErrClosed
	default:
	}
	select {
	case w.out <- append([]byte(nil), b...):
		return len(b), nil
	case <-w.closing:
		return 0, net.ErrClosed
	}
}

// Close lets what was written arrive.
func (w *wire) Close() error {
	w.leave()
	if !w.frozen.Load() {
		w.Conn.SetReadDeadline(time.Now()) // ends the server's own reading
		w.Conn.SetWriteDeadline(time.Now().Add(10 * time.Second))
	}
	return nil
}

// cut breaks the connection; what was under way is lost.
func (w *wire) cut() {
	w.leave()
	w.Conn.Close()
}

func (w *wire) leave() {
	w.net.mu.Lock()
	delete(w.net.open, w)
	w.net.mu.Unlock()
	w.once.Do(func() { close(w.closing) })
}

// drain reads a half-open connection's bytes until the client gives it up.
func drain(c net.Conn) {
	buf := make([]byte, 4096)
	for {
		if _, err := c.Read(buf); err != nil {
			return
		}
	}
}
