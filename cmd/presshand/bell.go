package main

import (
	"context"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/bot/store"
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

// A bell tells waits that are over in the thread they were started in, requests
// to the owners, and what they decided to whoever asked. Each is told once:
// before a try is made that is noted, so that after a kill the post is looked up
// before it is made again.
type bell struct {
	house *house
	out   notifier
	log   *slog.Logger
	rest  map[string]time.Time // key of a notice -> not before, after a try that failed
}

func newBell(h *house, out notifier, log *slog.Logger) *bell {
	return &bell{house: h, out: out, log: log, rest: map[string]time.Time{}}
}

// ring tells what is owed until ctx ends; what was owed before it began at
// once.
func (b *bell) ring(ctx context.Context) {
	tick := time.NewTicker(bellEvery)
	defer tick.Stop()
	for {
		b.tell(ctx)
		b.tellRequests(ctx)
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
		place, ok := placeOf(w.Conversation, w.User)
		key := fmt.Sprintf("wait/%d", w.ID)
		if !ok || w.Until.After(now) || now.Before(b.rest[key]) {
			continue
		}
		if err := b.tellOne(ctx, w, place, now); err != nil && ctx.Err() == nil {
			b.log.Error("a wait's end was not told, trying again later", "wait", w.ID, "error", err)
			b.rest[key] = now.Add(bellAgain)
			continue
		}
		delete(b.rest, key)
	}
}

// tellRequests tells the owners what is asked of them, and whoever asked what
// they decided.
func (b *bell) tellRequests(ctx context.Context) {
	owed, err := b.house.store.Notices(ctx)
	if err != nil {
		if ctx.Err() == nil {
			b.log.Error("requests can't be read", "error", err)
		}
		return
	}
	now := b.house.now()
	for _, n := range owed {
		key := fmt.Sprintf("request/%d/%s", n.Number, n.State)
		places := b.placesOf(n)
		if len(places) == 0 || now.Before(b.rest[key]) {
			continue
		}
		if err := b.tellRequest(ctx, n, key, places, now); err != nil && ctx.Err() == nil {
			b.log.Error("a request was not told, trying again later", "request", n.Number, "error", err)
			b.rest[key] = now.Add(bellAgain)
		}
	}
}

// placesOf is where a notice goes: to each owner in person, or back to where the
// request was made. None where it came from another face.
func (b *bell) placesOf(n store.Notice) []workspace.Place {
	back, ok := placeOf(n.Conversation, n.User)
	if !ok {
		return nil
	}
	if n.State != answer.RequestOpen {
		return []workspace.Place{back}
	}
	var places []workspace.Place
	for _, owner := range b.house.profile.Owners {
		places = append(places, workspace.Place{Team: back.Team, Channel: owner, User: owner})
	}
	return places
}

func (b *bell) tellRequest(ctx context.Context, n store.Notice, key string, places []workspace.Place, now time.Time) error {
	again := n.Tried
	if !again {
		if err := b.house.store.TryNotice(ctx, n); err != nil {
			return err
		}
	}
	word := b.house.bot.Desk().Asked(n.Request, now)
	if n.State != answer.RequestOpen {
		word = b.house.bot.Desk().Decided(n.Request, now)
	}
	try, cancel := context.WithTimeout(ctx, bellTry)
	defer cancel()
	for _, p := range places {
		if err := b.out.Notify(try, p, key+"/"+p.User, word, again); err != nil {
			return err
		}
	}
	return b.house.store.NoticeTold(context.WithoutCancel(ctx), n)
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
	if err := b.out.Notify(try, place, key, b.house.bot.Desk().Over(w, now), again); err != nil {
		return err
	}
	w.State = answer.WaitTold
	return b.house.store.ChangeWait(context.WithoutCancel(ctx), w) // it is told, whatever else ends
}

// placeOf is where a later word to a user goes: the thread or flat talk it is
// about, or the direct channel where only the user saw the talk. ok is false for
// talk of other faces.
func placeOf(conversation, of string) (p workspace.Place, ok bool) {
	talk := strings.SplitN(conversation, "/", 3)
	_, user, named := strings.Cut(of, "/")
	if len(talk) != 3 || !named {
		return p, false
	}
	p = workspace.Place{Team: talk[0], Channel: talk[1], Thread: talk[2], User: user}
	if talk[2] == user { // a whisper
		p.Channel, p.Thread = user, ""
	}
	return p, true
}
