package store

import (
	"context"
	"database/sql"
	"sync"
)

// Statements that every message of a workspace needs. They are parsed once: in a
// burst, parsing them takes longer than carrying them out.
const (
	addKey       = "INSERT INTO delivery_keys (key, at) VALUES (?, ?) ON CONFLICT (key) DO NOTHING"
	addDelivery  = "INSERT INTO deliveries (id, seq, keys, kind, payload, at) VALUES (?, ?, ?, ?, ?, ?)"
	dropDelivery = "DELETE FROM deliveries WHERE id = ?"
	putMemory    = "INSERT INTO conversations (name, memory, put) VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET memory = excluded.memory, put = excluded.put"
	readMemory   = "SELECT memory FROM conversations WHERE name = ?"
	readVoice    = "SELECT level, lang FROM voices WHERE user = ?"
	readThread   = "SELECT 1 FROM threads WHERE conversation = ?"
)

// statements keeps what is parsed of a database, by its text.
type statements struct {
	db     *sql.DB
	mu     sync.Mutex
	parsed map[string]*sql.Stmt
}

func newStatements(db *sql.DB) *statements {
	return &statements{db: db, parsed: map[string]*sql.Stmt{}}
}

// of returns a statement, parsed at its first use. It needs a connection, and so
// waits for ever in a transaction that holds the only one: there, those parsed
// before are had with in.
func (s *statements) of(ctx context.Context, query string) (*sql.Stmt, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if stmt, ok := s.parsed[query]; ok {
		return stmt, nil
	}
	stmt, err := s.db.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	s.parsed[query] = stmt
	return stmt, nil
}

// in carries a statement that was parsed before into a transaction.
func (s *statements) in(ctx context.Context, tx *sql.Tx, query string) *sql.Stmt {
	s.mu.Lock()
	defer s.mu.Unlock()
	return tx.StmtContext(ctx, s.parsed[query])
}

// row is one row that a statement reads, scanned into dest.
func (s *statements) row(ctx context.Context, query string, args []any, dest ...any) error {
	stmt, err := s.of(ctx, query)
	if err != nil {
		return err
	}
	return stmt.QueryRowContext(ctx, args...).Scan(dest...)
}
