package bot

import (
	"container/list"
	"context"
	"sync"

	"presshand/bot/listen"
	"presshand/bot/rephrase"
	"presshand/bot/reply"
)

// WithRephraser lets a model reword answers; off by default.
func WithRephraser(p *rephrase.Rephraser) Option {
	return func(b *Bot) { b.rephraser = p }
}

// Voices keeps how each user wants to be spoken to.
type Voices interface {
	Voice(user string) rephrase.Voice // the zero voice of a user who chose none
	PutVoice(user string, v rephrase.Voice)
}

// WithVoices keeps voices elsewhere than in this process.
func WithVoices(v Voices) Option { return func(b *Bot) { b.voices = v } }

// mostVoices bounds how many users' choices are kept in this process.
const mostVoices = 2_000

// NewVoices keeps the latest mostVoices choices in this process.
func NewVoices() Voices {
	return &voices{items: map[string]*list.Element{}, order: list.New()}
}

type voices struct {
	mu    sync.Mutex
	items map[string]*list.Element
	order *list.List // the latest first
}

type voice struct {
	user  string
	voice rephrase.Voice
}

// Voice implements Voices.
func (v *voices) Voice(user string) rephrase.Voice {
	v.mu.Lock()
	defer v.mu.Unlock()
	e, ok := v.items[user]
	if !ok {
		return rephrase.Voice{}
	}
	v.order.MoveToFront(e)
	return e.Value.(voice).voice
}

// PutVoice implements Voices.
func (v *voices) PutVoice(user string, chosen rephrase.Voice) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if e, ok := v.items[user]; ok {
		v.order.Remove(e)
	}
	v.items[user] = v.order.PushFront(voice{user, chosen})
	if v.order.Len() > mostVoices {
		last := v.order.Back()
		v.order.Remove(last)
		delete(v.items, last.Value.(voice).user)
	}
}

// speaker names who chooses a voice: the user, or the conversation of a face
// that knows no users.
func speaker(m Message) string {
	if m.User == "" {
		return "conversation " + m.Conversation
	}
	return m.User
}

// chosen takes a message that only says how its user wants to be spoken to.
func (b *Bot) chosen(m Message, was rephrase.Voice) (reply.Reply, bool) {
	now, lines, ok := b.speech.Choose(m.Text, was)
	if !ok {
		return reply.Reply{}, false
	}
	b.voices.PutVoice(speaker(m), now)
	return reply.Reply{Question: m.Text, Outcome: reply.Answered, Topic: "help", Lines: lines}, true
}

// inLanguage has a request answered in the language its user chose.
func inLanguage(request listen.Request, lang string) listen.Request {
	if lang == "" {
		return request
	}
	request.Lang = lang
	for i := range request.Asks {
		request.Asks[i].Lang = lang
	}
	return request
}

// speak says an answer as its user wants it, reworded where that is on.
func (b *Bot) speak(ctx context.Context, r reply.Reply, level rephrase.Level, lang string) reply.Reply {
	if b.rephraser != nil {
		r = b.rephraser.Reply(ctx, r, rephrase.Voice{Level: level, Lang: lang})
	}
	return b.speech.Speak(r, level, lang)
}
