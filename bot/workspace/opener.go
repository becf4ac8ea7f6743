package workspace

import (
	"context"
	"io"
	"net/http"
	"sync"
	"time"
)

// opener is the HTTP transport of apps.connections.open: the library calls it
// again at once after a connection that ended at once, hundreds of times a
// second, so the opener sets a pace and obeys the platform's delays.
type opener struct {
	next http.RoundTripper
	mu   sync.Mutex
	left float64   // calls that may go at once
	then time.Time // when left was counted
	hold time.Time // not before, by the platform's word
	slow int       // calls in a row that ran out of time
}

// openMethod ends the address of the call that opens a socket.
const openMethod = "apps.connections.open"

// The opener's pace: a burst of openBurst calls, then one every openEvery.
const (
	openBurst = 6
	openEvery = 2 * time.Second
	openWait  = 3 * time.Second // doubled after each call that ran out of time, up to openMost
	openMost  = 24 * time.Second
)

func (o *opener) RoundTrip(req *http.Request) (*http.Response, error) {
	if err := sleep(req.Context(), o.reserve(time.Now())); err != nil {
		o.failed(err)
		return nil, err
	}
	ctx, cancel := context.WithTimeout(req.Context(), o.patience())
	resp, err := o.next.RoundTrip(req.WithContext(ctx))
	if err != nil {
		cancel()
		o.failed(err)
		return nil, err
	}
	o.answered(resp)
	resp.Body = &cancelBody{ReadCloser: resp.Body, cancel: cancel}
	return resp, nil
}

// reserve takes a turn and returns the wait until it.
func (o *opener) reserve(now time.Time) time.Duration {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.then.IsZero() {
		o.left, o.then = openBurst, now
	}
	o.left = min(openBurst, o.left+float64(now.Sub(o.then))/float64(openEvery))
	o.then = now
	o.left--
	wait := max(0, o.hold.Sub(now))
	if o.left < 0 {
		wait = max(wait, time.Duration(-o.left*float64(openEvery)))
	}
	return wait
}

// patience is how long one call may take.
func (o *opener) patience() time.Duration {
	o.mu.Lock()
	defer o.mu.Unlock()
	return min(openMost, openWait<<min(o.slow, 3))
}

// failed gives the turn back: the platform saw nothing of it.
func (o *opener) failed(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.left = min(openBurst, o.left+1)
	if isTimeout(err) {
		o.slow++
	}
}

func (o *opener) answered(resp *http.Response) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.slow = 0
	if resp.StatusCode == http.StatusTooManyRequests {
		wait, err := time.ParseDuration(resp.Header.Get("Retry-After") + "s")
		if err != nil {
			wait = rateDefault
		}
		o.hold = time.Now().Add(max(wait, rateLeast))
	}
}

// cancelBody ends a request's own context when its answer has been read.
type cancelBody struct {
	io.ReadCloser
	cancel context.CancelFunc
}

func (b *cancelBody) Close() error {
	defer b.cancel()
	return b.ReadCloser.Close()
}

// bodyLimit bounds every answer of the web API.
type bodyLimit struct{ next http.RoundTripper }

func (b bodyLimit) RoundTrip(req *http.Request) (*http.Response, error) {
	resp, err := b.next.RoundTrip(req)
	if err == nil {
		resp.Body = struct {
			io.Reader
			io.Closer
		}{io.LimitReader(resp.Body, maxAPIAnswer), resp.Body}
	}
	return resp, err
}
