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
	return func(b *Bot) { b.voices = newVoices(p) }
}

// mostVoices bounds how many users' choices are kept.
const mostVoices = 2_000

// voices keeps how each user wants to be spoken to, in this process.
type voices struct {
	rephraser *rephrase.Rephraser
	mu        sync.Mutex
	items     map[string]*list.Element
	order     *list.List
}

type voice struct {
	user  string
	level rephrase.Level
}

func newVoices(p *rephrase.Rephraser) *voices {
	return &voices{rephraser: p, items: map[string]*list.Element{}, order: list.New()}
}

func (v *voices) get(user string) rephrase.Level {
	v.mu.Lock()
	defer v.mu.Unlock()
	if e, ok := v.items[user]; ok {
		v.order.MoveToFront(e)
		return e.Value.(voice).level
	}
	return rephrase.Plain
}

func (v *voices) put(user string, level rephrase.Level) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if e, ok := v.items[user]; ok {
		v.order.Remove(e)
	}
	v.items[user] = v.order.PushFront(voice{user, level})
	if v.order.Len() > mostVoices {
		last := v.order.Back()
		v.order.Remove(last)
		delete(v.items, last.Value.(voice).user)
	}
}

// chosen takes a message that only says how its user wants to be spoken to.
func (b *Bot) chosen(m Message) (reply.Reply, bool) {
	if b.voices == nil {
		return reply.Reply{}, false
	}
	level, ok := b.voices.rephraser.Chosen(m.Text)
	if !ok {
		return reply.Reply{}, false
	}
	b.voices.put(m.User, level)
	line := "All right: plain answers."
	switch level {
	case rephrase.NewHire:
		line = "All right: I explain the terms as we go."
	case rephrase.Brief:
		line = "All right: I keep it short."
	}
	return reply.Reply{Question: m.Text, Outcome: reply.Answered, Topic: "help", Lines: []string{line}}, true
}

// reword has an answer reworded where that is on.
func (b *Bot) reword(ctx context.Context, m Message, request listen.Request, r reply.Reply) reply.Reply {
	if b.voices == nil {
		return r
	}
	return b.voices.rephraser.Reply(ctx, r, rephrase.Voice{Level: b.voices.get(m.User), Lang: request.Lang})
}
