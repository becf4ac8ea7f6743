package span

import (
	"testing"
	"time"

	"presshand/knowledge/shop"
)

// A shop of other habits reads the same figures otherwise.
func TestHabits(t *testing.T) {
	base, now := testBase(t), testNow(t)
	metric := testProfile(t)
	metric.Inches, metric.Fahrenheit, metric.DayFirst = false, false, true
	local, other := New(base, testProfile(t)), New(base, metric)
	rows := []struct{ text, local, metric string }{
		{"by 3/12", "when Fri Mar 12 17:30", "when Thu Dec 3 17:30"},
		{"by 12/3", "when Thu Dec 3 17:30", "when Fri Mar 12 17:30"},
		{"by 13/12", "when Sat Dec 12 14:00", "when Sat Dec 12 14:00"},
		{"9x7", "dimension 9x7", "dimension 3.543x2.756"},
		{"230x180", "dimension 9.055x7.087", "dimension 9.055x7.087"},
		{"310 degrees", "temperature 154.4", "temperature 154.4"},
		{"160 degrees", "temperature 160", "temperature 160"},
	}
	for _, r := range rows {
		if got := sketch(local.Read(r.text, now)); got != r.local {
			t.Errorf("%q: got %s, want %s", r.text, got, r.local)
		}
		if got := sketch(other.Read(r.text, now)); got != r.metric {
			t.Errorf("%q in a metric shop: got %s, want %s", r.text, got, r.metric)
		}
	}
}

// Without a profile there are no closing times: a date is the end of its day.
func TestNoProfile(t *testing.T) {
	got := New(testBase(t), nil).Read("24 tees by sunday", testNow(t)).Find(When)
	if len(got) != 1 || got[0].At.Format("Mon 15:04") != "Sun 23:59" {
		t.Errorf("got %+v, want Sunday 23:59", got)
	}
}

// The zone is the shop's, whatever the clock's, also across a change of it.
func TestZone(t *testing.T) {
	reader := New(testBase(t), testProfile(t))
	now := time.Date(2026, 11, 26, 3, 30, 0, 0, time.UTC) // Wednesday evening in New York
	for text, want := range map[string]string{
		"by friday": "2026-11-27T17:30:00-05:00",
		"tomorrow":  "2026-11-26T17:30:00-05:00",
		"march 15":  "2027-03-15T17:30:00-04:00", // summer time has begun the day before
	} {
		got := reader.Read(text, now).Find(When)
		if len(got) != 1 || got[0].At.Format(time.RFC3339) != want {
			t.Errorf("%q: got %+v, want %s", text, got, want)
		}
	}
}

// A day the shop keeps closed, and one when it is open twice.
func TestHours(t *testing.T) {
	profile := testProfile(t)
	profile.Closed = append(profile.Closed, "2026-11-26", "2026-11-27")
	profile.Hours[2] = []shop.Span{{From: 9 * 60, To: 12 * 60}, {From: 14 * 60, To: 19 * 60}}
	reader := New(testBase(t), profile)
	for text, want := range map[string]string{
		"by friday":     "Wed Nov 25 17:30",
		"by tuesday":    "Tue Dec 1 19:00",
		"by fri at 3pm": "Fri Nov 27 15:00",
		"tuesday at 6":  "Tue Dec 1 18:00",
	} {
		got := reader.Read(text, testNow(t)).Find(When)
		if len(got) != 1 || got[0].At.Format("Mon Jan 2 15:04") != want {
			t.Errorf("%q: got %+v, want %s", text, got, want)
		}
	}
}

func TestClean(t *testing.T) {
	rows := []struct{ text, want string }{
		{"24 tees", "24 tees"},
		{"24\u200b te\u200des\u202e", "24 tees"},
		{"24\ttees\x00\x07", "24 tees"},
		{"9\u2033 \u00d7 7\u2033", `9" x 7"`},
		{"9½ in", "9 1/2 in"},
		{"it\u2019s \u201cred\u201d", `it's "red"`},
		{"２４ tees", "24 tees"},
		{"M\u201312", "M-12"},
		{"a\nb", "a\nb"},
		{"cafe\u0301", "café"},
	}
	for _, r := range rows {
		if got := Clean(r.text); got != r.want {
			t.Errorf("Clean(%q) = %q, want %q", r.text, got, r.want)
		}
	}
	if got := Fold("Café's"); got != "cafes" {
		t.Errorf("Fold = %q, want cafes", got)
	}
}
