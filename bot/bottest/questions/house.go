package questions

import (
	"context"
	"fmt"
	"strings"
	"time"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/rephrase"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// Now is the time the house's clock shows: Wednesday 25 November 2026, opening
// time of the example shop. Dates in the question files count from it.
var Now = time.Date(2026, time.November, 25, 9, 0, 0, 0, time.FixedZone("", -5*60*60))

// A House is the bot with the built-in knowledge and the example shop, its
// clock held at Now.
type House struct {
	Base     *knowledge.Base
	bot      *bot.Bot
	memories bot.Memories
	voices   bot.Voices
	marks    marks
	asked    int
}

// Open sets up a house.
func Open() (*House, error) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		return nil, err
	}
	profile := shop.Example()
	desk, err := answer.New(base, profile)
	if err != nil {
		return nil, err
	}
	h := &House{Base: base, memories: bot.NewMemories(), voices: bot.NewVoices(), marks: marksOf(base)}
	h.bot = bot.New(base, profile, desk,
		bot.WithClock(func() time.Time { return Now }), bot.WithMemories(h.memories), bot.WithVoices(h.voices))
	return h, nil
}

// A Result is what a question came to.
type Result struct {
	Reply reply.Reply
	Entry string // section/id of the entry that was taken, "" for none
	Took  time.Duration

	marks marks
}

// asker is who asks the questions.
const asker = "asker"

// Speak sets how the questions that follow are answered.
func (h *House) Speak(v rephrase.Voice) { h.voices.PutVoice(asker, v) }

// Ask says a case's earlier messages and asks its question, in a conversation
// of its own. Took is the time of the question alone.
func (h *House) Ask(c Case) Result {
	h.asked++
	talk := fmt.Sprintf("question-%d", h.asked)
	for _, text := range c.After {
		h.bot.Handle(context.Background(), bot.Message{Text: text, Conversation: talk, User: asker})
	}
	start := time.Now()
	r := h.bot.Handle(context.Background(), bot.Message{Text: c.Ask, Conversation: talk, User: asker})
	return Result{Reply: r, Took: time.Since(start), Entry: h.entry(talk, r), marks: h.marks}
}

// Say asks one message that belongs to no conversation.
func (h *House) Say(ctx context.Context, text string) reply.Reply {
	return h.bot.Handle(ctx, bot.Message{Text: text})
}

// entry returns the knowledge entry behind the reply that was just given; the
// conversation's memory holds it, unless the reply was declined.
func (h *House) entry(talk string, r reply.Reply) string {
	m := h.memories.Get(talk)
	if r.Outcome == reply.Declined || m.Last == nil {
		return ""
	}
	e := m.Last.Entry
	return strings.Trim(e.Section+"/"+e.ID, "/")
}
