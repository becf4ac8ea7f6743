package main

import (
	"context"
	"log/slog"
	"time"

	"presshand/bot/answer"
	"presshand/bot/workspace"
)

// home draws a user's home tab: the orders in hand and the running waits.
func (h *house) home(ctx context.Context, team, user string, owner bool) workspace.Home {
	if h.store == nil {
		return workspace.Home{}
	}
	orders, err := h.store.Find(ctx, answer.OrderQuery{States: []answer.State{answer.Promised, answer.Running, answer.Ready}})
	var waits []answer.Wait
	if err == nil {
		waits, err = h.store.RunningWaits(ctx)
	}
	if err != nil {
		return workspace.Home{Board: []workspace.Entry{{Line: "The board does not answer at the moment; questions are answered all the same."}}}
	}
	now := h.now()
	if h.profile.Zone != nil {
		now = now.In(h.profile.Zone)
	}
	return workspace.Home{
		Board: entries(h.bot.Desk().Entries(orders, answer.Turn{Now: now, User: team + "/" + user, Owner: owner})),
		Waits: entries(h.bot.Desk().WaitEntries(waits, now)),
	}
}

func entries(from []answer.Entry) []workspace.Entry {
	var out []workspace.Entry
	for _, e := range from {
		out = append(out, workspace.Entry(e))
	}
	return out
}

// redrawEvery is how often it is looked whether home tabs show something old:
// what changes in between is drawn once.
const redrawEvery = 2 * time.Second

// A drawer draws the home tabs anew.
type drawer interface {
	RedrawHomes(ctx context.Context) error
}

// redraw draws home tabs anew when orders or waits have changed, by whatever
// face or program, until ctx ends.
func (h *house) redraw(ctx context.Context, tabs drawer, log *slog.Logger) {
	tick := time.NewTicker(redrawEvery)
	defer tick.Stop()
	shown, ailing := "", false
	for {
		mark, err := h.store.Mark(ctx)
		if err != nil && ctx.Err() == nil && !ailing {
			log.Error("home tabs are not redrawn at the moment", "error", err)
		}
		ailing = err != nil
		if err == nil && mark != shown {
			shown = mark
			_ = tabs.RedrawHomes(ctx) // it fails only where ctx ends
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
