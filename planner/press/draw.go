package press

import (
	"fmt"
	"image/color"
	"strconv"
	"strings"
	"time"

	"presshand/planner/picture"
)

// Measures of the picture in pixels. It is as wide as a phone shows without
// scrolling, with letters that stay legible when that is scaled to a hand's
// width.
const (
	drawWidth   = 1080.0
	drawMargin  = 28.0
	drawLabel   = 150.0 // column of lane names
	drawLane    = 54.0
	drawGap     = 16.0
	drawHead    = 104.0 // title and key of the picture
	drawDay     = 92.0  // head of a day: its name and the hours
	drawLetters = 26.0
	drawSmall   = 21.0
	drawLine    = 38.0 // of text below

	hatchFrom = 4.0 // shorter waits would only be a blot

	daysDrawn = 6 // more would make the picture too tall to read; a line says what is left out
)

// merged is how long a lane may rest between two pieces of work on one order
// for them to be drawn as one.
const merged = 150 * time.Second

// Draw is the plan as a timeline: a panel a day, in it a lane for each
// resource in use. Work stands in its order's tint with the order's name, or, where there
// is only one order, the step's; a
// press that changes its temperature is a ramp, up or down; a changeover of
// toner a cross; waiting is hatched: pieces cooling on the rack, and machines
// and people with nothing to do, or on a break, between their first and last
// work of the day.
// Below, when each order is ready.
func Draw(p Plan) *picture.Canvas {
	d := newDrawing(&p)
	c := picture.New(drawWidth, d.height(), paper())
	c.Text(drawMargin, drawMargin+30, d.title(), picture.Text{Size: 34, Bold: true, Colour: ink()})
	d.key(c)
	y := drawHead
	for i := range d.days {
		d.panel(c, &d.days[i], y)
		y += d.panelHeight()
	}
	d.orders(c, y)
	return c
}

// A drawnDay is the part of a plan on one day.
type drawnDay struct {
	from, to time.Time // whole quarters of an hour round what is done
	work     map[string][]stretch
}

// A stretch is work on a lane, drawn as one.
type stretch struct {
	from, to time.Time
	word     string // heat, changeover, cool, or "" for work
	order    string
	label    string
	up       bool // a ramp that rises
}

type drawing struct {
	plan  *Plan
	days  []drawnDay
	left  int // days left out
	lanes []Resource
	tint  map[string]int
}

func newDrawing(p *Plan) *drawing {
	d := &drawing{plan: p, tint: map[string]int{}}
	for i, r := range p.Ready {
		d.tint[r.Order] = i
	}
	used := map[string]bool{}
	dial := map[string]float64{}
	for i := range p.Steps {
		s := &p.Steps[i]
		for _, u := range s.Uses {
			used[u.Resource] = true
			d.add(s, u, dial)
		}
	}
	for _, r := range p.Resources {
		if used[r.Name] {
			d.lanes = append(d.lanes, r)
		}
	}
	for i := range d.days {
		d.days[i].from = d.days[i].from.Truncate(quarter)
		if t := d.days[i].to.Truncate(quarter); t.Before(d.days[i].to) {
			d.days[i].to = t.Add(quarter)
		}
	}
	return d
}

const quarter = 15 * time.Minute

// add puts a use on its day and lane. Steps come by start, so that a use only
// ever joins the last stretch of its lane.
func (d *drawing) add(s *Step, u Use, dial map[string]float64) {
	n := len(d.days)
	if n == 0 || dateOf(d.days[n-1].from) != dateOf(s.From) {
		if n == daysDrawn || d.left > 0 {
			d.left = 1 + int(s.From.Sub(d.days[n-1].from)/(24*time.Hour))
			return
		}
		d.days = append(d.days, drawnDay{from: s.From, to: s.To, work: map[string][]stretch{}})
		n++
		clear(dial) // presses are switched off at night
	}
	day := &d.days[n-1]
	if dateOf(day.from) == dateOf(u.To) {
		day.to = later(day.to, u.To)
	}
	now := stretch{from: u.From, to: u.To, order: s.Order, label: s.Order}
	switch s.Word {
	case StepHeat:
		now.word, now.label, now.up = s.Word, fmt.Sprintf("%.0f C", s.Temperature), s.Temperature > dial[u.Resource]
	case StepChangeover:
		now.word, now.label = s.Word, s.Toner
	case StepCool:
		now.word = s.Word
	default:
		if len(d.plan.Ready) == 1 && !strings.HasPrefix(u.Resource, "person-") {
			now.label = stageName(s.Word)
		}
	}
	if s.Temperature != 0 {
		dial[u.Resource] = s.Temperature
	}
	lane := day.work[u.Resource]
	if k := len(lane) - 1; k >= 0 && lane[k].joins(&now) {
		lane[k].to = later(lane[k].to, now.to)
		return
	}
	day.work[u.Resource] = append(lane, now)
}

// stageName is what a bar says where all of them are of the same order.
func stageName(word string) string {
	if word == StepPrepress {
		return StepPress
	}
	return word
}

// joins reports whether t goes on with s.
func (s *stretch) joins(t *stretch) bool {
	return s.word == t.word && (s.order == t.order && s.label == t.label || s.word == StepCool) && s.word != StepHeat && s.word != StepChangeover &&
		t.from.Sub(s.to) <= merged
}

func (d *drawing) panelHeight() float64 {
	return drawDay + float64(len(d.lanes))*(drawLane+drawGap) + drawGap
}

func (d *drawing) height() float64 {
	lines := len(d.plan.Ready) + 1
	if d.left > 0 {
		lines++
	}
	return drawHead + float64(len(d.days))*d.panelHeight() + float64(lines)*drawLine + drawMargin
}

func (d *drawing) title() string {
	orders := "1 order"
	if n := len(d.plan.Ready); n != 1 {
		orders = strconv.Itoa(n) + " orders"
	}
	return orders + ", ready " + d.plan.Finish.Format("Mon 2 Jan 15:04")
}

// key says what the marks mean.
func (d *drawing) key(c *picture.Canvas) {
	x, y := drawMargin, drawMargin+52.0
	words := func(text string) {
		c.Text(x+46, y+19, text, picture.Text{Size: drawSmall, Colour: faint()})
		x += 46 + c.TextWidth(text, drawSmall, false) + 26
	}
	c.Rect(x, y, 38, 22, picture.Style{Fill: tint(0)})
	words("work")
	c.Rect(x, y, 38, 22, waiting())
	words("waiting")
	ramp(c, x, y, 38, 22, true)
	words("press heats or cools")
	cross(c, x, y, 38, 22)
	words("toner changed")
}

// panel draws one day.
func (d *drawing) panel(c *picture.Canvas, day *drawnDay, y float64) {
	c.Line(drawMargin, y+6, drawWidth-drawMargin, y+6, picture.Style{Stroke: ink(), Width: 2})
	c.Text(drawMargin, y+44, day.from.Format("Mon 2 Jan"), picture.Text{Size: 30, Bold: true, Colour: ink()})
	top := y + drawDay
	d.hours(c, day, top)
	for i, r := range d.lanes {
		at := top + float64(i)*(drawLane+drawGap)
		c.Text(drawMargin, at+drawLane/2+9, spoken(r.Name), picture.Text{Size: drawLetters, Colour: ink()})
		c.Line(drawMargin+drawLabel, at+drawLane, drawWidth-drawMargin, at+drawLane, picture.Style{Stroke: thread(), Width: 2})
		d.lane(c, day, r.Name, at)
	}
}

// x is where a time stands in a day's panel.
func (day *drawnDay) x(t time.Time) float64 {
	left, right := drawMargin+drawLabel, drawWidth-drawMargin
	share := t.Sub(day.from).Seconds() / day.to.Sub(day.from).Seconds()
	return left + min(1, max(0, share))*(right-left)
}

// hours draws the time of day above the lanes, no closer than it can be read.
func (d *drawing) hours(c *picture.Canvas, day *drawnDay, top float64) {
	every := quarter
	for _, e := range []time.Duration{quarter, 30 * time.Minute, time.Hour, 2 * time.Hour, 4 * time.Hour} {
		every = e
		if day.x(day.from.Add(e))-day.x(day.from) >= 84 {
			break
		}
	}
	bottom := top + float64(len(d.lanes))*(drawLane+drawGap) - drawGap
	_, offset := day.from.Zone()
	first := day.from.Add(time.Duration(offset) * time.Second).Truncate(every).Add(-time.Duration(offset) * time.Second)
	for t := first; !t.After(day.to); t = t.Add(every) {
		if t.Before(day.from) {
			continue
		}
		x := day.x(t)
		c.Line(x, top-8, x, bottom, picture.Style{Stroke: thread(), Width: 1, Dash: []float64{3, 7}})
		anchor := picture.Middle
		if x > drawWidth-drawMargin-30 {
			anchor = picture.End
		}
		c.Text(x, top-14, t.Format("15:04"), picture.Text{Size: drawSmall, Colour: faint(), Anchor: anchor})
	}
}

// lane draws what one resource does.
func (d *drawing) lane(c *picture.Canvas, day *drawnDay, name string, y float64) {
	work := day.work[name]
	for i := range work {
		s := &work[i]
		x, w := day.x(s.from), max(2, day.x(s.to)-day.x(s.from))
		if i > 0 && s.from.After(work[i-1].to) && s.word != StepCool {
			if before := day.x(work[i-1].to); x-before >= hatchFrom {
				c.Rect(before, y+14, x-before, drawLane-14, waiting())
			}
		}
		switch s.word {
		case StepCool:
			c.Rect(x, y+6, w, drawLane-6, waiting())
		case StepHeat:
			ramp(c, x, y+6, w, drawLane-6, s.up)
			if c.TextWidth(s.label, drawSmall, false) <= w/2 {
				c.Text(x+w-6, y+drawLane-8, s.label, picture.Text{Size: drawSmall, Colour: ink(), Anchor: picture.End})
			}
		case StepChangeover:
			cross(c, x, y+6, w, drawLane-6)
		default:
			c.Rect(x, y+6, max(2, w-1), drawLane-6, picture.Style{Fill: tint(d.tint[s.order])})
			d.name(c, s.label, x, y, w, ink())
		}
	}
}

// name writes a label into a stretch where it has room.
func (d *drawing) name(c *picture.Canvas, text string, x, y, w float64, colour color.Color) {
	if c.TextWidth(text, drawSmall, false)+8 <= w {
		c.Text(x+w/2, y+drawLane/2+11, text, picture.Text{Size: drawSmall, Colour: colour, Anchor: picture.Middle})
	}
}

// orders lists below the panels when each order is ready.
func (d *drawing) orders(c *picture.Canvas, y float64) {
	if d.left > 0 {
		y += drawLine
		c.Text(drawMargin, y, fmt.Sprintf("and up to %d days more", d.left), picture.Text{Size: drawLetters, Colour: faint()})
	}
	late := map[string]time.Duration{}
	for _, l := range d.plan.Late {
		late[l.Order] = l.By
	}
	for _, r := range d.plan.Ready {
		y += drawLine
		c.Rect(drawMargin, y-21, 26, 24, picture.Style{Fill: tint(d.tint[r.Order])})
		text := r.Order + "  ready " + r.At.Format("Mon 2 Jan 15:04")
		if by := late[r.Order]; by > 0 {
			text += ", late by " + strings.TrimSuffix(by.Round(time.Minute).String(), "0s")
		}
		c.Text(drawMargin+40, y, text, picture.Text{Size: drawLetters, Colour: ink(), Bold: late[r.Order] > 0})
	}
}

// ramp is a wedge that rises or falls like the temperature does.
func ramp(c *picture.Canvas, x, y, w, h float64, up bool) {
	points := [][2]float64{{x, y + h}, {x + w, y + h}, {x + w, y}}
	if !up {
		points = [][2]float64{{x, y}, {x + w, y + h}, {x, y + h}}
	}
	c.Polygon(points, picture.Style{Fill: ember(), Stroke: ink(), Width: 1})
}

// cross is a crossed box.
func cross(c *picture.Canvas, x, y, w, h float64) {
	line := picture.Style{Stroke: ink(), Width: 2}
	c.Rect(x, y, w, h, picture.Style{Fill: color.White, Stroke: ink(), Width: 2})
	c.Line(x, y, x+w, y+h, line)
	c.Line(x, y+h, x+w, y, line)
}

func waiting() picture.Style { return picture.Style{Stroke: thread(), Width: 2, Hatch: true} }

func paper() color.Color  { return color.RGBA{0xfb, 0xf8, 0xf1, 0xff} }
func ink() color.Color    { return color.RGBA{0x22, 0x2b, 0x33, 0xff} }
func faint() color.Color  { return color.RGBA{0x5b, 0x62, 0x68, 0xff} }
func thread() color.Color { return color.RGBA{0xa9, 0xa3, 0x96, 0xff} }
func ember() color.Color  { return color.RGBA{0xf3, 0xc9, 0xa8, 0xff} }

// tint is the i-th of a round of soft colours, each light enough for dark
// letters on it. Names stand beside them, so that nothing hangs on the colour.
func tint(i int) color.Color {
	soft := []color.RGBA{
		{0x8f, 0xc1, 0xb5, 0xff}, {0xe3, 0xb7, 0x65, 0xff}, {0x9f, 0xb4, 0xd9, 0xff}, {0xd9, 0x9c, 0x9c, 0xff},
		{0xb9, 0xc9, 0x7a, 0xff}, {0xc3, 0xa6, 0xd1, 0xff}, {0x86, 0xc5, 0xd8, 0xff}, {0xd3, 0xbd, 0xa0, 0xff},
	}
	return soft[i%len(soft)]
}
