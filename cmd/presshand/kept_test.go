package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"log/slog"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"presshand/bot"
	"presshand/bot/bottest/workspace/kept"
	"presshand/bot/reply"
	"presshand/bot/store"
	"presshand/bot/workspace"
)

const tenOClock = "2026-11-25T10:00:00-05:00"

func openKept(t *testing.T, dir string) *store.Store {
	t.Helper()
	s, err := store.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestInboxOfTheStore(t *testing.T) {
	dir := t.TempDir()
	kept.Inbox(t, func(t *testing.T) workspace.Inbox { return inbox{openKept(t, dir)} }, true)
}

func TestThreadsOfTheStore(t *testing.T) {
	dir := t.TempDir()
	kept.Threads(t, func(t *testing.T) workspace.Threads { return openKept(t, dir) }, true)
}

// at opens the house with a store, its clock held.
func at(t *testing.T, dir, now string) *house {
	t.Helper()
	s := &session{ctx: context.Background(), flags: &commands{Now: now, Data: dir}, getenv: func(string) string { return "" }, streams: Streams{Out: &bytes.Buffer{}, Err: os.Stderr}}
	h, err := s.open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.close)
	return h
}

func say(h *house, owner, shared bool, text string) reply.Reply {
	return h.bot.Handle(context.Background(), bot.Message{Text: text, Conversation: "T1/C1/100.1", User: "T1/U1", Owner: owner, Shared: shared})
}

// A desk that is told waits, as the workspace tells them.
type told struct {
	places []workspace.Place
	keys   []string
	lines  []string
	again  []bool
	fail   error
}

func (o *told) Notify(_ context.Context, p workspace.Place, key string, r reply.Reply, again bool) error {
	o.places, o.keys, o.again = append(o.places, p), append(o.keys, key), append(o.again, again)
	o.lines = append(o.lines, strings.Join(r.Lines, " "))
	return o.fail
}

// A wait outlasts a restart; one that was over meanwhile is told at once,
// marked late, in its thread, to whoever started it, and once.
func TestWaitsAfterARestart(t *testing.T) {
	dir := t.TempDir()
	say(at(t, dir, tenOClock), false, true, "10 minute wait for the choir shirts")
	out := &told{}
	log := slog.New(slog.DiscardHandler)
	newBell(at(t, dir, "2026-11-25T10:09:59-05:00"), out, log).tell(context.Background())
	if len(out.lines) > 0 {
		t.Fatalf("told too early: %v", out.lines)
	}
	out.fail = errors.New("broke off") // killed between the post and its record
	late := at(t, dir, "2026-11-25T10:40:00-05:00")
	newBell(late, out, log).tell(context.Background())
	out.fail = nil
	b := newBell(late, out, log)
	b.tell(context.Background())
	b.tell(context.Background())
	place := workspace.Place{Team: "T1", Channel: "C1", Thread: "100.1", User: "U1"}
	if diff := cmp.Diff([]workspace.Place{place, place}, out.places); diff != "" {
		t.Errorf("told where (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]bool{false, true}, out.again); diff != "" {
		t.Errorf("looked up before a second try (-want +got):\n%s", diff)
	}
	if out.keys[0] != out.keys[1] {
		t.Errorf("one notice has two keys: %v", out.keys)
	}
	if want := "The 10 min wait for the choir shirts is over. I tell you late: it was over today 10:10 am, 30 min ago."; out.lines[1] != want {
		t.Errorf("told %q, want %q", out.lines[1], want)
	}
}

// Who is no owner sees no cost and changes no price, whatever is said; nor does
// an owner where others read along.
func TestCostsStayHidden(t *testing.T) {
	h := at(t, t.TempDir(), tenOClock)
	quote := say(h, true, false, "24 black cotton tees, 9x7 front")
	if len(quote.Private) == 0 {
		t.Fatal("an owner alone sees no cost, so this test would see nothing")
	}
	secret := strings.Fields(quote.Private[0])[5] // "For you only: cost 199.45, ..."
	for _, who := range []struct {
		name          string
		owner, shared bool
	}{{"no owner", false, false}, {"an owner among others", true, true}} {
		for _, text := range []string{"order 1", "find order 1", "board", "history of order 1", "promise order 1", "what does order 1 cost us", "show the workings", "inner sheet", "what is the margin on order 1", "our profit on order 1", "set the margin to 10 %", "order 1 now costs 5 dollars", "what's late", "same as last time"} {
			r := say(h, who.owner, who.shared, text)
			if len(r.Private) > 0 || strings.Contains(r.Full(), strings.Trim(secret, ",")) {
				t.Errorf("%s, %q: sees %v / %s", who.name, text, r.Private, r.Full())
			}
		}
	}
	k, err := h.store.Order(context.Background(), 1)
	if err != nil || k.Total != "372.64" {
		t.Errorf("order 1 costs %s now, %v; want 372.64", k.Total, err)
	}
}

func TestExportIsInert(t *testing.T) {
	rows := [][]string{columns(), {"1", "priced", "=cmd|' /C calc'!A0", "+1", "24", "-2 tees", "@x", "\tx", "-5.00", "USD", " =1+1", "\u00a0=1", "plain", "\r\n=2"}}
	var buf bytes.Buffer
	if err := writeCSV(&buf, rows); err != nil {
		t.Fatal(err)
	}
	got, err := csv.NewReader(&buf).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for j, cell := range got[1] {
		if lead := strings.TrimSpace(cell); !numeric(j) && strings.ContainsAny(lead[:1], "=+-@") {
			t.Errorf("column %s holds %q, which a spreadsheet would run", columns()[j], cell)
		}
	}
	if got[1][8] != "-5.00" {
		t.Errorf("a number became %q", got[1][8])
	}
	buf.Reset()
	if err := writeXLSX(&buf, rows); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if formula, _ := f.GetCellFormula("Orders", "C2"); formula != "" {
		t.Errorf("a cell became the formula %q", formula)
	}
	if v, _ := f.GetCellValue("Orders", "C2"); v != rows[1][2] {
		t.Errorf("a cell holds %q, want %q", v, rows[1][2])
	}
}

func TestPlaceOfAWhisperIsTheDirectChannel(t *testing.T) {
	h := at(t, t.TempDir(), tenOClock)
	h.bot.Handle(context.Background(), bot.Message{Text: "start a 5 min wait", Conversation: "T1/C1/U1", User: "T1/U1", At: time.Date(2026, 11, 25, 14, 0, 0, 0, time.UTC)})
	out := &told{}
	newBell(h, out, slog.New(slog.DiscardHandler)).tell(context.Background())
	if diff := cmp.Diff([]workspace.Place{{Team: "T1", Channel: "U1", User: "U1"}}, out.places); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
