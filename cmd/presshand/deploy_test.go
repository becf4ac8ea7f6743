package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	fakeworkspace "presshand/bot/bottest/workspace"
	"presshand/bot/workspace"
)

const (
	unitFile      = "deploy/presshand.service"
	containerFile = "deploy/Containerfile"
)

func readDeploy(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// setting returns what stands after a word at the start of a line of its own:
// "ExecStart=", "ENTRYPOINT ".
func setting(t *testing.T, text, word string) string {
	t.Helper()
	for line := range strings.Lines(text) {
		if value, ok := strings.CutPrefix(strings.TrimSpace(line), word); ok {
			return value
		}
	}
	t.Fatalf("no line begins with %q", word)
	return ""
}

// listed reads the exec form of an instruction: a JSON list.
func listed(t *testing.T, value string) []string {
	t.Helper()
	var words []string
	if err := json.Unmarshal([]byte(value[strings.Index(value, "["):]), &words); err != nil {
		t.Fatalf("%s: %v", value, err)
	}
	return words
}

// deployed are the command lines that the deploy files hold, without the
// program's name.
func deployed(t *testing.T) map[string][]string {
	t.Helper()
	unit, container := readDeploy(t, unitFile), readDeploy(t, containerFile)
	start := strings.Fields(setting(t, unit, "ExecStart="))
	entry := listed(t, setting(t, container, "ENTRYPOINT "))
	health := listed(t, setting(t, container, "HEALTHCHECK "))
	if len(entry) != 1 || health[0] != entry[0] || filepath.Base(start[0]) != "presshand" {
		t.Fatalf("the program is %v, %s and %s", entry, health[0], start[0])
	}
	lines := map[string][]string{
		"unit": start[1:], "image": listed(t, setting(t, container, "CMD ")), "health check": health[1:],
	}
	// What the comments tell people to type counts as well.
	joined := regexp.MustCompile(`\\\n#\s*`).ReplaceAllString(unit+container, "")
	for _, m := range regexp.MustCompile(`(?m)^#.*?\bpresshand ((?:slack|shop|doctor|data) [^>(\n]*?)(?: says .*)?$|^#\s+presshand (shop init) >`).FindAllStringSubmatch(joined, -1) {
		lines["comment: "+m[1]+m[2]] = strings.Fields(m[1] + m[2])
	}
	return lines
}

// parse runs the real parser over a command line.
func parse(t *testing.T, args []string) (commands, string, error) {
	t.Helper()
	var flags commands
	parser, err := newParser(&flags, Streams{Out: io.Discard, Err: io.Discard}, func(int) {})
	if err != nil {
		t.Fatal(err)
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		return flags, "", err
	}
	return flags, parsed.Command(), nil
}

func TestDeployedCommandLines(t *testing.T) {
	lines := deployed(t)
	if len(lines) < 6 {
		t.Errorf("only %d command lines found: %v", len(lines), lines)
	}
	for name, args := range lines {
		flags, command, err := parse(t, args)
		if err != nil {
			t.Errorf("%s: %v: %v", name, args, err)
		}
		if name != "unit" && name != "image" {
			continue
		}
		if command != "slack join" || flags.Data == "" || !strings.HasPrefix(flags.Knowledge, flags.Data+"/") || flags.Slack.Join.Listen == "" {
			t.Errorf("%s: %v joins no workspace with store, rules and health", name, args)
		}
	}
	if _, _, err := parse(t, append(slices.Clone(lines["unit"]), "--retries")); err == nil {
		t.Error("a flag that is none passes, so this test sees nothing")
	}
	// The health check asks where the image listens.
	image, _, _ := parse(t, lines["image"])
	check, _, _ := parse(t, lines["health check"])
	_, listens, _ := net.SplitHostPort(image.Slack.Join.Listen)
	_, asks, _ := net.SplitHostPort(check.Slack.Ready.Listen)
	if listens == "" || listens != asks {
		t.Errorf("the image listens on port %q, its health check asks port %q", listens, asks)
	}
}

// The files agree with each other and with the program.
func TestDeployFilesHangTogether(t *testing.T) {
	unit, container, lines := readDeploy(t, unitFile), readDeploy(t, containerFile), deployed(t)
	unitFlags, _, _ := parse(t, lines["unit"])
	imageFlags, _, _ := parse(t, lines["image"])
	if want := "/var/lib/" + setting(t, unit, "StateDirectory="); unitFlags.Data != want {
		t.Errorf("the unit keeps its store in %s, and may write in %s", unitFlags.Data, want)
	}
	if made := setting(t, unit, "ExecStartPre="); !strings.HasSuffix(made, "mkdir -p "+unitFlags.Knowledge) {
		t.Errorf("%s does not make %s", made, unitFlags.Knowledge)
	}
	if v := setting(t, container, "VOLUME "); imageFlags.Data != v || !strings.Contains(container, "mkdir -m 0700 "+v+" "+imageFlags.Knowledge) {
		t.Errorf("the image keeps its store in %s and its rules in %s, its volume is %s", imageFlags.Data, imageFlags.Knowledge, v)
	}
	if user := setting(t, container, "USER "); !strings.Contains(container, "--chown="+user+" "+"/data /data") || strings.HasPrefix(user, "0") {
		t.Errorf("user %s does not own the volume, or is root", user)
	}
	if !strings.Contains(container, "CGO_ENABLED=0") {
		t.Error("an image from scratch holds no library for a program with cgo")
	}
	for _, word := range []string{"DynamicUser=yes", "ProtectSystem=strict", "NoNewPrivileges=yes", "CapabilityBoundingSet=\n"} {
		if !strings.Contains(unit, word) {
			t.Errorf("the unit lacks %q", word)
		}
	}
	// Both wait longer than the program takes to finish what it acknowledged.
	seconds := regexp.MustCompile(`(?:TimeoutStopSec=|--stop-timeout )(\d+)`).FindAllStringSubmatch(unit+container, -1)
	if len(seconds) != 2 {
		t.Fatalf("times to stop: %v", seconds)
	}
	for _, s := range seconds {
		if d, err := time.ParseDuration(s[1] + "s"); err != nil || d < workspace.DefaultDrain+5*time.Second {
			t.Errorf("%s leaves no time to finish within %v", s[0], workspace.DefaultDrain)
		}
	}
}

// The unit as systemd's own checker reads it, where that is installed. It tells
// faults on standard error.
func TestUnitVerifies(t *testing.T) {
	checker, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Skip("no systemd-analyze here")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	verify := func(text string) string {
		path := filepath.Join(t.TempDir(), "presshand.service")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(checker, "verify", path).CombinedOutput()
		if err != nil {
			return fmt.Sprintf("%s%v", out, err)
		}
		return string(out)
	}
	// The checker wants the program to be there.
	unit := strings.ReplaceAll(readDeploy(t, unitFile), "/usr/local/bin/presshand slack", exe+" slack")
	if said := verify(unit); said != "" {
		t.Errorf("systemd-analyze verify: %s", said)
	}
	if said := verify(strings.Replace(unit, "Restart=", "Restarts=", 1)); !strings.Contains(said, "Restarts") {
		t.Errorf("a key that is none passes (%q), so this test sees nothing", said)
	}
}

// The program, started as the unit starts it, is ready, is asked so as the
// health check asks, and finishes what it acknowledged when it is told to stop
// under load.
func TestStartedAsTheUnitStarts(t *testing.T) {
	fake := fakeworkspace.Start()
	defer fake.Close()
	api, err := fake.ListenTCP("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	etc, state := t.TempDir(), t.TempDir()
	here := strings.NewReplacer("/etc/presshand", etc, "/var/lib/presshand", state, "127.0.0.1:8080", freeAddress(t))
	unit := here.Replace(readDeploy(t, unitFile))
	var profile output
	if code := Run(t.Context(), []string{"shop", "init"}, os.Getenv, Streams{In: strings.NewReader(""), Out: &profile, Err: os.Stderr}); code != exitDone {
		t.Fatal("no profile to start with")
	}
	if err := os.WriteFile(filepath.Join(etc, "shop.yaml"), []byte(profile.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	before := strings.Fields(setting(t, unit, "ExecStartPre="))
	if out, err := exec.Command(before[0], before[1:]...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	args := strings.Fields(setting(t, unit, "ExecStart="))[1:]
	var log bytes.Buffer
	child := process(t, append(slices.Clone(args), "--api-url", "http://"+api+"/api/"), &log)
	flags, _, err := parse(t, args)
	if err != nil {
		t.Fatal(err)
	}
	health := append(slices.Clone(deployed(t)["health check"]), "--listen", flags.Slack.Join.Listen)
	var said output
	waitUntil(t, "a healthy bot", func() bool {
		return Run(t.Context(), health, os.Getenv, Streams{In: strings.NewReader(""), Out: &said, Err: io.Discard}) == exitDone
	})
	if !strings.Contains(said.String(), "ready") {
		t.Errorf("the health check says %q", said.String())
	}
	asked := map[string]string{} // channel -> envelope
	for i := range 200 {
		channel := fmt.Sprint("D", i)
		fake.Write(fakeworkspace.Say{Channel: channel, User: "U1", Text: talk()[i%len(talk())]})
		envelopes := fake.Envelopes()
		asked[channel] = envelopes[len(envelopes)-1].ID
		if i == 100 {
			if err := child.Process.Signal(syscall.SIGTERM); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := child.Wait(); err != nil {
		t.Errorf("asked to stop, it ended with %v; its log:\n%s", err, log.String())
	}
	if code := Run(t.Context(), health, os.Getenv, Streams{In: strings.NewReader(""), Out: io.Discard, Err: io.Discard}); code != exitFault {
		t.Errorf("the health check of a stopped bot ends with %d", code)
	}
	acked := map[string]bool{}
	for _, e := range fake.Envelopes() {
		acked[e.ID] = !e.Acked.IsZero()
	}
	taken := 0
	for channel, envelope := range asked {
		n := len(fake.Answers(channel))
		if acked[envelope] {
			taken++
		}
		if acked[envelope] && n != 1 {
			t.Errorf("%s was acknowledged and answered %d times", channel, n)
		}
	}
	if taken < 20 {
		t.Errorf("%d messages acknowledged: the test saw too little", taken)
	}
	checkSound(t, state)
	t.Logf("%d of %d messages acknowledged when it was asked to stop, all of them answered", taken, len(asked))
}

// freeAddress is an address nobody listens on just now.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}
