package listen

import (
	"slices"
	"testing"
)

// A refusal counts however it is said; to ask why not is none. (How people
// speak: no source.)
func TestRefusedMethod(t *testing.T) {
	l, env := listener(t)
	rows := []struct {
		text string
		want []string
	}{
		{"not sublimation, she hates the idea. what else is there for a white poly tee", []string{"sublimation"}},
		{"anything but sub on a white poly tee", []string{"sublimation"}},
		{"white poly tee, sublimation is off the table, now what", []string{"sublimation"}},
		{"they refuse the idea of sublimation. white poly tee", []string{"sublimation"}},
		{"we cant sublimate today, what else for a white poly tee", []string{"sublimation"}},
		{"other than sublimation what works on white polyester tee", []string{"sublimation"}},
		{"white poly tee, no transfers she said, what do we use", []string{"two-step-transfer"}},
		{"why not sublimation for a white poly tee", nil},
		{"isnt sublimation better on a white poly tee", nil},
		{"so is 49 % polyester a no for sub", nil},
		{"white poly tee: sublimation or not?", nil},
	}
	for _, r := range rows {
		got := l.Listen(r.text, Memory{}, env.Now).Asks[0].Subject.NotMethods
		if !slices.Equal(got, r.want) {
			t.Errorf("%q rules out %v, want %v", r.text, got, r.want)
		}
	}
}

// Half and half is a share; flames as a picture, or as what a label speaks of,
// are no fire. (Common practice, no source.)
func TestHalvesAndFlames(t *testing.T) {
	l, env := listener(t)
	for _, text := range []string{"oatmeal tunic half linen half cotton", "half linen and half cotton tee", "tee, half and half cotton linen"} {
		if f := l.Listen(text, Memory{}, env.Now).Asks[0].Subject.Fibre; f["linen"] != 50 || f["cotton"] != 50 {
			t.Errorf("%q is of %v", text, f)
		}
	}
	fire := Entry{"guides", "fire-at-press"}
	for text, want := range map[string]bool{
		"flames coming out of the press":                         true,
		"theres flames on the platen help":                       true,
		"black tee, they want flames on the sleeves":             false,
		"kids jammies, flame resistant says the tag, ok to do?":  false,
		"fire department wants 24 navy cotton tees, what method": false,
	} {
		if got := l.Listen(text, Memory{}, env.Now).Asks[0].Entry == fire; got != want {
			t.Errorf("%q speaks of a fire: %v", text, got)
		}
	}
}
