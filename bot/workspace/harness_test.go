package workspace_test

import (
	"context"
	"encoding/json"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/reply"
	"presshand/bot/workspace"
)

// A bench is a bot in a fake workspace, inside a bubble of fake time: waits of
// hours pass in an instant, and a goroutine left behind fails the test.
type bench struct {
	*testing.T
	fake  *fakeworkspace.Server
	bot   *workspace.Workspace
	mu    sync.Mutex
	got   []workspace.Message
	total int // questions asked, forgotten ones too
	stop  func() error
}

// onBench runs a test with a bot that has joined. adjust may change its
// settings; without a handler it answers "re: " and the question.
func onBench(t *testing.T, adjust func(*workspace.Config), test func(b *bench)) {
	t.Helper()
	onBenchWith(t, adjust, func() {}, test)
}

// onBenchWith is onBench with something to make inside the bubble first:
// channels belong to the bubble they were made in.
func onBenchWith(t *testing.T, adjust func(*workspace.Config), prepare func(), test func(b *bench)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		prepare()
		b := &bench{T: t, fake: fakeworkspace.Start()}
		defer b.fake.Close()
		b.start(adjust)
		defer func() { b.stop() }()
		synctest.Wait()
		if err := b.bot.Ready(); err != nil {
			t.Fatalf("not ready: %v", err)
		}
		test(b)
		if err := b.stop(); err != nil {
			t.Errorf("Run: %v", err)
		}
	})
}

// start makes a bot and lets it join.
func (b *bench) start(adjust func(*workspace.Config)) {
	cfg := workspace.Config{
		BotToken: fakeworkspace.BotToken, AppToken: fakeworkspace.AppToken,
		APIURL: b.fake.URL(), Dial: b.fake.Dial, Handler: workspace.HandlerFunc(echo),
	}
	if adjust != nil {
		adjust(&cfg)
	}
	inner := cfg.Handler
	cfg.Handler = workspace.HandlerFunc(func(ctx context.Context, m workspace.Message) reply.Reply {
		b.mu.Lock()
		b.got = append(b.got, m)
		b.total++
		b.mu.Unlock()
		return inner.Handle(ctx, m)
	})
	bot, err := workspace.New(cfg)
	if err != nil {
		b.Fatal(err)
	}
	b.bot = bot
	ctx, cancel := context.WithCancel(b.Context())
	ended := make(chan error, 1)
	go func() { ended <- bot.Run(ctx) }()
	var once sync.Once
	var last error
	b.stop = func() error {
		once.Do(func() {
			cancel()
			last = <-ended
		})
		return last
	}
}

// asked lists what the handler was asked so far.
func (b *bench) asked() []workspace.Message {
	b.mu.Lock()
	defer b.mu.Unlock()
	return append([]workspace.Message(nil), b.got...)
}

// forget drops the record of what the handler was asked.
func (b *bench) forget() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.got = nil
}

// pass lets fake time go by until everything has settled.
func (b *bench) pass(d time.Duration) {
	time.Sleep(d)
	synctest.Wait()
}

func echo(_ context.Context, m workspace.Message) reply.Reply {
	return reply.Reply{Outcome: reply.Answered, Topic: "help", Lines: []string{"re: " + m.Text}}
}

// lines are the first lines of messages, without the "re: " of echo.
func lines(messages []fakeworkspace.Message) []string {
	var out []string
	for _, m := range messages {
		out = append(out, strings.TrimPrefix(m.Text, "re: "))
	}
	return out
}

// blocksOf decodes blocks into plain maps.
func blocksOf(t *testing.T, raw json.RawMessage) []map[string]any {
	t.Helper()
	var blocks []map[string]any
	if err := json.Unmarshal(raw, &blocks); err != nil {
		t.Fatalf("blocks %s: %v", raw, err)
	}
	return blocks
}
