package span

import (
	"strings"
	"testing"
	"time"
)

// longest is the length of text from which on the caller refuses it.
const longest = 20_000

// readLimit bounds the time of reading the longest text, on a slow machine
// that does other things as well; it is there to catch what grows with the
// square of the length, which takes minutes.
const readLimit = 5 * time.Second

func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"24 black cotton tees, 9x7 front, need it Friday", "S 4 M 10 L 8", "385 for 50", "50% cotton 50% poly", "12/3/26 3pm",
		"\u202e24\u200b tees\x00", "½ ¼ ⅞ 9½x7", "--5 tees", "24 24 24 24", "1,000,000,000,000,000", "99999999999999999999999 tees",
		"\xff\xfe", "é́́́", "names: a, b, c", "for the the the", "x x x x 9 x", "%%%", "1/2/3/4/5", "10-20-30", "in in in", "next next friday",
		"not not not cotton", "ñandú 24 playeras", "٢٤ tees", "２４ tees", "p.m. a.m. 3 p.m.",
	} {
		f.Add(s)
	}
	reader, now := New(testBase(f), testProfile(f)), testNow(f)
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > longest {
			text = text[:longest]
		}
		start := time.Now()
		r := reader.Read(text, now)
		if d := time.Since(start); d > readLimit {
			t.Fatalf("took %v for %d bytes", d, len(text))
		}
		checkReading(t.Fatalf, r)
	})
}

// The longest texts, of the kinds that make readers look far ahead.
func TestReadLongText(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	for _, unit := range []string{
		"9 ", "S 4 ", "24 black ", "9x", "50/", "cotton ", "for the ", "x", "next ", "50% cotton ", "a", "zxqvw ", "names: a, ", "one hundred ", "1/2 ", "not ", "- ", "(", "6M ", "black and ", "blakc ", "\n",
	} {
		text := strings.Repeat(unit, longest/len(unit))
		start := time.Now()
		checkReading(t.Fatalf, reader.Read(text, now))
		if d := time.Since(start); d > readLimit {
			t.Errorf("%q repeated to %d bytes took %v", unit, len(text), d)
		} else {
			t.Logf("%-16q %v", unit, d)
		}
	}
}
