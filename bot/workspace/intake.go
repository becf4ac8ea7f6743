package workspace

import (
	"context"
	"slices"
	"time"

	"presshand/bot/reply"
)

// Intake sizes: deliveries waiting to be kept, and how many are kept in one go.
const (
	intakeQueue = 4096
	intakeBatch = 512
	intakeWait  = 20 * time.Millisecond
	inboxWait   = time.Second // for the inbox; the platform waits three
)

// sideJobs bounds forms and home tabs under way.
const sideJobs = 16

// take hands a delivery to the keeper. It never waits: what finds no room is
// not acknowledged, and the platform brings it again.
func (w *Workspace) take(e envelope) bool {
	w.mu.RLock()
	defer w.mu.RUnlock()
	if w.stopping {
		return false
	}
	select {
	case w.intake <- e:
		return true
	default:
		w.meter.Dropped("full")
		return false
	}
}

// keep reads deliveries, keeps them in groups, acknowledges, and queues them.
func (w *Workspace) keep(ctx, work context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case e := <-w.intake:
			w.keepBatch(work, w.gather(e))
		}
	}
}

// gather waits a moment for more deliveries: one write to the inbox serves them
// all, and what came over several connections falls back into order.
func (w *Workspace) gather(first envelope) []envelope {
	batch := []envelope{first}
	over := time.NewTimer(intakeWait)
	defer over.Stop()
	for len(batch) < intakeBatch {
		select {
		case e := <-w.intake:
			batch = append(batch, e)
		case <-over.C:
			return batch
		}
	}
	return batch
}

// A kept delivery waits for its place in the inbox.
type kept struct {
	env  envelope
	call call
	item Item
}

func (w *Workspace) keepBatch(ctx context.Context, batch []envelope) {
	self := *w.self.Load()
	var all []kept
	for _, e := range batch {
		c, err := decode(e.kind, e.payload, self)
		if c.msg.At.IsZero() {
			c.msg.At = e.came
		}
		if err != nil {
			w.log.Warn("delivery not readable", "kind", e.kind, "error", err)
			w.meter.Dropped("unreadable")
			e.ack(nil)
			continue
		}
		switch c.job {
		case jobAnswer:
			all = append(all, kept{e, c, Item{Keys: c.keys, Kind: e.kind, Payload: e.payload, At: e.came}})
		case jobSubmit:
			if wrong := checkOrder(c.view); len(wrong) > 0 {
				e.ack(formErrors(wrong))
				continue
			}
			all = append(all, kept{e, c, Item{Keys: c.keys, Kind: e.kind, Payload: e.payload, At: e.came}})
		case jobNothing:
			w.log.Debug("nothing to do", "why", c.why)
			e.ack(nil)
		default:
			e.ack(nil)
			w.aside(ctx, c)
		}
	}
	slices.SortStableFunc(all, func(a, b kept) int { return a.call.msg.At.Compare(b.call.msg.At) })
	fresh := w.add(ctx, all)
	for i, k := range all {
		k.env.ack(nil)
		if fresh[i] {
			w.queue(ctx, k, false)
		} else {
			w.meter.Dropped("repeat")
		}
	}
}

// add keeps deliveries and reports which are new. Where the inbox fails, the
// bot goes on answering from memory.
func (w *Workspace) add(ctx context.Context, all []kept) []bool {
	items := make([]Item, len(all))
	for i, k := range all {
		items[i] = k.item
	}
	known, _ := w.memory.Add(ctx, items) // it never fails
	for _, it := range items {
		_ = w.memory.Done(ctx, it.ID()) // it serves for the keys only
	}
	var news []Item
	var where []int
	for i := range items {
		if known[i] {
			news, where = append(news, items[i]), append(where, i)
		}
	}
	if len(news) == 0 {
		return known
	}
	ctx, cancel := context.WithTimeout(ctx, inboxWait)
	defer cancel()
	fresh, err := w.inbox.Add(ctx, news)
	if err != nil || len(fresh) != len(news) {
		w.log.Error("inbox failed, answering without it: a restart would lose these", "messages", len(news), "error", err)
		return known
	}
	for j, i := range where {
		known[i] = fresh[j]
	}
	return known
}

// resume takes up what was acknowledged and not answered before a restart.
func (w *Workspace) resume(ctx context.Context) error {
	items, err := w.inbox.Open(ctx)
	if err != nil {
		return err
	}
	self := *w.self.Load()
	for _, it := range items {
		c, err := decode(it.Kind, it.Payload, self)
		if err != nil || (c.job != jobAnswer && c.job != jobSubmit) {
			w.done(ctx, it)
			continue
		}
		w.queue(ctx, kept{call: c, item: it}, true)
	}
	if len(items) > 0 {
		w.log.Info("taking up what was left open", "messages", len(items))
	}
	return nil
}

// queue puts a kept delivery in its channel's lane, or says kindly that there
// is no room.
func (w *Workspace) queue(ctx context.Context, k kept, again bool) {
	if k.call.job == jobSubmit {
		k.call.msg.Text = orderText(k.call.view)
	}
	if k.call.msg.At.IsZero() {
		k.call.msg.At = k.item.At
	}
	k.env, k.item.Payload = envelope{}, nil // what waits should be small
	ok := w.lanes.put(k.call.place.lane(), work{at: k.call.msg.At, do: func() {
		w.answer(ctx, k, again)
		w.meter.Queue(w.lanes.len() - 1)
	}}, again)
	w.meter.Queue(w.lanes.len())
	if ok {
		return
	}
	w.mu.RLock()
	stopping := w.stopping
	w.mu.RUnlock()
	if stopping {
		return // kept; answered after the next start
	}
	w.meter.Dropped("queue")
	w.done(ctx, k.item)
	w.sayBusy(ctx, k.call.place)
}

// busyEvery is how often one channel is told that the queue is full.
const busyEvery = 10 * time.Second

const busyLine = "I have more questions waiting than I can hold. Please ask again in a minute; this one I had to leave."

// sayBusy tells the asker, and only them, that their message was left.
func (w *Workspace) sayBusy(ctx context.Context, p Place) {
	now := time.Now()
	w.busyMu.Lock()
	if len(w.busy) > 1024 {
		clear(w.busy)
	}
	told := now.Sub(w.busy[p.Channel+p.User]) < busyEvery
	if !told {
		w.busy[p.Channel+p.User] = now
	}
	w.busyMu.Unlock()
	if told {
		return
	}
	w.beside(func() {
		var err error
		if p.Reply != "" {
			err = w.out.whisper(ctx, p, render(reply.Reply{Lines: []string{busyLine}}, false))
		} else {
			err = w.out.hint(ctx, p, busyLine)
		}
		if err != nil {
			w.log.Warn("could not say that the queue is full", "error", err)
		}
	})
}

// beside runs work of little weight, or drops it where too much is under way.
func (w *Workspace) beside(work func()) {
	select {
	case w.side <- struct{}{}:
		go func() {
			defer func() { <-w.side }()
			work()
		}()
	default:
		w.meter.Dropped("side")
	}
}

func (w *Workspace) done(ctx context.Context, it Item) {
	if err := w.inbox.Done(ctx, it.ID()); err != nil {
		w.log.Error("inbox could not note an answer; after a restart it is looked up before it is sent again", "error", err)
	}
}
