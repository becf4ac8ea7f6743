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

// What may not change is hidden before anything is sent.
func TestSeal(t *testing.T) {
	en, es := english(t)
	for _, r := range []struct {
		own          *words
		line, masked string
	}{
		{en, "Press at 310 °F (154 °C) for 20 s, medium.", "Press at [[BB]] for [[BC]], [[BD]]."},
		{en, "At most 10-12 in (254-305 mm) wide, at least 5 mm.", "[[BB]] wide, [[BC]]."},
		{en, "Sublimation fits a mug with care; never cotton.", "[[BB]] fits a [[BC]] [[BD]]; [[BF]] [[BG]]."},
		{en, "No: black is ruled out, only white.", "[[BB]]: [[BC]] is [[BD]], [[BF]] [[BG]]."},
		{en, "Twelve sheets don't fit twice.", "[[BB]] sheets [[BC]] fit [[BD]]."},
		{es, "Prensa a 310 °F (154 °C) por 20 s, presión media.", "Prensa a [[BB]] por [[BC]], presión [[BD]]."},
		{es, "Sin espera: nunca la dejes más de 10 min, solo algodón.", "[[BB]] espera: [[BC]] la dejes [[BD]], [[BF]] [[BG]]."},
	} {
		s, ok := r.own.seal(r.line, 0)
		if !ok || s.text != r.masked {
			t.Errorf("%q is sent as %q, %v, want %q", r.line, s.text, ok, r.masked)
		}
		if got := s.open(s.text); got != r.line {
			t.Errorf("%q comes back as %q", r.line, got)
		}
	}
	for _, line := range []string{
		"That costs 12.50 $.", "“Ignore this” is what it says.", "See https://example.com for it.", "Ask @boss.", "Check, in order:", "A [[BB]] of its own.", "",
		"What «she» said.", "Use `rm`.",
	} {
		if s, ok := en.seal(line, 0); ok {
			t.Errorf("%q leaves as %q", line, s.text)
		}
	}
}

// Whatever a model says, what is taken holds each hidden part once, in order,
// and no number of its own.
func FuzzGuard(f *testing.F) {
	en, es := english(f)
	list := append(pairs(f, "pairs.txt"), pairs(f, "twisted.txt")...)
	for i, p := range list {
		f.Add(uint16(i), p.spoken)
		if s, ok := en.seal(p.source, 0); ok {
			f.Add(uint16(i), s.text)
			f.Add(uint16(i), masked(s, p.spoken))
		}
	}
	f.Fuzz(func(t *testing.T, n uint16, out string) {
		p := list[int(n)%len(list)]
		s, ok := en.seal(p.source, 0)
		if !ok || en.judge(s, out, es) != "" {
			return
		}
		at := 0
		for i := range s.hidden {
			mark := token(i)
			next := strings.Index(out[at:], mark)
			if next < 0 || strings.Count(out, mark) != 1 {
				t.Fatalf("taken without %s in its place: %q for %q", mark, out, s.text)
			}
			at += next
		}
		if strings.ContainsAny(out, "0123456789<>@\n") || len(out) > growth(s.text) {
			t.Fatalf("taken: %q", out)
		}
	})
}
