package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"presshand/bot"
	"presshand/planner/price"
)

// FileName is the store's file in its folder.
const FileName = "presshand.db"

// patience is how long a write waits for another program's.
const patience = 3 * time.Second

// readers is how many reads go on side by side.
const readers = 4

// A Store is an open file. Its methods may be called from any number of
// goroutines.
type Store struct {
	path   string
	write  *sql.DB // one connection: writes stand in line here, not at the file's lock
	line   *line
	read   *sql.DB
	often  *statements // of read
	broken error       // why it could not be opened
	log    *slog.Logger
	near   bot.Memories // what this process remembers, in front of the file
	voices bot.Voices   // likewise
	ailing atomic.Bool  // the last write of a conversation failed
}

// An Option sets up a Store.
type Option func(*config)

type config struct {
	log      *slog.Logger
	patience time.Duration
	pages    int
}

// WithLog sets the operator's log; nothing is logged by default.
func WithLog(l *slog.Logger) Option { return func(c *config) { c.log = l } }

// WithPatience sets how long a write waits for another program's; 3 s by
// default.
func WithPatience(d time.Duration) Option { return func(c *config) { c.patience = d } }

// WithMostPages bounds the file to so many pages of 4 KiB, after which it is
// full; 0, the default, bounds it by the disk alone.
func WithMostPages(n int) Option { return func(c *config) { c.pages = n } }

// Open opens the store in folder dir, which is made where it is missing, and
// brings its file to the newest version. Errors are a [*Fault] where the file
// is at fault.
func Open(ctx context.Context, dir string, options ...Option) (*Store, error) {
	c := config{log: slog.New(slog.DiscardHandler), patience: patience}
	for _, o := range options {
		o(&c)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder %s: %w: name a folder that may be written", dir, pathCause(err))
	}
	path := filepath.Join(dir, FileName)
	if f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600); err != nil { // orders are nobody else's business
		return nil, &Fault{plain: plainDenied, err: err}
	} else {
		f.Close()
	}
	s := &Store{path: path, log: c.log, near: bot.NewMemories(), voices: bot.NewVoices()}
	var err error
	if s.write, err = connect(path, c, 1, true); err != nil {
		return nil, err
	}
	s.line = &line{db: s.write, often: newStatements(s.write)}
	if s.read, err = connect(path, c, readers, false); err != nil {
		s.write.Close()
		return nil, err
	}
	s.often = newStatements(s.read)
	if err := migrate(ctx, s.write); err != nil {
		s.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return s, nil
}

// pathCause drops the operation's name from a file error.
func pathCause(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

func connect(path string, c config, most int, writes bool) (*sql.DB, error) {
	pragmas := []string{
		fmt.Sprintf("busy_timeout(%d)", c.patience.Milliseconds()),
		"journal_mode(WAL)",
		"synchronous(FULL)", // a promise is kept through a power cut, too
		"foreign_keys(1)",
		"temp_store(MEMORY)", // a container may have no folder for temporary files
	}
	if c.pages > 0 {
		pragmas = append(pragmas, fmt.Sprintf("max_page_count(%d)", c.pages))
	}
	if !writes {
		pragmas = append(pragmas, "query_only(1)")
	}
	q := url.Values{"_pragma": pragmas}
	if writes {
		q.Set("_txlock", "immediate")
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("find the store: %w", err)
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: abs, RawQuery: q.Encode()}).String())
	if err != nil {
		return nil, fault("open the store", err)
	}
	db.SetMaxOpenConns(most)
	return db, nil
}

// Broken returns a store that answers everything with err: what stands in for
// one that can't be opened, so that the bot goes on without.
func Broken(err error) *Store {
	return &Store{broken: err, log: slog.New(slog.DiscardHandler), near: bot.NewMemories(), voices: bot.NewVoices()}
}

// Fault returns why the store can't be used, nil where it can.
func (s *Store) Fault() error { return s.broken }

// Path names the file.
func (s *Store) Path() string { return s.path }

// Close closes the file; what was written before stays.
func (s *Store) Close() error {
	if s.broken != nil {
		return nil
	}
	var errs []error
	if s.read != nil {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		errs = append(errs, s.write.Close())
	}
	return errors.Join(errs...)
}

// change runs a write in a transaction and returns once it is on disk. do may
// be run again after a transaction that came to nothing.
func (s *Store) change(ctx context.Context, doing string, do func(tx *sql.Tx) error) error {
	if s.broken != nil {
		return s.broken
	}
	return fault(doing, s.line.run(ctx, do))
}

// rows runs a read and hands each row to scan.
func (s *Store) rows(ctx context.Context, doing, query string, args []any, scan func(*sql.Rows) error) error {
	if s.broken != nil {
		return s.broken
	}
	stmt, err := s.often.of(ctx, query)
	if err != nil {
		return fault(doing, err)
	}
	rows, err := stmt.QueryContext(ctx, args...)
	if err != nil {
		return fault(doing, err)
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return fault(doing, err)
		}
	}
	return fault(doing, rows.Err())
}

// micros writes a time, 0 for the zero time.
func micros(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

func fromMicros(n int64) time.Time {
	if n == 0 {
		return time.Time{}
	}
	return time.UnixMicro(n).UTC()
}

// Mark returns a word for the state of the orders and the running waits: it
// differs from the one before where they have changed, whichever program changed
// them.
func (s *Store) Mark(ctx context.Context) (string, error) {
	if s.broken != nil {
		return "", s.broken
	}
	var mark string
	const query = `SELECT (SELECT coalesce(max(id), 0) FROM changes) || '/' || count(*) || '/' || coalesce(sum(until), 0) || '/' || coalesce(max(id), 0)
		FROM waits WHERE state = 'running'`
	err := s.read.QueryRowContext(ctx, query).Scan(&mark)
	return mark, fault("look for changes", err)
}

// Backup writes a whole copy of the store to a file that does not exist yet,
// while others go on reading and writing, and checks the copy.
func (s *Store) Backup(ctx context.Context, file string) error {
	if s.broken != nil {
		return s.broken
	}
	if _, err := os.Lstat(file); err == nil {
		return fmt.Errorf("%s exists already: name a file that does not, so that no backup is lost", file)
	}
	if _, err := s.write.ExecContext(ctx, "VACUUM INTO ?", file); err != nil {
		os.Remove(file) // half a copy is none
		return fault("copy the store to "+file, err)
	}
	if err := os.Chmod(file, 0o600); err != nil {
		return fmt.Errorf("copy the store: %w", err)
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Opaque: url.PathEscape(file), RawQuery: "mode=ro"}).String())
	if err != nil {
		return fault("check the copy", err)
	}
	defer db.Close()
	if faults, err := sound(ctx, db); err != nil || len(faults) > 0 {
		os.Remove(file)
		return errors.Join(fault("check the copy", err), fmt.Errorf("the copy is not sound (%s) and was removed: check the store with data check", strings.Join(faults, "; ")))
	}
	return nil
}

// A Count is how many things of a kind the store holds.
type Count struct {
	What string
	N    int
}

// A Report is what Check found.
type Report struct {
	Counts []Count
	Faults []string // what is damaged; empty where all is sound
}

// Check reads the whole file: its structure, its references, and that each
// kept quote can be read.
func (s *Store) Check(ctx context.Context) (Report, error) {
	var r Report
	if s.broken != nil {
		return r, s.broken
	}
	var err error
	if r.Faults, err = sound(ctx, s.read); err != nil {
		return r, fault("check the store", err)
	}
	if len(r.Faults) > 0 {
		return r, nil
	}
	for _, c := range []struct{ what, query string }{
		{"orders", "SELECT count(*) FROM orders"},
		{"changes", "SELECT count(*) FROM changes"},
		{"waits running", "SELECT count(*) FROM waits WHERE state = 'running'"},
		{"waits over", "SELECT count(*) FROM waits WHERE state <> 'running'"},
		{"conversations", "SELECT count(*) FROM conversations"},
		{"voices", "SELECT count(*) FROM voices"},
		{"requests", "SELECT count(*) FROM requests"},
		{"unanswered questions", "SELECT count(*) FROM gaps"},
		{"messages open", "SELECT count(*) FROM deliveries"},
	} {
		n := 0
		if err := s.read.QueryRowContext(ctx, c.query).Scan(&n); err != nil {
			return r, fault("count "+c.what, err)
		}
		r.Counts = append(r.Counts, Count{c.what, n})
	}
	err = s.rows(ctx, "read the quotes", "SELECT number, quote FROM orders WHERE quote IS NOT NULL", nil, func(rows *sql.Rows) error {
		var number int
		var quote string
		if err := rows.Scan(&number, &quote); err != nil {
			return err
		}
		if _, err := price.Kept([]byte(quote)); err != nil {
			r.Faults = append(r.Faults, fmt.Sprintf("order %d: %v", number, err))
		}
		return nil
	})
	return r, err
}

// sound lists what SQLite finds damaged.
func sound(ctx context.Context, db *sql.DB) ([]string, error) {
	var faults []string
	lines, err := db.QueryContext(ctx, "PRAGMA integrity_check")
	if err != nil {
		return nil, err
	}
	defer lines.Close()
	for lines.Next() {
		var line string
		if err := lines.Scan(&line); err != nil {
			return nil, err
		}
		if line != "ok" {
			faults = append(faults, line)
		}
	}
	if err := lines.Err(); err != nil || len(faults) > 0 {
		return faults, err
	}
	loose, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return nil, err
	}
	defer loose.Close()
	for loose.Next() {
		var table, parent string
		var row sql.NullInt64
		var key int
		if err := loose.Scan(&table, &row, &parent, &key); err != nil {
			return nil, err
		}
		faults = append(faults, fmt.Sprintf("%s %d names no %s that is there", table, row.Int64, parent))
	}
	return faults, loose.Err()
}
