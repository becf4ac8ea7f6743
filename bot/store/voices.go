package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"presshand/bot"
	"presshand/bot/rephrase"
)

var _ bot.Voices = (*Store)(nil)

// Voice implements bot.Voices. A voice that can't be read is what this process
// remembers of it; the log says why.
func (s *Store) Voice(user string) rephrase.Voice {
	if s.broken != nil {
		return s.voices.Voice(user)
	}
	ctx, cancel := context.WithTimeout(context.Background(), slow)
	defer cancel()
	var v rephrase.Voice
	err := s.often.row(ctx, readVoice, []any{user}, &v.Level, &v.Lang)
	if err == nil {
		return v
	}
	if !errors.Is(err, sql.ErrNoRows) {
		s.log.Error("how a user wants to be spoken to can't be read", "error", fault("read a voice", err))
	}
	return s.voices.Voice(user)
}

// PutVoice implements bot.Voices. What can't be written is remembered as long
// as the process lasts; the log says why.
func (s *Store) PutVoice(user string, v rephrase.Voice) {
	s.voices.PutVoice(user, v)
	if s.broken != nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), slow)
	defer cancel()
	err := s.change(ctx, "write a voice", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO voices (user, level, lang, put) VALUES (?, ?, ?, ?) ON CONFLICT (user) DO UPDATE SET level = excluded.level, lang = excluded.lang, put = excluded.put", user, string(v.Level), v.Lang, time.Now().UnixMicro())
		return err
	})
	if err != nil {
		s.log.Error("how a user wants to be spoken to is not kept over a restart", "error", err)
	}
}
