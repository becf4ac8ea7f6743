package listen

import "testing"

// A word's meaning is asked for in more ways than "what is"; its figure is
// something else. (How people speak: no source.)
func TestDefined(t *testing.T) {
	l, env := listener(t)
	rows := []struct{ text, topic, id string }{
		{"dwell = ?", "term", "dwell"},
		{"halftones r what now", "term", "halftone"},
		{"heard the other guy say underbase, is that a shirt", "term", "underbase"},
		{"colorfastness, what is it in plain words", "term", "wash-fastness"},
		{"what on earth is weeding", "term", "weeding"},
		{"registration, the printing kind", "term", "registration"},
		{"explain why the peel is cold", "wait", ""},
		{"the finish is what temp", "setting", ""},
	}
	for _, r := range rows {
		a := l.Listen(r.text, Memory{}, env.Now).Asks[0]
		if a.Topic != r.topic || r.id != "" && a.Entry.ID != r.id {
			t.Errorf("%q is of %s %s, want %s %s", r.text, a.Topic, a.Entry.ID, r.topic, r.id)
		}
	}
}
