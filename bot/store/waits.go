package store

import (
	"context"
	"database/sql"
	"fmt"

	"presshand/bot/answer"
)

const addWait = `INSERT INTO waits (name, number, conversation, user, began, until, state) VALUES (?, ?, ?, ?, ?, ?, ?)
	ON CONFLICT (conversation, user, name, began) DO UPDATE SET until = excluded.until, state = excluded.state RETURNING id`

// StartWait implements answer.Waits.
func (s *Store) StartWait(ctx context.Context, w answer.Wait) (answer.Wait, error) {
	w.State, w.Tried = answer.WaitRunning, false
	err := s.change(ctx, "start a wait", func(tx *sql.Tx) error {
		return s.line.often.in(ctx, tx, addWait).QueryRowContext(ctx,
			w.Name, w.Number, w.Conversation, w.User, micros(w.From), micros(w.Until), w.State).Scan(&w.ID)
	})
	return w, err
}

// ChangeWait implements answer.Waits.
func (s *Store) ChangeWait(ctx context.Context, w answer.Wait) error {
	return s.change(ctx, fmt.Sprintf("change wait %d", w.ID), func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE waits SET until = ?, state = ?, tried = ? WHERE id = ? AND state = 'running'", micros(w.Until), w.State, w.Tried, w.ID)
		return err
	})
}

// RunningWaits implements answer.Waits.
func (s *Store) RunningWaits(ctx context.Context) ([]answer.Wait, error) {
	var out []answer.Wait
	err := s.rows(ctx, "list waits", "SELECT id, name, number, conversation, user, began, until, state, tried FROM waits WHERE state = 'running' ORDER BY until, id", nil, func(rows *sql.Rows) error {
		var w answer.Wait
		var from, until int64
		if err := rows.Scan(&w.ID, &w.Name, &w.Number, &w.Conversation, &w.User, &from, &until, &w.State, &w.Tried); err != nil {
			return err
		}
		w.From, w.Until = fromMicros(from), fromMicros(until)
		out = append(out, w)
		return nil
	})
	return out, err
}
