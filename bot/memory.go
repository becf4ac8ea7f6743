package bot

import (
	"container/list"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"presshand/bot/answer"
	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/planner"
)

// Remembered is what a conversation adds to its next message.
type Remembered struct {
	listen.Memory
	Reply *reply.Reply // the last one, for "say that again"
}

// remember takes in an ask and its answer.
func (m *Remembered) remember(ask listen.Ask, r reply.Reply) {
	if ask.Wish != nil {
		m.rememberWish(ask, r)
		return
	}
	if r.Outcome == reply.Asked && r.Missing != "" {
		pending := ask
		m.Pending, m.Missing, m.Choice = &pending, r.Missing, ""
		if len(r.Buttons) == 1 { // "shall I take that?": yes means the one thing offered
			m.Choice = r.Buttons[0].Say
		}
		if ask.Order.IsOrder {
			order := ask.Order.Order
			m.Order = &order
		}
		return
	}
	switch ask.Topic {
	case "help", "none", "follow":
		return
	}
	m.Pending, m.Missing, m.Choice = nil, "", ""
	switch ask.Topic {
	case "quote", "plan", "board", "wait": // "undo that" means the order or the wait from now on
		m.Rule = 0
	}
	if r.Outcome != reply.Declined {
		last := ask
		last.Asked = ask.Subject.Methods
		if id, ok := recommended(ask, r); ok { // what comes next is about the method advised
			last.Subject.Methods = []string{id}
		}
		m.Earlier = earlier(m.Memory)
		m.Last, m.Time = &last, firstTime(r)
	}
	if ask.Topic == "board" && r.Order != nil { // an order of the board is spoken of from now on
		m.Order = r.Order
		return
	}
	if ask.Order.IsOrder && r.Order != nil {
		m.Order = kept(ask.Order.Order, *r.Order)
	}
}

// mostEarlier bounds the asks that are remembered behind the last: who asks
// "which of the two" or "what was it again" means something said a moment ago.
const mostEarlier = 3

// earlier returns what will stand behind the next last ask, the latest first, without
// the orders they held.
func earlier(m listen.Memory) []listen.Ask {
	if m.Last == nil {
		return nil
	}
	before := *m.Last
	before.Order, before.Near, before.Changes = listen.OrderReading{}, nil, nil
	out := append([]listen.Ask{before}, m.Earlier...)
	return out[:min(len(out), mostEarlier)]
}

// firstTime is the first time an answer states, in seconds; 0 where it states none.
func firstTime(r reply.Reply) float64 {
	for _, f := range r.Facts {
		if v, ok := f.Value.(float64); ok && f.Unit == "s" {
			return v
		}
	}
	return 0
}

// rememberWish takes in talk about the shop's rules: what waits for consent, and
// the rule spoken of. What was saved is the thing spoken of from now on.
func (m *Remembered) rememberWish(ask listen.Ask, r reply.Reply) {
	switch {
	case r.Missing == answer.MissingConsent:
		ask.Wish.Do = listen.WishSet
		m.Pending, m.Missing, m.Choice = &ask, r.Missing, ""
	case r.Outcome == reply.Declined: // somebody who may not: the question stands for who may
	default:
		m.Pending, m.Missing, m.Choice = nil, "", ""
	}
	if r.Outcome == reply.Declined {
		return
	}
	spoken := 0
	for _, f := range r.Facts {
		if n, ok := f.Value.(int); ok && f.Name == "shop_rule" {
			spoken = n
		}
	}
	switch ask.Wish.Do {
	case listen.WishSave, listen.WishUndo, listen.WishAccept:
		m.Rule = spoken
	case listen.WishList: // of a list none is meant
		m.Rule = 0
	}
	if ask.Wish.Do == listen.WishSave && spoken != 0 {
		last := listen.Ask{Topic: "setting", Subject: ask.Subject, Text: ask.Text, Lang: ask.Lang, Score: ask.Score}
		m.Last = &last // "says who?", "and the finish?"
	}
}

// recommended is the method an answer about methods comes to.
func recommended(ask listen.Ask, r reply.Reply) (id string, ok bool) {
	if ask.Topic != "method" || ask.What != "" && ask.What != "can" {
		return "", false
	}
	for _, f := range r.Facts {
		if f.Name == "method" {
			id, ok = f.Value.(string)
			return id, ok
		}
	}
	return "", false
}

// kept is an order as it was said, with the spots that were taken for its
// prints, so that a later "make the front larger" finds them. A method that was
// chosen and a size that was taken stay open to change.
func kept(said, worked planner.Order) *planner.Order {
	said.Lines = slices.Clone(said.Lines)
	for i := range said.Lines {
		if i >= len(worked.Lines) || len(worked.Lines[i].Prints) != len(said.Lines[i].Prints) {
			continue
		}
		said.Lines[i].Prints = slices.Clone(said.Lines[i].Prints)
		for j := range said.Lines[i].Prints {
			said.Lines[i].Prints[j].Spot = worked.Lines[i].Prints[j].Spot
		}
	}
	return &said
}

// Memories keeps what conversations remember.
type Memories interface {
	// Lock holds a conversation until the returned function is called, so that
	// its messages are answered one after the other.
	Lock(conversation string) (unlock func())
	Get(conversation string) Remembered
	Put(conversation string, m Remembered)
}

// mostConversations bounds the process's own memory: ten kilobytes each, the
// last answer with them. A shop talks in fewer at a time.
const mostConversations = 500

// NewMemories keeps conversations in this process, the latest
// mostConversations of them.
func NewMemories() Memories {
	return &memories{items: map[string]*list.Element{}, order: list.New()}
}

type memories struct {
	mu    sync.Mutex
	items map[string]*list.Element
	order *list.List // the latest first
}

type remembered struct {
	conversation string
	turn         sync.Mutex
	memory       Remembered
}

func (m *memories) entry(conversation string) *remembered {
	m.mu.Lock()
	defer m.mu.Unlock()
	if e, ok := m.items[conversation]; ok {
		m.order.MoveToFront(e)
		return e.Value.(*remembered)
	}
	k := &remembered{conversation: conversation}
	m.items[conversation] = m.order.PushFront(k)
	for m.order.Len() > mostConversations {
		oldest := m.order.Back()
		m.order.Remove(oldest)
		delete(m.items, oldest.Value.(*remembered).conversation)
	}
	return k
}

// Lock implements Memories. A message without a conversation waits for none.
func (m *memories) Lock(conversation string) func() {
	if conversation == "" {
		return func() {}
	}
	k := m.entry(conversation)
	k.turn.Lock()
	return k.turn.Unlock
}

// Get implements Memories.
func (m *memories) Get(conversation string) Remembered {
	if conversation == "" {
		return Remembered{}
	}
	return m.entry(conversation).memory
}

// Put implements Memories.
func (m *memories) Put(conversation string, r Remembered) {
	if conversation != "" {
		m.entry(conversation).memory = r
	}
}

// clip keeps the head of an overlong text.
func clip(s string) string {
	const most = 200
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "..."
}

// sentence turns an error's text into one for people.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:] + "."
}
