package listen

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// TestTalk holds messages that mean something only by the talk before them:
// which ask they come to, and that of another talk, or of none, they mean
// nothing.
func TestTalk(t *testing.T) {
	l, env := listener(t)
	say := func(texts ...string) []Ask {
		var memory Memory
		var asks []Ask
		for _, text := range texts {
			asks = l.Listen(text, memory, env.Now).Asks
			if last := asks[len(asks)-1]; last.Topic != "none" {
				if memory.Last != nil {
					memory.Earlier = append([]Ask{*memory.Last}, memory.Earlier...)
				}
				memory.Last = &last
			}
		}
		return asks
	}
	tests := []struct {
		texts             []string
		topic, what, item string
		entry             string
	}{
		{texts: []string{"how long do i cool a two step", "for how long though"}, topic: "wait", what: "cool_wait"},
		{texts: []string{"how long do i cool a two step", "ok start it"}, topic: "wait", what: "start"},
		{texts: []string{"how long do i cool a two step", "so 2 minutes?"}, topic: "wait", what: "stated"},
		{texts: []string{"how long do i cool a two step", "is longer ok"}, topic: "wait", entry: "peel-late"},
		{texts: []string{"temp for a mug", "so 390?"}, topic: "setting", what: "stated", item: "mug"},
		{texts: []string{"temp for a mug", "no, the 15 oz one"}, topic: "setting", what: "press_temperature", item: "large mug"},
		{texts: []string{"temp for a mug", "sorry, meant a mousepad"}, topic: "setting", what: "press_temperature", item: "mouse pad"},
		{texts: []string{"how do i change the toner set", "how long does it take"}, topic: "steps", what: "time", entry: "toner-set-changeover"},
		{texts: []string{"how do i read nine points", "how often"}, topic: "steps", entry: "how-often"},
		{texts: []string{"marry temp", "and then what"}, topic: "steps", entry: "after-marrying"},
		{texts: []string{"i just married the sheets, what next"}, topic: "steps", entry: "after-marrying"},
		{texts: []string{"temp for a slate", "how do i marry the sheets", "how hot was it again"}, topic: "setting", what: "press_temperature", item: "photo slate"},
		{texts: []string{"white turned pink", "does it get worse"}, topic: "fault", entry: "white-pink-or-grey"},
		{texts: []string{"how hot for two step on cotton", "i thought it was 350"}, topic: "setting", what: "stated"},
		{texts: []string{"how long do i cool a two step", "call me in 10 min"}, topic: "none"},
		{texts: []string{"i burned my hand on the press", "does ice help"}, topic: "safety", entry: "burned-hand"},
		{texts: []string{"i burned my hand on the press", "what day are we in"}, topic: "none"},
		{texts: []string{"settings for a cotton tote", "my bad, nylon"}, topic: "setting", item: "tote bag"},
		{texts: []string{"finish press temp on a transfer", "can i skip that if i'm in a hurry"}, topic: "setting", entry: "skip-finish"},
		{texts: []string{"pre-press seconds for cotton", "what's it for"}, topic: "setting", entry: "why-prepress"},
		{texts: []string{"finish press temp on a transfer", "is that needed on sublimation too"}, topic: "setting"},
		{texts: []string{"pulled the adhesive sheet off, now what"}, topic: "steps", entry: "after-marrying"},
		{texts: []string{"two step press seconds"}, topic: "setting", what: "press_time"}, // no second press
		{texts: []string{"second press for a cotton tee"}, topic: "setting", what: "finish_time", item: "tee"},
		{texts: []string{"acrylic beret, a toner crest on the brim, how hot"}, topic: "setting", item: ""},
		{texts: []string{"white poly bunting for the choir, dye, pressure?"}, topic: "setting"},
		{texts: []string{"sub or transfer for a white poly cap, what temp"}, topic: "method", item: "cap"},
		{texts: []string{"temp for a slate", "n how long"}, topic: "setting", what: "press_time", item: "photo slate"},
		{texts: []string{"how hot do i marry the sheets", "and for how many secs"}, topic: "setting", what: "marry_time"},
		{texts: []string{"pre-press seconds for cotton", "whats the temp"}, topic: "setting", what: "prepress_temperature"},
		{texts: []string{"temp for a mug", "so how many minutes"}, topic: "setting", item: "mug"},
		{texts: []string{"what's 385 f in c", "what about 400"}, topic: "convert"},
		{texts: []string{"what's 385 f in c", "and 160 celsius"}, topic: "convert"},
		{texts: []string{"what's 385 f in c", "12 black tees"}, topic: "quote", item: "tee"},
		{texts: []string{"full back size", "and how low do i start it"}, topic: "placement", what: "collar_offset"},
		{texts: []string{"how far down does a full front go on a tee", "does that go for hoodies as well"}, topic: "placement", item: "hoodie"},
		{texts: []string{"can i skip the finish press", "ok and for mugs"}, topic: "setting", item: "mug"},
		{texts: []string{"how long do i cool a two step", "can i speed that up"}, topic: "wait", entry: "cool-faster"},
		{texts: []string{"a corner of the transfer is lifting", "but it still lifts"}, topic: "fault", entry: "edges-lift"},
		{texts: []string{"which method for a white polyester apron", "hang on the label says cotton"}, topic: "method", item: "apron"},
		{texts: []string{"two step settings for a black cotton tee", "could we sub it instead"}, topic: "method", what: "can", item: "tee"},
		{texts: []string{"temp for a coffee mug", "not the mug, the coaster"}, topic: "setting", item: "coaster"},
		{texts: []string{"how long do i cool a two step", "where is my gas tank"}, topic: "none"},
		{texts: []string{"how often"}, topic: "none"},
		{texts: []string{"how do i read nine points", "how often do buses run"}, topic: "none"},
	}
	for _, tt := range tests {
		got := say(tt.texts...)[0]
		if got.Topic != tt.topic || got.What != tt.what && tt.what != "" || got.Subject.Item != tt.item && tt.item != "" || got.Entry.ID != tt.entry {
			t.Errorf("%q: %s/%s of %q, entry %q, want %s/%s of %q, entry %q", tt.texts, got.Topic, got.What, got.Subject.Item, got.Entry.ID, tt.topic, tt.what, tt.item, tt.entry)
		}
	}
	both := say("press time for a mug", "and a slate", "which takes longer")
	items := []string{both[0].Subject.Item, both[len(both)-1].Subject.Item}
	if want := []string{"mug", "photo slate"}; !slices.Equal(items, want) {
		t.Errorf("compared %q, want %q", items, want)
	}
}

// TestMixedIn holds what becomes of the fibres of the thing spoken of where a
// fibre is named that is only a part of it. Methods stay; another thing has its own.
func TestMixedIn(t *testing.T) {
	l, env := listener(t)
	for _, tt := range []struct {
		before, text string
		fibre        map[string]int
		fibres       []string
		method       string
	}{
		{"heat to sub white poly leggings", "what if there's spandex in it", nil, []string{"polyester", "elastane"}, "sublimation"},
		{"heat to sub a white poly tee", "its got a bit of cotton in it", nil, []string{"polyester", "cotton"}, "sublimation"},
		{"heat to sub a white poly tee", "what if it has 10% spandex", map[string]int{"polyester": 90, "elastane": 10}, nil, "sublimation"},
		{"two step temp for a black cotton tee", "label says 5% elastane", map[string]int{"cotton": 95, "elastane": 5}, nil, "two-step-transfer"},
		{"two step temp for a black cotton tee", "mixed with nylon tho", nil, []string{"cotton", "nylon"}, "two-step-transfer"},
		{"two step temp for a black cotton tee", "and for nylon", map[string]int{"nylon": 100}, nil, ""},
		{"two step temp for a black cotton tee", "what if it's 80% cotton", map[string]int{"cotton": 80}, nil, ""},
	} {
		memory := Memory{Last: &l.Listen(tt.before, Memory{}, env.Now).Asks[0]}
		s := l.Listen(tt.text, memory, env.Now).Asks[0].Subject
		method := strings.Join(s.Methods, " ")
		if !maps.Equal(s.Fibre, tt.fibre) || !slices.Equal(s.Fibres, tt.fibres) || tt.method != "" && method != tt.method {
			t.Errorf("%q, %q: %v %v by %q, want %v %v by %q", tt.before, tt.text, s.Fibre, s.Fibres, method, tt.fibre, tt.fibres, tt.method)
		}
	}
}

// TestSameFault holds that a fault which goes on, and a question to mend it, are of
// the fault that was told, and that what else is asked after one is not. As staff
// talk, common practice, no source.
func TestSameFault(t *testing.T) {
	l, env := listener(t)
	of := Ask{Topic: "fault", Entry: Entry{"faults", "edges-lift"}, Text: "the edges are lifting"}
	for _, tt := range []struct {
		text string
		same bool
	}{
		{"still lifting", true},
		{"pressed it again, no luck", true},
		{"checked the pressure, same thing", true},
		{"nope, edges still come up", true},
		{"is it still going to lift", true},
		{"can you get rid of the lifting", true},
		{"is the press still on", false},
		{"i still need temps for mugs", false},
		{"can you fix the invoice", false},
		{"that worked thanks", false},
		{"stop the timer", false},
	} {
		got := l.Listen(tt.text, Memory{Last: &of}, env.Now).Asks[0]
		if same := got.Topic == "fault" && got.Entry == of.Entry; same != tt.same {
			t.Errorf("%q is of %s %v after %s", tt.text, got.Topic, got.Entry, of.Entry.ID)
		}
	}
}

// TestNotDenied holds that a fault which is denied is not the one told. As staff talk,
// common practice, no source.
func TestNotDenied(t *testing.T) {
	l, env := listener(t)
	for text, want := range map[string]string{
		"not cracking, not peeling, its just crooked":      "crooked",
		"it isnt faded, only crooked":                      "crooked",
		"no ghosting no blur, the colours are dull though": "colours-dull",
		"not sticking at the corners":                      "edges-lift",
		"the print doesnt stick to the shirt":              "will-not-stick",
		"didn't crack, didn't fade, the corners just lift": "edges-lift",
	} {
		if got := l.Listen(text, Memory{}, env.Now).Asks[0]; got.Topic != "fault" || got.Entry.ID != want {
			t.Errorf("%q is of %s %v, want %s", text, got.Topic, got.Entry, want)
		}
	}
}
