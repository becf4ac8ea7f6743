package bot_test

import (
	"context"
	"slices"
	"testing"

	"presshand/bot/reply"
)

// TestSeveralAnswers holds that two questions of one message are both answered,
// and what both answers say is said once.
func TestSeveralAnswers(t *testing.T) {
	house, _ := open(t)
	for text, want := range map[string][]string{
		"full front width and collar distance please": {"print_width", "collar_offset"},
		"temp for mugs? and do i flip the art":        {"press_temperature", "mirror"},
		"max heat for polyester and nylon":            {"ceiling"},
	} {
		r := house.Say(context.Background(), text)
		for _, name := range want {
			if !slices.ContainsFunc(r.Facts, func(f reply.Fact) bool { return f.Name == name }) {
				t.Errorf("%q: no %s in %v", text, name, r.Facts)
			}
		}
		for i, line := range r.Lines {
			if slices.Contains(r.Lines[:i], line) {
				t.Errorf("%q: twice %q", text, line)
			}
		}
	}
}
