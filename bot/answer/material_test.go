package answer

import (
	"context"
	"strings"
	"testing"

	"presshand/bot/listen"
)

// What a thing is made of comes first: a bare mug takes no dye, hide is no
// coated coaster, PVC is refused whatever guide was asked for, and a clear
// poncho is asked about. Steps carry the blank's own figures.
func TestMaterialFirst(t *testing.T) {
	d := testDesk(t, nil)
	guide := listen.Entry{Section: "guides", ID: "stack-on-press"}
	rows := []struct {
		name string
		ask  listen.Ask
		want string
	}{
		{"bare mug", listen.Ask{Topic: "method", Subject: listen.Subject{Blank: "mug", Item: "mug", Coated: "no"}}, "without a polyester coating"},
		{"hide coaster", listen.Ask{Topic: "method", Subject: listen.Subject{Blank: "coaster", Item: "coaster", Fibre: map[string]int{"leather-vegetable": 100}}}, "shrinks and hardens"},
		{"pvc", listen.Ask{Topic: "safety", Entry: guide, Subject: listen.Subject{Fibre: map[string]int{"pvc": 100}}}, "Don't press PVC"},
		{"poncho", listen.Ask{Topic: "safety", Entry: guide, Subject: listen.Subject{Blank: "poncho", Item: "poncho"}}, "What is the poncho made of"},
		{"dye on cotton", listen.Ask{Topic: "setting", Subject: listen.Subject{Methods: []string{"sublimation"}, Fibre: map[string]int{"cotton": 100}}}, "ruled out"},
		{"acrylic steps", listen.Ask{Topic: "steps", Subject: listen.Subject{Methods: []string{"two-step-transfer"}, Blank: "beanie", Item: "beanie", Fibre: map[string]int{"acrylic": 100}}}, "280 °F (138 °C) for 15 s, light."},
		{"care of dye", listen.Ask{Topic: "care", Entry: listen.Entry{Section: "guides", ID: "say-care-to-customer"}, Subject: listen.Subject{Methods: []string{"sublimation"}}}, "label says"},
		{"change of toner", listen.Ask{Topic: "steps", What: "changeover"}, "12 min"},
	}
	for _, r := range rows {
		r.ask.Lang = "en"
		if got := d.Answer(context.Background(), r.ask, Turn{Now: tenOClock(d)}).Text(); !strings.Contains(got, r.want) {
			t.Errorf("%s: %q lacks %q", r.name, got, r.want)
		}
	}
}
