package bot_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"presshand/bot/bottest/questions"
	"presshand/bot/reply"
)

// TestNumbersTrace walks every number in the text of every answer to the
// question files: each must come from a fact with provenance, from the order,
// quote or plan that goes with the answer, or from what was asked.
func TestNumbersTrace(t *testing.T) {
	var loose []string
	all := answers(t)
	for _, a := range all {
		c, r := a.Case, a.Result.Reply
		for _, f := range r.Facts {
			if !slices.Contains(kinds, f.Source.Kind) || f.Source.Kind == "published" && f.Source.Cite == "" {
				t.Errorf("%q: fact %s has provenance %q, cite %q", c.Ask, f.Name, f.Source.Kind, f.Source.Cite)
			}
		}
		if untraced := questions.Untraced(c, r); len(untraced) > 0 {
			loose = append(loose, fmt.Sprintf("%s: %q: %s in %q", c.File, c.Ask, strings.Join(untraced, ", "), clip(r)))
		}
	}
	t.Logf("%d answers, %d with numbers that trace to nothing:\n%s", len(all), len(loose), strings.Join(loose, "\n"))
	if len(loose) > 0 {
		t.Errorf("%d answers hold numbers that trace to nothing", len(loose))
	}
}

// kinds are the provenances a fact may have.
var kinds = []string{"published", "practice", "memory", "shop", "computed"}

func clip(r reply.Reply) string {
	const most = 240
	text := []rune(r.Text())
	if len(text) > most {
		text = text[:most]
	}
	return string(text)
}
