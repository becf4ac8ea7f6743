package knowledge

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// Input made to be slow: a quarter of a megabyte of nesting, of doubled keys, of bare
// figures. Each must be refused in about the time it takes to read it.
func TestSlowInput(t *testing.T) {
	fill := func(s string) string { return strings.Repeat(s, (1<<18)/len(s)) }
	for name, text := range map[string]string{
		"brackets":   fill("["),
		"braces":     "terms: " + fill("{a: "),
		"dashes":     fill("- "),
		"questions":  fill("? "),
		"anchors":    "terms: [" + fill("&a b, ") + "]",
		"keys":       fill("terms: \n"),
		"entries":    "terms:\n" + fill("- {}\n"),
		"one line":   "terms: [" + fill("{x: y}, ") + "]",
		"figures":    "care:\n- {id: a, source: memory, lines: [" + fill("b 1, ") + "]}",
		"references": "cautions:\n" + fill("- {id: a, for: [b]}\n")[:1<<17] + "blanks:\n" + fill("- {id: b, cautions: [c, d, e]}\n")[:1<<16],
		"open brace": "care:\n- {id: a, source: memory, lines: [" + fill("'{', ") + "]}",
	} {
		t.Run(name, func(t *testing.T) {
			begin := time.Now()
			ps := Check(fstest.MapFS{"x.yaml": {Data: []byte(text)}})
			t.Logf("%d problems in %v", len(ps), time.Since(begin))
			if len(ps) == 0 {
				t.Error("no problem found")
			}
		})
	}
}
