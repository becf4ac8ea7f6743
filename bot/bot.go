package bot

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"presshand/bot/answer"
	"presshand/bot/listen"
	"presshand/bot/rephrase"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// A Bot answers messages. It may be used by any number of goroutines; the
// messages of one conversation are taken one after the other.
type Bot struct {
	mind      atomic.Pointer[mind]
	memories  Memories
	gaps      Gaps
	log       *slog.Logger
	now       func() time.Time
	zone      *time.Location
	speech    *rephrase.Speech
	voices    Voices
	rephraser *rephrase.Rephraser // nil where answers are not reworded
}

// A mind is what an answer is thought out with. A message keeps the one it began
// with, also where another takes its place meanwhile.
type mind struct {
	listener *listen.Listener
	desk     *answer.Desk
}

// Gaps records what could not be answered, for whoever writes the knowledge.
type Gaps interface {
	Record(ctx context.Context, g Gap) error
}

// A Gap is a question that was declined or doubted.
type Gap struct {
	Question string
	Topic    string
	Near     []string // the nearest entries, in words
	At       time.Time
}

// An Option sets up a Bot.
type Option func(*Bot)

// WithClock sets the clock; time.Now by default.
func WithClock(now func() time.Time) Option { return func(b *Bot) { b.now = now } }

// WithMemories keeps conversations elsewhere than in this process.
func WithMemories(m Memories) Option { return func(b *Bot) { b.memories = m } }

// WithGaps records unanswered questions.
func WithGaps(g Gaps) Option { return func(b *Bot) { b.gaps = g } }

// WithLog sets the operator's log; nothing is logged by default. Message text
// goes to it at debug level only.
func WithLog(l *slog.Logger) Option { return func(b *Bot) { b.log = l } }

// GCPercent is how far, in percent, the heap may grow over what is in use before
// garbage is collected (debug.SetGCPercent): less than half as far as usual. A bot
// that answers one shop has processor time to spare and shares a small machine: it
// holds some 10 MB less for it. The commands set it.
const GCPercent = 40

// New returns a bot over a checked base and a checked profile.
func New(base *knowledge.Base, profile *shop.Profile, desk *answer.Desk, options ...Option) *Bot {
	b := &Bot{
		memories: NewMemories(), speech: rephrase.NewSpeech(base), voices: NewVoices(),
		log: slog.New(slog.DiscardHandler), now: time.Now, zone: profile.Zone,
	}
	for _, o := range options {
		o(b)
	}
	if b.zone == nil {
		b.zone = time.UTC
	}
	b.Renew(base, profile, desk)
	return b
}

// Renew lets the messages that come from now on be answered from another base.
// Those under way keep what they began with.
func (b *Bot) Renew(base *knowledge.Base, profile *shop.Profile, desk *answer.Desk) {
	b.mind.Store(&mind{listener: listen.New(base, profile), desk: desk})
}

// Desk returns the desk that answers now.
func (b *Bot) Desk() *answer.Desk { return b.mind.Load().desk }

// Handle answers one message. It never fails: what goes wrong inside is
// recorded, and the asker gets an apology.
func (b *Bot) Handle(ctx context.Context, m Message) (r reply.Reply) {
	defer func() {
		if p := recover(); p != nil {
			b.log.ErrorContext(ctx, "panic while answering", "panic", fmt.Sprint(p), "stack", string(debug.Stack()))
			r = b.apology(m, fmt.Sprint(p))
		}
	}()
	if err := m.Readable(); err != nil {
		return reply.Reply{Question: clip(m.Text), Outcome: reply.Asked, Topic: "none", Lines: []string{sentence(err.Error())}}
	}
	now := m.At
	if now.IsZero() {
		now = b.now()
	}
	now = now.In(b.zone)
	unlock := b.memories.Lock(m.Conversation)
	defer unlock()
	memory := b.memories.Get(m.Conversation)
	voice := b.voices.Voice(speaker(m))
	mind := b.mind.Load()
	if len(m.Files) > 0 {
		r = b.look(ctx, mind, m, &memory, now, voice.Lang)
		r.Question = m.Text
		b.memories.Put(m.Conversation, memory)
		return r
	}
	if r, ok := b.chosen(m, voice); ok {
		return r
	}
	request := mind.listener.Listen(m.Text, memory.Memory, now)
	if first := request.Asks[0]; first.Topic == "help" && first.What == "yes" && memory.Choice != "" {
		request = mind.listener.Listen(memory.Choice, memory.Memory, now)
	}
	request = inLanguage(request, voice.Lang)
	b.log.DebugContext(ctx, "understood", "text", m.Text, "topic", request.Asks[0].Topic, "what", request.Asks[0].What, "score", request.Asks[0].Score)
	r = b.answer(ctx, mind, m, request, &memory, now)
	r.Question = m.Text
	b.memories.Put(m.Conversation, memory)
	if request.Asks[0].Wish != nil {
		return r // what is to be agreed to is no matter of style, and no gap
	}
	b.record(ctx, request, r, now)
	return b.speak(ctx, r, voice.Level, request.Lang)
}

// answer answers each ask of a request and puts the replies together.
func (b *Bot) answer(ctx context.Context, mind *mind, m Message, request listen.Request, memory *Remembered, now time.Time) reply.Reply {
	first := request.Asks[0]
	if first.Topic == "help" {
		switch first.What {
		case "repeat":
			if memory.Reply != nil {
				return *memory.Reply
			}
		case "cancel":
			if memory.Pending != nil {
				memory.Pending, memory.Missing = nil, ""
			}
		}
	}
	turn := answer.Turn{Memory: memory.Memory, Now: now, User: m.User, Owner: m.Owner, Shared: m.Shared, Conversation: m.Conversation}
	var out reply.Reply
	for i, ask := range request.Asks {
		ask = mind.desk.Aim(ctx, ask, turn)
		one := mind.desk.Answer(ctx, ask, turn)
		memory.remember(ask, one)
		turn.Memory = memory.Memory
		if i == 0 {
			out = one
		} else {
			out = join(out, one)
		}
	}
	kept := out
	memory.Reply = &kept
	return out
}

// look inspects the first file of a message for what its text asks, and keeps
// what was measured for the quotes of the same conversation. lang is the language
// its user chose, if any.
func (b *Bot) look(ctx context.Context, mind *mind, m Message, memory *Remembered, now time.Time, lang string) reply.Reply {
	text := m.Text
	if strings.TrimFunc(text, blank) == "" {
		text = "art"
	}
	ask := inLanguage(mind.listener.Listen(text, memory.Memory, now), lang).Asks[0]
	ask.Topic, ask.What, ask.Wish = "art", "file", nil
	if memory.Last != nil {
		ask.Subject = ask.Subject.Over(memory.Last.Subject)
	}
	file := m.Files[0]
	turn := answer.Turn{Memory: memory.Memory, Now: now, User: m.User, Owner: m.Owner, Shared: m.Shared, Conversation: m.Conversation}
	source, err := file.Open()
	if err != nil {
		return reply.Reply{Outcome: reply.Answered, Topic: "art", Lines: []string{sentence(err.Error())}}
	}
	defer source.Close()
	in, err := mind.desk.Inspect(source, file.Name, ask.Subject)
	if err != nil {
		b.log.InfoContext(ctx, "artwork file not read", "error", err)
		return reply.Reply{Outcome: reply.Answered, Topic: "art", Lines: []string{sentence(err.Error())}, Suggestions: []string{"what file should they send?"}}
	}
	r := mind.desk.AnswerArt(in, ask, turn)
	memory.Art = &in.Kept
	memory.remember(ask, r)
	return r
}

// join appends a second answer to a first: each question's lines and the facts of
// both; what both say, cautions and suggestions once.
func join(a, b reply.Reply) reply.Reply {
	if a.Outcome != reply.Answered {
		a.Outcome = b.Outcome
	}
	for _, line := range b.Lines {
		if listed(line) || !slices.Contains(a.Lines, line) {
			a.Lines = append(a.Lines, line)
		}
	}
	a.Tables = append(a.Tables, b.Tables...)
	a.Facts = append(a.Facts, b.Facts...)
	for _, c := range b.Cautions {
		if !slices.ContainsFunc(a.Cautions, func(x reply.Caution) bool { return x.ID == c.ID }) {
			a.Cautions = append(a.Cautions, c)
		}
	}
	for _, s := range b.Assumptions {
		if !slices.Contains(a.Assumptions, s) {
			a.Assumptions = append(a.Assumptions, s)
		}
	}
	for _, s := range b.Suggestions {
		if !slices.Contains(a.Suggestions, s) && len(a.Suggestions) < 4 {
			a.Suggestions = append(a.Suggestions, s)
		}
	}
	if len(a.Methods) == 0 {
		a.Methods = b.Methods
	}
	if a.Order == nil {
		a.Order, a.Quote, a.Plan = b.Order, b.Quote, b.Plan
	}
	a.Files = append(a.Files, b.Files...)
	a.Buttons = append(a.Buttons, b.Buttons...)
	a.Private = append(a.Private, b.Private...)
	a.Named = a.Named || b.Named
	if a.Missing == "" {
		a.Missing = b.Missing
	}
	return a
}

// listed reports a numbered line, which stays with its list.
func listed(line string) bool { return line != "" && line[0] >= '0' && line[0] <= '9' }

func (b *Bot) record(ctx context.Context, request listen.Request, r reply.Reply, now time.Time) {
	if b.gaps == nil || r.Outcome != reply.Declined {
		return
	}
	g := Gap{Question: request.Text, Topic: r.Topic, At: now}
	for _, n := range request.Asks[0].Near {
		g.Near = append(g.Near, n.Name)
	}
	if err := b.gaps.Record(ctx, g); err != nil {
		b.log.ErrorContext(ctx, "could not record an unanswered question", "error", err)
	}
}

func (b *Bot) apology(m Message, detail string) reply.Reply {
	return reply.Reply{
		Question: m.Text, Outcome: reply.Declined, Topic: "none",
		Lines: []string{"Sorry, something broke while I worked on that; it is recorded. Please ask it another way."},
		Note:  detail,
	}
}
