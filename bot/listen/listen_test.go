package listen

import (
	"math"
	"testing"
	"time"
)

// listener is one over the built-in base.
func listener(tb testing.TB) (*Listener, OrderEnv) {
	tb.Helper()
	env, _ := orderEnv(tb)
	return New(env.Base, env.Profile), env
}

// TestTopic asks plain questions of each topic in more than one way: as staff
// talk, common practice, no source.
func TestTopic(t *testing.T) {
	l, env := listener(t)
	tests := []struct{ text, topic, what string }{
		{"how long before i peel", "wait", "cool_wait"},
		{"when can i take the paper off", "wait", "cool_wait"},
		{"mug temp", "setting", "press_temperature"},
		{"what pressure for mugs", "setting", "press_pressure"},
		{"do i mirror it", "print", "mirror"},
		{"flip the image?", "print", "mirror"},
		{"left chest size", "placement", "print_width"},
		{"can i sub a black cotton tee", "method", "can"},
		{"colours came out faded", "fault", ""},
		{"colors came out faded", "fault", ""},
		{"what is a platen", "term", ""},
		{"385 f in c", "convert", ""},
		{"24 black cotton tees 9x7 front", "quote", ""},
		{"transfer 50 dollars to my savings", "none", ""},
		{"how hot is the sun", "none", ""},
		{"how long to cook rice", "none", ""},
	}
	for _, tt := range tests {
		got := l.Listen(tt.text, Memory{}, env.Now).Asks[0]
		if got.Topic != tt.topic || tt.what != "" && got.What != tt.what {
			t.Errorf("%q: %s/%s, want %s/%s", tt.text, got.Topic, got.What, tt.topic, tt.what)
		}
	}
}

// TestCarries holds what a message takes from the conversation, and what it
// does not.
func TestCarries(t *testing.T) {
	l, env := listener(t)
	talk := func(texts ...string) Ask {
		var memory Memory
		var last Ask
		for _, text := range texts {
			last = l.Listen(text, memory, env.Now).Asks[0]
			memory.Last = &last
		}
		return last
	}
	t.Run("the question, of another blank", func(t *testing.T) {
		got := talk("what temp for tiles", "and for mugs?")
		if got.Topic != "setting" || got.Subject.Blank == "" || !got.Carried {
			t.Errorf("%s of %q, carried %v", got.Topic, got.Subject.Blank, got.Carried)
		}
		if first := talk("what temp for tiles"); first.Subject.Blank == got.Subject.Blank {
			t.Errorf("the blank stayed %q", got.Subject.Blank)
		}
	})
	t.Run("a new blank drops the old fibre", func(t *testing.T) {
		if got := talk("which method for a cotton tee", "and for mugs?"); len(got.Subject.Fibre) != 0 {
			t.Errorf("a mug of %v", got.Subject.Fibre)
		}
	})
	t.Run("a new fibre keeps the blank", func(t *testing.T) {
		first, got := talk("which method for a black cotton tee"), talk("which method for a black cotton tee", "same but polyester")
		if got.Subject.Blank != first.Subject.Blank || got.Subject.Fibre["polyester"] != 100 {
			t.Errorf("%q of %v", got.Subject.Blank, got.Subject.Fibre)
		}
	})
	t.Run("another trade carries nothing", func(t *testing.T) {
		if got := talk("what temp for tiles", "who won the football game"); got.Topic != "none" {
			t.Errorf("%s", got.Topic)
		}
	})
}

// TestPending holds a short answer to what was asked back.
func TestPending(t *testing.T) {
	l, env := listener(t)
	first := l.Listen("which method for a black hoodie", Memory{}, env.Now).Asks[0]
	memory := Memory{Last: &first, Pending: &first, Missing: "fibre"}
	got := l.Listen("cotton", memory, env.Now).Asks[0]
	if got.Topic != "method" || got.Subject.Blank != first.Subject.Blank || got.Subject.Fibre["cotton"] != 100 || got.Subject.Colour != "black" {
		t.Errorf("%s of %q %v %q", got.Topic, got.Subject.Blank, got.Subject.Fibre, got.Subject.Colour)
	}
}

// TestSeveral holds two questions of one message apart, and an order together.
func TestSeveral(t *testing.T) {
	l, env := listener(t)
	for text, want := range map[string]int{
		"what temp for mugs? and do i mirror?":                   2,
		"how long before i peel. which toner for sublimation?":   2,
		"24 black cotton tees, 9x7 front. due friday. white art": 1,
	} {
		if got := l.Listen(text, Memory{}, env.Now).Asks; len(got) != want {
			t.Errorf("%q: %d asks, want %d", text, len(got), want)
		}
	}
}

// TestConversions holds what is read of a wish to convert, in the units kept
// inside: degrees Celsius and millimetres. NIST SP 811, appendix B: an inch is
// 25.4 mm; t °C is (t °F - 32)/1.8.
func TestConversions(t *testing.T) {
	l, _ := listener(t)
	for _, c := range []struct {
		text string
		want Conversion
	}{
		{"385 f in c", Conversion{Kind: "temperature", Value: (385 - 32) / 1.8, From: "F", To: "C"}},
		{"385°F in °C", Conversion{Kind: "temperature", Value: (385 - 32) / 1.8, From: "F", To: "C"}},
		{"what °C is 385 F", Conversion{Kind: "temperature", Value: (385 - 32) / 1.8, From: "F", To: "C"}},
		{"(11 in) in cm", Conversion{Kind: "length", Value: 11 * 25.4, From: "in", To: "cm"}},
		{"a4 in inches", Conversion{}}, // a sheet, not 4 in
	} {
		got := l.Listen(c.text, Memory{}, time.Now()).Asks[0].Convert
		near := math.Abs(got.Value-c.want.Value) < 1e-9
		got.Value = c.want.Value
		if got != c.want || !near {
			t.Errorf("%s: %+v, near %v, want %+v", c.text, got, near, c.want)
		}
	}
}

// TestChoosesShares holds that an answer to "60/40: which way round?" is taken
// for the blend it belongs to, never for a cloth of one fibre.
func TestChoosesShares(t *testing.T) {
	l, env := listener(t)
	asked := l.Listen("100 navy hoodies 60/40, left chest, by tues, price", Memory{}, env.Now).Asks[0]
	order := asked.Order.Order
	if len(asked.Order.Trouble) == 0 {
		t.Fatal("60/40 is not asked about")
	}
	memory := Memory{Last: &asked, Order: &order, Pending: &asked, Missing: string(asked.Order.Trouble[0].Kind)}
	for text, cotton := range map[string]int{
		"60 poly": 40, "60% poly": 40, "60 % polyester, 40 % cotton": 40, "60/40 poly cotton": 40, "40 cotton": 40,
		"60 cotton": 60, "its 60 % cotton": 60, "40 poly": 60, "60 % cotton, 40 % polyester": 60, "cotton 60": 60,
	} {
		got := l.Listen(text, memory, env.Now).Asks[0]
		if len(got.Order.Order.Lines) != 1 {
			t.Errorf("%s: taken for %s", text, got.Topic)
			continue
		}
		if f := got.Order.Order.Lines[0].Fibre; f["cotton"] != cotton || f["polyester"] != 100-cotton {
			t.Errorf("%s: %v", text, f)
		}
	}
}

// TestOtherCount holds that a price asked at another count is not answered for
// the old one.
func TestOtherCount(t *testing.T) {
	l, env := listener(t)
	first := l.Listen("48 white poly tees, 9x7 front", Memory{}, env.Now).Asks[0]
	order := first.Order.Order
	memory := Memory{Last: &first, Order: &order}
	for text, want := range map[string]int{
		"price at 100": 100, "how much for 100": 100, "100 price?": 100, "whats the price": 0,
	} {
		got := l.Listen(text, memory, env.Now).Asks[0]
		breaks := got.What == "breaks" && got.Subject.Quantity > 0 // of 0 they begin at the order's own count
		if got.Topic != "quote" || got.Amend || got.Subject.Quantity != want || breaks != (want > 0) {
			t.Errorf("%s: %s %s of %d", text, got.Topic, got.What, got.Subject.Quantity)
		}
	}
}
