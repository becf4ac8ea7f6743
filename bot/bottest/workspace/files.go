package fakeworkspace

import (
	"net/http"
	"strconv"
	"strings"
	"time"
)

// A Drop is a file somebody put in a channel.
type Drop struct {
	Name     string
	Type     string
	Size     int64  // as the event tells it
	Data     []byte // what is really served
	Endless  bool   // served without end
	Chunk    time.Duration
	SignIn   bool   // answered with the sign-in page, as without access
	Expired  bool   // answered with 404
	Host     string // a foreign host in the link
	MoveTo   string // a foreign host the download is sent on to
	External bool
}

// url is where the drop is downloaded: from host unless it says otherwise.
func (d Drop) url(host, id string) string {
	if d.Host != "" {
		host = d.Host
	}
	return "http://" + host + "/files/" + id + "/" + d.Name
}

func (s *Server) serveFile(rw http.ResponseWriter, req *http.Request) {
	s.note(Call{Method: "file", Token: strings.TrimPrefix(req.Header.Get("Authorization"), "Bearer "), Host: req.Host, At: time.Now(), Status: 200})
	parts := strings.Split(strings.TrimPrefix(req.URL.Path, "/"), "/")
	s.mu.Lock()
	var d *Drop
	if len(parts) > 1 {
		d = s.drops[parts[1]]
	}
	s.mu.Unlock()
	switch {
	case req.URL.Path == "/signin":
		rw.Header().Set("Content-Type", "text/html")
		rw.Write([]byte("<html>sign in</html>"))
	case d == nil || d.Expired:
		http.NotFound(rw, req)
	case d.MoveTo != "" && req.Host != d.MoveTo:
		http.Redirect(rw, req, "http://"+d.MoveTo+req.URL.Path, http.StatusFound)
	case d.SignIn:
		http.Redirect(rw, req, "http://"+Host+"/signin?redir="+req.URL.Path, http.StatusFound)
	case d.Endless:
		s.stream(rw, req, d)
	default:
		rw.Header().Set("Content-Length", strconv.Itoa(len(d.Data)))
		rw.Write(d.Data)
	}
}

// stream serves a file without end, at the drop's pace.
func (s *Server) stream(rw http.ResponseWriter, req *http.Request, d *Drop) {
	buf := make([]byte, 64<<10)
	for {
		if d.Chunk > 0 {
			select {
			case <-time.After(d.Chunk):
			case <-req.Context().Done():
				return
			case <-s.done:
				return
			}
		}
		if _, err := rw.Write(buf); err != nil {
			return
		}
		if f, ok := rw.(http.Flusher); ok {
			f.Flush()
		}
	}
}
