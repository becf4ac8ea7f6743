package artwork

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"presshand/planner/colour"
	"presshand/planner/unit"
)

// The findings, by id, in the order in which they are reported.
const (
	TooFewPixels = "too-few-pixels" // below Rules.RefusePPI; always rules out
	FewPixels    = "few-pixels"     // below Rules.WarnPPI
	BoxBehind    = "box"            // a plain colour behind the art would be printed too
	NeedsWhite   = "needs-white"    // a shade that hides a print without white
	SoftEdges    = "soft-edge"      // half-transparent bands that don't hold
	ThinStroke   = "thin-stroke"
	ThinGap      = "thin-gap"
	SmallText    = "small-text"
	SpecksFound  = "specks"
	Vanishes     = "vanishes"       // colours too near the blank's
	ColourShift  = "colour-shift"   // colours that move too far
	PhotoOnBlank = "photo-on-blank" // continuous tones on a shade that wants care
	CMYKFile     = "cmyk"           // the file isn't in RGB
	SVGParts     = "svg-parts"      // parts of a drawing that are not seen here
	Animation    = "animation"      // only the first picture was looked at
	Proportion   = "proportion"     // the art keeps its shape inside the wished size; a remark
)

// judge gathers the findings and the verdict; scale is the width of a pixel in
// mm.
func (a *Art) judge(r *Report, wish Wish, scale float64) {
	j := judge{report: r, wish: wish, rules: wish.Rules, scale: scale}
	if a.format != SVG {
		j.pixels()
	}
	j.box()
	j.white()
	j.softEdge()
	j.strokes()
	j.text()
	j.specks()
	j.colours()
	j.photo()
	for _, n := range a.notes {
		j.add(Finding{ID: n.id, Text: n.text, Mend: n.mend, Level: Care})
	}
	j.proportion()
	r.Verdict = verdict(j.findings)
	r.Findings = j.findings
	if r.Findings == nil {
		r.Findings = []Finding{}
	}
}

func verdict(findings []Finding) Verdict {
	worst := Remark
	for _, f := range findings {
		worst = max(worst, f.Level)
	}
	return [...]Verdict{Remark: Fits, Care: WithCare, Bar: RuledOut}[worst]
}

type judge struct {
	report   *Report
	wish     Wish
	rules    Rules
	scale    float64 // mm of a pixel
	findings []Finding
}

// add appends a finding. One without a place is put in the middle of the art;
// one that the rules forbid rules out.
func (j *judge) add(f Finding) {
	if !f.Placed {
		b := j.report.Bounds
		f.X, f.Y = b.X+b.Width/2, b.Y+b.Height/2
	}
	if slices.Contains(j.rules.Forbids, f.ID) {
		f.Level = Bar
	}
	j.findings = append(j.findings, f)
}

func (j *judge) at(s *Spot, f Finding) {
	f.X, f.Y, f.Placed = s.X, s.Y, true
	j.add(f)
}

// method names the method in a sentence.
func (j *judge) method() string {
	if j.wish.Method == "" {
		return "this method"
	}
	return j.wish.Method
}

func (j *judge) blank() string {
	if j.wish.Blank.Name == "" {
		return "this blank"
	}
	return "the " + j.wish.Blank.Name
}

func (j *judge) pixels() {
	r, rules := j.report, j.rules
	if r.SizeFrom == FromDensity {
		return // nobody has said how large it shall be
	}
	id, level := FewPixels, Care
	switch {
	case r.EffectivePPI < rules.RefusePPI:
		id, level = TooFewPixels, Bar
	case r.EffectivePPI >= rules.WarnPPI:
		return
	}
	wanted := max(rules.WantedPPI, rules.WarnPPI, rules.RefusePPI)
	need := int(math.Ceil(float64(r.Bounds.Width)*j.scale/unit.MillimetresPerInch*wanted - wholeSlack))
	send := "send a %s px wide file"
	if r.Bounds.Width != r.Pixels.Width {
		send = "send a file with the art %s px wide"
	}
	j.add(Finding{
		ID:    id,
		Level: level,
		Text: fmt.Sprintf("%s px across %s is %.0f pixels an inch; %.0f are wanted",
			thousands(r.Bounds.Width), j.length(unit.Millimetres(r.Print.Width)), r.EffectivePPI, wanted),
		Mend: fmt.Sprintf(send+" or print it %s wide", thousands(need), j.length(unit.Inches(float64(r.Bounds.Width)/wanted))),
	})
}

// wholeSlack keeps the last bit of a product from asking for one pixel more.
const wholeSlack = 1e-6

// length writes one unit, the shop's, to a tenth: an instruction to print or
// send needs no second one.
func (j *judge) length(l unit.Length) string {
	if j.wish.Style.Inches {
		return strconv.FormatFloat(math.Round(l.In()*10)/10, 'f', -1, 64) + " in"
	}
	return fmt.Sprintf("%.0f mm", l.MM())
}

func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// blankWhite is the CIEDE2000 distance from white within which a ground takes
// no dye to speak of: it can hardly be seen.
const blankWhite = 2.0

func (j *judge) box() {
	r := j.report
	if !r.Box {
		return
	}
	if j.rules.Dye && colour.CIEDE2000(r.Ground.Lab(), colour.White().Lab()) < blankWhite {
		return // white takes no dye: nothing of the box is printed
	}
	j.add(Finding{
		ID:    BoxBehind,
		Level: Care,
		Text:  fmt.Sprintf("a plain %s box lies behind the art and would be printed with it", colour.Name(r.Ground)),
		Mend:  "send a PNG with a transparent background",
	})
}

func (j *judge) white() {
	b := j.wish.Blank
	if !b.Known || j.rules.White || !slices.Contains(j.rules.WhiteOn, b.Shade) {
		return
	}
	j.add(Finding{
		ID:    NeedsWhite,
		Level: Care,
		Text:  fmt.Sprintf("%s has no white, and %s needs white under the print", j.method(), j.blank()),
		Mend:  "choose a method with white, or a white blank",
	})
}

func (j *judge) softEdge() {
	s := j.report.SoftBand
	if s == nil || j.rules.HoldsSoft || j.rules.SoftEdge == 0 {
		return
	}
	j.at(s, Finding{
		ID:    SoftEdges,
		Level: Care,
		Text:  fmt.Sprintf("a half-transparent part %s wide; %s holds no more than %s of it", fine(s.MM), j.method(), fine(j.rules.SoftEdge.MM())),
		Mend:  "make the edge hard, or lay the fade on a solid colour",
	})
}

// fine writes widths that a ruler hardly shows.
func fine(mm float64) string { return strconv.FormatFloat(roundTo(mm, spotStep), 'f', -1, 64) + " mm" }

// mostEnlarging is the factor up to which printing larger is offered as a mend
// for what is too thin.
const mostEnlarging = 2

func (j *judge) strokes() {
	check := func(id string, s *Spot, least unit.Length, text, mend string) {
		if s == nil || s.MM >= least.MM() {
			return
		}
		mend = fmt.Sprintf(mend, fine(least.MM()))
		if factor := least.MM() / s.MM; factor <= mostEnlarging {
			larger := unit.Millimetres(j.report.Print.Width * factor)
			mend += fmt.Sprintf(", or print it %s wide", j.length(larger))
		}
		j.at(s, Finding{ID: id, Level: Care, Text: fmt.Sprintf(text, fine(s.MM), fine(least.MM())), Mend: mend})
	}
	check(ThinStroke, j.report.ThinnestStroke, j.rules.MinStroke,
		"the thinnest stroke is %s; below %s it may not hold", "thicken it to %s")
	check(ThinGap, j.report.ThinnestGap, j.rules.MinGap,
		"the thinnest gap is %s; below %s it may close up", "open it to %s")
}

func (j *judge) text() {
	s := j.report.SmallText
	if s == nil || s.MM >= j.rules.MinText.MM() {
		return
	}
	j.at(s, Finding{
		ID:    SmallText,
		Level: Care,
		Text:  fmt.Sprintf("what looks like type is %s high; below %s it is hard to read", fine(s.MM), fine(j.rules.MinText.MM())),
		Mend:  fmt.Sprintf("set it at least %s high, or leave it out", fine(j.rules.MinText.MM())),
	})
}

func (j *judge) specks() {
	s := j.report.Specks
	if s.Count <= j.rules.Specks {
		return
	}
	things := "specks"
	if s.Count == 1 {
		things = "speck"
	}
	j.add(Finding{
		ID:     SpecksFound,
		Level:  Care,
		Text:   fmt.Sprintf("%s lone %s, the smallest %s across: each is weeded by hand or falls off", thousands(s.Count), things, fine(s.SmallestMM)),
		Mend:   "clean the file, or join them to the art",
		X:      s.X,
		Y:      s.Y,
		Placed: true,
	})
}

// mostNamed bounds the colours named in one sentence.
const mostNamed = 3

func (j *judge) colours() {
	if !j.wish.Blank.Known {
		return
	}
	swatches := j.report.Forecast.Swatches
	var gone, moved []int
	for i, s := range swatches {
		switch {
		case s.Vanishes:
			gone = append(gone, i)
		case j.rules.Shift > 0 && s.Difference > j.rules.Shift:
			moved = append(moved, i)
		}
	}
	if j.rules.Dye && len(gone) < len(swatches) {
		// White that stays the blank's own white is as it was wanted.
		gone = slices.DeleteFunc(gone, func(i int) bool { return swatches[i].Difference < blankWhite })
	}
	if len(gone) > 0 {
		j.atColour(gone[0], Finding{
			ID:    Vanishes,
			Level: Care,
			Text:  fmt.Sprintf("%s can't be told from %s", j.named(gone, func(s colour.Swatch) string { return s.Name }), j.blank()),
			Mend:  "change the colour, add an outline, or choose another blank",
		})
	}
	if len(moved) > 0 {
		describe := func(s colour.Swatch) string {
			return fmt.Sprintf("%s will look like %s (%s)", s.Name, s.SeenName, s.Word)
		}
		j.atColour(moved[0], Finding{
			ID:    ColourShift,
			Level: Care,
			Text:  j.named(moved, describe),
			Mend:  j.shiftMend(),
		})
	}
}

func (j *judge) shiftMend() string {
	if j.rules.Dye && j.wish.Blank.Polyester < 1 {
		return "use a white blank with more polyester, or a method with white under the print"
	}
	return "use a white blank, or a method with white under the print"
}

func (j *judge) named(which []int, describe func(colour.Swatch) string) string {
	var words []string
	for _, i := range which[:min(len(which), mostNamed)] {
		words = append(words, describe(j.report.Forecast.Swatches[i]))
	}
	if more := len(which) - len(words); more > 0 {
		words = append(words, fmt.Sprintf("%d more", more))
	}
	return strings.Join(words, ", ")
}

// atColour puts a finding where a main colour is seen; forecasts and main
// colours have the same order.
func (j *judge) atColour(i int, f Finding) {
	c := j.report.Colours[i]
	f.X, f.Y, f.Placed = c.X, c.Y, true
	j.add(f)
}

func (j *judge) photo() {
	b := j.wish.Blank
	if !b.Known || !j.report.Photo || !slices.Contains(j.rules.PhotoOn, b.Shade) {
		return
	}
	j.add(Finding{
		ID:    PhotoOnBlank,
		Level: Care,
		Text:  fmt.Sprintf("this is a photo or has fine shades, and %s is %s: its light parts suffer", j.blank(), b.Shade),
		Mend:  "choose a white blank, or try one piece first",
	})
}

// sameShape is how much smaller than wished a side may come out unmentioned:
// nobody measures a print to 2 %.
const sameShape = 0.02

func (j *judge) proportion() {
	w, p := j.wish, j.report.Print
	if w.Width == 0 || w.Height == 0 {
		return
	}
	if p.Width >= w.Width.MM()*(1-sameShape) && p.Height >= w.Height.MM()*(1-sameShape) {
		return
	}
	style := w.Style
	j.add(Finding{
		ID: Proportion,
		Text: fmt.Sprintf("the art keeps its shape and prints %s inside %s",
			style.Size(unit.Millimetres(p.Width), unit.Millimetres(p.Height)), style.Size(w.Width, w.Height)),
		Mend: "say which side counts, or send art of that shape",
	})
}
