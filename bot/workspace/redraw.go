package workspace

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"slices"
	"sync"
	"time"

	"github.com/slack-go/slack"
)

// Bounds of redrawing home tabs.
const (
	// homeLately is how long after a user opened the home tab it is redrawn: a
	// working day, as the platform does not tell when it is closed.
	homeLately = 12 * time.Hour
	// homePace keeps redrawing below fifty calls a minute, what the platform
	// takes of the methods it limits most among those of a bot's daily use.
	homePace = 1200 * time.Millisecond
	// homesMost bounds how many users are remembered; who opened it longest ago
	// is forgotten first.
	homesMost = 500
	// homeWait bounds one drawing, so that a platform at fault does not keep the
	// others waiting.
	homeWait = time.Minute
)

// A viewer is somebody with a home tab.
type viewer struct{ team, user string }

// homes knows who opened the home tab lately and what it shows them.
type homes struct {
	turn chan struct{} // holds a token while a tab is drawn, so that the later drawing stands
	mu   sync.Mutex
	open map[viewer]*homeShown
}

type homeShown struct {
	opened time.Time
	view   [sha256.Size]byte // of what was published last
}

func newHomes() *homes { return &homes{turn: make(chan struct{}, 1), open: map[viewer]*homeShown{}} }

// opened notes that a viewer opened the tab.
func (h *homes) opened(v viewer, now time.Time) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.open[v] = &homeShown{opened: now}
	if len(h.open) > homesMost {
		all := h.sorted()
		delete(h.open, all[len(all)-1])
	}
}

// lately lists who opened the tab in the last homeLately, the latest first, and
// forgets the others.
func (h *homes) lately(now time.Time) []viewer {
	h.mu.Lock()
	defer h.mu.Unlock()
	for v, shown := range h.open {
		if now.Sub(shown.opened) > homeLately {
			delete(h.open, v)
		}
	}
	return h.sorted()
}

// sorted lists all, the latest first. It holds the lock.
func (h *homes) sorted() []viewer {
	var all []viewer
	for v := range h.open {
		all = append(all, v)
	}
	slices.SortFunc(all, func(a, b viewer) int {
		return cmp.Or(h.open[b].opened.Compare(h.open[a].opened), cmp.Compare(a.team, b.team), cmp.Compare(a.user, b.user))
	})
	return all
}

// shows reports whether a viewer's tab shows that view.
func (h *homes) shows(v viewer, view [sha256.Size]byte) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	shown := h.open[v]
	return shown != nil && shown.view == view
}

// published notes what a viewer's tab shows.
func (h *homes) published(v viewer, view [sha256.Size]byte) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if shown := h.open[v]; shown != nil {
		shown.view = view
	}
}

// openHome draws the tab for somebody who opened it.
func (w *Workspace) openHome(ctx context.Context, v viewer) error {
	w.homes.opened(v, time.Now())
	_, err := w.drawHome(ctx, v)
	return err
}

// RedrawHomes draws the home tab anew for everyone who opened theirs in the last
// twelve hours and would see something else now: to be called when what it shows
// has changed. It takes at least 1.2 s for each of them; what changes meanwhile
// needs one more call after it, however much it is. It returns ctx's error.
func (w *Workspace) RedrawHomes(ctx context.Context) error {
	for _, v := range w.homes.lately(time.Now()) {
		drawn, err := w.drawHome(ctx, v)
		if err != nil && ctx.Err() == nil {
			w.log.Warn("home tab not redrawn", "error", err)
		}
		if drawn {
			if err := sleep(ctx, homePace); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// drawHome publishes a viewer's home tab where it would show something else, and
// reports whether it called the platform.
func (w *Workspace) drawHome(ctx context.Context, v viewer) (called bool, err error) {
	ctx, cancel := context.WithTimeout(ctx, homeWait)
	defer cancel()
	select {
	case w.homes.turn <- struct{}{}:
		defer func() { <-w.homes.turn }()
	case <-ctx.Done():
		return false, ctx.Err()
	}
	view := homeView(w.cfg.Home(ctx, v.team, v.user, w.owner(v.team, v.user)))
	text, err := json.Marshal(view)
	if err != nil {
		return false, err
	}
	sum := sha256.Sum256(text)
	if w.homes.shows(v, sum) {
		return false, nil
	}
	err = w.out.call(ctx, "views.publish", func(ctx context.Context) error {
		_, err := w.api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: v.user, View: view})
		return err
	})
	if err == nil {
		w.homes.published(v, sum)
	}
	return true, err
}
