package store_test

import (
	"errors"
	"testing"

	"presshand/bot/rephrase"
	"presshand/bot/store"
)

var (
	shortSpanish = rephrase.Voice{Level: rephrase.Brief, Lang: rephrase.Spanish}
	newHire      = rephrase.Voice{Level: rephrase.NewHire}
)

func wantVoice(t *testing.T, s *store.Store, user string, want rephrase.Voice) {
	t.Helper()
	if got := s.Voice(user); got != want {
		t.Errorf("the voice of %s: %+v, want %+v", user, got, want)
	}
}

func TestVoicesLast(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	s.PutVoice("T1/U1", newHire)
	s.PutVoice("T1/U1", shortSpanish)
	s.PutVoice("T1/U2", newHire)
	s.PutVoice("T1/U2", rephrase.Voice{})
	s.Close()
	s = open(t, dir)
	wantVoice(t, s, "T1/U1", shortSpanish)
	wantVoice(t, s, "T1/U2", rephrase.Voice{})
	wantVoice(t, s, "T1/U3", rephrase.Voice{})
}

// A file written before voices were kept takes them.
func TestVoicesInAnOlderFile(t *testing.T) {
	dir := t.TempDir()
	older(t, dir, 1, `INSERT INTO orders VALUES (1, 'open', '{"for":"village choir"}', NULL, '', '', '', 'village choir', '', 0, 0, 'T1/C1/1', 'T1/U1', 1, 1, 1, 'x')`)
	s := open(t, dir)
	s.PutVoice("T1/U1", newHire)
	wantVoice(t, s, "T1/U1", newHire)
	if o, err := s.Order(ctx, 1); err != nil || o.Order.For != "village choir" {
		t.Errorf("the order kept before: %+v, %v", o, err)
	}
}

func TestVoicesWithoutAFile(t *testing.T) {
	s := store.Broken(errors.New("no file"))
	s.PutVoice("T1/U1", newHire)
	wantVoice(t, s, "T1/U1", newHire)
}
