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
