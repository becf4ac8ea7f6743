package store_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/bot/answer"
	"presshand/bot/store"
	"presshand/knowledge"
)

func wished(text string) answer.Request {
	return answer.Request{
		Rule: knowledge.ShopRule{Said: text, Recipes: []string{"sublimation-mug"}, Blanks: []string{"mug"},
			Press: knowledge.DwellChange{Time: knowledge.Value{Dimension: knowledge.Time, Is: 200, Unit: "s"}}},
		Text: text, Conversation: "T1/C1/1", User: "T1/U1", At: now,
	}
}

func TestRequestsAreKeptAndDecidedOnce(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	first, err := s.AddRequest(ctx, wished("mugs 200 s"))
	if err != nil || first.Number != 1 {
		t.Fatalf("first: %+v, %v", first, err)
	}
	if again, err := s.AddRequest(ctx, wished("mugs 200 s")); err != nil || again.Number != 1 {
		t.Errorf("the same message again: request %d, %v; want 1", again.Number, err)
	}
	if second, err := s.AddRequest(ctx, wished("mugs 195 s")); err != nil || second.Number != 2 {
		t.Errorf("second: %+v, %v", second, err)
	}
	s.Close()
	s = open(t, dir)
	got, err := s.Request(ctx, 1)
	want := wished("mugs 200 s")
	want.Number, want.State = 1, answer.RequestOpen
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("after a restart, %v: %s", err, diff)
	}
	got.State, got.DecidedBy, got.DecidedAt = answer.RequestAccepted, "T1/U0WNER", now
	if err := s.DecideRequest(ctx, got); err != nil {
		t.Fatal(err)
	}
	got.State = answer.RequestRefused
	if err := s.DecideRequest(ctx, got); !errors.Is(err, answer.ErrDecided) {
		t.Errorf("decided again: %v, want ErrDecided", err)
	}
	if q, _ := s.Request(ctx, 1); q.State != answer.RequestAccepted || q.DecidedBy != "T1/U0WNER" || !q.DecidedAt.Equal(now) {
		t.Errorf("the decision is %+v", q)
	}
	open, err := s.FindRequests(ctx, answer.RequestOpen)
	if err != nil || len(open) != 1 || open[0].Number != 2 {
		t.Errorf("open: %+v, %v", open, err)
	}
	if _, err := s.Request(ctx, 9); !errors.Is(err, answer.ErrNoRequest) {
		t.Errorf("request 9: %v, want ErrNoRequest", err)
	}
}

// Of each request two words are owed: to the owners, then to whoever asked.
func TestNoticesOfRequests(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	q, err := s.AddRequest(ctx, wished("mugs 200 s"))
	if err != nil {
		t.Fatal(err)
	}
	owed := func(s *store.Store, state answer.RequestState, tried bool) store.Notice {
		t.Helper()
		all, err := s.Notices(ctx)
		if err != nil || len(all) != 1 || all[0].State != state || all[0].Tried != tried {
			t.Fatalf("owed: %+v, %v; want one, %s, tried %v", all, err, state, tried)
		}
		return all[0]
	}
	none := func() {
		t.Helper()
		if all, err := s.Notices(ctx); err != nil || len(all) > 0 {
			t.Errorf("owed: %+v, %v; want none", all, err)
		}
	}
	if err := s.TryNotice(ctx, owed(s, answer.RequestOpen, false)); err != nil {
		t.Fatal(err)
	}
	s.Close() // killed between the try and the note that it is told
	s = open(t, dir)
	if err := s.NoticeTold(ctx, owed(s, answer.RequestOpen, true)); err != nil {
		t.Fatal(err)
	}
	none()
	q.State, q.DecidedBy, q.DecidedAt = answer.RequestRefused, "T1/U0WNER", now
	if err := s.DecideRequest(ctx, q); err != nil {
		t.Fatal(err)
	}
	if err := s.NoticeTold(ctx, owed(s, answer.RequestRefused, false)); err != nil {
		t.Fatal(err)
	}
	none()
}
