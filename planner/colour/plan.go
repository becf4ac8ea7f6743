package colour

import (
	"errors"
	"fmt"
	"math"

	"presshand/planner"
	"presshand/planner/unit"
)

// A Problem asks how colours will look once they are on a blank.
type Problem struct {
	Wanted []Colour // the art's main colours, in the order they shall be answered
	Blank  Colour   // the bare blank

	// Ground is the colour of the pressed white under a two-step transfer;
	// nil asks for dye sublimation.
	Ground *Colour
	// Polyester is the blank's polyester share by weight, 0..1. It counts for
	// sublimation only.
	Polyester unit.Share
	// Vanish is the CIEDE2000 contrast to the blank under which a colour
	// counts as gone. 0 leaves only what equals the blank.
	Vanish float64
}

// A Plan forecasts each wanted colour.
type Plan struct {
	Swatches []Swatch       // one for each of Problem.Wanted, in its order
	Steps    []planner.Step // the arithmetic, for whoever asks why
}

// A Swatch is one colour before and after printing.
type Swatch struct {
	Wanted     Colour
	Name       string // nearest CSS name of Wanted
	Seen       Colour // forecast on the blank
	SeenName   string // nearest CSS name of Seen
	Difference float64
	// Word says Difference plainly, and which way the colour moves:
	// "clearly different: darker".
	Word string
	// Contrast is the CIEDE2000 difference between Seen and the bare blank.
	Contrast float64
	Vanishes bool // Contrast is below Problem.Vanish, or Seen equals the blank
}

// Vanished returns the names of the wanted colours that can't be told from the
// blank, in order.
func (p Plan) Vanished() []string {
	names := []string{}
	for _, s := range p.Swatches {
		if s.Vanishes {
			names = append(names, s.Name)
		}
	}
	return names
}

// Solve forecasts every wanted colour, after sublimation by Sublimated, after
// a transfer by Transferred.
//
// Invariants: one swatch a wanted colour, in order; Difference and Contrast
// are CIEDE2000 between the colours they name, never negative; a sublimated
// colour is in no channel brighter than the blank. Ties between names go as in
// Name. What does not hold: that the printed colour will be the forecast one;
// the package comment states the model's limits.
//
// It fails where no colour is wanted, the polyester share is outside 0..1, or
// Vanish is negative or no number.
func Solve(p Problem) (Plan, error) {
	if err := p.validate(); err != nil {
		return Plan{}, fmt.Errorf("colour forecast: %w", err)
	}
	plan := Plan{Swatches: make([]Swatch, 0, len(p.Wanted))}
	for _, wanted := range p.Wanted {
		s := p.swatch(wanted)
		plan.Swatches = append(plan.Swatches, s)
		plan.Steps = append(plan.Steps, p.step(s))
	}
	return plan, nil
}

func (p Problem) validate() error {
	if len(p.Wanted) == 0 {
		return errors.New("no colour is wanted: give at least one")
	}
	if s := float64(p.Polyester); !(s >= 0 && s <= 1) {
		return fmt.Errorf("polyester share is %g: give one from 0 to 1", s)
	}
	if !(p.Vanish >= 0) || math.IsInf(p.Vanish, 0) {
		return fmt.Errorf("vanishing contrast is %g: give 0 or more", p.Vanish)
	}
	return nil
}

func (p Problem) swatch(wanted Colour) Swatch {
	seen := p.forecast(wanted)
	before, after := wanted.Lab(), seen.Lab()
	s := Swatch{
		Wanted:     wanted,
		Name:       Name(wanted),
		Seen:       seen,
		SeenName:   Name(seen),
		Difference: CIEDE2000(before, after),
		Contrast:   CIEDE2000(after, p.Blank.Lab()),
	}
	s.Word = word(s.Difference, before, after)
	s.Vanishes = s.Contrast < p.Vanish || seen == p.Blank
	return s
}

func (p Problem) forecast(wanted Colour) Colour {
	if p.Ground != nil {
		return Transferred(wanted, *p.Ground)
	}
	return Sublimated(wanted, p.Blank, p.Polyester)
}

func (p Problem) step(s Swatch) planner.Step {
	inputs := []planner.Input{{Name: "art", Value: s.Wanted.String()}}
	step := planner.Step{
		Name:   "colour on the blank",
		Result: fmt.Sprintf("%s, CIEDE2000 %.1f from the art", s.Seen, s.Difference),
	}
	if p.Ground != nil {
		step.Formula = "ground x art, in linear light"
		step.Inputs = append(inputs, planner.Input{Name: "ground", Value: p.Ground.String()})
		return step
	}
	step.Formula = "blank x (polyester x art^(1/2) + 1 - polyester)^2, in linear light"
	step.Inputs = append(inputs,
		planner.Input{Name: "blank", Value: p.Blank.String()},
		planner.Input{Name: "polyester", Value: unit.Style{}.Percent(p.Polyester)})
	step.Source = "Yule and Nielsen, TAGA Proceedings 3 (1951), n = 2; dye as a transparent filter"
	return step
}
