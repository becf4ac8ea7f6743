package workspace

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Envelope types: what the socket calls them; the door uses the same words.
const (
	kindEvent       = "events_api"
	kindCommand     = "slash_commands"
	kindInteractive = "interactive"
)

// A job says what a delivery asks of the bot.
type job int

const (
	jobNothing job = iota // nothing: another bot's talk, an edit, a kind it does not know
	jobAnswer             // answer the message
	jobHome               // draw the user's home tab
	jobForm               // open the new-order form
	jobCheck              // check the form while it is filled in
	jobSubmit             // take the filled form
)

// A call is a delivery, read.
type call struct {
	job   job
	msg   Message
	place Place
	keys  []string
	// Form work only.
	trigger string // allows opening a form for three seconds
	view    viewState
	why     string // jobNothing: the reason, for the log
}

// identity is who the bot is in the workspace.
type identity struct {
	user string
	team string
}

// decode reads a delivery without the platform library's decoders, which refuse
// a payload as a whole when they do not know one part of it. It keeps to the
// few fields the bot needs. Files carry no Open yet.
func decode(kind string, payload []byte, self identity) (call, error) {
	switch kind {
	case kindEvent:
		return decodeEvent(payload, self)
	case kindCommand:
		return decodeCommand(payload, self)
	case kindInteractive:
		return decodeInteractive(payload, self)
	}
	return call{why: "unknown envelope"}, nil
}

type wireFile struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Mimetype string `json:"mimetype"`
	Size     int64  `json:"size"`
	Mode     string `json:"mode"`
	External bool   `json:"is_external"`
	Download string `json:"url_private_download"`
	Private  string `json:"url_private"`
}

type wireEvent struct {
	Type        string          `json:"type"`
	Subtype     string          `json:"subtype"`
	Channel     json.RawMessage `json:"channel"` // a name in messages, an object in some other events
	ChannelType string          `json:"channel_type"`
	User        json.RawMessage `json:"user"`
	BotID       string          `json:"bot_id"`
	Text        string          `json:"text"`
	TS          string          `json:"ts"`
	Thread      string          `json:"thread_ts"`
	Hidden      bool            `json:"hidden"`
	Edited      json.RawMessage `json:"edited"`
	Tab         string          `json:"tab"`
	Files       []wireFile      `json:"files"`
}

func decodeEvent(payload []byte, self identity) (call, error) {
	var outer struct {
		Type  string    `json:"type"`
		Team  string    `json:"team_id"`
		ID    string    `json:"event_id"`
		Event wireEvent `json:"event"`
	}
	if err := json.Unmarshal(payload, &outer); err != nil {
		return call{}, fmt.Errorf("read event: %w", err)
	}
	ev := outer.Event
	user, channel := word(ev.User), word(ev.Channel)
	if ev.Type == "app_home_opened" {
		if ev.Tab != "home" || user == "" {
			return call{why: "not the home tab"}, nil
		}
		return call{
			job: jobHome, keys: []string{"event/" + outer.ID},
			msg: Message{Team: outer.Team, User: user}, place: Place{Team: outer.Team, User: user},
		}, nil
	}
	if why := ignored(ev, user, channel, self); why != "" {
		return call{why: why}, nil
	}
	kind, why := eventKind(ev, self)
	if why != "" {
		return call{why: why}, nil
	}
	thread := ev.Thread
	if thread == "" && kind != Direct {
		thread = ev.TS // the answer opens a thread there
	}
	keys := []string{messageKey(outer.Team, channel, ev.TS)}
	if outer.ID != "" {
		keys = append(keys, "event/"+outer.ID)
	}
	return call{
		job:  jobAnswer,
		keys: keys,
		msg: Message{
			Kind: kind, Team: outer.Team, Channel: channel, Thread: thread, User: user,
			Text: incoming(ev.Text, self.user), Files: files(ev.Files), Key: keys[0],
			Direct: kind == Direct, Shared: kind != Direct, At: stamp(ev.TS),
		},
		place: Place{Team: outer.Team, Channel: channel, Thread: thread, User: user, After: ev.TS},
	}, nil
}

// ignored says why an event is none of the bot's business, or nothing.
func ignored(ev wireEvent, user, channel string, self identity) string {
	switch {
	case ev.Type != "message" && ev.Type != "app_mention":
		return "event " + strconv.Quote(ev.Type)
	case ev.BotID != "" || user == self.user:
		return "a bot's message"
	case ev.Subtype != "" && ev.Subtype != "file_share" && ev.Subtype != "thread_broadcast":
		return "message of kind " + strconv.Quote(ev.Subtype)
	case ev.Hidden:
		return "hidden message"
	case len(ev.Edited) > 0 && string(ev.Edited) != "null":
		return "edited message"
	case user == "" || user == "USLACKBOT" || channel == "" || ev.TS == "":
		return "no author"
	}
	return ""
}

// eventKind sorts a message, or says why the bot was not spoken to.
func eventKind(ev wireEvent, self identity) (Kind, string) {
	switch {
	case ev.Type == "app_mention":
		return Mention, ""
	case ev.ChannelType == "im":
		return Direct, ""
	case mentions(ev.Text, self.user):
		return Mention, ""
	case ev.Thread == "" || ev.Thread == ev.TS:
		return "", "not spoken to"
	case mentionsAnyone(ev.Text):
		return "", "spoken to somebody else"
	}
	return FollowUp, ""
}

func decodeCommand(payload []byte, self identity) (call, error) {
	var c struct {
		Command     string `json:"command"`
		Text        string `json:"text"`
		Team        string `json:"team_id"`
		Channel     string `json:"channel_id"`
		ChannelName string `json:"channel_name"`
		User        string `json:"user_id"`
		ResponseURL string `json:"response_url"`
		Trigger     string `json:"trigger_id"`
	}
	if err := json.Unmarshal(payload, &c); err != nil {
		return call{}, fmt.Errorf("read slash command: %w", err)
	}
	if c.User == "" || c.Trigger == "" {
		return call{why: "slash command without user or trigger"}, nil
	}
	key := "command/" + c.Trigger
	direct := c.ChannelName == "directmessage"
	return call{
		job:  jobAnswer,
		keys: []string{key},
		msg: Message{
			Kind: Command, Team: c.Team, Channel: c.Channel, User: c.User, Key: key,
			Text: incoming(c.Text, self.user), Direct: direct, Shared: !direct, Whisper: true,
		},
		place: Place{Team: c.Team, Channel: c.Channel, User: c.User, Reply: c.ResponseURL},
	}, nil
}

// wireInteractive is a click, a shortcut or a form.
type wireInteractive struct {
	Type string `json:"type"`
	Team struct {
		ID string `json:"id"`
	} `json:"team"`
	User struct {
		ID   string `json:"id"`
		Team string `json:"team_id"`
	} `json:"user"`
	Channel struct {
		ID   string `json:"id"`
		Name string `json:"name"`
	} `json:"channel"`
	Container struct {
		Type      string `json:"type"`
		Channel   string `json:"channel_id"`
		Message   string `json:"message_ts"`
		Thread    string `json:"thread_ts"`
		Ephemeral bool   `json:"is_ephemeral"`
	} `json:"container"`
	Message struct {
		TS     string     `json:"ts"`
		Thread string     `json:"thread_ts"`
		Text   string     `json:"text"`
		Files  []wireFile `json:"files"`
	} `json:"message"`
	Actions []struct {
		ID    string `json:"action_id"`
		Value string `json:"value"`
		TS    string `json:"action_ts"`
	} `json:"actions"`
	Callback    string    `json:"callback_id"`
	ActionTS    string    `json:"action_ts"`
	MessageTS   string    `json:"message_ts"`
	ResponseURL string    `json:"response_url"`
	Trigger     string    `json:"trigger_id"`
	View        viewState `json:"view"`
}

func decodeInteractive(payload []byte, self identity) (call, error) {
	var in wireInteractive
	if err := json.Unmarshal(payload, &in); err != nil {
		return call{}, fmt.Errorf("read interaction: %w", err)
	}
	if in.Team.ID == "" {
		in.Team.ID = in.User.Team
	}
	if in.User.ID == "" {
		return call{why: "interaction without user"}, nil
	}
	switch in.Type {
	case "block_actions":
		return decodeClick(in), nil
	case "message_action":
		return decodeShortcut(in, self), nil
	case "shortcut":
		if in.Callback == orderShortcut {
			return formCall(in, jobForm, "shortcut/"+in.User.ID+"/"+in.ActionTS+"/"+in.Trigger), nil
		}
	case "view_submission":
		if in.View.Callback == orderForm {
			return formCall(in, jobSubmit, "form/"+in.View.ID+"/"+in.View.Hash), nil
		}
	}
	return call{why: "interaction " + strconv.Quote(in.Type)}, nil
}

func decodeClick(in wireInteractive) call {
	if len(in.Actions) == 0 {
		return call{why: "click on nothing"}
	}
	action := in.Actions[0]
	key := "click/" + in.User.ID + "/" + action.TS + "/" + action.ID
	switch {
	case action.ID == newOrderAction:
		return formCall(in, jobForm, key)
	case strings.HasPrefix(action.ID, fieldAction):
		return formCall(in, jobCheck, key)
	case !strings.HasPrefix(action.ID, sayAction):
		return call{why: "click on " + strconv.Quote(action.ID)}
	}
	channel := in.Container.Channel
	if channel == "" {
		channel = in.Channel.ID
	}
	direct := strings.HasPrefix(channel, "D") || in.Channel.Name == "directmessage"
	c := call{
		job:  jobAnswer,
		keys: []string{key},
		msg: Message{
			Kind: Click, Team: in.Team.ID, Channel: channel, User: in.User.ID, Key: key,
			Text: strings.TrimSpace(clean(action.Value)), Direct: direct, Shared: !direct, At: stamp(action.TS),
		},
		place: Place{Team: in.Team.ID, Channel: channel, User: in.User.ID, After: action.TS},
	}
	switch {
	case in.Container.Ephemeral:
		// Only the asker sees the answer's button, so only they see what it brings.
		c.msg.Whisper, c.place.Reply = true, in.ResponseURL
	case channel == "": // the home tab: answer in the direct channel
		c.msg.Direct, c.msg.Shared = true, false
		c.msg.Channel, c.place.Channel = in.User.ID, in.User.ID
	default:
		c.msg.Thread = in.Container.Thread
		if c.msg.Thread == "" && !direct {
			c.msg.Thread = in.Container.Message
		}
		c.place.Thread = c.msg.Thread
	}
	return c
}

// decodeShortcut reads "ask about this message" from a message's menu: slash
// commands do not work in threads, this does.
func decodeShortcut(in wireInteractive, self identity) call {
	if in.Callback != askShortcut {
		return call{why: "shortcut " + strconv.Quote(in.Callback)}
	}
	ts := in.Message.TS
	if ts == "" {
		ts = in.MessageTS
	}
	thread := in.Message.Thread
	direct := strings.HasPrefix(in.Channel.ID, "D") || in.Channel.Name == "directmessage"
	if thread == "" && !direct {
		thread = ts
	}
	key := "ask/" + in.User.ID + "/" + in.ActionTS + "/" + ts
	return call{
		job:  jobAnswer,
		keys: []string{key},
		msg: Message{
			Kind: Shortcut, Team: in.Team.ID, Channel: in.Channel.ID, Thread: thread, User: in.User.ID, Key: key,
			Text: incoming(in.Message.Text, self.user), Files: files(in.Message.Files),
			Direct: direct, Shared: !direct, At: stamp(in.ActionTS),
		},
		place: Place{Team: in.Team.ID, Channel: in.Channel.ID, Thread: thread, User: in.User.ID, After: ts},
	}
}

func formCall(in wireInteractive, what job, key string) call {
	return call{
		job: what, keys: []string{key}, trigger: in.Trigger, view: in.View,
		msg:   Message{Kind: Form, Team: in.Team.ID, Channel: in.User.ID, User: in.User.ID, Key: key, Direct: true},
		place: Place{Team: in.Team.ID, Channel: in.User.ID, User: in.User.ID},
	}
}

// messageKey names a message by where and when it was posted: a mention is
// reported as app_mention and as message, under two event ids.
func messageKey(team, channel, ts string) string { return "message/" + team + "/" + channel + "/" + ts }

// word reads a JSON string, or the "id" of an object.
func word(raw json.RawMessage) string {
	var s string
	if json.Unmarshal(raw, &s) == nil {
		return s
	}
	var object struct {
		ID string `json:"id"`
	}
	_ = json.Unmarshal(raw, &object) // neither: no word
	return object.ID
}

// stamp reads a time stamp such as "1764081294.000200"; the zero time where it
// is none.
func stamp(ts string) time.Time {
	seconds, fraction, _ := strings.Cut(ts, ".")
	s, err := strconv.ParseInt(seconds, 10, 64)
	if err != nil {
		return time.Time{}
	}
	micro, _ := strconv.ParseInt((fraction + "000000")[:6], 10, 64)
	return time.Unix(s, micro*1000)
}
