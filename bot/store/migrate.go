package store

import (
	"context"
	"database/sql"
	"fmt"
)

// migrations change the file from one version to the next; the file's
// user_version counts those it has had. Never change one that was released:
// add another.
func migrations() []string {
	return []string{first, second, third, fourth}
}

// third dates what is forgotten some time after it was last touched. What was
// there before counts as touched now.
const third = `
ALTER TABLE threads ADD COLUMN at INTEGER NOT NULL DEFAULT 0;
UPDATE threads SET at = unixepoch() * 1000000;
CREATE INDEX threads_at ON threads (at);
ALTER TABLE spoken ADD COLUMN at INTEGER NOT NULL DEFAULT 0;
UPDATE spoken SET at = unixepoch() * 1000000;
CREATE INDEX spoken_at ON spoken (at);
`

// first is the file as it began. Times are microseconds since 1970 in UTC, 0
// where there is none.
const first = `
CREATE TABLE orders (
	number       INTEGER PRIMARY KEY AUTOINCREMENT,
	state        TEXT NOT NULL CHECK (state IN ('open','priced','promised','running','ready','gone','dropped')),
	body         TEXT NOT NULL CHECK (json_valid(body)),
	quote        TEXT CHECK (quote IS NULL OR json_valid(quote)),
	total        TEXT NOT NULL,
	currency     TEXT NOT NULL,
	valid        TEXT NOT NULL,
	customer     TEXT NOT NULL,
	ref          TEXT NOT NULL,
	ready_at     INTEGER NOT NULL,
	due          INTEGER NOT NULL,
	conversation TEXT NOT NULL,
	user         TEXT NOT NULL,
	created      INTEGER NOT NULL,
	changed      INTEGER NOT NULL,
	revision     INTEGER NOT NULL,
	origin       TEXT UNIQUE
) STRICT;
CREATE INDEX orders_state ON orders (state, due);

CREATE TABLE changes (
	id     INTEGER PRIMARY KEY AUTOINCREMENT,
	number INTEGER NOT NULL REFERENCES orders (number),
	at     INTEGER NOT NULL,
	user   TEXT NOT NULL,
	what   TEXT NOT NULL,
	was    TEXT NOT NULL,
	now    TEXT NOT NULL
) STRICT;
CREATE INDEX changes_number ON changes (number);
CREATE TRIGGER orders_stay BEFORE DELETE ON orders BEGIN SELECT RAISE(ABORT, 'orders are never deleted'); END;
CREATE TRIGGER changes_stay BEFORE DELETE ON changes BEGIN SELECT RAISE(ABORT, 'history is never deleted'); END;
CREATE TRIGGER changes_hold BEFORE UPDATE ON changes BEGIN SELECT RAISE(ABORT, 'history is never changed'); END;

CREATE TABLE spoken (
	conversation TEXT PRIMARY KEY,
	number       INTEGER NOT NULL REFERENCES orders (number)
) STRICT;

CREATE TABLE waits (
	id           INTEGER PRIMARY KEY AUTOINCREMENT,
	name         TEXT NOT NULL,
	number       INTEGER NOT NULL,
	conversation TEXT NOT NULL,
	user         TEXT NOT NULL,
	began        INTEGER NOT NULL,
	until        INTEGER NOT NULL,
	state        TEXT NOT NULL CHECK (state IN ('running','told','stopped')),
	tried        INTEGER NOT NULL DEFAULT 0,
	UNIQUE (conversation, user, name, began)
) STRICT;
CREATE INDEX waits_state ON waits (state, until);

CREATE TABLE conversations (
	name   TEXT PRIMARY KEY,
	memory TEXT NOT NULL,
	put    INTEGER NOT NULL
) STRICT;
CREATE INDEX conversations_put ON conversations (put);

CREATE TABLE gaps (
	id       INTEGER PRIMARY KEY AUTOINCREMENT,
	question TEXT NOT NULL,
	folded   TEXT NOT NULL,
	topic    TEXT NOT NULL,
	near     TEXT NOT NULL,
	at       INTEGER NOT NULL
) STRICT;
CREATE INDEX gaps_folded ON gaps (folded);

CREATE TABLE deliveries (
	id      TEXT PRIMARY KEY,
	seq     INTEGER NOT NULL,
	keys    TEXT NOT NULL,
	kind    TEXT NOT NULL,
	payload BLOB NOT NULL,
	at      INTEGER NOT NULL
) STRICT;
CREATE TABLE delivery_keys (
	key TEXT PRIMARY KEY,
	at  INTEGER NOT NULL
) STRICT;
CREATE INDEX delivery_keys_at ON delivery_keys (at);

CREATE TABLE threads (
	conversation TEXT PRIMARY KEY
) STRICT;
`

// second keeps how each user wants to be spoken to.
const second = `
CREATE TABLE voices (
	user  TEXT PRIMARY KEY,
	level TEXT NOT NULL,
	lang  TEXT NOT NULL,
	put   INTEGER NOT NULL
) STRICT;
`

// fourth adds what those who are no owners want changed in the shop's rules.
// told and answered count how far the owners, and whoever wished it, were told:
// 1 tried, 2 done.
const fourth = `
CREATE TABLE requests (
	number       INTEGER PRIMARY KEY AUTOINCREMENT,
	rule         TEXT NOT NULL CHECK (json_valid(rule)),
	text         TEXT NOT NULL,
	conversation TEXT NOT NULL,
	user         TEXT NOT NULL,
	at           INTEGER NOT NULL,
	state        TEXT NOT NULL CHECK (state IN ('open','accepted','refused')),
	decided_by   TEXT NOT NULL DEFAULT '',
	decided_at   INTEGER NOT NULL DEFAULT 0,
	told         INTEGER NOT NULL DEFAULT 0,
	answered     INTEGER NOT NULL DEFAULT 0,
	UNIQUE (conversation, user, at, text)
) STRICT;
CREATE INDEX requests_state ON requests (state);
CREATE TRIGGER requests_stay BEFORE DELETE ON requests BEGIN SELECT RAISE(ABORT, 'requests are never deleted'); END;
`

// migrate brings the file to the newest version, each step in a transaction of
// its own.
func migrate(ctx context.Context, db *sql.DB) error {
	steps := migrations()
	for {
		done, err := step(ctx, db, steps)
		if err != nil || done {
			return err
		}
	}
}

func step(ctx context.Context, db *sql.DB, steps []string) (done bool, err error) {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return false, fault("open the store", err)
	}
	defer tx.Rollback()
	var at int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&at); err != nil {
		return false, fault("read the store's version", err)
	}
	switch {
	case at == len(steps):
		return true, nil
	case at > len(steps):
		return false, &Fault{plain: plainNewer, err: fmt.Errorf("it has version %d, this program knows %d", at, len(steps))}
	}
	if _, err := tx.ExecContext(ctx, steps[at]); err != nil {
		return false, fault(fmt.Sprintf("bring the store to version %d", at+1), err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", at+1)); err != nil {
		return false, fault("write the store's version", err)
	}
	return false, fault("write the store's version", tx.Commit())
}
