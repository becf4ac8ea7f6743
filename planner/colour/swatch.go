package colour

import (
	"fmt"

	"presshand/planner/picture"
)

// Sizes of the swatch picture, in pixels.
const (
	swatchMargin = 24.0
	swatchWidth  = 132.0 // of each half, before and after
	swatchHeight = 84.0
	swatchGap    = 18.0
	swatchText   = 330.0 // room for words to the right
	swatchHead   = 30.0  // room for the two column heads
)

// Draw shows each wanted colour beside its forecast. Before stands on white,
// as on a screen; after lies on a strip of the bare blank, so that what
// vanishes vanishes here too. The blank is Problem.Blank.
func Draw(p Problem, plan Plan) *picture.Canvas {
	const (
		before = swatchMargin
		after  = before + swatchWidth + swatchGap
		words  = after + swatchWidth + swatchGap
		pitch  = swatchHeight + swatchGap
	)
	height := swatchMargin + swatchHead + float64(len(plan.Swatches))*pitch + swatchMargin - swatchGap
	c := picture.New(words+swatchText+swatchMargin, height, White())
	head := picture.Text{Size: 15, Colour: ink(), Bold: true}
	c.Text(before, swatchMargin+12, "the file", head)
	c.Text(after, swatchMargin+12, "on the blank", head)
	for i, s := range plan.Swatches {
		y := swatchMargin + swatchHead + float64(i)*pitch
		c.Rect(before, y, swatchWidth, swatchHeight, picture.Style{Fill: s.Wanted, Stroke: rule()})
		c.Rect(after, y, swatchWidth, swatchHeight, picture.Style{Fill: p.Blank, Stroke: rule()})
		const inset = swatchHeight / 6
		c.Rect(after+inset, y+inset, swatchWidth-2*inset, swatchHeight-2*inset, picture.Style{Fill: s.Seen})
		drawWords(c, words, y, s)
	}
	return c
}

func drawWords(c *picture.Canvas, x, y float64, s Swatch) {
	const line = 21.0
	plain := picture.Text{Size: 14, Colour: ink()}
	strong := plain
	strong.Bold = true
	c.Text(x, y+16, fmt.Sprintf("%s %s", s.Name, s.Wanted), strong)
	c.Text(x, y+16+line, fmt.Sprintf("looks like %s %s", s.SeenName, s.Seen), plain)
	c.Text(x, y+16+2*line, s.Word, plain)
	last := fmt.Sprintf("difference %.1f, contrast to the blank %.1f", s.Difference, s.Contrast)
	if s.Vanishes {
		last = "vanishes on this blank"
	}
	c.Text(x, y+16+3*line, last, plain)
}

// ink and rule are the colours of words and of thin frames.
func ink() Colour  { return Colour{R: 0x26, G: 0x2b, B: 0x30} }
func rule() Colour { return Colour{R: 0xa9, G: 0xae, B: 0xb3} }
