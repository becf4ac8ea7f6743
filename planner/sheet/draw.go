package sheet

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"presshand/planner/picture"
	"presshand/planner/unit"
)

// The picture is 1080 pixels wide, the width of most phones held upright, and
// its text is never smaller than smallText, about 1.3 mm on such a phone.
const (
	pictureWidth = 1080.0
	border       = 40.0
	titleText    = 42.0
	plainText    = 30.0
	smallText    = 20.0
	largeLabel   = 36.0
	lineSpace    = 1.35 // of the text size

	// mostDrawn sheets that differ are drawn; the rest is counted in words.
	mostDrawn = 24
	// mostListed designs stand in the key.
	mostListed = 40
)

// Colours of the picture: ink on warm paper, and tints by design that stay
// apart in grey too, since a shop may print the picture on any machine.
func ink() color.Color   { return color.NRGBA{0x2a, 0x2b, 0x3d, 0xff} }
func paper() color.Color { return color.NRGBA{0xf3, 0xee, 0xe3, 0xff} }
func faint() color.Color { return color.NRGBA{0x8d, 0x88, 0x7c, 0xff} }
func blade() color.Color { return color.NRGBA{0xb2, 0x3a, 0x48, 0xff} }

func tints() []color.Color {
	return []color.Color{
		color.NRGBA{0xcf, 0xe3, 0xdd, 0xff}, color.NRGBA{0xf4, 0xd9, 0xb8, 0xff},
		color.NRGBA{0xd9, 0xd3, 0xec, 0xff}, color.NRGBA{0xf1, 0xc9, 0xc6, 0xff},
		color.NRGBA{0xe6, 0xe6, 0xae, 0xff}, color.NRGBA{0xbf, 0xd4, 0xec, 0xff},
		color.NRGBA{0xe2, 0xcd, 0xdd, 0xff}, color.NRGBA{0xc9, 0xda, 0xb4, 0xff},
		color.NRGBA{0xd8, 0xc6, 0xa4, 0xff}, color.NRGBA{0xb5, 0xcf, 0xc8, 0xff},
		color.NRGBA{0xe9, 0xb9, 0xa6, 0xff}, color.NRGBA{0xbc, 0xb7, 0xd4, 0xff},
	}
}

// Draw shows a plan to scale: each sheet that differs from the others once,
// with the pieces' names and sizes, the lines to cut along, a scale bar and
// the free room on the last sheet; with a trimmer, each cut carries its
// number. Sizes are in inches where the sheet's are plain fractions of an
// inch, else in millimetres. The plan must be one of Solve for the problem.
func Draw(p Problem, plan Plan) *picture.Canvas {
	s := &sketch{problem: p, plan: plan, inches: inchSheet(p.Sheet), groups: alike(plan)}
	s.arrange()
	s.canvas = picture.New(pictureWidth, s.height, paper())
	s.title()
	for i, g := range s.shown() {
		s.sheet(g, s.corners[i][0], s.corners[i][1])
	}
	s.key()
	return s.canvas
}

// A stack is the sheets that look alike.
type stack struct {
	numbers []int
	places  []Place // of the first
}

// alike groups sheets with the same places.
func alike(plan Plan) []stack {
	bySheet := make([][]Place, plan.Sheets)
	for _, place := range plan.Places {
		bySheet[place.Sheet-1] = append(bySheet[place.Sheet-1], place)
	}
	at := map[string]int{}
	var groups []stack
	for n, places := range bySheet {
		var look strings.Builder
		for _, place := range places {
			fmt.Fprintln(&look, place.Piece, place.X, place.Y, place.Turned)
		}
		i, ok := at[look.String()]
		if !ok {
			i = len(groups)
			at[look.String()] = i
			groups = append(groups, stack{places: places})
		}
		groups[i].numbers = append(groups[i].numbers, n+1)
	}
	return groups
}

// inchSheet reports whether both sides are whole halves of an inch.
func inchSheet(s Sheet) bool {
	half := func(l unit.Length) bool {
		n := 2 * l.In()
		return math.Abs(n-math.Round(n)) < 1e-6
	}
	return half(s.Width) && half(s.Height)
}

// A sketch is a picture being drawn.
type sketch struct {
	problem Problem
	plan    Plan
	inches  bool
	groups  []stack
	canvas  *picture.Canvas

	scale   float64      // pixels a millimetre
	corners [][2]float64 // of each sheet shown
	keyTop  float64
	height  float64
}

// shown returns the stacks that are drawn: the first ones, and always that of
// the last sheet, as it shows the free room.
func (s *sketch) shown() []stack {
	if len(s.groups) <= mostDrawn {
		return s.groups
	}
	last := slices.IndexFunc(s.groups, func(g stack) bool { return slices.Contains(g.numbers, s.plan.Sheets) })
	if last < mostDrawn {
		return s.groups[:mostDrawn]
	}
	return append(slices.Clone(s.groups[:mostDrawn-1]), s.groups[last])
}

// arrange sets scale and place of everything: one sheet alone fills the width,
// a few stand in two columns, more in three.
func (s *sketch) arrange() {
	n := len(s.shown())
	columns := 3
	switch {
	case n <= 1:
		columns = 1
	case n <= 6:
		columns = 2
	}
	length := s.problem.Sheet.Height
	if s.plan.Endless {
		length = s.plan.Length
	}
	room := (pictureWidth - border*float64(columns+1)) / float64(columns)
	s.scale = room / float64(s.problem.Sheet.Width)
	if columns == 1 {
		const tallest = 1.5 * pictureWidth // a long sheet is not drawn wider than a phone is high
		s.scale = min(s.scale, tallest/float64(length))
	}
	w, h := float64(s.problem.Sheet.Width)*s.scale, float64(length)*s.scale
	caption := plainText * lineSpace
	top := border + titleText*lineSpace + 2*plainText*lineSpace
	for i := range n {
		column, row := i%columns, i/columns
		x := border + float64(column)*(room+border) + (room-w)/2
		s.corners = append(s.corners, [2]float64{x, top + float64(row)*(h+caption+border) + caption})
	}
	rows := (n + columns - 1) / columns
	s.keyTop = top + float64(rows)*(h+caption+border)
	s.height = s.keyTop + s.scaleBarHeight() + float64(min(len(s.problem.Pieces), mostListed)+1)*plainText*lineSpace + border
}

func (s *sketch) scaleBarHeight() float64 { return 2.6 * plainText }

func (s *sketch) title() {
	c := s.canvas
	verdict := "perhaps not the fewest; at least " + strconv.Itoa(s.plan.AtLeast)
	if s.plan.Fewest {
		verdict = "the fewest possible"
	}
	head := plural(s.plan.Sheets, "sheet") + ", " + verdict
	if s.plan.Endless {
		head = "one strip, " + s.length(s.plan.Length) + " long"
	}
	y := border + titleText
	c.Text(border, y, head, picture.Text{Size: titleText, Colour: ink(), Bold: true})
	y += plainText * lineSpace
	name := s.problem.Sheet.Name
	if name != "" {
		name += " "
	}
	height := s.problem.Sheet.Height
	if s.plan.Endless {
		height = s.plan.Length
	}
	c.Text(border, y, fmt.Sprintf("%s%s, margin %s, gap %s", name, s.size(s.problem.Sheet.Width, height), mm(s.problem.Sheet.Margin), mm(s.problem.Sheet.Gap)),
		picture.Text{Size: plainText, Colour: ink()})
	y += plainText * lineSpace
	line := fmt.Sprintf("%s, %.0f %% of the paper used", plural(len(s.plan.Places), "piece"), 100*s.plan.Used)
	if more := len(s.groups) - mostDrawn; more > 0 {
		line += fmt.Sprintf("; %d more layouts not drawn", more)
	}
	c.Text(border, y, line, picture.Text{Size: plainText, Colour: ink()})
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func (s *sketch) length(l unit.Length) string {
	if s.inches {
		return strconv.FormatFloat(math.Round(l.In()*100)/100, 'f', -1, 64) + " in"
	}
	return strconv.FormatFloat(math.Round(float64(l)*10)/10, 'f', -1, 64) + " mm"
}

func (s *sketch) size(w, h unit.Length) string {
	both := s.length(w)
	return both[:strings.LastIndexByte(both, ' ')] + " x " + s.length(h)
}

// sheet draws one sheet with its top left corner at x, y.
func (s *sketch) sheet(g stack, x, y float64) {
	c := s.canvas
	length := s.problem.Sheet.Height
	if s.plan.Endless {
		length = s.plan.Length
	}
	w, h := float64(s.problem.Sheet.Width)*s.scale, float64(length)*s.scale
	c.Text(x, y-0.35*plainText, caption(g.numbers), picture.Text{Size: plainText, Colour: ink(), Bold: true})
	c.Rect(x, y, w, h, picture.Style{Fill: color.White, Stroke: ink(), Width: 3})
	margin := float64(s.problem.Sheet.Margin) * s.scale
	if margin > 2 {
		c.Rect(x+margin, y+margin, w-2*margin, h-2*margin, picture.Style{Stroke: faint(), Width: 1, Dash: []float64{2, 6}})
	}
	if !s.plan.Endless && slices.Contains(g.numbers, s.plan.Sheets) {
		s.free(x, y)
	}
	for _, place := range g.places {
		s.piece(place, x, y)
	}
	if s.plan.Cut == Trimmer {
		s.cuts(g.numbers[0], x, y)
	}
}

// caption names the sheets of a stack: "sheet 3", "sheets 1 to 4",
// "sheets 1, 2 and 5".
func caption(numbers []int) string {
	last := numbers[len(numbers)-1]
	switch {
	case len(numbers) == 1:
		return "sheet " + strconv.Itoa(last)
	case last-numbers[0] == len(numbers)-1:
		return fmt.Sprintf("sheets %d to %d, all alike", numbers[0], last)
	case len(numbers) > 4:
		return fmt.Sprintf("%d sheets alike, from %d to %d", len(numbers), numbers[0], last)
	}
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = strconv.Itoa(n)
	}
	return "sheets " + strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// free hatches the largest room left on the last sheet.
func (s *sketch) free(x, y float64) {
	f := s.plan.Free
	if f.Width <= 0 {
		return
	}
	r := [4]float64{x + float64(f.X)*s.scale, y + float64(f.Y)*s.scale, float64(f.Width) * s.scale, float64(f.Height) * s.scale}
	pale := color.NRGBA{0xd6, 0xd0, 0xc2, 0xff}
	s.canvas.Rect(r[0], r[1], r[2], r[3], picture.Style{Stroke: pale, Width: 1, Hatch: true})
	s.label(r, []string{"free", s.size(f.Width, f.Height)}, faint(), true)
}

// piece draws one piece with the line to cut along, half the gap away.
func (s *sketch) piece(place Place, x, y float64) {
	c := s.canvas
	left, top := x+float64(place.X)*s.scale, y+float64(place.Y)*s.scale
	w, h := float64(place.Width)*s.scale, float64(place.Height)*s.scale
	tint := tints()[place.Piece%len(tints())]
	if bleed := float64(s.problem.Bleed) * s.scale; bleed > 0 {
		c.Rect(left-bleed, top-bleed, w+2*bleed, h+2*bleed, picture.Style{Fill: tint})
	}
	c.Rect(left, top, w, h, picture.Style{Fill: tint, Stroke: ink(), Width: 1.5})
	if s.plan.Cut == Free {
		off := float64(s.problem.Sheet.Gap) / 2 * s.scale
		if s.problem.Bleed > 0 {
			off = 0
		}
		c.Rect(left-off, top-off, w+2*off, h+2*off, picture.Style{Stroke: blade(), Width: 1.5, Dash: []float64{9, 5}})
	}
	size := s.size(place.Width, place.Height)
	across, down, _ := strings.Cut(size, " x ")
	number := "#" + strconv.Itoa(place.Piece+1)
	r := [4]float64{left, top, w, h}
	for _, lines := range [][]string{{place.Name, size}, {place.Name, across + " x", down}, {place.Name}, {number}} {
		if lines[0] != "" && s.label(r, lines, ink(), false) {
			return
		}
	}
}

// label writes lines into the middle of a rectangle, turned where only that
// fits, and reports whether there was room. On a plate, the lines stand on a
// white ground.
func (s *sketch) label(r [4]float64, lines []string, colour color.Color, plate bool) bool {
	const inset = 5
	for size := largeLabel; size >= smallText; size -= 2 {
		wide := 0.0
		for i, line := range lines {
			wide = max(wide, s.canvas.TextWidth(line, size, i == 0))
		}
		high := size * lineSpace * float64(len(lines))
		turn := false
		switch {
		case wide+2*inset <= r[2] && high+inset <= r[3]:
		case wide+2*inset <= r[3] && high+inset <= r[2]:
			turn = true
		default:
			continue
		}
		s.write(r, lines, size, wide, high, colour, turn, plate)
		return true
	}
	return false
}

func (s *sketch) write(r [4]float64, lines []string, size, wide, high float64, colour color.Color, turn, plate bool) {
	x, y := r[0]+r[2]/2, r[1]+r[3]/2
	if plate {
		w, h := wide+size, high+size/3
		if turn {
			w, h = h, w
		}
		s.canvas.Rect(x-w/2, y-h/2, w, h, picture.Style{Fill: color.White})
	}
	for i, line := range lines {
		// The baseline lies about a third of the size below the middle of a
		// line.
		off := (float64(i)-float64(len(lines)-1)/2)*size*lineSpace + 0.35*size
		t := picture.Text{Size: size, Colour: colour, Anchor: picture.Middle, Bold: i == 0, Turn: turn}
		if turn {
			s.canvas.Text(x+off, y, line, t)
		} else {
			s.canvas.Text(x, y+off, line, t)
		}
	}
}

// cuts draws the trimmer's cuts of a sheet with their numbers.
func (s *sketch) cuts(sheet int, x, y float64) {
	style := picture.Style{Stroke: blade(), Width: 2, Dash: []float64{14, 6}}
	for _, cut := range s.plan.Cuts {
		if cut.Sheet != sheet {
			continue
		}
		at, from, to := cut.At*s.scale, cut.From*s.scale, cut.To*s.scale
		// The number stands near the start of the line, away from the names in
		// the middle of the pieces.
		mark := from + min(1.6*smallText, (to-from)/2)
		if cut.Along == "x" {
			s.canvas.Line(x+at, y+from, x+at, y+to, style)
			s.number(x+at, y+mark, cut.Order)
		} else {
			s.canvas.Line(x+from, y+at, x+to, y+at, style)
			s.number(x+mark, y+at, cut.Order)
		}
	}
}

func (s *sketch) number(x, y float64, n int) {
	text := strconv.Itoa(n)
	r := s.canvas.TextWidth(text, smallText, true)/2 + 7
	s.canvas.Circle(x, y, max(r, 14), picture.Style{Fill: color.White, Stroke: blade(), Width: 2})
	s.canvas.Text(x, y+0.36*smallText, text, picture.Text{Size: smallText, Colour: blade(), Anchor: picture.Middle, Bold: true})
}

// key draws the scale bar and lists the designs.
func (s *sketch) key() {
	y := s.keyTop
	s.scaleBar(border, y)
	y += s.scaleBarHeight() + plainText
	for i, piece := range s.problem.Pieces {
		if i == mostListed {
			s.canvas.Text(border, y, fmt.Sprintf("and %d more designs", len(s.problem.Pieces)-i), picture.Text{Size: plainText, Colour: ink()})
			return
		}
		tint := tints()[i%len(tints())]
		s.canvas.Rect(border, y-0.8*plainText, plainText, plainText, picture.Style{Fill: tint, Stroke: ink(), Width: 1.5})
		number := fmt.Sprintf("#%d", i+1)
		s.canvas.Text(border+1.5*plainText, y, number, picture.Text{Size: plainText, Colour: ink(), Bold: true})
		text := fmt.Sprintf("%s  %s, %d of it", piece.Name, s.size(piece.Width, piece.Height), piece.Count)
		if piece.Order != "" {
			text += ", " + piece.Order
		}
		s.canvas.Text(border+4*plainText, y, text, picture.Text{Size: plainText, Colour: ink()})
		y += plainText * lineSpace
	}
}

// scaleBar draws a ruler of a round length, about a third of the picture wide,
// with what the lines mean beside it.
func (s *sketch) scaleBar(x, y float64) {
	step, name := 1.0, "mm"
	if s.inches {
		step, name = unit.MillimetresPerInch, "in"
	}
	count := roundBelow(pictureWidth / 3 / (step * s.scale))
	w := count * step * s.scale
	const parts = 5
	for i := range parts {
		fill := color.Color(color.White)
		if i%2 == 0 {
			fill = ink()
		}
		s.canvas.Rect(x+w*float64(i)/parts, y, w/parts, plainText/3, picture.Style{Fill: fill, Stroke: ink(), Width: 1.5})
	}
	s.canvas.Text(x, y+1.4*plainText, "0", picture.Text{Size: plainText, Colour: ink()})
	s.canvas.Text(x+w, y+1.4*plainText, strconv.FormatFloat(count, 'f', -1, 64)+" "+name, picture.Text{Size: plainText, Colour: ink(), Anchor: picture.Middle})
	left := x + w + 4*plainText
	style := picture.Style{Stroke: blade(), Width: 2, Dash: []float64{9, 5}}
	s.canvas.Line(left, y+plainText/6, left+2*plainText, y+plainText/6, style)
	cut := "cut along"
	if s.plan.Cut == Trimmer {
		cut = "cut, in this order"
	}
	s.canvas.Text(left+2.4*plainText, y+plainText/2, cut, picture.Text{Size: plainText, Colour: ink()})
}

// roundBelow returns the largest of 1, 2, 5, 10, 20, 50 ... that is at most x,
// or a half or a tenth for a bar shorter than one unit.
func roundBelow(x float64) float64 {
	if x < 1 {
		return max(0.1, math.Floor(x*10)/10)
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, n := range []float64{5, 2} {
		if n*power <= x {
			return n * power
		}
	}
	return power
}
