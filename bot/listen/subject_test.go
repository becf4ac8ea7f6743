package listen

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// What a message says of the blank: the fibre spoken of and not the one it is
// held beside, what a share leaves, a toddler's size, a coating, a look that is
// wanted.
func TestSubjects(t *testing.T) {
	l, _ := listener(t)
	rows := []struct {
		text string
		want Subject
	}{
		{"pressed nylon same as cotton", Subject{Fibre: map[string]int{"nylon": 100}}},
		{"is nylon hotter than polyester", Subject{Fibre: map[string]int{"nylon": 100}}},
		{"nylon or polyester jacket, how hot", Subject{Fibres: []string{"nylon", "polyester"}}},
		{"6 % elastane, rest polyester", Subject{Fibre: map[string]int{"elastane": 6, "polyester": 94}}},
		{"polyester with 5% spandex", Subject{Fibre: map[string]int{"elastane": 5, "polyester": 95}}},
		{"3T tee, front print width", Subject{Group: "toddler"}},
		{"YM tee, front print width", Subject{Group: "youth"}},
		{"mug isn't coated, will dye hold", Subject{Coated: "no"}},
		{"a bare metal bottle", Subject{Coated: "no"}},
		{"wooden board sold for sublimation", Subject{Coated: "yes"}},
		{"white 55/45 poly cotton, faded on purpose", Subject{Fibre: map[string]int{"polyester": 55, "cotton": 45}, Wish: []string{"faded"}}},
		{"the print faded", Subject{}},
	}
	for _, r := range rows {
		a := l.Listen(r.text, Memory{}, time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)).Asks[0]
		got := Subject{Fibre: a.Subject.Fibre, Fibres: a.Subject.Fibres, Group: a.Subject.Group, Coated: a.Subject.Coated, Wish: a.Subject.Wish}
		if len(got.Fibre) == 0 {
			got.Fibre = nil
		}
		if diff := cmp.Diff(r.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", r.text, diff)
		}
	}
}
