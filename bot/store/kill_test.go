package store_test

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
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
	reported := 0
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
			if n, err := strconv.Atoi(lines.Text()); err == nil {
				reported = n
			}
		}
		time.AfterFunc(time.Duration(random.IntN(3000))*time.Microsecond, func() { cmd.Process.Kill() })
		for lines.Scan() {
			if n, err := strconv.Atoi(lines.Text()); err == nil {
				reported = n
			}
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
	if reported == 0 || len(orders) < reported || len(waits) < reported {
		t.Errorf("%d reported as kept; %d orders and %d waits are there", reported, len(orders), len(waits))
	}
	t.Logf("%d kills, %d orders and waits reported as kept, none lost", *kills, reported)
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
