package listen

import (
	"strings"
	"testing"
)

// TestTellsBeyond holds that words of law, medicine, money and carriers outweigh the
// words of the trade beside them, and that the trade's own uses of such words
// don't. As staff talk, common practice, no source.
func TestTellsBeyond(t *testing.T) {
	l, env := listener(t)
	for _, tt := range []struct{ text, guide string }{
		{"could they take us to court if the print peels", "decline-lawsuit"},
		{"can we get sued over a logo on mugs", "decline-legal"},
		{"is it legal to print a movie hero on a hoodie", "decline-legal"},
		{"six months along, can i stay at the press", "decline-medical"},
		{"which painkiller for a burn from the platen", "decline-medical"},
		{"what would it cost to ship two boxes of tees", "ask-shipping"},
		{"courier for 40 hoodies", "ask-shipping"},
		{"move 50 bucks to my savings", ""},
		{"i benched 185 for 5, good press?", ""},
		{"my elbow aches after pressing all day", "decline-medical"},
		{"can i use a picture off a website for tees", "decline-legal"},
		{"print a photo of an actor on mugs", "decline-legal"},
		{"how much to send 30 aprons out of state", "ask-shipping"},
	} {
		got := l.Listen(tt.text, Memory{}, env.Now).Asks[0]
		if got.Topic != nothing || got.Entry.ID != tt.guide {
			t.Errorf("%q is of %s %v, want %s %s", tt.text, got.Topic, got.Entry, nothing, tt.guide)
		}
	}
	for _, text := range []string{
		"how many prints fit on a legal sheet",
		"how do i pack mugs for shipping",
		"can i save transfers for later",
		"24 black cotton tees 9x7 front, ship friday, whats the cost",
		"how hard do i press on the bench press",
		"do the colours pop on a shoulder print",
		"how big a picture do they have to send",
		"i left the sheet on it all night, is it ruined",
	} {
		if got := l.Listen(text, Memory{}, env.Now).Asks[0]; got.Topic == nothing {
			t.Errorf("%q is of nothing", text)
		}
	}
}

// TestChildrensSleepwear holds that what a child sleeps in is refused however it is
// said, as a question or as an order, and that what adults sleep in is not. As staff
// talk, common practice, no source; the rule is 16 CFR 1615 and 1616.
func TestChildrensSleepwear(t *testing.T) {
	l, env := listener(t)
	refused := func(text string) bool {
		a := l.Listen(text, Memory{}, env.Now).Asks[0]
		lines := a.Order.Order.Lines
		return a.Entry.ID == "sleepwear-guide" || a.Subject.Blank == "childrens-sleepwear" || len(lines) == 1 && lines[0].Item == "children's sleepwear"
	}
	for _, text := range []string{
		"sleepsuit for my niece with a bunny on it",
		"nighties for the twins, initials only, fine?",
		"a cotton shirt my toddler will sleep in",
		"bathrobes for kids with a name",
		"zip sleepers 12 months, sub them",
		"footed one piece for a 3 yo, small star",
		"36 white poly pajama tops sizes YS YM, 6x6 front",
		"temp and time for white polyester pjs size 4T",
	} {
		if !refused(text) {
			t.Errorf("%q is not refused", text)
		}
	}
	for _, text := range []string{
		"kids tees for camp, method?",
		"womens nightshirt, white cotton, transfer?",
		"24 black pajama tops adult M, cotton, 4x4 chest",
	} {
		if refused(text) {
			t.Errorf("%q is refused", text)
		}
	}
}

// TestTells holds that each list of tells leads to something the base knows.
func TestTells(t *testing.T) {
	l, _ := listener(t)
	for _, tell := range l.tells {
		e := tell.target.Entry
		if e != (Entry{}) && l.names[e] == "" {
			t.Errorf("%s: the base has no %s/%s", strings.Join(tell.words, " "), e.Section, e.ID)
		}
	}
}
