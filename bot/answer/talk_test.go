package answer

import (
	"context"
	"strings"
	"testing"

	"presshand/bot/listen"
)

// A wait somebody names is held against the recipe's: ten minutes, from five to
// fifteen; a cold sheet can lie (common practice, no source).
func TestStatedWait(t *testing.T) {
	d := testDesk(t, nil)
	for minutes, want := range map[float64]string{2: "too short", 6: "short side", 10: "Leave it about 10 min", 90: "No harm"} {
		r := d.Answer(context.Background(), listen.Ask{Topic: "wait", What: "stated", Settings: []listen.Setting{{Time: minutes * 60}}}, Turn{Now: tenOClock(d)})
		if !strings.Contains(r.Text(), want) {
			t.Errorf("%g min: %s", minutes, r.Text())
		}
	}
}

// How long a procedure takes is told by the steps of it that state a time.
func TestStepTimes(t *testing.T) {
	d := testDesk(t, nil)
	ask := listen.Ask{Topic: "steps", What: "time", Entry: listen.Entry{Section: "procedures", ID: "toner-set-changeover"}}
	r := d.Answer(context.Background(), ask, Turn{Now: tenOClock(d)})
	if text := r.Text(); !strings.Contains(text, "12 min") || strings.Contains(text, "test chart") {
		t.Error(text)
	}
	ask.Entry.ID = "pressure-check"
	if r := d.Answer(context.Background(), ask, Turn{Now: tenOClock(d)}); r.Outcome != "declined" {
		t.Errorf("a time was made up: %s", r.Text())
	}
}
