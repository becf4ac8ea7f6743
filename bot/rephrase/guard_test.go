package rephrase

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"presshand/knowledge"
)

func english(t testing.TB) (en, es *words) {
	t.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return newWords(base, English), newWords(base, Spanish)
}

type pair struct{ topic, source, spoken string }

func pairs(t testing.TB, file string) []pair {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "rephrase", file))
	if err != nil {
		t.Fatal(err)
	}
	var list []pair
	for line := range strings.Lines(string(data)) {
		if parts := strings.Split(strings.TrimSpace(line), " | "); len(parts) == 3 {
			list = append(list, pair{parts[0], parts[1], parts[2]})
		}
	}
	return list
}

// masked writes the spoken line as the model would have, its tokens in place
// of what the source hides.
func masked(s sealedLine, spoken string) string {
	spoken = strings.TrimPrefix(spoken, s.prefix)
	var out strings.Builder
	for i, h := range s.hidden {
		// A hidden word must not be found inside another one.
		found := regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(` + regexp.QuoteMeta(h) + `)(?:[^\pL\pN]|$)`).FindStringSubmatchIndex(spoken)
		if found == nil {
			break
		}
		at := found[2]
		out.WriteString(spoken[:at] + token(s.first+i))
		spoken = spoken[at+len(h):]
	}
	return out.String() + spoken
}

func TestWellBehavedRewordings(t *testing.T) {
	en, es := english(t)
	for _, r := range []struct {
		file       string
		least      int
		own, other *words
	}{{"pairs.txt", 60, en, es}, {"pairs-spanish.txt", 15, es, en}} {
		list := pairs(t, r.file)
		if len(list) < r.least {
			t.Fatalf("%s: %d pairs, want %d", r.file, len(list), r.least)
		}
		taken := 0
		for _, p := range list {
			s, ok := r.own.seal(p.source, 0)
			reason := "kept here"
			if ok {
				if reason = r.own.judge(s, masked(s, p.spoken), r.other); reason == "" {
					taken++
					continue
				}
			}
			t.Logf("%s: %s\n  %s\n  %s", reason, p.topic, s.text, p.spoken)
		}
		t.Logf("%s: %d of %d taken", r.file, taken, len(list))
		if taken*10 < len(list)*9 {
			t.Errorf("%s: %d of %d well-behaved rewordings taken, want 90 %%", r.file, taken, len(list))
		}
	}
}

func BenchmarkGuard(b *testing.B) {
	en, es := english(b)
	var lines []string
	for _, p := range pairs(b, "pairs.txt") {
		if p.topic == "steps" {
			lines = append(lines, p.source)
		}
	}
	for b.Loop() {
		sealed, at, text := en.mask(lines, es)
		if _, reason := en.accept(lines, sealed, at, text, es); reason != "" {
			b.Fatal(reason)
		}
	}
}

// Rewordings that change the meaning without a number or a negation.
func TestTwistedRewordings(t *testing.T) {
	en, es := english(t)
	list := pairs(t, "twisted.txt")
	if len(list) < 60 {
		t.Fatalf("%d twisted rewordings, want 60", len(list))
	}
	reasons := map[string]int{}
	for _, p := range list {
		own, other := en, es
		if p.topic == Spanish {
			own, other = es, en
		}
		s, ok := own.seal(p.source, 0)
		if !ok || own.judge(s, s.text, other) != "" {
			t.Errorf("kept here, so that it proves nothing: %q", p.source)
			continue
		}
		out := masked(s, p.spoken)
		reason := own.judge(s, out, other)
		if reason == "" {
			t.Errorf("taken:\n  %s\n  %s", p.source, out)
		}
		reasons[reason]++
	}
	t.Logf("%d refused: %v", len(list), reasons)
}
