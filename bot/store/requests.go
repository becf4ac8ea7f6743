package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"presshand/bot/answer"
)

const requestColumns = "number, rule, text, conversation, user, at, state, decided_by, decided_at"

// AddRequest implements answer.Requests.
func (s *Store) AddRequest(ctx context.Context, q answer.Request) (answer.Request, error) {
	rule, err := json.Marshal(q.Rule)
	if err != nil {
		return q, err
	}
	q.State = answer.RequestOpen
	err = s.change(ctx, "add a request", func(tx *sql.Tx) error {
		err := tx.QueryRowContext(ctx, "SELECT number FROM requests WHERE conversation = ? AND user = ? AND at = ? AND text = ?",
			q.Conversation, q.User, micros(q.At), q.Text).Scan(&q.Number)
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		return tx.QueryRowContext(ctx, "INSERT INTO requests (rule, text, conversation, user, at, state) VALUES (?, ?, ?, ?, ?, ?) RETURNING number",
			string(rule), q.Text, q.Conversation, q.User, micros(q.At), q.State).Scan(&q.Number)
	})
	return q, err
}

// Request implements answer.Requests.
func (s *Store) Request(ctx context.Context, number int) (answer.Request, error) {
	found, err := s.requests(ctx, "WHERE number = ?", number)
	if err == nil && len(found) == 0 {
		err = answer.ErrNoRequest
	}
	if err != nil {
		return answer.Request{}, err
	}
	return found[0], nil
}

// FindRequests implements answer.Requests.
func (s *Store) FindRequests(ctx context.Context, state answer.RequestState) ([]answer.Request, error) {
	return s.requests(ctx, "WHERE state = ? ORDER BY number", state)
}

func (s *Store) requests(ctx context.Context, where string, args ...any) ([]answer.Request, error) {
	var out []answer.Request
	err := s.rows(ctx, "read requests", "SELECT "+requestColumns+" FROM requests "+where, args, func(rows *sql.Rows) error {
		var q answer.Request
		var rule string
		var at, decided int64
		if err := rows.Scan(&q.Number, &rule, &q.Text, &q.Conversation, &q.User, &at, &q.State, &q.DecidedBy, &decided); err != nil {
			return err
		}
		q.At, q.DecidedAt = fromMicros(at), fromMicros(decided)
		if err := json.Unmarshal([]byte(rule), &q.Rule); err != nil {
			return fmt.Errorf("request %d: %w", q.Number, err)
		}
		out = append(out, q)
		return nil
	})
	return out, err
}

// DecideRequest implements answer.Requests.
func (s *Store) DecideRequest(ctx context.Context, q answer.Request) error {
	return s.change(ctx, fmt.Sprintf("decide about request %d", q.Number), func(tx *sql.Tx) error {
		var state answer.RequestState
		err := tx.QueryRowContext(ctx, "UPDATE requests SET state = ?, decided_by = ?, decided_at = ? WHERE number = ? AND state = 'open' RETURNING state",
			q.State, q.DecidedBy, micros(q.DecidedAt), q.Number).Scan(&state)
		if errors.Is(err, sql.ErrNoRows) {
			return answer.ErrDecided
		}
		return err
	})
}

// A Notice is a word about a request that is still owed: to the owners that
// there is one, or to who wished it what was decided.
type Notice struct {
	answer.Request
	Tried bool // telling it was tried before
}

// Notices lists what is owed about requests, oldest first.
func (s *Store) Notices(ctx context.Context) ([]Notice, error) {
	owed, err := s.requests(ctx, "WHERE state = 'open' AND told < 2 OR state <> 'open' AND answered < 2 ORDER BY number")
	if err != nil {
		return nil, err
	}
	out := make([]Notice, 0, len(owed))
	for _, q := range owed {
		n := Notice{Request: q}
		tries := 0
		if err := s.read.QueryRowContext(ctx, "SELECT "+noticeColumn(q)+" FROM requests WHERE number = ?", q.Number).Scan(&tries); err != nil {
			return nil, fault("read requests", err)
		}
		n.Tried = tries > 0
		out = append(out, n)
	}
	return out, nil
}

// TryNotice notes that telling begins, so that after a kill it is looked up
// before it is told again; NoticeTold that it is done.
func (s *Store) TryNotice(ctx context.Context, n Notice) error { return s.note(ctx, n, 1) }

// NoticeTold notes that a notice is told.
func (s *Store) NoticeTold(ctx context.Context, n Notice) error { return s.note(ctx, n, 2) }

func (s *Store) note(ctx context.Context, n Notice, step int) error {
	column := noticeColumn(n.Request)
	return s.change(ctx, fmt.Sprintf("note the telling of request %d", n.Number), func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "UPDATE requests SET "+column+" = max("+column+", ?) WHERE number = ?", step, n.Number)
		return err
	})
}

func noticeColumn(q answer.Request) string {
	if q.State == answer.RequestOpen {
		return "told"
	}
	return "answered"
}
