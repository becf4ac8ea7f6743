package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"

	"presshand/bot"
	"presshand/bot/listen"
	"presshand/bot/reply"
)

var _ bot.Memories = (*Store)(nil)

// keptMemory is what is written of a conversation.
type keptMemory struct {
	Memory listen.Memory
	Reply  *keptReply `json:",omitempty"`
}

// plainReply is a reply without its script form, so that all of it is written.
type plainReply reply.Reply

// keptReply is the last reply without its pictures and its press plan: they
// are large, and worked out again when they are asked for.
type keptReply struct {
	plainReply
	Quote json.RawMessage `json:",omitempty"`
	Plan  *struct{}       `json:",omitempty"` // takes the plan's place; always nil
}

// slow bounds what a conversation's memory may take of an answer's time, where
// the disk or another program holds it up.
const slow = 5 * time.Second

// Lock implements bot.Memories.
func (s *Store) Lock(conversation string) func() { return s.near.Lock(conversation) }

// Get implements bot.Memories. A conversation that can't be read begins anew;
// the log says why.
func (s *Store) Get(conversation string) bot.Remembered {
	m := s.near.Get(conversation)
	if conversation == "" || s.broken != nil || known(m) {
		return m
	}
	ctx, cancel := context.WithTimeout(context.Background(), slow)
	defer cancel()
	var data string
	err := s.often.row(ctx, readMemory, []any{conversation}, &data)
	if errors.Is(err, sql.ErrNoRows) {
		return m
	}
	if err == nil {
		m, err = thaw([]byte(data))
	}
	if err != nil {
		s.log.Error("a conversation can't be read and begins anew", "error", fault("read a conversation", err))
		return bot.Remembered{}
	}
	s.near.Put(conversation, m)
	return m
}

// known reports whether a process remembers anything of a conversation.
func known(m bot.Remembered) bool {
	return m.Reply != nil || m.Last != nil || m.Order != nil || m.Pending != nil || m.Art != nil
}

// Put implements bot.Memories. What can't be written is remembered as long as
// the process lasts; the log says why, once until it works again.
func (s *Store) Put(conversation string, m bot.Remembered) {
	s.near.Put(conversation, m)
	if conversation == "" || s.broken != nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), slow)
	defer cancel()
	data, err := freeze(m)
	if err == nil {
		err = s.change(ctx, "write a conversation", func(tx *sql.Tx) error {
			_, err := s.line.often.in(ctx, tx, putMemory).ExecContext(ctx, conversation, string(data), time.Now().UnixMicro())
			return err
		})
	}
	if was := s.ailing.Swap(err != nil); err != nil && !was {
		s.log.Error("conversations are not kept at the moment; answers go on", "error", err)
	}
}

// Failing reports whether the last conversation could not be written.
func (s *Store) Failing() bool { return s.ailing.Load() }

func freeze(m bot.Remembered) ([]byte, error) {
	k := keptMemory{Memory: m.Memory}
	if m.Reply != nil {
		r := keptReply{plainReply: plainReply(*m.Reply)}
		r.Files = nil
		if m.Reply.Quote != nil {
			quote, err := m.Reply.Quote.MarshalJSON()
			if err != nil {
				return nil, err
			}
			r.Quote = quote
		}
		k.Reply = &r
	}
	return json.Marshal(k)
}

func thaw(data []byte) (bot.Remembered, error) {
	var k keptMemory
	if err := json.Unmarshal(data, &k); err != nil {
		return bot.Remembered{}, err
	}
	m := bot.Remembered{Memory: k.Memory}
	if k.Reply != nil {
		r := reply.Reply(k.Reply.plainReply)
		if len(k.Reply.Quote) > 0 {
			r.Quote = k.Reply.Quote
		}
		m.Reply = &r
	}
	return m, nil
}
