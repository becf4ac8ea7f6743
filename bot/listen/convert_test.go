package listen

import (
	"math"
	"testing"
	"time"

	"presshand/knowledge"
)

// Figures as they are typed and spoken. The factors are exact or those of NIST
// SP 811, appendix B: 25.4 mm an inch, 33.90575 g/m2 an ounce a square yard,
// 29.57353 ml a US fluid ounce, F = 1.8 C + 32.
func TestConversionsAsked(t *testing.T) {
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	l := New(base, nil)
	for _, tt := range []struct {
		text   string
		to     string
		value  float64 // C, mm, g/m2, s, ml
		value2 float64
	}{
		{"385 f in c", "C", (385 - 32) / 1.8, 0},
		{"three ten f to c", "C", (310 - 32) / 1.8, 0},
		{"three eighty five fahrenheit in celsius", "C", (385 - 32) / 1.8, 0},
		{"whats three eighty in c", "C", (380 - 32) / 1.8, 0},
		{"310 to c", "C", (310 - 32) / 1.8, 0},
		{"-5 c in f", "F", -5, 0},
		{"350 in real degrees, the celsius ones", "C", (350 - 32) / 1.8, 0},
		{"385 in real degrees (celsius)", "C", (385 - 32) / 1.8, 0},
		{"5 and a half inches to mm", "mm", 5.5 * 25.4, 0},
		{"2 and three quarters inches in mm", "mm", 2.75 * 25.4, 0},
		{"quarter inch in mm", "mm", 25.4 / 4, 0},
		{"12x14 in in cm", "cm", 12 * 25.4, 14 * 25.4},
		{"16 by 20 inch platen in mm?", "mm", 16 * 25.4, 20 * 25.4},
		{"2 min 30 in sec", "s", 150, 0},
		{"three and a half minutes is how many seconds", "s", 210, 0},
		{"7 oz/yd2 to gsm", "g/m2", 7 * 33.90575, 0},
		{"11 oz in ml", "ml", 11 * 29.57353, 0},
	} {
		a := l.Listen(tt.text, Memory{}, time.Time{}).Asks[0]
		if a.Topic != "convert" || a.Convert.To != tt.to || math.Abs(a.Convert.Value-tt.value) > 0.01 || math.Abs(a.Convert.Value2-tt.value2) > 0.01 {
			t.Errorf("%q: %s %+v, want %s of %g and %g", tt.text, a.Topic, a.Convert, tt.to, tt.value, tt.value2)
		}
	}
	// Two figures side by side that are no hundreds, and counts that are.
	for text, want := range map[string]int{"one twenty black tees 9x7 front": 120, "two fifty black cotton tees 9x7 front": 250, "twenty four black tees 9x7 front": 24} {
		a := l.Listen(text, Memory{}, time.Time{}).Asks[0]
		if len(a.Order.Order.Lines) != 1 || a.Order.Order.Lines[0].Quantity != want {
			t.Errorf("%q: %+v, want %d", text, a.Order.Order.Lines, want)
		}
	}
}

// TestBareShare holds that a share without its sign is one where a word before it
// says what the cloth is, and a count where a thing is counted.
func TestBareShare(t *testing.T) {
	l, env := listener(t)
	for _, tt := range []struct {
		text         string
		share, count int
	}{
		{"can i sub a white tee, what if its 60 poly", 60, 0}, {"tag says 80 poly, can i dye it", 80, 0}, {"is 60 poly enough", 60, 0},
		{"need 60 poly tees white, front 10x8", 100, 60}, {"need 60 poly tees", 100, 60},
	} {
		a := l.Listen(tt.text, Memory{}, env.Now).Asks[0]
		share, count := a.Subject.Fibre["polyester"], 0
		for _, line := range a.Order.Order.Lines {
			share, count = line.Fibre["polyester"], line.Quantity
		}
		if share != tt.share || count != tt.count {
			t.Errorf("%q: %d %% polyester, %d pieces; want %d %%, %d", tt.text, share, count, tt.share, tt.count)
		}
	}
}
