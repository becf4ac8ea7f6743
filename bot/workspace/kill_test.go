package workspace_test

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/workspace"
)

var kills = flag.Int("kills", 0, "how often TestKilled kills the bot; it takes about a second for each")

// Where the child of TestKilled finds its workspace and its inbox.
const (
	killURL  = "PRESSHAND_TEST_KILL_URL"
	killFile = "PRESSHAND_TEST_KILL_FILE"
)

// The bot, as a process of its own over a real port, is killed without warning
// again and again under load. Every message is answered, and none twice: what
// was posted and not recorded is looked up.
func TestKilled(t *testing.T) {
	if *kills == 0 {
		t.Skip("takes long; run it with -kills 50")
	}
	fake := fakeworkspace.Start()
	defer fake.Close()
	address, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	fake.Fail(fakeworkspace.Fault{Method: "chat.postMessage", Delay: 20 * time.Millisecond, Times: -1})
	inbox := filepath.Join(t.TempDir(), "inbox")
	start := func() *exec.Cmd {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledChild$")
		cmd.Env = append(os.Environ(), killURL+"=http://"+address+"/api/", killFile+"="+inbox)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		return cmd
	}
	random := rand.New(rand.NewPCG(5, 6))
	sent := 0
	for range *kills {
		child := start()
		waitFor(t, "a connection", func() bool { return fake.Sockets() > 0 })
		for range 10 {
			fake.Write(fakeworkspace.Say{Channel: fmt.Sprint("D", random.IntN(20)), User: "U1", Text: fmt.Sprint(sent)})
			sent++
			time.Sleep(time.Duration(random.IntN(15)) * time.Millisecond)
		}
		time.Sleep(time.Duration(random.IntN(150)) * time.Millisecond)
		child.Process.Kill()
		child.Wait()
	}
	child := start()
	defer func() {
		child.Process.Kill()
		child.Wait()
	}()
	// What met no connection comes again after three seconds, or a minute.
	waitFor(t, "the last answers", func() bool { return len(fake.Answers("")) >= sent })
	time.Sleep(2 * time.Second)
	answered := map[string]int{}
	for _, text := range lines(fake.Answers("")) {
		answered[text]++
	}
	twice, never := 0, 0
	for i := range sent {
		switch n := answered[fmt.Sprint(i)]; {
		case n == 0:
			never++
		case n > 1:
			twice++
		}
	}
	t.Logf("%d kills, %d messages, %d looked up after a start: %d never answered, %d twice", *kills, sent, len(fake.Calls("conversations.history")), never, twice)
	if never+twice > 0 {
		t.Errorf("%d never answered, %d twice", never, twice)
	}
}

func waitFor(t *testing.T, what string, ready func() bool) {
	t.Helper()
	for end := time.Now().Add(2 * time.Minute); !ready(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// TestKilledChild is the bot that TestKilled kills.
func TestKilledChild(t *testing.T) {
	if os.Getenv(killURL) == "" {
		t.Skip("started by TestKilled only")
	}
	inbox, err := openFileInbox(os.Getenv(killFile))
	if err != nil {
		t.Fatal(err)
	}
	bot, err := workspace.New(workspace.Config{
		BotToken: fakeworkspace.BotToken, AppToken: fakeworkspace.AppToken,
		APIURL: os.Getenv(killURL), Inbox: inbox, Handler: workspace.HandlerFunc(echo),
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Fatal(bot.Run(context.Background()))
}

// A fileInbox is the least inbox that outlives a kill: a journal, written and
// synced before Add returns, over an inbox in memory.
type fileInbox struct {
	mu     sync.Mutex
	memory *workspace.MemoryInbox
	file   *os.File
}

type journalLine struct {
	Item *workspace.Item `json:"item,omitempty"`
	Done string          `json:"done,omitempty"`
}

func openFileInbox(path string) (*fileInbox, error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR|os.O_APPEND, 0o600)
	if err != nil {
		return nil, err
	}
	box := &fileInbox{memory: workspace.NewMemoryInbox(), file: file}
	ctx := context.Background()
	for scan := bufio.NewScanner(file); scan.Scan(); {
		var line journalLine
		if json.Unmarshal(scan.Bytes(), &line) != nil {
			continue // the kill cut it
		}
		if line.Item != nil {
			box.memory.Add(ctx, []workspace.Item{*line.Item})
		}
		box.memory.Done(ctx, line.Done)
	}
	_, err = file.WriteString("\n") // ends a line that a kill cut
	return box, err
}

func (f *fileInbox) write(lines ...journalLine) error {
	for _, line := range lines {
		data, err := json.Marshal(line)
		if err != nil {
			return err
		}
		if _, err := f.file.Write(append(data, '\n')); err != nil {
			return err
		}
	}
	return f.file.Sync()
}

func (f *fileInbox) Add(ctx context.Context, items []workspace.Item) ([]bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	fresh, err := f.memory.Add(ctx, items)
	if err != nil {
		return nil, err
	}
	var lines []journalLine
	for i := range items {
		lines = append(lines, journalLine{Item: &items[i]})
	}
	return fresh, f.write(lines...)
}

func (f *fileInbox) Done(ctx context.Context, id string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.memory.Done(ctx, id); err != nil {
		return err
	}
	return f.write(journalLine{Done: id})
}

func (f *fileInbox) Open(ctx context.Context) ([]workspace.Item, error) { return f.memory.Open(ctx) }
