package fakeworkspace

import (
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// answer is a web API answer in the making.
type answer map[string]any

func refuse(code string) answer { return answer{"ok": false, "error": code} }

func (s *Server) serveAPI(rw http.ResponseWriter, req *http.Request, method string) {
	values, token := read(req)
	channel := values["channel"]
	s.mu.Lock()
	f := s.fault(method, channel)
	s.mu.Unlock()
	call := Call{Method: method, Values: values, Token: token, Host: req.Host, At: time.Now(), Status: 200}
	if f != nil {
		if f.Delay > 0 {
			select {
			case <-time.After(f.Delay):
			case <-req.Context().Done():
			case <-s.done:
			}
		}
		switch {
		case f.ResetBefore:
			call.Status = 0
			s.note(call)
			cut(rw)
			return
		case f.Status != 0:
			call.Status = f.Status
			if f.RetryAfter > 0 {
				rw.Header().Set("Retry-After", strconv.Itoa(f.RetryAfter))
				call.Error = strconv.Itoa(f.RetryAfter)
			}
			s.note(call)
			rw.WriteHeader(f.Status)
			io.WriteString(rw, "<html>fault</html>")
			return
		case f.Error != "":
			call.Error = f.Error
			s.note(call)
			write(rw, refuse(f.Error))
			return
		}
	}
	out, wait := s.perform(method, values, token)
	if wait > 0 {
		seconds := int((wait + time.Second - 1) / time.Second)
		call.Status, call.Error = http.StatusTooManyRequests, strconv.Itoa(seconds)
		s.note(call)
		rw.Header().Set("Retry-After", strconv.Itoa(seconds))
		rw.WriteHeader(http.StatusTooManyRequests)
		return
	}
	if link, ok := out["url"].(string); ok && req.TLS != nil {
		out["url"] = strings.Replace(link, "ws://", "wss://", 1)
	}
	call.Error, _ = out["error"].(string)
	s.note(call)
	if f != nil && f.ResetAfter {
		cut(rw)
		return
	}
	s.mu.Lock()
	rw.Header().Set("X-OAuth-Scopes", s.scopes)
	s.mu.Unlock()
	write(rw, out)
}

func (s *Server) note(c Call) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.calls = append(s.calls, c)
}

func write(rw http.ResponseWriter, out answer) {
	if _, ok := out["ok"]; !ok {
		out["ok"] = true
	}
	rw.Header().Set("Content-Type", "application/json; charset=utf-8")
	json.NewEncoder(rw).Encode(out)
}

// read takes the arguments of a call, from a form or from JSON.
func read(req *http.Request) (values map[string]string, token string) {
	values = map[string]string{}
	kind, _, _ := mime.ParseMediaType(req.Header.Get("Content-Type"))
	switch kind {
	case "application/json":
		var raw map[string]json.RawMessage
		json.NewDecoder(req.Body).Decode(&raw)
		for name, v := range raw {
			var word string
			if json.Unmarshal(v, &word) != nil {
				word = string(v)
			}
			values[name] = word
		}
	default:
		req.ParseMultipartForm(1 << 20)
		for name := range req.Form {
			values[name] = strings.Join(req.Form[name], "\x00")
		}
	}
	token = strings.TrimPrefix(req.Header.Get("Authorization"), "Bearer ")
	if values["token"] != "" {
		token = values["token"]
	}
	delete(values, "token")
	return values, token
}

// perform carries a call out. A wait means: too many requests.
func (s *Server) perform(method string, v map[string]string, token string) (answer, time.Duration) {
	want := BotToken
	if method == "apps.connections.open" {
		want = AppToken
	}
	switch token {
	case want:
	case "":
		return refuse("not_authed"), 0
	default:
		return refuse("invalid_auth"), 0
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch method {
	case "auth.test":
		return answer{"url": "http://" + Host + "/", "team": "Alder Yard", "team_id": Team, "user": "presshand", "user_id": Bot, "bot_id": BotID}, 0
	case "apps.connections.open":
		s.opened = append(s.opened, time.Now())
		return answer{"url": "ws://" + s.host() + "/socket?ticket=" + s.id("t")}, 0
	case "chat.postMessage":
		return s.postMessage(v)
	case "chat.update":
		return s.update(v), 0
	case "chat.postEphemeral":
		s.ephemeral = append(s.ephemeral, Ephemeral{
			Channel: v["channel"], Thread: v["thread_ts"], User: v["user"], Text: v["text"],
			Blocks: raw(v["blocks"]), Via: method, At: time.Now(),
		})
		return answer{"message_ts": s.stamp()}, 0
	case "conversations.replies", "conversations.history":
		return s.list(method, v), 0
	case "conversations.open":
		return answer{"channel": answer{"id": DirectChannel(v["users"])}}, 0
	case "users.info":
		return answer{"user": answer{"id": v["user"], "name": strings.ToLower(v["user"]), "tz": "America/New_York"}}, 0
	case "views.open", "views.publish", "views.update":
		return s.view(method, v), 0
	case "files.getUploadURLExternal":
		return s.slot(v), 0
	case "files.completeUploadExternal":
		return s.complete(v), 0
	}
	return refuse("unknown_method"), 0
}

// DirectChannel is the id of the direct channel with a user.
func DirectChannel(user string) string { return "D" + strings.TrimPrefix(user, "U") }

func raw(s string) json.RawMessage {
	if s == "" {
		return nil
	}
	return json.RawMessage(s)
}

func (s *Server) postMessage(v map[string]string) (answer, time.Duration) {
	if v["channel"] == "" {
		return refuse("channel_not_found"), 0
	}
	if v["text"] == "" && (v["blocks"] == "" || v["blocks"] == "[]") {
		return refuse("no_text"), 0
	}
	if s.limit != nil {
		if wait := s.limit.take(v["channel"], time.Now()); wait > 0 {
			return nil, wait
		}
	}
	m := &Message{
		Channel: v["channel"], TS: s.stamp(), Thread: v["thread_ts"], User: Bot, Text: v["text"],
		Blocks: raw(v["blocks"]), Metadata: raw(v["metadata"]), At: time.Now(),
	}
	s.messages = append(s.messages, m)
	return answer{"channel": m.Channel, "ts": m.TS, "message": m.wire()}, 0
}

func (l *limit) take(channel string, now time.Time) time.Duration {
	turn := l.turns[channel]
	if turn.Before(now) {
		turn = now
	}
	if wait := turn.Sub(now) - time.Duration(l.burst-1)*l.every; wait > 0 {
		l.refused++
		return wait
	}
	l.turns[channel] = turn.Add(l.every)
	return 0
}

func (s *Server) update(v map[string]string) answer {
	for _, m := range s.messages {
		if m.Channel == v["channel"] && m.TS == v["ts"] {
			if m.User != Bot {
				return refuse("cant_update_message")
			}
			m.Text, m.Blocks = v["text"], raw(v["blocks"])
			if v["metadata"] != "" {
				m.Metadata = raw(v["metadata"])
			}
			m.Edits++
			return answer{"channel": m.Channel, "ts": m.TS, "text": m.Text}
		}
	}
	return refuse("message_not_found")
}

// wire is a message as the API tells it.
func (m *Message) wire() answer {
	out := answer{"type": "message", "user": m.User, "ts": m.TS, "text": m.Text}
	if m.User == Bot {
		out["bot_id"] = BotID
	}
	if m.Thread != "" {
		out["thread_ts"] = m.Thread
	}
	if m.Metadata != nil {
		out["metadata"] = m.Metadata
	}
	if m.Blocks != nil {
		out["blocks"] = m.Blocks
	}
	var files []answer
	for _, f := range m.Files {
		files = append(files, answer{"id": f.ID, "name": f.Name})
	}
	if files != nil {
		out["files"] = files
	}
	return out
}

// list tells a thread oldest first or a channel newest first, in pages.
func (s *Server) list(method string, v map[string]string) answer {
	var found []*Message
	for _, m := range s.messages {
		inThread := m.TS == v["ts"] || m.Thread == v["ts"]
		switch {
		case m.Channel != v["channel"] || v["oldest"] != "" && m.TS < v["oldest"]:
		case method == "conversations.replies" && inThread:
			found = append(found, m)
		case method == "conversations.history" && m.Thread == "":
			found = append([]*Message{m}, found...)
		}
	}
	size, from := 100, 0
	if n, err := strconv.Atoi(v["limit"]); err == nil && n > 0 {
		size = n
	}
	if n, err := strconv.Atoi(v["cursor"]); err == nil {
		from = n
	}
	out := answer{"messages": []answer{}}
	var page []answer
	for _, m := range found[min(from, len(found)):min(from+size, len(found))] {
		told := m.wire()
		if v["include_all_metadata"] != "1" && v["include_all_metadata"] != "true" {
			delete(told, "metadata")
		}
		page = append(page, told)
	}
	if page != nil {
		out["messages"] = page
	}
	if from+size < len(found) {
		out["has_more"] = true
		out["response_metadata"] = answer{"next_cursor": strconv.Itoa(from + size)}
	}
	return out
}

func (s *Server) view(method string, v map[string]string) answer {
	view := View{Method: method, User: v["user_id"], ID: v["view_id"], Trigger: v["trigger_id"], Hash: v["hash"], View: raw(v["view"]), At: time.Now()}
	if view.ID == "" {
		view.ID = s.id("V")
	}
	s.views = append(s.views, view)
	return answer{"view": answer{"id": view.ID, "hash": s.id("h")}}
}

func (s *Server) slot(v map[string]string) answer {
	f := &File{ID: s.id("F"), Name: v["filename"], Alt: v["alt_txt"]}
	s.uploads[f.ID] = f
	return answer{"upload_url": "http://" + s.host() + "/upload/" + f.ID, "file_id": f.ID}
}

// serveUpload takes a file's bytes, raw or in a form, as the platform does.
func (s *Server) serveUpload(rw http.ResponseWriter, req *http.Request) {
	data, err := uploaded(req)
	if err != nil {
		http.Error(rw, err.Error(), http.StatusBadRequest)
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.uploads[strings.TrimPrefix(req.URL.Path, "/upload/")]
	if f == nil {
		http.NotFound(rw, req)
		return
	}
	f.Data = data
	fmt.Fprintf(rw, "OK - %d", len(data))
}

func uploaded(req *http.Request) ([]byte, error) {
	if !strings.HasPrefix(req.Header.Get("Content-Type"), "multipart/") {
		return io.ReadAll(req.Body)
	}
	reader, err := req.MultipartReader()
	if err != nil {
		return nil, err
	}
	for {
		part, err := reader.NextPart()
		if err != nil {
			return nil, fmt.Errorf("no file in the form: %w", err)
		}
		if part.FileName() != "" {
			return io.ReadAll(part)
		}
	}
}

func (s *Server) complete(v map[string]string) answer {
	var asked []struct {
		ID    string `json:"id"`
		Title string `json:"title"`
	}
	if json.Unmarshal([]byte(v["files"]), &asked) != nil || len(asked) == 0 {
		return refuse("invalid_arguments")
	}
	m := &Message{Channel: v["channel_id"], Thread: v["thread_ts"], TS: s.stamp(), User: Bot, Text: v["initial_comment"], At: time.Now()}
	var told []answer
	for _, a := range asked {
		f := s.uploads[a.ID]
		if f == nil || f.Data == nil {
			return refuse("file_not_found")
		}
		f.Title = a.Title
		m.Files = append(m.Files, *f)
		told = append(told, answer{"id": f.ID, "title": f.Title})
	}
	s.messages = append(s.messages, m)
	return answer{"files": told}
}

// serveResponse takes an answer by response_url: five uses in thirty minutes.
func (s *Server) serveResponse(rw http.ResponseWriter, req *http.Request) {
	values, _ := read(req)
	s.mu.Lock()
	defer s.mu.Unlock()
	id := strings.TrimPrefix(req.URL.Path, "/response/")
	left, ok := s.answers[id]
	if !ok || left == 0 {
		http.Error(rw, "used_url", http.StatusNotFound)
		return
	}
	s.answers[id] = left - 1
	s.ephemeral = append(s.ephemeral, Ephemeral{Text: values["text"], Blocks: raw(values["blocks"]), Via: "response_url", At: time.Now()})
	io.WriteString(rw, "ok")
}
