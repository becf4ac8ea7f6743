package colour

import "strings"

// The steps of CIEDE2000 at which the plain word changes. The formula is
// scaled so that about 1 is just seen side by side; the others are common
// practice, no source: 2 is still passed as a match by most eyes, 5 is seen at
// arm's length, 10 without looking for it, and beyond 25 people give the colour
// another name.
const (
	notSeen     = 1.0
	hardlySeen  = 2.0
	littleSeen  = 5.0
	clearlySeen = 10.0
	stillKin    = 25.0
)

// A lean smaller than this many units of L* or C*ab is not worth a word.
const leanFrom = 2.0

// word says a difference plainly, with the way the colour moves.
func word(difference float64, before, after Lab) string {
	degree := degreeWord(difference)
	if difference < notSeen {
		return degree
	}
	leans := leanWords(before, after)
	if len(leans) == 0 {
		return degree
	}
	return degree + ": " + strings.Join(leans, ", ")
}

func degreeWord(difference float64) string {
	switch {
	case difference < notSeen:
		return "the same to the eye"
	case difference < hardlySeen:
		return "hardly different"
	case difference < littleSeen:
		return "a little different"
	case difference < clearlySeen:
		return "clearly different"
	case difference < stillKin:
		return "very different"
	}
	return "another colour"
}

func leanWords(before, after Lab) []string {
	var leans []string
	switch dL := after.L - before.L; {
	case dL <= -leanFrom:
		leans = append(leans, "darker")
	case dL >= leanFrom:
		leans = append(leans, "paler")
	}
	switch dC := after.Chroma() - before.Chroma(); {
	case dC <= -leanFrom:
		leans = append(leans, "duller")
	case dC >= leanFrom:
		leans = append(leans, "stronger")
	}
	return append(leans, castWord(drift(before, after))...)
}

// drift is the step in the a*b* plane that chroma alone does not explain: a
// red that only fades drifts nowhere, though it loses a*.
func drift(before, after Lab) (dA, dB float64) {
	faded := 0.0
	if before.Chroma() > 0 {
		faded = after.Chroma() / before.Chroma()
	}
	return after.A - faded*before.A, after.B - faded*before.B
}

// castWord names the axis of L*a*b* along which the colour drifts most.
func castWord(dA, dB float64) []string {
	cast, size := "redder", dA
	if dA < 0 {
		cast, size = "greener", -dA
	}
	if dB > size {
		cast, size = "yellower", dB
	} else if -dB > size {
		cast, size = "bluer", -dB
	}
	if size < leanFrom {
		return nil
	}
	return []string{cast}
}
