package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"time"
)

// A Delivery is a message as the workspace delivered it, kept until it is
// answered.
type Delivery struct {
	Keys    []string // what it is about; the first is its id
	Kind    string
	Payload []byte
	At      time.Time
}

// keyLife is how long a delivery's keys are known: far longer than the
// platform repeats one, some minutes.
const keyLife = 7 * 24 * time.Hour

// AddDeliveries keeps those none of whose keys is known and reports which they
// are. All keys are known from then on.
func (s *Store) AddDeliveries(ctx context.Context, items []Delivery) ([]bool, error) {
	fresh := make([]bool, len(items))
	if len(items) == 0 {
		return fresh, s.broken
	}
	err := s.change(ctx, "keep messages", func(tx *sql.Tx) error { return s.addDeliveries(ctx, tx, items, fresh) })
	if err != nil {
		return nil, err
	}
	return fresh, nil
}

// addDeliveries writes deliveries and sets which are fresh.
func (s *Store) addDeliveries(ctx context.Context, tx *sql.Tx, items []Delivery, fresh []bool) error {
	key, delivery := s.line.often.in(ctx, tx, addKey), s.line.often.in(ctx, tx, addDelivery)
	var seq, newest int64
	if err := tx.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM deliveries").Scan(&seq); err != nil {
		return err
	}
	for i, it := range items {
		newest = max(newest, micros(it.At))
		isNew, err := addKeys(ctx, key, it)
		if err != nil {
			return err
		}
		fresh[i] = isNew
		if !fresh[i] {
			continue
		}
		keys, err := json.Marshal(it.Keys)
		if err != nil {
			return err
		}
		seq++
		if _, err := delivery.ExecContext(ctx, it.Keys[0], seq, string(keys), it.Kind, it.Payload, micros(it.At)); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, "DELETE FROM delivery_keys WHERE at < ?", newest-keyLife.Microseconds())
	return err
}

// addKeys makes all keys of a delivery known and reports whether none was.
func addKeys(ctx context.Context, insert *sql.Stmt, it Delivery) (fresh bool, err error) {
	fresh = true
	for _, key := range it.Keys {
		result, err := insert.ExecContext(ctx, key, micros(it.At))
		if err != nil {
			return false, err
		}
		n, err := result.RowsAffected()
		if err != nil {
			return false, err
		}
		fresh = fresh && n > 0
	}
	return fresh, nil
}

// DeliveryDone forgets a delivery that needs no more work; its keys stay known.
func (s *Store) DeliveryDone(ctx context.Context, id string) error {
	return s.change(ctx, "note a message as answered", func(tx *sql.Tx) error {
		_, err := s.line.often.in(ctx, tx, dropDelivery).ExecContext(ctx, id)
		return err
	})
}

// OpenDeliveries lists what was kept and is not done, oldest first.
func (s *Store) OpenDeliveries(ctx context.Context) ([]Delivery, error) {
	var out []Delivery
	err := s.rows(ctx, "list open messages", "SELECT keys, kind, payload, at FROM deliveries ORDER BY seq", nil, func(rows *sql.Rows) error {
		var d Delivery
		var keys string
		var at int64
		if err := rows.Scan(&keys, &d.Kind, &d.Payload, &at); err != nil {
			return err
		}
		d.At = fromMicros(at)
		out = append(out, d)
		return json.Unmarshal([]byte(keys), &out[len(out)-1].Keys)
	})
	return out, err
}

// Joined reports whether the bot has answered in a conversation.
func (s *Store) Joined(ctx context.Context, conversation string) (bool, error) {
	if s.broken != nil {
		return false, s.broken
	}
	one := 0
	err := s.often.row(ctx, readThread, []any{conversation}, &one)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, fault("look up a thread", err)
}

// Join notes that the bot has answered in a conversation, and when: to the day,
// so that most answers write nothing.
func (s *Store) Join(ctx context.Context, conversation string) error {
	return s.change(ctx, "note a thread", func(tx *sql.Tx) error {
		const query = `INSERT INTO threads (conversation, at) VALUES (?, ?)
			ON CONFLICT (conversation) DO UPDATE SET at = excluded.at WHERE excluded.at - at > ?`
		_, err := tx.ExecContext(ctx, query, conversation, time.Now().UnixMicro(), (24 * time.Hour).Microseconds())
		return err
	})
}
