package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"
	"time"
	"unicode"

	"presshand/bot"
)

var _ bot.Gaps = (*Store)(nil)

// Record implements bot.Gaps.
func (s *Store) Record(ctx context.Context, g bot.Gap) error {
	near, err := json.Marshal(g.Near)
	if err != nil {
		return err
	}
	return s.change(ctx, "record an unanswered question", func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO gaps (question, folded, topic, near, at) VALUES (?, ?, ?, ?, ?)", g.Question, folded(g.Question), g.Topic, string(near), micros(g.At))
		return err
	})
}

// folded makes the same question of the same words, however it is written.
func folded(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), " ")
}

// An Unanswered is a question the bot could not answer, however often it was
// asked.
type Unanswered struct {
	Question string // as it was asked last
	Times    int
	Near     []string // the nearest entries at that time, best first
	Last     time.Time
}

// Unanswered lists what could not be answered, most often first, then the
// latest.
func (s *Store) Unanswered(ctx context.Context) ([]Unanswered, error) {
	var out []Unanswered
	const query = `SELECT g.question, t.n, g.near, g.at FROM (SELECT folded, count(*) AS n, max(id) AS last FROM gaps GROUP BY folded) t
		JOIN gaps g ON g.id = t.last ORDER BY t.n DESC, g.id DESC`
	err := s.rows(ctx, "list unanswered questions", query, nil, func(rows *sql.Rows) error {
		var u Unanswered
		var near string
		var at int64
		if err := rows.Scan(&u.Question, &u.Times, &near, &at); err != nil {
			return err
		}
		u.Last = fromMicros(at)
		out = append(out, u)
		return json.Unmarshal([]byte(near), &out[len(out)-1].Near)
	})
	return out, err
}
