package store_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/bot/store"
	"presshand/planner"
)

var (
	ctx = context.Background()
	now = time.Date(2026, 11, 25, 15, 0, 0, 0, time.UTC)
)

func open(t *testing.T, dir string, options ...store.Option) *store.Store {
	t.Helper()
	s, err := store.Open(ctx, dir, options...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func order(customer string, n int) planner.Order {
	return planner.Order{For: customer, Lines: []planner.Line{{Quantity: n, Item: "tee", Colour: "black", Blanks: "ours"}}}
}

func kept(customer string, n int, state answer.State) answer.Kept {
	return answer.Kept{State: state, Order: order(customer, n), Conversation: "T1/C1/1", User: "T1/U1", Created: now, Due: now.Add(48 * time.Hour)}
}

func TestOrdersAreKeptNumberedAndChanged(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	first, err := s.Keep(ctx, kept("village choir", 24, answer.Priced))
	if err != nil || first.Number != 1 {
		t.Fatalf("first: %+v, %v", first, err)
	}
	again, err := s.Keep(ctx, kept("village choir", 24, answer.Priced))
	if err != nil || again.Number != 1 {
		t.Errorf("the same message again: order %d, %v; want 1", again.Number, err)
	}
	second, err := s.Keep(ctx, kept("rowing club", 12, answer.Open))
	if err != nil || second.Number != 2 {
		t.Fatalf("second: %+v, %v", second, err)
	}
	first.State = answer.Promised
	first.Due = now.Add(24 * time.Hour)
	changed, err := s.Change(ctx, first, "T1/U2", now.Add(time.Minute))
	if err != nil || changed.Revision != 2 {
		t.Fatalf("change: %+v, %v", changed, err)
	}
	if _, err := s.Change(ctx, first, "T1/U3", now); !errors.Is(err, answer.ErrChanged) {
		t.Errorf("a change over another: %v, want ErrChanged", err)
	}
	if _, err := s.Order(ctx, 99); !errors.Is(err, answer.ErrNoOrder) {
		t.Errorf("order 99: %v, want ErrNoOrder", err)
	}
	s.Close()
	s = open(t, dir)
	got, err := s.Order(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(changed, got, cmp.Comparer(time.Time.Equal)); diff != "" {
		t.Errorf("after a restart (-kept +read):\n%s", diff)
	}
	history, err := s.History(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, c := range history {
		told = append(told, strings.Join([]string{c.User, c.What, c.From, c.To}, " "))
	}
	want := []string{"T1/U1 kept  priced", "T1/U2 state priced promised", "T1/U2 due 2026-11-27T15:00:00Z 2026-11-26T15:00:00Z"}
	if diff := cmp.Diff(want, told); diff != "" {
		t.Errorf("history (-want +got):\n%s", diff)
	}
}

func TestFind(t *testing.T) {
	s := open(t, t.TempDir())
	for i, k := range []answer.Kept{kept("village choir", 24, answer.Priced), kept("Brambleford rowing club", 12, answer.Promised), kept("bakery", 6, answer.Dropped), kept("", 5, answer.Promised)} {
		k.Due = now.Add(time.Duration(9-i) * time.Hour)
		if i == 3 {
			k.Due = time.Time{}
			k.Order.Ref = "PO-77"
		}
		if _, err := s.Keep(ctx, k); err != nil {
			t.Fatal(err)
		}
	}
	rows := []struct {
		name string
		q    answer.OrderQuery
		want []int
	}{
		{"all, by due time, none last", answer.OrderQuery{}, []int{3, 2, 1, 4}},
		{"by states", answer.OrderQuery{States: []answer.State{answer.Promised, answer.Priced}}, []int{2, 1, 4}},
		{"by part of the customer", answer.OrderQuery{Customer: "Rowing"}, []int{2}},
		{"words in any order", answer.OrderQuery{Customer: "club brambleford"}, []int{2}},
		{"by reference", answer.OrderQuery{Ref: "po-77"}, []int{4}},
		{"by due time", answer.OrderQuery{DueFrom: now.Add(8 * time.Hour), DueTo: now.Add(9 * time.Hour)}, []int{2}},
		{"latest", answer.OrderQuery{Latest: true, Limit: 2}, []int{4, 3}},
		{"a wildcard is a letter like others", answer.OrderQuery{Customer: "%"}, nil},
		{"quotes are letters, too", answer.OrderQuery{Customer: "'; DROP TABLE orders; --"}, nil},
	}
	for _, r := range rows {
		got, err := s.Find(ctx, r.q)
		if err != nil {
			t.Errorf("%s: %v", r.name, err)
		}
		var numbers []int
		for _, k := range got {
			numbers = append(numbers, k.Number)
		}
		if diff := cmp.Diff(r.want, numbers); diff != "" {
			t.Errorf("%s (-want +got):\n%s", r.name, diff)
		}
	}
}

func TestWaitsLast(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	start := func(name string, d time.Duration) answer.Wait {
		w, err := s.StartWait(ctx, answer.Wait{Name: name, Conversation: "T1/C1/1", User: "T1/U1", From: now, Until: now.Add(d)})
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	late, early, stopped := start("order 12", 10*time.Minute), start("choir", 5*time.Minute), start("mugs", time.Minute)
	if twice := start("choir", 5*time.Minute); twice.ID != early.ID {
		t.Errorf("the same wait started twice is %d and %d", early.ID, twice.ID)
	}
	stopped.State = answer.WaitStopped
	late.Tried, late.Until = true, now.Add(12*time.Minute)
	for _, w := range []answer.Wait{stopped, late} {
		if err := s.ChangeWait(ctx, w); err != nil {
			t.Fatal(err)
		}
	}
	s.Close()
	s = open(t, dir)
	got, err := s.RunningWaits(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]answer.Wait{early, late}, got, cmp.Comparer(time.Time.Equal)); diff != "" {
		t.Errorf("after a restart (-want +got):\n%s", diff)
	}
	stopped.State = answer.WaitRunning
	if err := s.ChangeWait(ctx, stopped); err != nil {
		t.Fatal(err)
	}
	if got, _ := s.RunningWaits(ctx); len(got) != 2 {
		t.Errorf("a stopped wait runs again: %v", got)
	}
}

func TestMarkDiffersWhereTheBoardChanged(t *testing.T) {
	dir := t.TempDir()
	s, other := open(t, dir), open(t, dir)
	var k answer.Kept
	var w answer.Wait
	last := ""
	for _, step := range []struct {
		name    string
		do      func() error
		changes bool
	}{
		{"nothing yet", func() error { return nil }, true},
		{"an order kept", func() (err error) { k, err = s.Keep(ctx, kept("choir", 24, answer.Priced)); return err }, true},
		{"a conversation", func() error { s.Put("T1/D1/", remembering("choir")); return s.Join(ctx, "T1/C1/1") }, false},
		{"an order promised by another program", func() (err error) {
			k.State = answer.Promised
			k, err = other.Change(ctx, k, "T1/U2", now)
			return err
		}, true},
		{"a wait started", func() (err error) {
			w, err = s.StartWait(ctx, answer.Wait{Name: "order 1", From: now, Until: now.Add(time.Minute)})
			return err
		}, true},
		{"a wait extended", func() error { w.Until = w.Until.Add(time.Minute); return s.ChangeWait(ctx, w) }, true},
		{"a wait about to be told", func() error { w.Tried = true; return s.ChangeWait(ctx, w) }, false},
		{"a wait told", func() error { w.State = answer.WaitTold; return s.ChangeWait(ctx, w) }, true},
	} {
		if err := step.do(); err != nil {
			t.Fatalf("%s: %v", step.name, err)
		}
		mark, err := s.Mark(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if (mark != last) != step.changes {
			t.Errorf("%s: mark %s after %s", step.name, mark, last)
		}
		last = mark
	}
}

func TestConversationsLast(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	o := order("choir", 24)
	m := bot.Remembered{
		Memory: listen.Memory{Last: &listen.Ask{Topic: "quote", Text: "24 tees", Order: listen.OrderReading{Order: o, IsOrder: true}}, Order: &o, Missing: "fibre"},
		Reply:  &reply.Reply{Question: "24 tees", Outcome: reply.Answered, Topic: "quote", Lines: []string{"14.80 each."}, Tables: []reply.Table{{Header: []string{"a"}, Rows: [][]string{{"b"}}}}, Files: []reply.File{{Name: "x.png", Draw: reply.Drawn([]byte("large"))}}},
	}
	s.Put("T1/D1/", m)
	s.Close()
	s = open(t, dir)
	got := s.Get("T1/D1/")
	m.Reply.Files = nil
	if diff := cmp.Diff(m, got); diff != "" {
		t.Errorf("after a restart (-put +got):\n%s", diff)
	}
	if got := s.Get("T1/D2/"); got.Last != nil || got.Order != nil {
		t.Errorf("another conversation remembers %+v", got)
	}
}

func TestUnanswered(t *testing.T) {
	s := open(t, t.TempDir())
	for i, q := range []string{"wifi password?", "Wifi  password", "can you do embroidery", "wifi password!"} {
		if err := s.Record(ctx, bot.Gap{Question: q, Topic: "none", Near: []string{"press settings"}, At: now.Add(time.Duration(i) * time.Minute)}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Unanswered(ctx)
	if err != nil {
		t.Fatal(err)
	}
	want := []store.Unanswered{
		{Question: "wifi password!", Times: 3, Near: []string{"press settings"}, Last: now.Add(3 * time.Minute)},
		{Question: "can you do embroidery", Times: 1, Near: []string{"press settings"}, Last: now.Add(2 * time.Minute)},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestBackupAndCheck(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	if _, err := s.Keep(ctx, kept("choir", 24, answer.Open)); err != nil {
		t.Fatal(err)
	}
	copyDir := filepath.Join(dir, "it's a copy")
	if err := os.Mkdir(copyDir, 0o700); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(copyDir, store.FileName)
	if err := s.Backup(ctx, file); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, file); err == nil || !strings.Contains(err.Error(), "exists already") {
		t.Errorf("over an older backup: %v", err)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "nowhere", "x.db")); err == nil {
		t.Error("a backup into no folder succeeded")
	}
	got, err := open(t, copyDir).Order(ctx, 1)
	if err != nil || got.Order.For != "choir" {
		t.Errorf("from the copy: %+v, %v", got, err)
	}
	report, err := s.Check(ctx)
	if err != nil || len(report.Faults) > 0 {
		t.Errorf("check: %+v, %v", report, err)
	}
	if report.Counts[0] != (store.Count{What: "orders", N: 1}) {
		t.Errorf("counts: %+v", report.Counts)
	}
}
