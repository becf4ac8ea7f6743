package main

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// How often the bell looks for waits that are over, how long it tries to tell
// one, and how long it leaves one alone that could not be told.
const (
	bellEvery = time.Second
	bellTry   = 30 * time.Second
	bellAgain = time.Minute
)

// A notifier posts what nobody asked for just now.
type notifier interface {
	Notify(ctx context.Context, p workspace.Place, key string, r reply.Reply, again bool) error
}

// A bell tells waits that are over in the thread they were started in. A wait
// is told once: before a try is made that is noted, so that after a kill the
// post is looked up before it is made again.
type bell struct {
	house *house
	out   notifier
	log   *slog.Logger
	rest  map[int]time.Time // wait -> not before, after a try that failed
}

func newBell(h *house, out notifier, log *slog.Logger) *bell {
	return &bell{house: h, out: out, log: log, rest: map[int]time.Time{}}
}

// ring tells waits until ctx ends; those that were over before it began at
// once.
func (b *bell) ring(ctx context.Context) {
	tick := time.NewTicker(bellEvery)
	defer tick.Stop()
	for {
		b.tell(ctx)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// tell tells each wait that is over now.
func (b *bell) tell(ctx context.Context) {
	waits, err := b.house.store.RunningWaits(ctx)
	if err != nil {
		if ctx.Err() == nil {
			b.log.Error("running waits can't be read", "error", err)
		}
		return
	}
	now := b.house.now()
	for _, w := range waits {
		place, ok := placeOf(w)
		if !ok || w.Until.After(now) || now.Before(b.rest[w.ID]) {
			continue
		}
		if err := b.tellOne(ctx, w, place, now); err != nil && ctx.Err() == nil {
			b.log.Error("a wait's end was not told, trying again later", "wait", w.ID, "error", err)
			b.rest[w.ID] = now.Add(bellAgain)
			continue
		}
		delete(b.rest, w.ID)
	}
}

func (b *bell) tellOne(ctx context.Context, w answer.Wait, place workspace.Place, now time.Time) error {
	again := w.Tried
	if !again {
		w.Tried = true
		if err := b.house.store.ChangeWait(ctx, w); err != nil {
			return err
		}
	}
	try, cancel := context.WithTimeout(ctx, bellTry)
	defer cancel()
	key := fmt.Sprintf("wait/%d/%d", w.ID, w.Until.UnixMicro())
	if err := b.out.Notify(try, place, key, b.house.desk.Over(w, now), again); err != nil {
		return err
	}
	w.State = answer.WaitTold
	return b.house.store.ChangeWait(context.WithoutCancel(ctx), w) // it is told, whatever else ends
}

// placeOf is where a wait's end is told: the thread or flat talk it was started
// in, or the direct channel where only the user saw the talk. ok is false for
// waits of other faces.
func placeOf(w answer.Wait) (p workspace.Place, ok bool) {
	talk := strings.SplitN(w.Conversation, "/", 3)
	_, user, named := strings.Cut(w.User, "/")
	if len(talk) != 3 || !named {
		return p, false
	}
	p = workspace.Place{Team: talk[0], Channel: talk[1], Thread: talk[2], User: user}
	if talk[2] == user { // a whisper
		p.Channel, p.Thread = user, ""
	}
	return p, true
}
