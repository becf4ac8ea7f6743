package workspace

import (
	"context"
	"io"
	"time"

	"presshand/bot/reply"
)

// A Kind says how a message reached the bot.
type Kind string

// The kinds of message.
const (
	Mention  Kind = "mention"   // names the bot in a channel
	Direct   Kind = "direct"    // a direct message
	FollowUp Kind = "follow-up" // in a thread the bot has answered in, without naming it
	Command  Kind = "command"   // a slash command
	Click    Kind = "click"     // a button under an answer
	Shortcut Kind = "shortcut"  // the menu of somebody's message
	Form     Kind = "form"      // the new-order form
)

// A Message is one thing somebody asked, in plain text.
type Message struct {
	Kind    Kind
	Team    string
	Channel string
	Thread  string // the thread's first message; empty where the talk is flat
	User    string
	Text    string // unescaped, without the bot's own mention; "help" where nothing was left
	Files   []File
	// Key is the same for every delivery of the same message and differs
	// between messages.
	Key    string
	Direct bool // nobody but the user and the bot reads the conversation
	Shared bool // others can read the conversation
	Owner  bool // the user is an owner of the shop
	// Whisper says that only the user sees the answer: a slash command, and
	// the buttons under its answer. Such talk leaves no thread.
	Whisper bool
	At      time.Time
}

// Conversation names the talk the message belongs to: the thread, or the direct
// channel where the talk is flat.
func (m Message) Conversation() string {
	talk := m.Thread
	if m.Whisper {
		talk = m.User // each person has a talk of their own
	}
	return m.Team + "/" + m.Channel + "/" + talk
}

// Place is where a later word about the message goes: its thread or flat talk,
// or, after a whisper, the direct channel with the user.
func (m Message) Place() Place {
	p := Place{Team: m.Team, Channel: m.Channel, Thread: m.Thread, User: m.User}
	if m.Whisper {
		p.Channel, p.Thread = m.User, ""
	}
	return p
}

// A File came with a message.
type File struct {
	Name string
	Type string // media type as the platform states it, "image/png"
	Size int64  // bytes as the platform states them
	// Open fetches the file. Its errors say in plain words what is wrong and
	// wrap ErrTooLarge, ErrForeign, ErrGone or ErrSlow.
	Open func(ctx context.Context) (io.ReadCloser, error)

	source wireFile
}

// A Handler answers messages. Handle is called from several goroutines, though
// never twice at a time for one channel, and must end soon after ctx does.
type Handler interface {
	Handle(ctx context.Context, m Message) reply.Reply
}

// HandlerFunc lets a function be a Handler.
type HandlerFunc func(ctx context.Context, m Message) reply.Reply

// Handle calls f.
func (f HandlerFunc) Handle(ctx context.Context, m Message) reply.Reply { return f(ctx, m) }

// A Place is where an answer goes.
type Place struct {
	Team    string
	Channel string // a user's id stands for the direct channel with them
	Thread  string // empty: flat
	User    string // who asked
	// After is the time stamp of the message that is answered; a look-up for
	// an answer already posted starts there.
	After string
	// Reply, where set, is the address of an answer only the user sees.
	Reply string
}

// lane names the queue the place's answers wait in: one a channel, so that
// answers in a channel keep the order of their questions.
func (p Place) lane() string { return p.Team + "/" + p.Channel }
