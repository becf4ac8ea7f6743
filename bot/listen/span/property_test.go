package span

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A number with a unit, of whatever kind and wherever it stands, is never a
// quantity.
func TestMeasuresAreNoQuantities(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	units := []string{
		"in", " in", `"`, " inch", " inches", " cm", "mm", " mm", "F", " F", "°F", " degrees", "C", " s", "s", " sec", " seconds",
		" min", " minutes", " hours", " oz", "oz", " gsm", "%", " percent", " wide", `" wide`, " tall",
	}
	before := []string{"", "24 tees ", "black tees ", "press it ", "for ", "a print of ", "tees, ", "why does "}
	after := []string{"", ", front", " print", " please", " and peel", ".", "?"}
	rapid.Check(t, func(rt *rapid.T) {
		v := rapid.IntRange(1, 999).Draw(rt, "value")
		tail := rapid.SampledFrom([]string{"", ".5", ".25"}).Draw(rt, "part")
		u := rapid.SampledFrom(units).Draw(rt, "unit")
		head := rapid.SampledFrom(before).Draw(rt, "before")
		text := fmt.Sprintf("%s%d%s%s%s", head, v, tail, u, rapid.SampledFrom(after).Draw(rt, "after"))
		mark := len(head)
		r := reader.Read(text, now)
		for _, s := range r.Find(Quantity) {
			if r.Tokens[s.From].Start >= mark {
				rt.Fatalf("%q: %q was taken for a quantity", text, s.Text)
			}
		}
	})
}

// Two numbers with a sign of size between them are one dimension, the width
// first, whatever blanks stand between.
func TestTimesIsDimension(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	rapid.Check(t, func(rt *rapid.T) {
		w, h := rapid.IntRange(1, 40).Draw(rt, "w"), rapid.IntRange(1, 40).Draw(rt, "h")
		sign := rapid.SampledFrom([]string{"x", " x ", "X", "×", " by ", "*"}).Draw(rt, "sign")
		text := fmt.Sprintf("24 tees %d%s%d front", w, sign, h)
		got := reader.Read(text, now).Find(Dimension)
		if len(got) != 1 || got[0].Value/25.4-float64(w) > 1e-4 || got[0].Value2/25.4-float64(h) > 1e-4 {
			rt.Fatalf("%q: got %+v", text, got)
		}
	})
}

// A size run reads back as it was written, in every usual notation.
func TestSizeRunsReadBack(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	forms := []struct{ pair, joint string }{
		{"%[1]s %[2]d", " "}, {"%[1]s %[2]d", ", "}, {"%[1]s-%[2]d", ", "}, {"%[1]s:%[2]d", " "}, {"%[1]s=%[2]d", "; "},
		{"%[1]s%[2]d", " "}, {"%[2]d%[1]s", " "}, {"%[2]d %[1]s", ", "}, {"%[2]d x %[1]s", ", "}, {"%[1]s x%[2]d", " / "},
	}
	sizes := []string{"S", "M", "L", "XL"}
	rapid.Check(t, func(rt *rapid.T) {
		form := rapid.SampledFrom(forms).Draw(rt, "form")
		n := rapid.IntRange(2, len(sizes)).Draw(rt, "sizes")
		want := map[string]int{}
		var parts []string
		for _, s := range sizes[:n] {
			k := rapid.IntRange(7, 60).Draw(rt, s) // below 7, "6XL" is a size of its own
			want[s] = k
			parts = append(parts, fmt.Sprintf(form.pair, s, k))
		}
		text := strings.Join(parts, form.joint) + " black tees"
		got := reader.Read(text, now).Find(SizeRun)
		if len(got) != 1 || fmt.Sprint(got[0].Sizes) != fmt.Sprint(want) {
			rt.Fatalf("%q: got %+v, want %v", text, got, want)
		}
	})
}

// A due date is never in the past unless it was said so, and a date without a
// time is closing time of a day on which the shop is open.
func TestDatesLieAhead(t *testing.T) {
	profile := testProfile(t)
	reader := New(testBase(t), profile)
	texts := []string{
		"by friday", "fri", "dec 3", "12/3", "by sunday", "end of week", "next tues", "in 2 days", "tomorrow", "jan 1", "the 25th", "by noon", "by 3pm",
	}
	rapid.Check(t, func(rt *rapid.T) {
		now := testNow(t).Add(time.Duration(rapid.IntRange(0, 400*24*60).Draw(rt, "minutes")) * time.Minute)
		text := "by " + strings.TrimPrefix(rapid.SampledFrom(texts).Draw(rt, "text"), "by ")
		got := reader.Read(text, now).Find(When)
		if len(got) != 1 {
			rt.Fatalf("%q at %v: got %v", text, now, got)
		}
		if got[0].At.Before(now) {
			rt.Fatalf("%q at %v: %v is over", text, now.Format(time.RFC1123), got[0].At.Format(time.RFC1123))
		}
	})
}

// Spans lie in order, do not overlap, and stay inside the text; each says what
// the text says.
func TestSpansCoverText(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	words := []string{"24", "black", "tees", "9x7", "front", "and", ",", "S 4", "M", "10", "by", "friday", "50/50", "not", "for", "the", "choir", "3", "1/2", "in", "12/3", "-", "%", "names:", "x"}
	rapid.Check(t, func(rt *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 0, 20).Draw(rt, "words"), " ")
		checkReading(rt.Fatalf, reader.Read(text, now))
	})
}

// checkReading holds what every reading must hold.
func checkReading(fatalf func(string, ...any), r Reading) {
	at := 0
	for _, s := range r.Spans {
		if s.From < at || s.To <= s.From || s.To > len(r.Tokens) {
			fatalf("%q: span %+v out of order", r.Original, s)
		}
		at = s.To
		if !strings.Contains(r.Normal, s.Text) {
			fatalf("%q: span text %q is not in it", r.Original, s.Text)
		}
	}
	at = 0
	for _, t := range r.Tokens {
		if t.Start < at || t.End <= t.Start || t.End > len(r.Normal) {
			fatalf("%q: token %+v out of order", r.Original, t)
		}
		at = t.End
	}
}
