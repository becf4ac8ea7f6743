package workspace

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/slack-go/slack"

	"presshand/bot/reply"
)

// Config says how to join a workspace. Only Handler, BotToken and, for Socket
// Mode, AppToken must be set.
type Config struct {
	Handler  Handler
	BotToken string // xoxb-
	AppToken string // xapp-; without it there is no socket, only the Door
	// APIURL is the web API's address and ends in "/". Default: the platform's own.
	APIURL  string
	Inbox   Inbox   // default: in memory
	Threads Threads // default: in memory
	// Owner reports whether a user is an owner of the shop. Default: nobody is.
	Owner func(team, user string) bool
	// Home draws a user's home tab. Default: how to ask.
	Home  func(ctx context.Context, team, user string, owner bool) Home
	Log   *slog.Logger // default: none. It gets no message text and no token
	Meter Meter        // default: none
	// Dial makes network connections. Default: a dialer with TCP keep-alive.
	Dial func(ctx context.Context, network, address string) (net.Conn, error)

	Connections   int           // sockets side by side, default 2, at most 10
	Queue         int           // messages waiting at most, default 2000
	Workers       int           // messages answered at a time, default 8
	Deadline      time.Duration // for one answer, default 30 s
	ProgressAfter time.Duration // until a progress line is shown, default 2 s
	Drain         time.Duration // to finish what was acknowledged, default 20 s
	FileMost      int64         // bytes of a file, default 25 MiB
	FileWait      time.Duration // for one download, default 20 s
}

func (c Config) withDefaults() Config {
	if c.APIURL == "" {
		c.APIURL = slack.APIURL
	}
	if c.Inbox == nil {
		c.Inbox = NewMemoryInbox()
	}
	if c.Threads == nil {
		c.Threads = NewMemoryThreads()
	}
	if c.Owner == nil {
		c.Owner = func(string, string) bool { return false }
	}
	if c.Home == nil {
		c.Home = func(context.Context, string, string, bool) Home { return Home{} }
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Meter == nil {
		c.Meter = noMeter{}
	}
	if c.Dial == nil {
		c.Dial = (&net.Dialer{Timeout: handshakeWait, KeepAliveConfig: net.KeepAliveConfig{
			Enable: true, Idle: 15 * time.Second, Interval: 5 * time.Second, Count: 3,
		}}).DialContext
	}
	c.Connections = orDefault(c.Connections, 2)
	c.Queue = orDefault(c.Queue, 2000)
	c.Workers = orDefault(c.Workers, 8)
	c.Deadline = orDefault(c.Deadline, 30*time.Second)
	c.ProgressAfter = orDefault(c.ProgressAfter, 2*time.Second)
	c.Drain = orDefault(c.Drain, 20*time.Second)
	c.FileMost = orDefault(c.FileMost, 25<<20)
	c.FileWait = orDefault(c.FileWait, 20*time.Second)
	return c
}

func orDefault[T int | int64 | time.Duration](v, fallback T) T {
	if v <= 0 {
		return fallback
	}
	return v
}

// maxConnections is how many sockets the platform allows an app.
const maxConnections = 10

// Intake sizes: deliveries waiting to be kept, and how many are kept in one go.
const (
	intakeQueue = 4096
	intakeBatch = 512
	intakeWait  = 20 * time.Millisecond
)

// apiConnections bounds the connections to the web API, so that a burst does not
// open one for each answer.
const apiConnections = 32

// sideJobs bounds forms and home tabs under way.
const sideJobs = 16

// A Workspace is the bot's membership of one messaging workspace.
type Workspace struct {
	cfg    Config
	log    *slog.Logger
	meter  Meter
	api    *slack.Client
	dial   func(ctx context.Context, network, address string) (net.Conn, error)
	inbox  Inbox
	memory *MemoryInbox // knows repeats even where the inbox fails
	out    *outbox
	files  *fetcher
	lanes  *lanes
	links  links
	close  func() // idle connections

	intake  chan envelope
	workers chan struct{}
	side    chan struct{}
	seenSig *signatures

	mu       sync.RWMutex // guards stopping against take
	stopping bool
	self     atomic.Pointer[identity]

	busyMu sync.Mutex
	busy   map[string]time.Time // channel -> when it was last told that the queue is full
}

// New makes a Workspace; it calls nobody yet.
func New(cfg Config) (*Workspace, error) {
	cfg = cfg.withDefaults()
	switch {
	case cfg.Handler == nil:
		return nil, errors.New("workspace: no handler")
	case cfg.BotToken == "":
		return nil, errors.New("workspace: no bot token; set SLACK_BOT_TOKEN to the token that begins with xoxb-")
	case !strings.HasSuffix(cfg.APIURL, "/"):
		return nil, fmt.Errorf("workspace: API address %q must end in \"/\"", cfg.APIURL)
	case cfg.Connections > maxConnections:
		return nil, fmt.Errorf("workspace: %d connections, and the platform allows %d", cfg.Connections, maxConnections)
	}
	transport := &http.Transport{
		Proxy:               http.ProxyFromEnvironment,
		DialContext:         cfg.Dial,
		MaxConnsPerHost:     apiConnections,
		MaxIdleConnsPerHost: apiConnections,
		IdleConnTimeout:     90 * time.Second,
		TLSHandshakeTimeout: handshakeWait,
	}
	// Opening a socket must not wait behind answers.
	opening := transport.Clone()
	opening.MaxConnsPerHost = 0
	calls := &callLimit{open: &opener{next: bodyLimit{opening}}, next: bodyLimit{transport}}
	api := slack.New(cfg.BotToken, slack.OptionAppLevelToken(cfg.AppToken), slack.OptionAPIURL(cfg.APIURL),
		slack.OptionHTTPClient(&http.Client{Transport: calls}))
	downloads := slack.New(cfg.BotToken, slack.OptionAPIURL(cfg.APIURL),
		slack.OptionHTTPClient(&http.Client{Transport: transport, CheckRedirect: sameHouse(cfg.APIURL)}))
	return &Workspace{
		cfg: cfg, log: cfg.Log, meter: cfg.Meter, api: api, dial: cfg.Dial,
		inbox: cfg.Inbox, memory: NewMemoryInbox(),
		out:   newOutbox(api, cfg.Log, cfg.Meter),
		files: &fetcher{api: downloads, most: cfg.FileMost, wait: cfg.FileWait},
		lanes: newLanes(cfg.Queue),
		close: func() {
			transport.CloseIdleConnections()
			opening.CloseIdleConnections()
		},
		intake:  make(chan envelope, intakeQueue),
		workers: make(chan struct{}, cfg.Workers),
		side:    make(chan struct{}, sideJobs),
		seenSig: newSignatures(),
		busy:    map[string]time.Time{},
	}, nil
}

// callLimit bounds the time of every call of the web API but the opener's, which
// waits for its turn.
type callLimit struct{ open, next http.RoundTripper }

func (c *callLimit) RoundTrip(req *http.Request) (*http.Response, error) {
	if strings.HasSuffix(req.URL.Path, openMethod) {
		return c.open.RoundTrip(req)
	}
	ctx, cancel := context.WithTimeout(req.Context(), callWait)
	resp, err := c.next.RoundTrip(req.WithContext(ctx))
	if err != nil {
		cancel()
		return nil, err
	}
	resp.Body = &cancelBody{ReadCloser: resp.Body, cancel: cancel}
	return resp, nil
}

// Run joins the workspace and answers until ctx ends; then it takes nothing
// more, finishes what it acknowledged within Config.Drain, and returns nil. It
// returns an error where the platform refuses the tokens for good.
func (w *Workspace) Run(ctx context.Context) error {
	defer w.close()
	if err := w.identify(ctx); err != nil {
		if ctx.Err() != nil {
			return nil
		}
		return err
	}
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	if err := w.resume(work); err != nil {
		w.log.Error("inbox not readable, what was left open stays open", "error", err)
	}

	var wg sync.WaitGroup
	sockets, stopSockets := context.WithCancel(work)
	defer stopSockets()
	keeping, stopKeeping := context.WithCancel(work)
	defer stopKeeping()
	wg.Go(func() { w.keep(keeping, work) })
	failed := make(chan error, w.cfg.Connections)
	if w.cfg.AppToken != "" {
		for range w.cfg.Connections {
			wg.Go(func() {
				if err := w.listen(sockets); sockets.Err() == nil {
					failed <- err
				}
			})
		}
	}

	var failure error
	select {
	case <-ctx.Done():
	case failure = <-failed:
		w.log.Error("cannot go on", "error", failure)
	}
	w.mu.Lock()
	w.stopping = true
	w.mu.Unlock()
	// What was taken is kept and acknowledged, then the sockets close.
	_ = sleep(work, ackLinger)
	stopKeeping()
	stopSockets()
	drain, cancel := context.WithTimeout(work, w.cfg.Drain)
	defer cancel()
	if err := w.lanes.close(drain); err != nil {
		w.log.Warn("stopped before everything was answered; the rest is kept", "open", w.lanes.len())
	}
	stopWork()
	wg.Wait()
	// What was under way breaks off now; only a handler that does not heed its
	// context can hold this up.
	last, cancelLast := context.WithTimeout(context.WithoutCancel(ctx), ackLinger)
	defer cancelLast()
	_ = w.lanes.close(last)
	return failure
}

// ackLinger is how long the sockets stay open for the last acknowledgements.
const ackLinger = 300 * time.Millisecond

// Ready returns nil when messages can reach the bot, else what is missing.
func (w *Workspace) Ready() error {
	w.mu.RLock()
	stopping := w.stopping
	w.mu.RUnlock()
	switch {
	case stopping:
		return errors.New("stopping")
	case w.self.Load() == nil:
		return errors.New("not yet known to the workspace: auth.test has not succeeded")
	case w.cfg.AppToken != "" && w.links.count() == 0:
		return errors.New("no open connection to the workspace")
	}
	return nil
}

// identify asks the platform who the bot is, as long as it takes.
func (w *Workspace) identify(ctx context.Context) error {
	for try := 0; ; try++ {
		me, err := w.api.AuthTestContext(ctx)
		if err == nil {
			w.self.Store(&identity{user: me.UserID, team: me.TeamID})
			if missing := missingScopes(me.Header.Get("X-OAuth-Scopes")); len(missing) > 0 {
				w.log.Warn("the bot token lacks scopes; install the app again from the manifest", "missing", missing)
			}
			return nil
		}
		if fatal(err) {
			return fmt.Errorf("join the workspace: auth.test: %w; check SLACK_BOT_TOKEN", err)
		}
		wait := backoff(try)
		if what, hold := judge(err); what == fateLimited {
			wait = hold
		}
		w.log.Warn("auth.test failed, trying again", "error", err)
		if err := sleep(ctx, wait); err != nil {
			return err
		}
	}
}

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
	c := k.call
	c.msg.Owner = w.cfg.Owner(c.msg.Team, c.msg.User)
	c.msg.Files = w.files.attach(c.msg.Files)
	if c.msg.Text == "" && len(c.msg.Files) == 0 {
		c.msg.Text = "help"
	}
	if !w.spokenTo(ctx, c.msg) {
		w.done(ctx, k.item)
		return
	}
	outcome, err := w.turn(ctx, c, postID(k.item.ID()), again)
	if err != nil {
		if ctx.Err() != nil {
			return // stopped; the inbox keeps it
		}
		w.log.Error("answer not delivered", "kind", c.msg.Kind, "error", err)
		outcome = "failed"
	}
	w.done(ctx, k.item)
	w.meter.Question(c.msg.Kind, outcome, time.Since(k.item.At))
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

// turn asks the handler and delivers what it says.
func (w *Workspace) turn(ctx context.Context, c call, id string, again bool) (outcome string, err error) {
	p := c.place
	if strings.HasPrefix(p.Channel, "U") || strings.HasPrefix(p.Channel, "W") {
		if p.Channel, err = w.directChannel(ctx, p.User); err != nil {
			return "", err
		}
	}
	ctx, cancel := context.WithTimeout(ctx, giveUpAfter)
	defer cancel()
	var at *posted
	if again && p.Reply == "" {
		found, ok, err := w.out.find(ctx, p, func(m slack.Message) bool { return isPost(m, id) })
		if err != nil {
			return "", fmt.Errorf("look up an earlier answer: %w", err)
		}
		if ok && found.state == stateDone {
			return "repeat", w.join(ctx, c.msg)
		}
		if ok {
			at = &found
		}
	}
	r, at, err := w.ask(ctx, c.msg, p, id, at)
	if err != nil {
		return "", err
	}
	if r.Note != "" {
		w.log.Error("the handler reports a fault", "note", r.Note)
	}
	if err := w.deliver(ctx, p, id, at, r, c.msg.Owner && c.msg.Direct); err != nil {
		return "", err
	}
	return string(r.Outcome), w.join(ctx, c.msg)
}

// join remembers the thread, so that follow-ups need no mention.
func (w *Workspace) join(ctx context.Context, m Message) error {
	if m.Thread == "" || m.Direct {
		return nil
	}
	if err := w.cfg.Threads.Join(ctx, m.Conversation()); err != nil {
		w.log.Error("cannot remember this thread; follow-ups will need a mention", "error", err)
	}
	return nil
}

// progressLine stands in the place of an answer that takes long.
const progressLine = "Working it out; the answer will stand here."

// ask lets the handler answer within its deadline. Where that takes long, a
// progress line is posted, which the answer then replaces.
func (w *Workspace) ask(ctx context.Context, m Message, p Place, id string, at *posted) (reply.Reply, *posted, error) {
	select {
	case w.workers <- struct{}{}:
	case <-ctx.Done():
		return reply.Reply{}, at, ctx.Err()
	}
	answers := make(chan reply.Reply, 1)
	bound, cancel := context.WithTimeout(ctx, w.cfg.Deadline)
	defer cancel()
	go func() {
		// A handler that outlives its deadline keeps its worker's place, so
		// that the number of such handlers is bounded.
		defer func() { <-w.workers }()
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

// deliver posts an answer, or puts it in the place of the progress line, and
// uploads its pictures beside it.
func (w *Workspace) deliver(ctx context.Context, p Place, id string, at *posted, r reply.Reply, private bool) error {
	pg := render(r, private)
	switch {
	case pg.Rest != "" && p.Reply != "":
		pg.note("This is cut short; ask me in a direct message for the whole answer.")
	case pg.Rest != "":
		pg.note("The whole answer is in " + restFile + ".")
	}
	switch {
	case p.Reply != "":
		return w.out.whisper(ctx, p, pg)
	case at != nil:
		err := w.out.update(ctx, *at, id, stateDone, pg)
		if saidGone(err) {
			_, err = w.out.post(ctx, p, id, stateDone, pg) // somebody deleted the progress line
		}
		if err != nil {
			return err
		}
	default:
		if _, err := w.out.post(ctx, p, id, stateDone, pg); err != nil {
			return err
		}
	}
	files := r.Files
	if pg.Rest != "" {
		files = append(files[:len(files):len(files)], reply.File{Name: restFile, Type: "text/plain", Alt: "the whole answer as text", Data: []byte(pg.Rest)})
	}
	for _, f := range files {
		if err := w.out.upload(ctx, p, f); err != nil {
			if ctx.Err() != nil {
				return err
			}
			// What a picture says, the text says too.
			w.log.Error("file not uploaded", "name", f.Name, "error", err)
		}
	}
	return nil
}

// directChannel opens the direct channel with a user.
func (w *Workspace) directChannel(ctx context.Context, user string) (string, error) {
	var channel string
	err := w.out.call(ctx, "conversations.open", func(ctx context.Context) error {
		c, _, _, err := w.api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{user}, ReturnIM: true})
		if err == nil {
			channel = c.ID
		}
		return err
	})
	return channel, err
}

// Notify posts something nobody asked for just now: a wait that is over. It
// mentions p.User. The key names the notice for good; again says that an
// earlier try may have posted it, so that it is looked up first.
func (w *Workspace) Notify(ctx context.Context, p Place, key string, r reply.Reply, again bool) error {
	id := postID(key)
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
	_, err := w.out.post(ctx, p, id, stateDone, pg)
	return err
}
