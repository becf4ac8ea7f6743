package main

import (
	"context"
	"log/slog"
	"time"
)

// tidyEvery is how often the store is rid of what nobody touched for a month.
const tidyEvery = 24 * time.Hour

// tidy deletes what is old from the store, at once and then daily, until ctx
// ends.
func (h *house) tidy(ctx context.Context, log *slog.Logger) {
	tick := time.NewTicker(tidyEvery)
	defer tick.Stop()
	for {
		deleted, err := h.store.Prune(ctx, h.now())
		switch {
		case ctx.Err() != nil:
			return
		case err != nil:
			log.Error("old conversations can't be deleted, trying again tomorrow", "error", err)
		case deleted > 0:
			log.Info("old conversations deleted", "rows", deleted)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
