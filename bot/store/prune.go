package store

import (
	"context"
	"database/sql"
	"time"
)

// KeepFor is how long what nobody touches is kept: a conversation, the thread it
// went on in and the order it spoke of, and a wait that is over. After that
// somebody who comes back begins anew, with a mention. Orders, their history and
// unanswered questions stay.
const KeepFor = 30 * 24 * time.Hour

// pruneStep bounds the rows deleted in one transaction, so that nobody's answer
// waits for it.
const pruneStep = 500

// Prune deletes what nobody touched for KeepFor before now, and the keys of
// messages too old to be delivered again (after seven days). It returns how
// many rows it deleted.
func (s *Store) Prune(ctx context.Context, now time.Time) (deleted int, err error) {
	old, repeats := micros(now.Add(-KeepFor)), micros(now.Add(-keyLife))
	for _, p := range []struct {
		query  string
		before int64
	}{
		{"DELETE FROM conversations WHERE rowid IN (SELECT rowid FROM conversations WHERE put < ? LIMIT ?)", old},
		{"DELETE FROM threads WHERE rowid IN (SELECT rowid FROM threads WHERE at < ? LIMIT ?)", old},
		{"DELETE FROM spoken WHERE rowid IN (SELECT rowid FROM spoken WHERE at < ? LIMIT ?)", old},
		{"DELETE FROM waits WHERE id IN (SELECT id FROM waits WHERE state <> 'running' AND until < ? LIMIT ?)", old},
		{"DELETE FROM delivery_keys WHERE rowid IN (SELECT rowid FROM delivery_keys WHERE at < ? LIMIT ?)", repeats},
	} {
		for n := int64(pruneStep); n == pruneStep; deleted += int(n) {
			err := s.change(ctx, "delete what is old", func(tx *sql.Tx) error {
				result, err := tx.ExecContext(ctx, p.query, p.before, pruneStep)
				if err != nil {
					return err
				}
				n, err = result.RowsAffected()
				return err
			})
			if err != nil {
				return deleted, err
			}
		}
	}
	return deleted, nil
}
