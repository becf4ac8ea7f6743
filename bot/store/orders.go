package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"presshand/bot/answer"
)

var _ answer.Board = (*Store)(nil)

const orderColumns = `number, state, body, quote, total, currency, valid, ready_at, due, conversation, user, created, changed, revision`

func scanOrder(row interface{ Scan(...any) error }) (answer.Kept, error) {
	var k answer.Kept
	var body string
	var quote sql.NullString
	var ready, due, created, changed int64
	err := row.Scan(&k.Number, &k.State, &body, &quote, &k.Total, &k.Currency, &k.Valid, &ready, &due, &k.Conversation, &k.User, &created, &changed, &k.Revision)
	if err != nil {
		return k, err
	}
	if err := json.Unmarshal([]byte(body), &k.Order); err != nil {
		return k, &Fault{plain: plainDamaged, err: fmt.Errorf("order %d: %w", k.Number, err)}
	}
	if quote.Valid {
		k.Quote = []byte(quote.String)
	}
	k.ReadyAt, k.Due, k.Created, k.Changed = fromMicros(ready), fromMicros(due), fromMicros(created), fromMicros(changed)
	return k, nil
}

// Keep implements answer.Orders.
func (s *Store) Keep(ctx context.Context, k answer.Kept) (answer.Kept, error) {
	body, err := json.Marshal(k.Order)
	if err != nil {
		return k, fmt.Errorf("keep an order: %w", err)
	}
	// The message's own time tells it from a later one with the same words.
	sum := sha256.Sum256([]byte(strings.Join([]string{k.Conversation, k.User, fmt.Sprint(micros(k.Created)), string(body)}, "\x00")))
	origin := hex.EncodeToString(sum[:])
	kept := k
	err = s.change(ctx, "keep an order", func(tx *sql.Tx) error {
		was, err := scanOrder(tx.QueryRowContext(ctx, "SELECT "+orderColumns+" FROM orders WHERE origin = ?", origin))
		if err == nil {
			kept = was
			return nil
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		kept.Revision, kept.Changed = 1, k.Created
		res, err := tx.ExecContext(ctx, `INSERT INTO orders (state, body, quote, total, currency, valid, customer, ref, ready_at, due, conversation, user, created, changed, revision, origin)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			k.State, string(body), text(k.Quote), k.Total, k.Currency, k.Valid, strings.ToLower(k.Order.For), strings.ToLower(k.Order.Ref),
			micros(k.ReadyAt), micros(k.Due), k.Conversation, k.User, micros(k.Created), micros(k.Created), kept.Revision, origin)
		if err != nil {
			return err
		}
		n, err := res.LastInsertId()
		if err != nil {
			return err
		}
		kept.Number = int(n)
		return note(ctx, tx, kept.Number, k.User, k.Created, "kept", "", string(k.State))
	})
	return kept, err
}

// text writes bytes as text, NULL where there are none.
func text(b []byte) sql.NullString { return sql.NullString{String: string(b), Valid: b != nil} }

func note(ctx context.Context, tx *sql.Tx, number int, user string, at time.Time, what, was, now string) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO changes (number, at, user, what, was, now) VALUES (?, ?, ?, ?, ?, ?)", number, micros(at), user, what, was, now)
	return err
}

// Change implements answer.Orders.
func (s *Store) Change(ctx context.Context, k answer.Kept, by string, at time.Time) (answer.Kept, error) {
	body, err := json.Marshal(k.Order)
	if err != nil {
		return k, fmt.Errorf("change an order: %w", err)
	}
	changed := k
	err = s.change(ctx, fmt.Sprintf("change order %d", k.Number), func(tx *sql.Tx) error {
		was, err := scanOrder(tx.QueryRowContext(ctx, "SELECT "+orderColumns+" FROM orders WHERE number = ?", k.Number))
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return answer.ErrNoOrder
		case err != nil:
			return err
		case was.Revision != k.Revision:
			return answer.ErrChanged
		}
		for _, d := range differences(was, k, string(body)) {
			if err := note(ctx, tx, k.Number, by, at, d[0], d[1], d[2]); err != nil {
				return err
			}
		}
		changed.Revision, changed.Changed = was.Revision+1, at
		_, err = tx.ExecContext(ctx, `UPDATE orders SET state = ?, body = ?, quote = ?, total = ?, currency = ?, valid = ?, customer = ?, ref = ?, ready_at = ?, due = ?, changed = ?, revision = ? WHERE number = ?`,
			k.State, string(body), text(k.Quote), k.Total, k.Currency, k.Valid, strings.ToLower(k.Order.For), strings.ToLower(k.Order.Ref),
			micros(k.ReadyAt), micros(k.Due), micros(at), changed.Revision, k.Number)
		return err
	})
	return changed, err
}

// differences lists what changed: what, from, to.
func differences(was, now answer.Kept, body string) [][3]string {
	var out [][3]string
	add := func(what, a, b string) {
		if a != b {
			out = append(out, [3]string{what, a, b})
		}
	}
	before, _ := json.Marshal(was.Order) // it was read from JSON
	add("state", string(was.State), string(now.State))
	add("order", string(before), body)
	add("total", was.Total, now.Total)
	add("due", stamp(was.Due), stamp(now.Due))
	return out
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// Order implements answer.Orders.
func (s *Store) Order(ctx context.Context, number int) (answer.Kept, error) {
	if s.broken != nil {
		return answer.Kept{}, s.broken
	}
	k, err := scanOrder(s.read.QueryRowContext(ctx, "SELECT "+orderColumns+" FROM orders WHERE number = ?", number))
	if errors.Is(err, sql.ErrNoRows) {
		return k, answer.ErrNoOrder
	}
	return k, fault(fmt.Sprintf("read order %d", number), err)
}

// Find implements answer.Orders.
func (s *Store) Find(ctx context.Context, q answer.OrderQuery) ([]answer.Kept, error) {
	var where []string
	var args []any
	also := func(clause string, values ...any) {
		where = append(where, clause)
		args = append(args, values...)
	}
	if len(q.States) > 0 {
		marks := make([]string, len(q.States))
		for i, st := range q.States {
			marks[i] = "?"
			args = append(args, st)
		}
		where = append(where, "state IN ("+strings.Join(marks, ",")+")")
	}
	for _, w := range strings.Fields(strings.ToLower(q.Customer)) {
		also("instr(customer, ?) > 0", w)
	}
	if q.Ref != "" {
		also("instr(ref, ?) > 0", strings.ToLower(q.Ref))
	}
	if !q.DueFrom.IsZero() {
		also("due >= ?", micros(q.DueFrom))
	}
	if !q.DueTo.IsZero() {
		also("due > 0 AND due < ?", micros(q.DueTo))
	}
	if q.User != "" {
		also("user = ?", q.User)
	}
	query := "SELECT " + orderColumns + " FROM orders"
	if len(where) > 0 {
		query += " WHERE " + strings.Join(where, " AND ")
	}
	if q.Latest {
		query += " ORDER BY number DESC"
	} else {
		query += " ORDER BY due = 0, due, number"
	}
	if q.Limit > 0 {
		query += fmt.Sprintf(" LIMIT %d", q.Limit)
	}
	var out []answer.Kept
	err := s.rows(ctx, "list orders", query, args, func(rows *sql.Rows) error {
		k, err := scanOrder(rows)
		out = append(out, k)
		return err
	})
	return out, err
}

// History implements answer.Orders.
func (s *Store) History(ctx context.Context, number int) ([]answer.Change, error) {
	var out []answer.Change
	err := s.rows(ctx, "read the history", "SELECT number, at, user, what, was, now FROM changes WHERE number = ? ORDER BY id", []any{number}, func(rows *sql.Rows) error {
		var c answer.Change
		var at int64
		if err := rows.Scan(&c.Number, &at, &c.User, &c.What, &c.From, &c.To); err != nil {
			return err
		}
		c.At = fromMicros(at)
		out = append(out, c)
		return nil
	})
	return out, err
}

// About implements answer.Orders.
func (s *Store) About(ctx context.Context, conversation string) (int, error) {
	if s.broken != nil {
		return 0, s.broken
	}
	n := 0
	err := s.often.row(ctx, "SELECT number FROM spoken WHERE conversation = ?", []any{conversation}, &n)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return n, fault("read a conversation's order", err)
}

const putSpoken = "INSERT INTO spoken (conversation, number, at) VALUES (?, ?, ?) ON CONFLICT (conversation) DO UPDATE SET number = excluded.number, at = excluded.at"

// Speak implements answer.Orders.
func (s *Store) Speak(ctx context.Context, conversation string, number int) error {
	return s.change(ctx, "note a conversation's order", func(tx *sql.Tx) error {
		_, err := s.line.often.in(ctx, tx, putSpoken).ExecContext(ctx, conversation, number, time.Now().UnixMicro())
		return err
	})
}
