package store_test

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
	"time"

	"presshand/bot/answer"
	"presshand/bot/store"
)

var kills = flag.Int("kills", 3, "how often TestKilled kills a writing program; 50 is a long run")

const killDir = "PRESSHAND_TEST_STORE"

// A program that writes orders and waits is killed without warning: the file
// opens clean, and all it had reported as kept is there.
func TestKilled(t *testing.T) {
	dir := t.TempDir()
	random := rand.New(rand.NewPCG(7, 8))
	var reported []string // numbers the program said are kept
	for range *kills {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledChild$")
		cmd.Env = append(os.Environ(), killDir+"="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		for last := 5 + random.IntN(40); last > 0 && lines.Scan(); last-- {
			reported = append(reported, lines.Text())
		}
		time.AfterFunc(time.Duration(random.IntN(3000))*time.Microsecond, func() { cmd.Process.Kill() })
		for lines.Scan() {
			reported = append(reported, lines.Text())
		}
		_ = cmd.Wait() // it was killed
	}
	s := open(t, dir)
	report, err := s.Check(ctx)
	if err != nil || len(report.Faults) > 0 {
		t.Errorf("after %d kills: %+v, %v", *kills, report, err)
	}
	orders, err := s.Find(ctx, answer.OrderQuery{})
	if err != nil {
		t.Fatal(err)
	}
	waits, err := s.RunningWaits(ctx)
	if err != nil {
		t.Fatal(err)
	}
	there := map[string]int{}
	for _, k := range orders {
		there[fmt.Sprint(k.Number)]++
	}
	for _, w := range waits {
		there[w.Name]++
	}
	lost := 0
	for _, n := range reported {
		if there[n] != 2 { // the order and its wait
			lost++
		}
	}
	if len(reported) == 0 || lost > 0 {
		t.Errorf("%d reported as kept, %d lost", len(reported), lost)
	}
	t.Logf("%d kills, %d orders with a wait reported as kept, %d lost", *kills, len(reported), lost)
}

// TestKilledChild is the program that TestKilled kills.
func TestKilledChild(t *testing.T) {
	dir := os.Getenv(killDir)
	if dir == "" {
		t.Skip("started by TestKilled only")
	}
	s, err := store.Open(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; ; i++ {
		k := kept("choir", i+1, answer.Priced)
		k.Created = time.Now()
		if k, err = s.Keep(ctx, k); err != nil {
			t.Fatal(err)
		}
		if _, err := s.StartWait(ctx, answer.Wait{Name: fmt.Sprint(k.Number), From: time.Now(), Until: time.Now()}); err != nil {
			t.Fatal(err)
		}
		fmt.Println(k.Number)
	}
}
