package workspace

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"time"

	"github.com/slack-go/slack"

	"presshand/bot/reply"
)

// answer answers one kept delivery. It runs in the channel's lane.
func (w *Workspace) answer(ctx context.Context, k kept, again bool) {
	if ctx.Err() != nil {
		return // stopped; the inbox keeps it
	}
	defer func() {
		if fault := recover(); fault != nil {
			w.log.Error("answering panicked", "fault", faultKind(fault), "stack", string(debug.Stack()))
			w.done(ctx, k.item)
		}
	}()
	c := &k.call
	c.msg.Owner = w.owner(c.msg.Team, c.msg.User)
	c.msg.Files = w.files.attach(c.msg.Files)
	if c.msg.Text == "" && len(c.msg.Files) == 0 {
		c.msg.Text = "help"
	}
	if !w.spokenTo(ctx, c.msg) {
		w.done(ctx, k.item)
		return
	}
	outcome, took, err := w.turn(ctx, k, again)
	if err != nil {
		if ctx.Err() != nil {
			return // stopped; the inbox keeps it
		}
		w.log.Error("answer not delivered", "kind", c.msg.Kind, "error", err)
		outcome, took = "failed", time.Since(k.item.At)
	}
	w.done(ctx, k.item)
	w.meter.Question(c.msg.Kind, outcome, took)
}

// owner reports whether a user is an owner of the shop. Ids of users are unique
// within their workspace only, and people of others can write in channels that
// are shared with them.
func (w *Workspace) owner(team, user string) bool {
	return team == w.self.Load().team && w.cfg.Owner(team, user)
}

// spokenTo reports whether a message without a mention is in a thread the bot
// has answered in.
func (w *Workspace) spokenTo(ctx context.Context, m Message) bool {
	if m.Kind != FollowUp {
		return true
	}
	joined, err := w.cfg.Threads.Joined(ctx, m.Conversation())
	if err != nil {
		w.log.Error("cannot tell whether I answered in this thread", "error", err)
	}
	return joined
}

// turn asks the handler and delivers what it says: the text first, then what is
// to be drawn. It returns how long the text took since the message came.
func (w *Workspace) turn(ctx context.Context, k kept, again bool) (outcome string, took time.Duration, err error) {
	c, id := k.call, postID(k.item.ID())
	p, err := w.reach(ctx, c.place)
	if err != nil {
		return "", 0, err
	}
	ctx, cancel := context.WithTimeout(ctx, giveUpAfter)
	defer cancel()
	var at *posted
	if again && p.Reply == "" {
		found, ok, err := w.out.find(ctx, p, func(m slack.Message) bool { return isPost(m, id) })
		if err != nil {
			return "", 0, fmt.Errorf("look up an earlier answer: %w", err)
		}
		if ok && found.state == stateDone {
			w.join(ctx, c.msg)
			return "repeat", time.Since(k.item.At), nil
		}
		if ok {
			at = &found
		}
	}
	r, at, err := w.ask(ctx, c.msg, p, id, at)
	if err != nil {
		return "", 0, err
	}
	if r.Note != "" {
		// A note may quote what was asked.
		w.log.Debug("the handler reports a fault", "note", r.Note)
	}
	files, err := w.deliver(ctx, p, id, at, r, c.msg.Owner && c.msg.Direct)
	if err != nil {
		return "", 0, err
	}
	took = time.Since(k.item.At)
	w.join(ctx, c.msg)
	resumed := at != nil && at.state == stateFiles
	return string(r.Outcome), took, w.attach(ctx, p, files, resumed)
}

// join remembers the thread, so that follow-ups need no mention.
func (w *Workspace) join(ctx context.Context, m Message) {
	if m.Thread == "" || m.Direct {
		return
	}
	if err := w.cfg.Threads.Join(ctx, m.Conversation()); err != nil {
		w.log.Error("cannot remember this thread; follow-ups will need a mention", "error", err)
	}
}

// progressLine stands in the place of an answer that takes long.
const progressLine = "Working it out; the answer will stand here."

// ask lets the handler answer within its deadline. Where that takes long, a
// progress line is posted, which the answer then replaces.
func (w *Workspace) ask(ctx context.Context, m Message, p Place, id string, at *posted) (reply.Reply, *posted, error) {
	w.easel.asked()
	defer w.easel.answered()
	workers := w.workers
	if len(m.Files) > 0 {
		workers = w.lookers
	}
	select {
	case workers <- struct{}{}:
	case <-ctx.Done():
		return reply.Reply{}, at, ctx.Err()
	}
	answers := make(chan reply.Reply, 1)
	bound, cancel := context.WithTimeout(ctx, w.cfg.Deadline)
	defer cancel()
	go func() {
		// A handler that outlives its deadline keeps its worker's place, so
		// that the number of such handlers is bounded.
		defer func() { <-workers }()
		answers <- w.handle(bound, m)
	}()
	progress := time.NewTimer(w.cfg.ProgressAfter)
	defer progress.Stop()
	for {
		select {
		case r := <-answers:
			return r, at, nil
		case <-progress.C:
			if at != nil || p.Reply != "" {
				continue
			}
			first, err := w.out.post(ctx, p, id, stateWorking, render(reply.Reply{Lines: []string{progressLine}}, false))
			if err != nil {
				return reply.Reply{}, nil, err
			}
			at = &first
		case <-bound.Done():
			if ctx.Err() != nil {
				return reply.Reply{}, at, ctx.Err()
			}
			return tooSlow(w.cfg.Deadline.Seconds()), at, nil
		}
	}
}

// handle calls the handler; a panic is answered with an apology.
func (w *Workspace) handle(ctx context.Context, m Message) (r reply.Reply) {
	defer func() {
		if fault := recover(); fault != nil {
			w.log.Error("the handler panicked", "fault", faultKind(fault), "stack", string(debug.Stack()))
			r = apology("panic")
		}
	}()
	return w.cfg.Handler.Handle(ctx, m)
}

// faultKind tells a panic without what somebody wrote: only the runtime's own
// faults are sure to quote nothing.
func faultKind(fault any) string {
	if err, ok := fault.(runtime.Error); ok {
		return err.Error()
	}
	return fmt.Sprintf("a %T", fault)
}

// deliver posts an answer's text, or puts it in the place of the progress line,
// and returns the files that are to stand beside it.
func (w *Workspace) deliver(ctx context.Context, p Place, id string, at *posted, r reply.Reply, private bool) ([]reply.File, error) {
	pg := render(r, private)
	switch {
	case pg.Rest != "" && p.Reply != "":
		pg.note("This is cut short; ask me in a direct message for the whole answer.")
	case pg.Rest != "":
		pg.note("The whole answer is in " + restFile + ".")
	}
	files := r.Files
	if pg.Rest != "" {
		files = append(files[:len(files):len(files)], reply.File{Name: restFile, Type: "text/plain", Alt: "the whole answer as text", Draw: reply.Drawn([]byte(pg.Rest))})
	}
	state := stateDone
	if len(files) > 0 {
		state = stateFiles // so that after a restart it is looked which are there
	}
	var err error
	switch {
	case p.Reply != "":
		return nil, w.out.whisper(ctx, p, pg)
	case at != nil && at.state == stateFiles: // its text stands
	case at != nil:
		err = w.out.update(ctx, *at, id, state, pg)
		if saidGone(err) {
			_, err = w.out.post(ctx, p, id, state, pg) // somebody deleted the progress line
		}
	default:
		_, err = w.out.post(ctx, p, id, state, pg)
	}
	return files, err
}

// attach draws files and puts them beside the answer; of one resumed after a
// restart, those that are not there yet. It fails only where ctx ends.
func (w *Workspace) attach(ctx context.Context, p Place, files []reply.File, resumed bool) error {
	for _, f := range files {
		if err := w.attachOne(ctx, p, f, resumed); err != nil {
			if ctx.Err() != nil {
				return err
			}
			// What a picture says, the text says too.
			w.log.Error("file not uploaded", "name", f.Name, "error", err)
		}
	}
	return nil
}

func (w *Workspace) attachOne(ctx context.Context, p Place, f reply.File, again bool) error {
	if again {
		there, err := w.out.uploaded(ctx, p, f.Name)
		if err != nil || there {
			return err
		}
	}
	data, err := w.easel.draw(ctx, f)
	if err != nil {
		return err
	}
	return w.out.upload(ctx, p, f, data)
}

// reach opens the direct channel where a place names a user instead of a
// channel.
func (w *Workspace) reach(ctx context.Context, p Place) (Place, error) {
	if !userID.MatchString(p.Channel) {
		return p, nil
	}
	err := w.out.call(ctx, "conversations.open", func(ctx context.Context) error {
		c, _, _, err := w.api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{p.Channel}, ReturnIM: true})
		if err == nil {
			p.Channel = c.ID
		}
		return err
	})
	return p, err
}

// Notify posts something nobody asked for just now: a wait that is over. It
// mentions p.User. The key names the notice for good; again says that an
// earlier try may have posted it, so that it is looked up first.
func (w *Workspace) Notify(ctx context.Context, p Place, key string, r reply.Reply, again bool) error {
	id := postID(key)
	p, err := w.reach(ctx, p)
	if err != nil {
		return err
	}
	if again {
		_, ok, err := w.out.find(ctx, p, func(m slack.Message) bool { return isPost(m, id) })
		if err != nil || ok {
			return err
		}
	}
	pg := render(r, false)
	if userID.MatchString(p.User) {
		pg.Text = "<@" + p.User + "> " + pg.Text
		call := rich(slack.NewRichTextSection(slack.NewRichTextSectionUserElement(p.User, nil)))
		pg.Blocks = append([]slack.Block{call}, pg.Blocks[:min(len(pg.Blocks), maxBlocks-1)]...)
	}
	_, err = w.out.post(ctx, p, id, stateDone, pg)
	return err
}
