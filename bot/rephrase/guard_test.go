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

func pairs(t testing.TB) []pair {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "rephrase", "pairs.txt"))
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
	list := pairs(t)
	if len(list) < 60 {
		t.Fatalf("%d pairs, want 60", len(list))
	}
	taken := 0
	for _, p := range list {
		s, ok := en.seal(p.source, 0)
		reason := "kept here"
		if ok {
			out := masked(s, p.spoken)
			if reason = en.judge(s.text, out, es); reason == "" {
				taken++
				continue
			}
		}
		t.Logf("%s: %s\n  %s\n  %s", reason, p.topic, s.text, p.spoken)
	}
	t.Logf("%d of %d taken", taken, len(list))
	if taken*10 < len(list)*9 {
		t.Errorf("%d of %d well-behaved rewordings taken, want 90 %%", taken, len(list))
	}
}

func BenchmarkGuard(b *testing.B) {
	en, es := english(b)
	var lines []string
	for _, p := range pairs(b) {
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
