package workspace

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"
)

// Bounds of the HTTP door.
const (
	doorBody   = 1 << 20                 // bytes of one request
	doorWait   = 2500 * time.Millisecond // the platform waits three seconds
	doorWindow = 5 * time.Minute         // how far a request's time may be off
)

// Why the door refuses a request.
var (
	errUnsigned = errors.New("not signed")
	errOld      = errors.New("signed too long ago, or in the future")
	errForged   = errors.New("signature does not fit")
	errReplayed = errors.New("request was taken before")
)

// Door is the way in over HTTP, for a bot that is hosted where the platform can
// reach it. It takes events, slash commands and interactions at one address,
// each only with a right signature that is at most five minutes old and was not
// taken before. The secret is the app's signing secret.
func (w *Workspace) Door(secret string) http.Handler {
	return http.HandlerFunc(func(rw http.ResponseWriter, req *http.Request) {
		if req.Method != http.MethodPost {
			rw.Header().Set("Allow", http.MethodPost)
			http.Error(rw, "post only", http.StatusMethodNotAllowed)
			return
		}
		body, err := io.ReadAll(http.MaxBytesReader(rw, req.Body, doorBody))
		if err != nil {
			http.Error(rw, "request too large or broken off", http.StatusRequestEntityTooLarge)
			return
		}
		if err := verify(req.Header, body, secret, time.Now()); err != nil {
			w.meter.Dropped("unsigned")
			w.log.Warn("request refused", "reason", err)
			http.Error(rw, err.Error(), http.StatusUnauthorized)
			return
		}
		if w.self.Load() == nil {
			http.Error(rw, "not ready", http.StatusServiceUnavailable)
			return
		}
		w.enter(rw, req, body)
	})
}

// enter takes a verified request.
func (w *Workspace) enter(rw http.ResponseWriter, req *http.Request, body []byte) {
	kind, payload, challenge, err := unwrap(req.Header.Get("Content-Type"), body)
	switch {
	case err != nil:
		http.Error(rw, err.Error(), http.StatusBadRequest)
		return
	case challenge != "":
		rw.Header().Set("Content-Type", "text/plain")
		_, _ = io.WriteString(rw, challenge)
		return
	}
	signature := req.Header.Get("X-Slack-Signature")
	if !w.seenSig.enter(signature, time.Now()) {
		w.meter.Dropped("replayed")
		rw.Header().Set("X-Slack-No-Retry", "1")
		http.Error(rw, errReplayed.Error(), http.StatusConflict)
		return
	}
	came, acked := time.Now(), make(chan any, 1)
	taken := w.take(envelope{kind: kind, payload: payload, came: came, ack: func(payload any) {
		acked <- payload
		w.meter.Acknowledged(time.Since(came))
	}})
	if !taken {
		w.seenSig.forget(signature)
		http.Error(rw, "busy", http.StatusServiceUnavailable)
		return
	}
	late := time.NewTimer(doorWait)
	defer late.Stop()
	select {
	case payload := <-acked:
		if payload == nil {
			rw.WriteHeader(http.StatusOK)
			return
		}
		rw.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(rw).Encode(payload)
	case <-late.C:
		w.seenSig.forget(signature)
		http.Error(rw, "busy", http.StatusServiceUnavailable)
	}
}

// verify checks a request's signature: the hex HMAC-SHA256, under the secret, of
// "v0:" + time stamp + ":" + body, after "v0=".
func verify(h http.Header, body []byte, secret string, now time.Time) error {
	signature, ok := strings.CutPrefix(h.Get("X-Slack-Signature"), "v0=")
	claimed, err := hex.DecodeString(signature)
	at, timeErr := strconv.ParseInt(h.Get("X-Slack-Request-Timestamp"), 10, 64)
	if !ok || err != nil || timeErr != nil || secret == "" {
		return errUnsigned
	}
	mac := hmac.New(sha256.New, []byte(secret))
	mac.Write([]byte("v0:" + strconv.FormatInt(at, 10) + ":"))
	mac.Write(body)
	if !hmac.Equal(mac.Sum(nil), claimed) { // constant time
		return errForged
	}
	if off := now.Sub(time.Unix(at, 0)); off > doorWindow || off < -doorWindow {
		return errOld
	}
	return nil
}

// unwrap finds the delivery in a request's body and names its kind as the
// socket does.
func unwrap(contentType string, body []byte) (kind string, payload []byte, challenge string, err error) {
	if strings.HasPrefix(contentType, "application/json") {
		var outer struct {
			Type      string `json:"type"`
			Challenge string `json:"challenge"`
		}
		if err := json.Unmarshal(body, &outer); err != nil {
			return "", nil, "", errors.New("body is not JSON")
		}
		if outer.Type == "url_verification" {
			return "", nil, outer.Challenge, nil
		}
		return kindEvent, body, "", nil
	}
	form, err := url.ParseQuery(string(body))
	if err != nil {
		return "", nil, "", errors.New("body is not a form")
	}
	if in := form.Get("payload"); in != "" {
		return kindInteractive, []byte(in), "", nil
	}
	if form.Get("command") == "" {
		return "", nil, "", errors.New("body holds neither event, command nor interaction")
	}
	fields := map[string]string{}
	for name := range form {
		fields[name] = form.Get(name)
	}
	payload, err = json.Marshal(fields)
	return kindCommand, payload, "", err
}

// signatures remembers the requests taken within the window, so that a copied
// request is refused.
type signatures struct {
	mu   sync.Mutex
	seen map[string]time.Time
}

func newSignatures() *signatures { return &signatures{seen: map[string]time.Time{}} }

// enter notes a signature, or reports that it was noted before.
func (s *signatures) enter(signature string, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for old, at := range s.seen {
		if len(s.seen) < 1024 {
			break
		}
		if now.Sub(at) > 2*doorWindow {
			delete(s.seen, old)
		}
	}
	if at, ok := s.seen[signature]; ok && now.Sub(at) <= 2*doorWindow {
		return false
	}
	s.seen[signature] = now
	return true
}

func (s *signatures) forget(signature string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.seen, signature)
}
