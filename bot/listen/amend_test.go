package listen

import (
	"strings"
	"testing"
)

func TestAmend(t *testing.T) {
	env, reader := orderEnv(t)
	const choir = "24 black cotton tees, 9x7 front, for the village choir, by friday"
	rows := []struct {
		name, order, follow, want string
	}{
		{"count", choir, "make it 48", "48 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"count with item", choir, "make that 30 tees", "30 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"bare count", choir, "36", "36 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"actually", choir, "actually 20", "20 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"cloth and colour", choir, "and on white polyester?", "24 tee; white; polyester 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"more of a size", choir, "what about 12 more in youth M", "24 tee; black; cotton 100; front 9x7 + 12 tee; black; cotton 100; YM12; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"another", choir, "another 6 in red", "24 tee; black; cotton 100; front 9x7 + 6 tee; red; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"spot instead", choir, "left chest instead", "24 tee; black; cotton 100; left chest | due Fri Nov 27 17:30 | for village choir"},
		{"spot with size instead", choir, "left chest 3.5 instead of front", "24 tee; black; cotton 100; left chest 3.5 | due Fri Nov 27 17:30 | for village choir"},
		{"print more", choir, "add a back print 11 wide", "24 tee; black; cotton 100; front 9x7, back 11 | due Fri Nov 27 17:30 | for village choir"},
		{"other colour", choir, "navy not black", "24 tee; navy; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"other day", choir, "by thursday", "24 tee; black; cotton 100; front 9x7 | due Thu Nov 26 17:30 | for village choir"},
		{"sizes", choir, "sizes S4 M10 L10", "24 tee; black; cotton 100; S4 M10 L10; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"sizes that differ", choir, "sizes S4 M10 L8", "24 tee; black; cotton 100; S4 M10 L8; front 9x7 | due Fri Nov 27 17:30 | for village choir | trouble sizes-differ"},
		{"without a print", "24 black tees front 9x7 and left sleeve 3", "without the sleeve", "24 tee; black; front 9x7"},
		{"drop a print", "24 black tees front 9x7 and back 11", "drop the back", "24 tee; black; front 9x7"},
		{"no print", "24 black tees front 9x7 and back 11", "no back print", "24 tee; black; front 9x7"},
		{"size of the print", choir, "make it 11 wide", "24 tee; black; cotton 100; front 11 | due Fri Nov 27 17:30 | for village choir"},
		{"size on the spot", choir, "front 10x8", "24 tee; black; cotton 100; front 10x8 | due Fri Nov 27 17:30 | for village choir"},
		{"second line", choir, "and 12 white mugs", "24 tee; black; cotton 100; front 9x7 + 12 mug; white | due Fri Nov 27 17:30 | for village choir"},
		{"drop a line", "24 black tees and 12 white mugs", "drop the mugs", "24 tee; black"},
		{"count of a named line", "24 black tees and 12 white mugs", "make it 30 tees", "30 tee; black + 12 mug; white"},
		{"item", "24 black tees 9x7 front", "hoodies instead", "24 hoodie; black; front 9x7"},
		{"count drops sizes", "24 black tees S4 M10 L10", "make it 48", "48 tee; black"},
		{"rush", choir, "its a rush", "24 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir | rush"},
		{"approval", choir, "art is approved", "24 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir | art ok"},
		{"ownership", choir, "they bring their own", "24 tee; black; cotton 100; front 9x7; theirs | due Fri Nov 27 17:30 | for village choir"},
		{"ownership of the blanks, loosely called", "24 black cotton hoodies, front 9x7", "oh and they'll supply the shirts", "24 hoodie; black; cotton 100; front 9x7; theirs"},
		{"some more", "24 black tees 9x7 front", "6 more", "30 tee; black; front 9x7"},
		{"a print taken off", "24 black tees 9x7 front and 3x3 left sleeve", "take the sleeve off", "24 tee; black; front 9x7"},
		{"another item of theirs", "24 black cotton hoodies, front 9x7", "they bring their own tees instead", "24 tee; black; cotton 100; front 9x7; theirs"},
		{"arrival", choir, "blanks come tomorrow", "24 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | blanks Thu Nov 26 17:30 | for village choir"},
		{"blend", choir, "50/50", "24 tee; black; cotton 50 polyester 50; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"method", choir, "with vinyl", "24 tee; black; cotton 100; front 9x7; method=cut-vinyl | due Fri Nov 27 17:30 | for village choir"},
		{"reference", choir, "ref CH-7", "24 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir | ref CH-7"},
		{"prints the lines share", "12 navy tees and 12 white tees, 9x7 front on all", "left chest 3.5 instead", "12 tee; navy; left chest 3.5 + 12 tee; white; left chest 3.5"},
		{"cloth the lines share", "12 navy cotton tees and 12 white cotton tees", "make them 50/50", "12 tee; navy; cotton 50 polyester 50 + 12 tee; white; cotton 50 polyester 50"},
		{"colour that is meant", "12 navy tees and 12 white tees", "red not navy", "12 tee; red + 12 tee; white"},
		{"print of a named line", "12 tees front 9x7 and 6 hoodies front 9x7", "hoodies left chest 3.5 instead", "12 tee; front 9x7 + 6 hoodie; left chest 3.5"},
		{"misspelt", choir, "mak it nvay", "24 tee; navy; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"count and its old one", choir, "its 42 not 24", "42 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"double", "24 black tees S4 M10 L10", "double it", "48 tee; black; S8 M20 L20"},
		{"double and more", "24 black tees", "double it and make it navy", "48 tee; navy"},
		{"fewer", choir, "5 fewer", "19 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"minus", choir, "minus 4", "20 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"more of a size that is there", "24 black tees S4 M10 L10", "add 4 XL", "28 tee; black; S4 M10 L10 XL4"},
		{"fewer of a size", "24 black tees S4 M10 L10", "drop 2 of the larges", "22 tee; black; S4 M10 L8"},
		{"one size to another", "24 black tees S4 M10 L10", "two of the larges become mediums", "24 tee; black; S4 M12 L8"},
		{"more than there are", "24 black tees S4 M10 L10", "swap 6 S for XL", "24 tee; black; S-2 M10 L10 XL6 | trouble sizes-differ"},
		{"all one size", "24 black tees S4 M10 L10", "make them all XL", "24 tee; black; XL24"},
		{"only one print", "24 black tees front 9x7 and back 11", "lose the front one, they only want the back", "24 tee; black; back 11"},
		{"item with the same", choir, "and 10 hoodies with the same", "24 tee; black; cotton 100; front 9x7 + 10 hoodie; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"item with the same print", choir, "and 10 hoodies same print", "24 tee; black; cotton 100; front 9x7 + 10 hoodie; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"more of the same", choir, "bump it by 6", "30 tee; black; cotton 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
		{"so many fewer", "24 black tees", "cut 4", "20 tee; black"},
		{"a part in another colour", "24 black tees front 9x7", "12 of them in navy", "12 tee; black; front 9x7 + 12 tee; navy; front 9x7"},
		{"half another colour", "24 black tees front 9x7", "half navy", "12 tee; black; front 9x7 + 12 tee; navy; front 9x7"},
		{"a part another item", "24 black tees front 9x7", "6 of those should be hoodies", "18 tee; black; front 9x7 + 6 hoodie; black; front 9x7"},
		{"moved", "24 black tees front 9x7", "move the print to the back", "24 tee; black; back 9x7"},
		{"one print for another", "24 black tees front 9x7", "no print on front, back 10x8", "24 tee; black; back 10x8"},
		{"one size for another", "20 black tees, 10 L 10 XL", "forget the XLs do them all in L", "20 tee; black; L20"},
		{"all of one size to another", "20 black tees, 10 L 10 XL", "swap all the XLs to L", "20 tee; black; L20"},
		{"everyone one size", "20 black tees, 10 L 10 XL", "no XLs, everyone gets an L", "20 tee; black; L20"},
		{"smaller", "50 sand tees front 10x7", "print smaller, 7x5", "50 tee; sand; front 7x5"},
		{"they have them", "20 black tees", "turns out they got the shirts already, whats that do to the price", "20 tee; black; theirs"},
		{"no date", choir, "no date on it anymore", "24 tee; black; cotton 100; front 9x7 | for village choir"},
		{"no longer theirs", "24 black tees, they bring their own", "theyre not bringing their own anymore", "24 tee; black; ours"},
		{"same but", choir, "same but poly", "24 tee; black; polyester 100; front 9x7 | due Fri Nov 27 17:30 | for village choir"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			before := ReadOrder(reader.Read(r.order, env.Now), env)
			kept := sketch(before)
			order, changes, ok := Amend(before.Order, reader.Read(r.follow, env.Now))
			if !ok || len(changes) == 0 {
				t.Fatalf("%q changes nothing, want %s", r.follow, r.want)
			}
			after := OrderReading{Order: order, IsOrder: true, Trouble: Troubles(order, env)}
			if got := sketch(after); got != r.want {
				t.Errorf("%q\n got %s\nwant %s\nchanges %q", r.follow, got, r.want, changes)
			}
			if got := sketch(before); got != kept {
				t.Errorf("the order given was touched: %s", got)
			}
		})
	}
}

func TestAmendLeavesQuestionsAlone(t *testing.T) {
	env, reader := orderEnv(t)
	order := ReadOrder(reader.Read("24 black cotton tees, 9x7 front", env.Now), env).Order
	for _, text := range []string{"why?", "says who?", "how long cool peel", "what temp for polyester", "thanks", "how many washes will it last", "hello", "which method for white mugs", "we only have 3 left"} {
		if got, changes, ok := Amend(order, reader.Read(text, env.Now)); ok {
			t.Errorf("%q was taken for a change: %s: %v", text, strings.Join(changes, "; "), got)
		}
	}
}
