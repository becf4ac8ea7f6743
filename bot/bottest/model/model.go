// Package model is a language-model server for tests, with the OpenAI chat
// interface and whatever manners a test wants. It keeps what it was sent. For
// tests only.
package model

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
)

// A Manner answers one request; text is the last user message.
type Manner func(w http.ResponseWriter, r *http.Request, text string)

// A Server is a running server.
type Server struct {
	URL string // ends in /v1

	http   *httptest.Server
	mu     sync.Mutex
	manner Manner
	bodies []string
}

// Start starts a server on this machine.
func Start() *Server {
	s := &Server{}
	s.http = httptest.NewServer(http.HandlerFunc(s.serve))
	s.URL = s.http.URL + "/v1"
	return s
}

// Close ends the server.
func (s *Server) Close() { s.http.CloseClientConnections(); s.http.Close() }

// Behave sets how the next requests are answered.
func (s *Server) Behave(m Manner) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.manner = m
}

// Bodies returns every request's body so far.
func (s *Server) Bodies() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string{}, s.bodies...)
}

func (s *Server) serve(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(io.LimitReader(r.Body, 1<<20))
	var q struct {
		Messages []struct{ Role, Content string }
	}
	if json.Unmarshal(body, &q) != nil || len(q.Messages) == 0 {
		http.Error(w, "no messages", http.StatusBadRequest)
		return
	}
	s.mu.Lock()
	s.bodies = append(s.bodies, string(body))
	m := s.manner
	s.mu.Unlock()
	m(w, r, q.Messages[len(q.Messages)-1].Content)
}

// Say answers with what f makes of the text.
func Say(f func(string) string) Manner {
	return func(w http.ResponseWriter, _ *http.Request, text string) {
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(map[string]any{"choices": []any{map[string]any{
			"finish_reason": "stop", "message": map[string]string{"role": "assistant", "content": f(text)},
		}}})
	}
}

// Status answers with a status and a body.
func Status(code int, body string) Manner {
	return func(w http.ResponseWriter, _ *http.Request, _ string) {
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(code)
		_, _ = io.WriteString(w, body)
	}
}
