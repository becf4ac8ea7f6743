package main

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/store"
)

// The soak: a working day, so many messages a minute, in fake time.
const (
	soakHours     = 8
	soakPerMinute = 3
)

// A working day of chatter with the whole bot, its store on disk: goroutines and
// memory at the end are what they were after the first hour, every message is
// answered once, and the tables hold what must be kept and nothing else. A month
// later only orders, their history and unanswered questions are left.
func TestADayOverTheStore(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		fake := fakeworkspace.Start()
		defer fake.Close()
		dir := t.TempDir()
		h, leave := join(t, fake, dir)
		day := &chatter{T: t, fake: fake, random: rand.New(rand.NewPCG(1, 2))}
		day.hour()
		first := day.measure(h)
		hours := soakHours
		if slowed {
			hours = 2 // fifteen times slower
		}
		for range hours - 1 {
			day.hour()
		}
		last := day.measure(h)
		t.Logf("%d messages, %d answers and notices; goroutines %d, then %d; heap %d KiB, then %d KiB; rows %v, then %v",
			day.asked, day.answered, first.goroutines, last.goroutines, first.heap>>10, last.heap>>10, first.rows, last.rows)
		if last.goroutines > first.goroutines+2 {
			t.Errorf("%d goroutines after an hour, %d after %d", first.goroutines, last.goroutines, hours)
		}
		// Conversations are remembered, some kilobytes each, up to a bound; a new
		// one begins with each mention. The rest must not grow.
		conversations := uint64(last.rows["conversations"] - first.rows["conversations"])
		if most := first.heap + conversations*mostRemembered + 1<<20; last.heap > most {
			t.Errorf("%d KiB after an hour, %d KiB after %d, want at most %d", first.heap>>10, last.heap>>10, hours, most>>10)
		}
		if last.rows["deliveries"] != 0 {
			t.Errorf("%d messages are still open", last.rows["deliveries"])
		}
		for table, most := range map[string]int{
			// Each mention is delivered under two events, known for a week.
			"delivery_keys": 3 * day.asked,
			"conversations": day.talks(), "threads": day.threads, "spoken": last.rows["orders"],
			"orders": day.orders, "waits": day.waits,
		} {
			if last.rows[table] > most {
				t.Errorf("%d rows in %s, at most %d are needed", last.rows[table], table, most)
			}
		}
		leave()

		time.Sleep(store.KeepFor)
		s, err := store.Open(context.Background(), dir)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		if _, err := s.Prune(context.Background(), time.Now()); err != nil {
			t.Fatal(err)
		}
		left := rowsIn(t, dir)
		for table, n := range left {
			want := 0
			switch table {
			case "orders", "changes", "gaps", "voices":
				want = last.rows[table]
			}
			if n != want {
				t.Errorf("a month later %d rows in %s, want %d", n, table, want)
			}
		}
		checkSound(t, dir)
	})
}

// mostRemembered bounds what the process remembers of one conversation, in
// bytes.
const mostRemembered = 24 << 10

// chatter is what people write during a day.
type chatter struct {
	*testing.T
	fake     *fakeworkspace.Server
	random   *rand.Rand
	asked    int
	answered int
	threads  int
	orders   int
	waits    int
	people   map[string]bool // direct channels, and commands of one user in one channel
}

// hour is one hour of talk, with the faults a link has.
func (c *chatter) hour() {
	said := questions()
	for range 60 {
		for range soakPerMinute {
			user, channel, text := fmt.Sprint("U", c.random.IntN(20)), fmt.Sprint("C", c.random.IntN(5)), said[c.random.IntN(len(said))]
			if c.random.IntN(30) == 0 {
				text = fmt.Sprint(12+c.random.IntN(6), " black cotton tees, 4x3 left chest")
				c.orders++
			}
			if text == questions()[3] {
				c.waits++
			}
			if c.people == nil {
				c.people = map[string]bool{}
			}
			switch c.random.IntN(8) {
			case 0:
				c.people[channel+user] = true
				c.fake.Command(channel, user, text)
			case 1, 2, 3:
				c.threads++
				c.fake.Write(fakeworkspace.Say{Channel: channel, User: user, Text: toTheBot + text})
			default:
				c.people[user] = true
				c.fake.Write(fakeworkspace.Say{Channel: fakeworkspace.DirectChannel(user), User: user, Text: text})
			}
			c.asked++
		}
		switch c.random.IntN(60) {
		case 0:
			c.fake.Disconnect("refresh_requested")
		case 1:
			c.fake.Drop()
		case 2:
			c.fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Status: 429, RetryAfter: 5})
		}
		time.Sleep(time.Minute)
	}
}

func (c *chatter) talks() int { return c.threads + len(c.people) }

// measured is what the bot holds at one time.
type measured struct {
	goroutines int
	heap       uint64
	rows       map[string]int
}

// measure lets the bot come to rest, checks that all was answered once, drops
// the record of it and measures.
func (c *chatter) measure(h *house) measured {
	c.Helper()
	time.Sleep(20 * time.Minute) // waits end, idle connections close
	synctest.Wait()
	answers, over, written := map[string]int{}, 0, 0
	for _, m := range c.fake.Answers("") {
		answers[string(m.Metadata)]++
		c.answered++
		if strings.Contains(m.Text, " is over") {
			over++
		}
	}
	for _, m := range c.fake.Messages("") {
		if m.User != fakeworkspace.Bot {
			written++
		}
	}
	if len(answers) != written+over {
		c.Errorf("%d messages written, %d answered", written, len(answers)-over)
	}
	for id, n := range answers {
		if n != 1 {
			c.Errorf("%s posted %d times", id, n)
		}
	}
	acked := 0
	for _, e := range c.fake.Envelopes() {
		if e.Acked.IsZero() && e.Kind == "events_api" {
			c.Errorf("%s is not acknowledged", e.ID)
		}
		if e.Kind == "slash_commands" && !e.Acked.IsZero() {
			acked++
		}
	}
	c.answered += len(c.fake.Ephemerals())
	if n := len(c.fake.Ephemerals()); n != acked {
		c.Errorf("%d commands, %d answers to them", acked, n)
	}
	c.fake.Forget()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return measured{runtime.NumGoroutine(), m.HeapAlloc, rowsIn(c.T, filepath.Dir(h.store.Path()))}
}

// rowsIn counts the rows of all tables.
func rowsIn(t *testing.T, dir string) map[string]int {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	tables := map[string]string{}
	read(t, db, "SELECT name, type FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'", tables)
	out := map[string]int{}
	for table := range tables {
		n := 0
		if err := db.QueryRow("SELECT count(*) FROM " + table).Scan(&n); err != nil {
			t.Fatal(err)
		}
		out[table] = n
	}
	return out
}
