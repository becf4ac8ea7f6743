package fakeworkspace

import (
	"strings"
	"time"
)

// Say is something a person writes.
type Say struct {
	Channel string // begins with D for a direct channel
	User    string
	Text    string // as it goes over the wire, <@U0BOT> for a mention
	Thread  string
	Files   []Drop
	// Odd kinds, which a bot must leave alone.
	Bot     string // another bot's id
	Subtype string
	Edited  bool
	Private bool          // in a private channel
	Late    time.Duration // reported to the bot that much later
}

// Write posts a person's message and reports it to the bot, a mention twice, as
// app_mention and as message, under two event ids. It returns the message's
// time stamp.
func (s *Server) Write(say Say) string {
	s.mu.Lock()
	m := &Message{Channel: say.Channel, TS: s.stamp(), Thread: say.Thread, User: say.User, Text: say.Text, At: time.Now()}
	s.messages = append(s.messages, m)
	event := answer{"type": "message", "channel": say.Channel, "channel_type": say.channelType(), "user": say.User, "text": say.Text, "ts": m.TS, "event_ts": m.TS}
	if say.Thread != "" {
		event["thread_ts"] = say.Thread
	}
	if say.Bot != "" {
		event["bot_id"] = say.Bot
	}
	if say.Subtype != "" {
		event["subtype"] = say.Subtype
	}
	if say.Edited {
		event["edited"] = answer{"user": say.User, "ts": m.TS}
	}
	if len(say.Files) > 0 {
		event["subtype"] = "file_share"
		event["files"] = s.place(say.Files)
	}
	s.mu.Unlock()
	if say.Late > 0 {
		go func() {
			select {
			case <-time.After(say.Late):
				s.deliver("events_api", s.event(event))
			case <-s.done:
			}
		}()
		return m.TS
	}
	s.deliver("events_api", s.event(event))
	if strings.Contains(say.Text, "<@"+Bot) && !strings.HasPrefix(say.Channel, "D") && say.Subtype == "" {
		mention := answer{}
		for k, v := range event {
			mention[k] = v
		}
		mention["type"] = "app_mention"
		delete(mention, "subtype")
		delete(mention, "channel_type")
		s.deliver("events_api", s.event(mention))
	}
	return m.TS
}

func (say Say) channelType() string {
	switch {
	case strings.HasPrefix(say.Channel, "D"):
		return "im"
	case say.Private:
		return "group"
	}
	return "channel"
}

func (s *Server) place(drops []Drop) []answer {
	var files []answer
	for _, d := range drops {
		id := s.id("F")
		s.drops[id] = &d
		files = append(files, answer{
			"id": id, "name": d.Name, "mimetype": d.Type, "size": d.Size, "mode": "hosted",
			"is_external": d.External, "url_private_download": d.url(s.host(), id), "url_private": d.url(s.host(), id),
		})
	}
	return files
}

// event wraps an inner event.
func (s *Server) event(inner answer) answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	return answer{
		"type": "event_callback", "team_id": Team, "api_app_id": AppID, "event_id": s.id("Ev"),
		"event_time": time.Now().Unix(), "event": inner,
	}
}

// Event reports an event of any kind.
func (s *Server) Event(inner map[string]any) string { return s.deliver("events_api", s.event(inner)) }

// OpenHome is a person opening the bot's home tab.
func (s *Server) OpenHome(user string) string {
	return s.Event(answer{"type": "app_home_opened", "user": user, "channel": DirectChannel(user), "tab": "home"})
}

// Command is a person's slash command. It returns the envelope's id.
func (s *Server) Command(channel, user, text string) string {
	name := "presses"
	if strings.HasPrefix(channel, "D") {
		name = "directmessage"
	}
	return s.deliver("slash_commands", answer{
		"command": "/presshand", "text": text, "team_id": Team, "channel_id": channel, "channel_name": name,
		"user_id": user, "response_url": s.responseURL(), "trigger_id": s.trigger(), "api_app_id": AppID,
	})
}

func (s *Server) responseURL() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	id := s.id("r")
	s.answers[id] = 5
	return "http://" + s.host() + "/response/" + id
}

func (s *Server) trigger() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.id("trigger.")
}

// ClickOn is a person's click on a button of a message.
func (s *Server) ClickOn(m Message, user, action, value string) string {
	container := answer{"type": "message", "channel_id": m.Channel, "message_ts": m.TS, "is_ephemeral": false}
	if m.Thread != "" {
		container["thread_ts"] = m.Thread
	}
	s.mu.Lock()
	ts := s.stamp()
	s.mu.Unlock()
	return s.deliver("interactive", answer{
		"type": "block_actions", "team": answer{"id": Team}, "user": answer{"id": user, "team_id": Team},
		"channel": answer{"id": m.Channel, "name": "presses"}, "container": container, "message": m.wire(),
		"actions":      []answer{{"type": "button", "action_id": action, "block_id": "b", "value": value, "action_ts": ts}},
		"response_url": s.responseURL(), "trigger_id": s.trigger(),
	})
}

// ClickWhisper is a person's click under an answer that only they see.
func (s *Server) ClickWhisper(channel, user, action, value string) string {
	s.mu.Lock()
	ts := s.stamp()
	s.mu.Unlock()
	return s.deliver("interactive", answer{
		"type": "block_actions", "team": answer{"id": Team}, "user": answer{"id": user, "team_id": Team},
		"channel":      answer{"id": channel, "name": "presses"},
		"container":    answer{"type": "message", "channel_id": channel, "message_ts": ts, "is_ephemeral": true},
		"actions":      []answer{{"type": "button", "action_id": action, "block_id": "b", "value": value, "action_ts": ts}},
		"response_url": s.responseURL(), "trigger_id": s.trigger(),
	})
}

// ClickHome is a person's click in the home tab, or on an input of a form.
func (s *Server) ClickHome(user, action, value string) string {
	s.mu.Lock()
	ts := s.stamp()
	s.mu.Unlock()
	return s.deliver("interactive", answer{
		"type": "block_actions", "team": answer{"id": Team}, "user": answer{"id": user, "team_id": Team},
		"container": answer{"type": "view", "view_id": "V1"}, "trigger_id": s.trigger(),
		"actions": []answer{{"type": "button", "action_id": action, "block_id": "b", "value": value, "action_ts": ts}},
	})
}

// Interact reports an interaction of any kind.
func (s *Server) Interact(payload map[string]any) string {
	return s.deliver("interactive", payload)
}

// Submit is a person sending the order form; values holds what each field says.
func (s *Server) Submit(user string, values map[string]string) string {
	state := answer{}
	for field, v := range values {
		element := answer{"type": "plain_text_input", "value": v}
		if field == "due" {
			element = answer{"type": "datepicker", "selected_date": v}
		}
		state[field] = answer{"field." + field: element}
	}
	s.mu.Lock()
	id, hash := s.id("V"), s.id("h")
	s.mu.Unlock()
	return s.deliver("interactive", answer{
		"type": "view_submission", "team": answer{"id": Team}, "user": answer{"id": user, "team_id": Team},
		"view": answer{"id": id, "hash": hash, "callback_id": "order_form", "state": answer{"values": state}},
	})
}
