package store_test

import (
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	_ "modernc.org/sqlite"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/listen"
	"presshand/bot/store"
)

// wantFault fails unless err is a fault of the file that says word.
func wantFault(t *testing.T, err error, word string) {
	t.Helper()
	var f *store.Fault
	if !errors.As(err, &f) || !strings.Contains(f.Plain(), word) {
		t.Errorf("%v: want a fault that says %q", err, word)
	}
}

func remembering(customer string) bot.Remembered {
	o := order(customer, 1)
	return bot.Remembered{Memory: listen.Memory{Order: &o}}
}

func TestDiskFull(t *testing.T) {
	s := open(t, t.TempDir(), store.WithMostPages(40))
	var err error
	n := 0
	for ; err == nil && n < 2000; n++ {
		k := kept(strings.Repeat("x", 2000), n, answer.Open)
		_, err = s.Keep(ctx, k)
	}
	wantFault(t, err, "the disk is full")
	if found, err := s.Find(ctx, answer.OrderQuery{}); err != nil || len(found) != n-1 {
		t.Errorf("%d orders were kept and %d are read (%v)", n-1, len(found), err)
	}
	s.Put("T1/D1/", remembering(strings.Repeat("y", 90000)))
	if !s.Failing() || s.Get("T1/D1/").Order == nil {
		t.Error("a conversation that can't be written is not remembered by the process")
	}
}

func TestLocked(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir, store.WithPatience(time.Millisecond))
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName)+"?_txlock=immediate")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Keep(ctx, kept("choir", 1, answer.Open))
	wantFault(t, err, "locked by another program")
	if _, err := s.Find(ctx, answer.OrderQuery{}); err != nil {
		t.Errorf("reading beside a writer: %v", err)
	}
	tx.Rollback()
	if _, err := s.Keep(ctx, kept("choir", 1, answer.Open)); err != nil {
		t.Errorf("after the lock is gone: %v", err)
	}
}

func TestDamaged(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, store.FileName), []byte(strings.Repeat("no database ", 400)), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := store.Open(ctx, dir)
	wantFault(t, err, "damaged")
	s := store.Broken(err)
	_, err = s.Keep(ctx, kept("choir", 1, answer.Open))
	wantFault(t, err, "damaged")
	s.Put("c", remembering("choir"))
	if s.Get("c").Order == nil {
		t.Error("without a file the process remembers nothing")
	}
}

// A page is overwritten in the middle of the file: check finds it.
func TestCheckFindsDamage(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	for i := range 60 {
		if _, err := s.Keep(ctx, kept(strings.Repeat("x", 500), i+1, answer.Open)); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	path := filepath.Join(dir, store.FileName)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for at := len(data) / 2 / 4096 * 4096; at < len(data)-4096; at++ {
		data[at] = 0xa5
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err = store.Open(ctx, dir)
	if err != nil {
		wantFault(t, err, "damaged")
		return
	}
	defer s.Close()
	if report, err := s.Check(ctx); err == nil && len(report.Faults) == 0 {
		t.Error("check finds the damaged file sound")
	}
}

func TestNewerFile(t *testing.T) {
	dir := t.TempDir()
	open(t, dir).Close()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	_, err = store.Open(ctx, dir)
	wantFault(t, err, "newer presshand")
}

func TestNothingIsDeleted(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.Keep(ctx, kept("choir", 1, answer.Open)); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, q := range []string{"DELETE FROM orders", "DELETE FROM changes", "UPDATE changes SET user = 'x'"} {
		if _, err := db.Exec(q); err == nil {
			t.Errorf("%s went through", q)
		}
	}
}
