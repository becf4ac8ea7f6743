package main

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"presshand/bot/answer"
	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/store"
)

// How often TestKilled kills: in the normal run, and with -full.
const (
	someKills = 8
	allKills  = 50
)

// catchUp is how long the bot may take after the last kill; with the race
// detector an order takes seconds.
const catchUp = 4 * time.Minute

// The workspace command, as a process of its own over a real port and with its
// store on disk, is killed without warning again and again while people write
// without pause: orders, promises, waits, questions, by mention, direct message,
// button and slash command.
func TestKilled(t *testing.T) {
	kills := someKills
	switch {
	case *full:
		kills = allKills
	case slowed:
		kills = 3
	}
	fake := fakeworkspace.Start()
	defer fake.Close()
	address, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	// Slow posts, so that kills fall while one is under way.
	fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Delay: 20 * time.Millisecond, Times: -1})
	dir := t.TempDir()
	random := rand.New(rand.NewPCG(5, 6))
	crowd := newCrowd(fake, rand.New(rand.NewPCG(7, 8)))
	stop := crowd.start()
	var lost []string
	between := map[string]bool{} // questions answered and not recorded when a kill fell
	for n := range kills {
		child := launch(t, address, dir)
		if n%5 != 4 { // else it may fall before the bot has joined
			waitUntil(t, "a connection", func() bool { return fake.Sockets() > 0 })
		}
		time.Sleep(time.Duration(random.IntN(900_000)) * time.Microsecond)
		kill(child)
		checkSound(t, dir)
		lost = append(lost, crowd.lost(t, dir)...)
		for _, key := range crowd.between(t, dir) {
			between[key] = true
		}
	}
	stop()
	child := launch(t, address, dir)
	waitUntil(t, "a connection", func() bool { return fake.Sockets() > 0 })
	for _, e := range fake.Envelopes() {
		if e.Kind == "events_api" {
			fake.Redeliver(e.ID) // as the platform does some minutes later; what was taken before is a repeat
		}
	}
	for end := time.Now().Add(catchUp); len(crowd.never()) > 0 && time.Now().Before(end); {
		time.Sleep(100 * time.Millisecond)
	}
	time.Sleep(2 * time.Second) // whatever would come twice has time to
	if err := child.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := child.Wait(); err != nil {
		t.Errorf("asked to stop, it ended with %v", err)
	}
	checkSound(t, dir)
	lost = append(lost, crowd.lost(t, dir)...)
	never, excused, twice := crowd.never(), 0, []string(nil)
	for _, q := range crowd.twice() {
		// What a channel holds is looked up before it is posted again; what only
		// its asker saw can't be.
		if q.channel == "" && between[q.key] {
			excused++
		} else {
			twice = append(twice, q.String())
		}
	}
	t.Logf("%d kills, %d questions in %d deliveries, %d answers and notices; the kills left %d posted and not recorded, and %d of these, seen by their asker only, came twice",
		kills, len(crowd.all()), len(fake.Envelopes()), len(fake.Answers(""))+len(fake.Ephemerals()), len(between), excused)
	for what, list := range map[string][]string{"lost after its answer": lost, "never answered": never, "answered twice": twice} {
		if len(list) > 0 {
			t.Errorf("%d %s: %s", len(list), what, strings.Join(list[:min(len(list), 5)], "; "))
		}
	}
}

// launch starts the workspace command as a process of its own.
func launch(t *testing.T, address, dir string) *exec.Cmd {
	t.Helper()
	return process(t, []string{"slack", "--api-url", "http://" + address + "/api/", "--data", dir}, errorsOnly{})
}

// process starts a command line of the program as a process of its own, with the
// fake workspace's tokens.
func process(t *testing.T, args []string, log io.Writer) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, args...)
	cmd.Args[0] = "presshand" // TestMain makes it the command
	cmd.Env = append(os.Environ(), "SLACK_BOT_TOKEN="+fakeworkspace.BotToken, "SLACK_APP_TOKEN="+fakeworkspace.AppToken)
	cmd.Stderr = log
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { kill(cmd) })
	return cmd
}

// errorsOnly passes on the lines of a log that tell errors, with -v.
type errorsOnly struct{}

func (errorsOnly) Write(p []byte) (int, error) {
	for line := range bytes.Lines(p) {
		if testing.Verbose() && bytes.Contains(line, []byte("level=ERROR")) {
			os.Stderr.Write(line)
		}
	}
	return len(p), nil
}

func kill(cmd *exec.Cmd) {
	_ = cmd.Process.Kill() // it may have ended
	_ = cmd.Wait()
}

// checkSound runs "data check".
func checkSound(t *testing.T, dir string) {
	t.Helper()
	if _, err := os.Stat(filepath.Join(dir, store.FileName)); err != nil {
		return // killed before it was made
	}
	var out output
	if code := Run(context.Background(), []string{"data", "check", "--data", dir}, os.Getenv, Streams{In: strings.NewReader(""), Out: &out, Err: &out}); code != exitDone {
		t.Errorf("data check: %d, %s", code, out.String())
	}
}

// A crowd writes to the bot without pause and knows what it is owed.
type crowd struct {
	fake   *fakeworkspace.Server
	random *rand.Rand
	mu     sync.Mutex
	asked  []question
}

// A question is one thing somebody asked and how its answer is told from
// others in the same place.
type question struct {
	key     string // what its delivery is known by
	channel string // "" where only the asker sees the answer
	thread  string
	part    string // stands in the answer
	env     string // of what the platform does not deliver again
	notice  string // stands in what comes later, a wait's end or a picture; "" where nothing does
}

func (q question) String() string {
	return q.channel + "/" + q.thread + " " + q.part + " " + q.notice
}

func newCrowd(fake *fakeworkspace.Server, random *rand.Rand) *crowd {
	return &crowd{fake: fake, random: random}
}

// start lets the crowd write until the returned function is called.
func (c *crowd) start() (stop func()) {
	quit, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for n := 1; ; n++ {
			select {
			case <-quit:
				return
			case <-time.After(time.Duration(c.random.IntN(60)) * time.Millisecond):
				c.ask(n)
			}
		}
	}()
	return func() {
		close(quit)
		<-ended
	}
}

const toTheBot = "<@" + fakeworkspace.Bot + "> "

// ask asks one thing. Each names a batch of its own.
func (c *crowd) ask(n int) {
	channel, user, batch := fmt.Sprint("C", c.random.IntN(60)), fmt.Sprint("U", c.random.IntN(9)), fmt.Sprintf("batch %d", n)
	mention := func(text, part, notice string) {
		ts := c.fake.Write(fakeworkspace.Say{Channel: channel, User: user, Text: toTheBot + text})
		c.owes(question{key: ts, channel: channel, thread: ts, part: part, notice: notice})
	}
	switch c.random.IntN(7) {
	case 0, 1:
		mention(fmt.Sprintf("%d black cotton tees, 9x7 front, for %s", 6+c.random.IntN(30), batch), "Kept as order", "uploaded sheets-1.png")
	case 2:
		mention("start a 1 second wait for "+batch, "started", batch+" is over")
	case 3:
		mention("90 minute wait for "+batch, "started", "")
	case 4:
		direct := fmt.Sprint("D", 1000+n)
		ts := c.fake.Write(fakeworkspace.Say{Channel: direct, User: user, Text: "how long before I peel"})
		c.owes(question{key: ts, channel: direct, part: "until the sheet feels cold"})
	case 5:
		env := c.fake.Command(channel, user, "90 minute wait for "+batch)
		c.owes(question{key: c.keyOf(env), part: batch + " started", env: env})
	case 6:
		c.promise(user)
	}
}

// promise answers a quote, by button or by words in its thread.
func (c *crowd) promise(user string) {
	for _, m := range c.fake.Answers("") {
		number := keptAs.FindStringSubmatch(m.Text)
		if number == nil || c.promised(m.Thread) {
			continue
		}
		q := question{channel: m.Channel, thread: m.Thread, part: "promised"}
		if c.random.IntN(2) == 0 {
			q.key = c.fake.Write(fakeworkspace.Say{Channel: m.Channel, User: user, Text: "promise it", Thread: m.Thread})
		} else {
			q.env = c.fake.ClickOn(m, user, "say.3", "promise order "+number[1])
			q.key = c.keyOf(q.env)
		}
		c.owes(q)
		return
	}
}

func (c *crowd) promised(thread string) bool {
	return slices.ContainsFunc(c.all(), func(q question) bool { return q.thread == thread && q.part == "promised" })
}

func (c *crowd) owes(q question) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.asked = append(c.asked, q)
}

func (c *crowd) all() []question {
	c.mu.Lock()
	defer c.mu.Unlock()
	return slices.Clone(c.asked)
}

// The bot's words that say what is kept, and what a delivery is known by.
var (
	keptAs      = regexp.MustCompile(`Kept as order (\d+)`)
	waitStarted = regexp.MustCompile(`wait for (batch \d+) started`)
	orderSaid   = regexp.MustCompile(`Order (\d+): promised for`)
	deliveryKey = regexp.MustCompile(`"(?:event_ts|action_ts|trigger_id)":"([^"]+)"`)
)

func (c *crowd) keyOf(envelope string) string {
	for _, e := range c.fake.Envelopes() {
		if e.ID == envelope {
			return string(deliveryKey.FindSubmatch(e.Payload)[1])
		}
	}
	return ""
}

// posts counts the posts in a question's place that hold a part.
func posts(by map[string][]string, q question, part string) int {
	n := 0
	for _, text := range by[q.channel+"/"+q.thread] {
		if strings.Contains(text, part) {
			n++
		}
	}
	return n
}

// said lists all posts and uploads by place; what only one user saw under "/".
func (c *crowd) said() map[string][]string {
	by := map[string][]string{}
	for _, m := range c.fake.Answers("") {
		by[m.Channel+"/"+m.Thread] = append(by[m.Channel+"/"+m.Thread], m.Text)
	}
	for _, m := range c.fake.Messages("") {
		for _, f := range m.Files {
			by[m.Channel+"/"+m.Thread] = append(by[m.Channel+"/"+m.Thread], "uploaded "+f.Name)
		}
	}
	for _, e := range c.fake.Ephemerals() {
		by["/"] = append(by["/"], e.Text)
	}
	return by
}

// never lists what was acknowledged, or is delivered again until it is, and has
// no answer, waits whose end was not told, and orders without their picture.
func (c *crowd) never() []string {
	by, acked := c.said(), map[string]bool{}
	for _, e := range c.fake.Envelopes() {
		acked[e.ID] = !e.Acked.IsZero()
	}
	var out []string
	for _, q := range c.all() {
		if q.env != "" && !acked[q.env] {
			continue // the platform told the user that it failed
		}
		if posts(by, q, q.part) == 0 || q.notice != "" && posts(by, q, q.notice) == 0 {
			out = append(out, q.String())
		}
	}
	return out
}

// twice lists what was answered or told more than once.
func (c *crowd) twice() []question {
	by := c.said()
	var out []question
	for _, q := range c.all() {
		if posts(by, q, q.part) > 1 || q.notice != "" && posts(by, q, q.notice) > 1 {
			out = append(out, q)
		}
	}
	return out
}

// between lists the questions whose answer is posted and whose delivery is
// still open in the store, and those whose wait is told and still running.
func (c *crowd) between(t *testing.T, dir string) []string {
	t.Helper()
	s, err := store.Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	open, err := s.OpenDeliveries(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	waits, err := s.RunningWaits(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	pending := map[string]bool{}
	for _, d := range open {
		pending[string(deliveryKey.FindSubmatch(d.Payload)[1])] = true
	}
	by := c.said()
	var out []string
	for _, q := range c.all() {
		told := slices.ContainsFunc(waits, func(w answer.Wait) bool { return q.notice != "" && strings.HasPrefix(q.notice, w.Name+" ") })
		if pending[q.key] && posts(by, q, q.part) > 0 || told && posts(by, q, q.notice) > 0 {
			out = append(out, q.key)
		}
	}
	return out
}

// lost lists orders, promises and waits that an answer told and the store does
// not hold.
func (c *crowd) lost(t *testing.T, dir string) []string {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(dir, store.FileName))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	told, kept := c.said(), map[string]string{}
	read(t, db, "SELECT conversation || ' order ' || number, state FROM orders", kept)
	read(t, db, "SELECT 'wait for ' || name, state FROM waits", kept)
	var out []string
	for place, texts := range told {
		for _, text := range texts {
			if m := keptAs.FindStringSubmatch(text); m != nil && kept[fakeworkspace.Team+"/"+place+" order "+m[1]] == "" {
				out = append(out, "order "+m[1])
			}
			if m := orderSaid.FindStringSubmatch(text); m != nil && kept[fakeworkspace.Team+"/"+place+" order "+m[1]] != string(answer.Promised) {
				out = append(out, "promise of order "+m[1])
			}
			if m := waitStarted.FindStringSubmatch(text); m != nil && kept["wait for "+m[1]] == "" {
				out = append(out, "wait for "+m[1])
			}
		}
	}
	return out
}

// read fills a map with what a query of two columns finds.
func read(t *testing.T, db *sql.DB, query string, into map[string]string) {
	t.Helper()
	rows, err := db.Query(query)
	if err != nil {
		if strings.Contains(err.Error(), "no such table") {
			return // killed before it was made
		}
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var name, state string
		if err := rows.Scan(&name, &state); err != nil {
			t.Fatal(err)
		}
		into[name] = state
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
}
