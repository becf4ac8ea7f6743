package questions

import (
	"testing"

	"presshand/bot/reply"
)

func bound(v float64) *float64 { return &v }

// A two-step press at 310 F for 30 s, as common practice has it, no source.
func pressReply() reply.Reply {
	return reply.Reply{
		Outcome: reply.Answered, Topic: "setting",
		Lines: []string{"Press: 310 °F (154 °C) for 30 s, firm."},
		Facts: []reply.Fact{
			{Name: "press_temperature", Value: 154.44, Low: bound(135), High: bound(160), Unit: "C", Method: "two-step-transfer", Source: reply.Source{Kind: "practice"}},
			{Name: "press_time", Value: 30.0, Unit: "s", Method: "two-step-transfer", Source: reply.Source{Kind: "practice"}},
		},
	}
}

func TestJudge(t *testing.T) {
	declined := reply.Reply{Outcome: reply.Declined, Topic: "none", Lines: []string{"I don't know that one."}}
	answered, decline := oneOf{"answered"}, oneOf{"declined"}
	rows := []struct {
		name  string
		c     Case
		reply reply.Reply
		want  Kind
	}{
		{"right", Case{Outcome: answered, Topic: oneOf{"setting"}, Facts: map[string]any{"press_temperature": 154.44}}, pressReply(), Right},
		{"typed with three figures", Case{Outcome: answered, Facts: map[string]any{"press_temperature": 154.4}}, pressReply(), Right},
		{"another value", Case{Outcome: answered, Facts: map[string]any{"press_temperature": 196.11}}, pressReply(), WrongNumber},
		{"value before outcome", Case{Outcome: decline, Facts: map[string]any{"press_temperature": 196.11}}, pressReply(), WrongNumber},
		{"no such fact", Case{Outcome: answered, Facts: map[string]any{"cool_wait": 600}}, pressReply(), WrongAnswer},
		{"fact of another method", Case{Outcome: answered, FactsOf: "sublimation", Facts: map[string]any{"press_time": 50}}, pressReply(), WrongAnswer},
		{"range", Case{Outcome: answered, Facts: map[string]any{"press_temperature": []any{135, 160}}}, pressReply(), Right},
		{"another range", Case{Outcome: answered, Facts: map[string]any{"press_temperature": []any{135, 205}}}, pressReply(), WrongNumber},
		{"outside its bounds", Case{Outcome: answered, Within: map[string][2]float64{"press_time": {35, 70}}}, pressReply(), WrongNumber},
		{"must not be given", Case{Outcome: answered, Never: []string{"press_temperature"}}, pressReply(), WrongNumber},
		{"another topic", Case{Outcome: answered, Topic: oneOf{"wait", "steps"}}, pressReply(), WrongAnswer},
		{"says", Case{Outcome: answered, Says: []string{"FIRM|medium"}}, pressReply(), Right},
		{"does not say", Case{Outcome: answered, Says: []string{"light"}}, pressReply(), WrongAnswer},
		{"a figure inside another", Case{Outcome: answered, Says: []string{"54"}}, pressReply(), WrongAnswer},
		{"another entry", Case{Outcome: answered, Entry: oneOf{"faults/ghosting"}}, pressReply(), WrongAnswer},
		{"no order", Case{Outcome: answered, Order: &Order{Quantity: 24}}, pressReply(), WrongAnswer},
		{"not in Spanish", Case{Outcome: answered, Lang: "es"}, reply.Reply{Outcome: reply.Answered, Lines: []string{"Wait until the sheet is cold."}}, WrongAnswer},
		{"wrongly declined", Case{Outcome: answered}, declined, WronglyDeclined},
		{"wrongly answered", Case{Outcome: decline}, pressReply(), WronglyAnswered},
		{"declined as it must", Case{Outcome: decline, Topic: oneOf{"safety"}}, declined, Right},
		{"refused without saying what", Case{Outcome: oneOf{"answered", "declined"}, Says: []string{"pvc"}}, declined, WrongAnswer},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			if got := Judge(row.c, Result{Reply: row.reply}); got.Kind != row.want {
				t.Errorf("judged %s (%s), not %s", got.Kind, got.Detail, row.want)
			}
		})
	}
}

func TestUntraced(t *testing.T) {
	rows := []struct {
		name, line, ask string
		want            int
	}{
		{"as stated", "Press: 310 °F (154 °C) for 30 s.", "", 0},
		{"range", "Anything from 275 to 320 °F, or 135-160 °C.", "", 0},
		{"another temperature", "Press: 385 °F (154 °C) for 30 s.", "", 1},
		{"badly rounded", "Press: 310 °F (155 °C) for 30 s.", "", 1},
		{"a time is no temperature", "Press at 30 °F.", "", 1},
		{"two of them", "Press 12 of them for 45 s.", "", 2},
		{"as asked", "You pressed at 350 °F (177 °C) for 60 s.", "I pressed at 350 for 60", 0},
		{"ordinals", "Check, in order: 1 a seam · 2 a cold spot · 3 pulled warm.", "", 0},
		{"numbered lines", "Steps:\n1. Print.\n2. Marry.", "", 0},
		{"examples", "How large? For example: 9x7 front.", "", 0},
		{"sizes are words", "In 2XL and 5T.", "", 0},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r := pressReply()
			r.Lines = []string{row.line}
			if got := Untraced(Case{Ask: row.ask}, r); len(got) != row.want {
				t.Errorf("untraced %q, want %d", got, row.want)
			}
		})
	}
}
