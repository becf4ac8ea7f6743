package store_test

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/store"
)

// rowsOf counts the rows of the tables.
func rowsOf(t *testing.T, dir string, tables ...string) map[string]int {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	out := map[string]int{}
	for _, table := range tables {
		n := 0
		if err := db.QueryRow("SELECT count(*) FROM " + table).Scan(&n); err != nil {
			t.Fatal(err)
		}
		out[table] = n
	}
	return out
}

// fill writes one of everything under a name.
func fill(t *testing.T, s *store.Store, name string, end answer.WaitState) {
	t.Helper()
	k := kept(name, 24, answer.Priced)
	k.Created = time.Now()
	k, err := s.Keep(ctx, k)
	if err != nil {
		t.Fatal(err)
	}
	w, err := s.StartWait(ctx, answer.Wait{Name: name, Conversation: name, From: time.Now(), Until: time.Now()})
	if err != nil {
		t.Fatal(err)
	}
	w.State = end
	_, added := s.AddDeliveries(ctx, []store.Delivery{{Keys: []string{name}, Payload: []byte("{}"), At: time.Now()}})
	s.Put(name, remembering(name))
	for _, err := range []error{
		s.ChangeWait(ctx, w), s.Speak(ctx, name, k.Number), s.Join(ctx, name), added,
		s.Record(ctx, bot.Gap{Question: name, At: time.Now()}),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
}

// What nobody touched for thirty days goes; orders, running waits, messages not
// answered and unanswered questions stay, and so does what is still used.
func TestPrune(t *testing.T) {
	tables := []string{"conversations", "threads", "spoken", "waits", "delivery_keys", "deliveries", "orders", "changes", "gaps"}
	synctest.Test(t, func(t *testing.T) {
		dir := t.TempDir()
		s := open(t, dir)
		defer s.Close()
		const many = 1100 // more than two steps
		for i := range many {
			s.Put(fmt.Sprint("old ", i), remembering("x"))
		}
		fill(t, s, "old", answer.WaitTold)
		fill(t, s, "used", answer.WaitStopped)
		fill(t, s, "waiting", answer.WaitRunning)
		time.Sleep(store.KeepFor - time.Hour)
		for _, name := range []string{"used", "waiting"} {
			s.Put(name, remembering(name))
			if err := s.Join(ctx, name); err != nil {
				t.Fatal(err)
			}
			if err := s.Speak(ctx, name, 2); err != nil {
				t.Fatal(err)
			}
		}
		if n, err := s.Prune(ctx, time.Now()); err != nil || n != 3 { // the keys, after a week
			t.Errorf("an hour too early %d rows went, %v; want 3", n, err)
		}
		time.Sleep(2 * time.Hour)
		if n, err := s.Prune(ctx, time.Now()); err != nil || n != many+1+1+1+2 {
			t.Errorf("%d rows went, %v; want %d", n, err, many+5)
		}
		want := map[string]int{"conversations": 2, "threads": 2, "spoken": 2, "waits": 1, "delivery_keys": 0, "deliveries": 3, "orders": 3, "changes": 3, "gaps": 3}
		if diff := cmp.Diff(want, rowsOf(t, dir, tables...)); diff != "" {
			t.Errorf("rows left (-want +got):\n%s", diff)
		}
		if n, err := s.Prune(ctx, time.Now()); err != nil || n != 0 {
			t.Errorf("the second time %d rows went, %v", n, err)
		}
	})
}

// older makes a file of an older version and writes to it.
func older(t *testing.T, dir string, version int, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	script := append(store.Migrations()[:version:version], fmt.Sprintf("PRAGMA user_version = %d", version))
	for _, s := range append(script, statements...) {
		if _, err := db.Exec(s); err != nil {
			t.Fatal(err)
		}
	}
}

// Threads and the orders spoken of in an older file count as touched when it is
// brought to the new version.
func TestOlderThreadsAreNotForgottenAtOnce(t *testing.T) {
	dir := t.TempDir()
	older(t, dir, 2,
		`INSERT INTO orders VALUES (1, 'open', '{}', NULL, '', '', '', '', '', 0, 0, 'T1/C1/1', 'T1/U1', 1, 1, 1, 'x')`,
		`INSERT INTO spoken VALUES ('T1/C1/1', 1)`,
		`INSERT INTO threads VALUES ('T1/C1/1')`,
	)
	s := open(t, dir)
	if n, err := s.Prune(ctx, time.Now()); err != nil || n != 0 {
		t.Errorf("%d rows went at once, %v", n, err)
	}
	if joined, err := s.Joined(ctx, "T1/C1/1"); err != nil || !joined {
		t.Errorf("the thread is joined: %v, %v", joined, err)
	}
	if number, err := s.About(ctx, "T1/C1/1"); err != nil || number != 1 {
		t.Errorf("the conversation speaks of order %d, %v", number, err)
	}
	if n, err := s.Prune(ctx, time.Now().Add(store.KeepFor+time.Minute)); err != nil || n != 2 {
		t.Errorf("a month later %d rows went, %v; want 2", n, err)
	}
	if report, err := s.Check(ctx); err != nil || len(report.Faults) > 0 {
		t.Errorf("check: %+v, %v", report, err)
	}
}
