package rephrase_test

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/bottest/model"
	"presshand/bot/rephrase"
)

// stubborn is a model that does not end with its context.
type stubborn struct{ takes time.Duration }

// Reword implements rephrase.Model.
func (m stubborn) Reword(_ context.Context, q rephrase.Request) (string, error) {
	time.Sleep(m.takes)
	return q.Text, nil
}

// tally is a meter that keeps what it was told.
type tally struct {
	mu   sync.Mutex
	told []string
	took []time.Duration
}

func (m *tally) tell(what string, took time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.told, m.took = append(m.told, what), append(m.took, took)
}

// Accepted implements rephrase.Meter.
func (m *tally) Accepted(took time.Duration) { m.tell("accepted", took) }

// Refused implements rephrase.Meter.
func (m *tally) Refused(reason string, took time.Duration) { m.tell(reason, took) }

func TestAnswerWaitsNoLongerThanTheBudget(t *testing.T) {
	base := load(t)
	synctest.Test(t, func(t *testing.T) {
		for _, r := range []struct {
			takes, waited time.Duration
			refused       string
		}{
			{1900 * time.Millisecond, 1900 * time.Millisecond, ""},
			{2100 * time.Millisecond, 2 * time.Second, rephrase.Slow},
			{time.Hour, 2 * time.Second, rephrase.Slow},
		} {
			meter := &tally{}
			p := rephrase.New(base, stubborn{r.takes}, rephrase.WithMeter(meter))
			start := time.Now()
			got := p.Reply(context.Background(), answer(), rephrase.Voice{})
			if waited := time.Since(start); waited != r.waited || got.Rephrase.Refused != r.refused || meter.took[0] != r.waited {
				t.Errorf("a model that takes %v: waited %v, counted %v, refused %q; want %v, %q", r.takes, waited, meter.took, got.Rephrase.Refused, r.waited, r.refused)
			}
			if r.refused != "" && !slices.Equal(got.Lines, answer().Lines) {
				t.Errorf("a model that takes %v: %q", r.takes, got.Lines)
			}
		}
		time.Sleep(2 * time.Hour) // in the bubble: the models come to their end
	})
}

func TestCancelledWithTheMessage(t *testing.T) {
	base := load(t)
	synctest.Test(t, func(t *testing.T) {
		p := rephrase.New(base, stubborn{time.Minute})
		for range 5 { // more than break the breaker: an asker who left is no fault of the model
			ctx, cancel := context.WithTimeout(context.Background(), 300*time.Millisecond)
			start := time.Now()
			got := p.Reply(ctx, answer(), rephrase.Voice{})
			if waited := time.Since(start); waited != 300*time.Millisecond || got.Rephrase.Refused != rephrase.Slow {
				t.Errorf("waited %v, refused %q", waited, got.Rephrase.Refused)
			}
			cancel()
			time.Sleep(2 * time.Minute)
		}
	})
}

// No more than four requests are under way, also of models that don't end.
func TestBusy(t *testing.T) {
	base := load(t)
	synctest.Test(t, func(t *testing.T) {
		p := rephrase.New(base, stubborn{time.Hour})
		ctx, cancel := context.WithCancel(context.Background())
		cancel() // they wait for nothing, and the requests go on
		var got []string
		for range 6 {
			got = append(got, p.Reply(ctx, answer(), rephrase.Voice{}).Rephrase.Refused)
			synctest.Wait()
		}
		if d := cmp.Diff([]string{rephrase.Slow, rephrase.Slow, rephrase.Slow, rephrase.Slow, rephrase.Busy, rephrase.Busy}, got); d != "" {
			t.Error(d)
		}
		time.Sleep(2 * time.Hour)
	})
}

// One try, whatever the server answers; each outcome is counted with its reason.
func TestOneTryEachCounted(t *testing.T) {
	server := model.Start()
	defer server.Close()
	client, err := rephrase.NewClient(server.URL, "small", "")
	if err != nil {
		t.Fatal(err)
	}
	meter := &tally{}
	base := load(t)
	var want []string
	for _, r := range []struct {
		manner model.Manner
		want   string
	}{
		{model.Status(500, "no"), rephrase.Failed},
		{model.Status(429, `{"error":{"message":"later"}}`), rephrase.Failed},
		{model.Say(always("")), rephrase.Empty},
		{model.Say(plus(" https://example.com")), rephrase.Link},
		{model.Say(put("cold", "hot")), rephrase.Word},
		{model.Say(put("[[BB]]", "[[BC]]")), rephrase.Tokens},
		{model.Say(put("Leave it", "Leave it "+strings.Repeat("the ", 200))), rephrase.TooLong},
		{model.Say(put("Leave it", "Let it sit")), "accepted"},
	} {
		server.Behave(r.manner)
		asked := len(server.Bodies())
		rephrase.New(base, client, rephrase.WithMeter(meter)).Reply(context.Background(), answer(), rephrase.Voice{})
		if n := len(server.Bodies()) - asked; n != 1 {
			t.Errorf("%s: %d requests", r.want, n)
		}
		want = append(want, r.want)
	}
	off := rephrase.New(base, rephrase.Off{}, rephrase.WithMeter(meter))
	off.Reply(context.Background(), answer(), rephrase.Voice{})
	priced := answer()
	priced.Topic = "quote"
	off.Reply(context.Background(), priced, rephrase.Voice{})
	want = append(want, rephrase.NoModel, rephrase.Nothing)
	if d := cmp.Diff(want, meter.told); d != "" {
		t.Error(d)
	}
}

// The cache goes by what an answer means: other figures in the same sentences
// are not asked for again, and stand in the answer.
func TestCacheGoesByMeaning(t *testing.T) {
	server := model.Start()
	defer server.Close()
	server.Behave(model.Say(put("Leave it", "Let it sit")))
	client, err := rephrase.NewClient(server.URL, "small", "")
	if err != nil {
		t.Fatal(err)
	}
	p := rephrase.New(load(t), client)
	p.Reply(context.Background(), answer(), rephrase.Voice{})
	other := answer()
	other.Lines[0] = "Leave it about 25 min, until the sheet feels cold; then peel."
	got := p.Reply(context.Background(), other, rephrase.Voice{})
	if got.Lines[0] != "Let it sit about 25 min, until the sheet feels cold; then peel." || len(server.Bodies()) != 1 {
		t.Errorf("%q after %d requests", got.Lines[0], len(server.Bodies()))
	}
	p.Reply(context.Background(), other, rephrase.Voice{Level: rephrase.Brief})
	other.Lines[0] = "Leave it about 25 min, until the sheet feels dry; then peel."
	p.Reply(context.Background(), other, rephrase.Voice{})
	if n := len(server.Bodies()); n != 3 {
		t.Errorf("%d requests, want one more for another level, and one for other words", n)
	}
}

// Only lines change; what stays here comes back to the letter.
func TestOnlyLinesChange(t *testing.T) {
	p := rephrase.New(load(t), &corrupter{put("Leave it", "Let it sit")})
	got := p.Reply(context.Background(), answer(), rephrase.Voice{})
	if !got.Rephrase.Used || got.Lines[0] == answer().Lines[0] {
		t.Fatalf("not reworded: %+v", got.Rephrase)
	}
	got.Lines, got.Rephrase = answer().Lines, nil
	if d := cmp.Diff(answer(), got); d != "" {
		t.Error(d)
	}
}
