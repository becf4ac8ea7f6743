package answer

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"presshand/bot/reply"
	"presshand/planner/picture"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// plan answers when an order can be ready and what the day looks like.
func (c *draft) plan() {
	if c.ask.What == "hours" {
		c.hours()
		return
	}
	if c.ask.What == "first" && c.wantsDay(c.turn.Memory.Order) {
		c.boardTopic()
		return
	}
	o, ok := c.order()
	if !ok {
		if c.ask.What == "first" {
			c.boardTopic()
			return
		}
		c.asked("order", c.phrase("ask-order", "How many of what blank, in what colour, and how large is the print?"))
		return
	}
	if c.troubled(o) {
		return
	}
	if when := c.ask.Subject.When; o.Due == "" && !when.IsZero() { // "can it be ready at 11"
		o.Due = when.Format(time.RFC3339)
	}
	done, ok := c.costed(o)
	if !ok {
		return
	}
	c.r.Plan = done.Press
	switch c.ask.What {
	case "what-if":
		c.whatIf(done)
	case "cooling":
		c.cooling(done)
	case "bottleneck":
		c.bottleneck(done.Press)
	case "first":
		c.runList(done.Press)
	default:
		c.timeline(done)
	}
	for _, a := range done.Work.Assumed {
		c.assume(a)
	}
}

// timeline says when an order is ready and how the time is spent.
func (c *draft) timeline(done Costed) {
	p := done.Press
	n := total(done.Work.Order)
	c.computed("quantity", n, "count")
	c.readyLine(done)
	c.computed("duration", p.Makespan.Seconds(), "s")
	c.computed("hands_on", p.HandsOn.Seconds(), "s")
	c.computed("waiting", p.Waiting.Seconds(), "s")
	c.say("timeline", "{n} pieces take {span} from start to finish; {hands} of hands-on work, {waiting} in which nobody is needed.", "n", fmt.Sprint(n),
		"span", c.span(p.Makespan), "hands", c.span(p.HandsOn), "waiting", c.span(p.Waiting))
	if len(p.Busy) > 0 {
		c.computed("busiest", p.Busy[0].Resource, "")
		c.say("busiest", "Busiest: {resource}, {share} of its time.", "resource", c.resource(p, p.Busy[0].Resource), "share", c.percent("busy_share", p.Busy[0].Share))
	}
	c.atLeast(p)
	c.timelinePicture(p)
	c.suggest("what is the slow step?", "what if two people?", "run list", "quote it")
}

// atLeast says how far the plan may be from the shortest possible.
func (c *draft) atLeast(p press.Plan) {
	if p.Gap() == 0 {
		c.say("no-faster", "No plan is faster.")
	}
}

func (c *draft) percent(name string, share float64) string {
	c.computed(name, round(share*100), "%")
	return rounded(share*100) + " %"
}

func (c *draft) span(d time.Duration) string {
	if d < fewMinutes {
		return c.style().Duration(unit.Seconds(d.Round(time.Second).Seconds()))
	}
	return c.style().Duration(unit.Seconds(d.Round(time.Minute).Seconds()))
}

// fewMinutes is how long a stretch must be to be told in whole minutes.
const fewMinutes = 5 * time.Minute

// resource names a machine or a person of a plan: "press 1".
func (c *draft) resource(p press.Plan, name string) string {
	for _, r := range p.Resources {
		if r.Name == name && r.Label != "" {
			return c.numbered(r.Label)
		}
	}
	return c.numbered(strings.ReplaceAll(name, "-", " "))
}

// numbered gives the noun before a number in the asker's language.
func (c *draft) numbered(name string) string {
	if at := strings.LastIndexByte(name, ' '); at > 0 && isDigit(name[len(name)-1]) {
		return c.noun(name[:at]) + name[at:]
	}
	return c.noun(name)
}

// cooling says from how many pieces on cooling costs no time, because the next
// piece is pressed meanwhile.
func (c *draft) cooling(done Costed) {
	o := c.pressOrder(done.Work, orderID(done.Work))
	print := o.Jobs[0].Prints[0]
	if print.Recipe.CoolWait == 0 {
		c.say("cooling-none", "Nothing waits to cool: {method} is peeled at once.", "method", c.noun(done.Work.Lines[0].Method.Name))
		return
	}
	pace, err := press.PaceOf(c.pressShop, 0, print)
	if err != nil {
		c.say("cooling-unknown", "Not to be said in one figure for that: {why}.", "why", err.Error())
		return
	}
	n, ok := pace.HiddenFrom()
	if !ok {
		c.say("cooling-always", "Cooling costs time at any quantity on one press.")
		return
	}
	c.computed("hidden_from", n, "count")
	c.say("cooling", "From {n} pieces on, cooling costs no time on one press: the next is pressed meanwhile.", "n", fmt.Sprint(n))
	c.suggest("timeline", "what is the slow step?")
}

// bottleneck names the busiest resource.
func (c *draft) bottleneck(p press.Plan) {
	if len(p.Busy) == 0 {
		c.say("no-bottleneck", "Nothing is busy in that plan.")
		return
	}
	b := p.Busy[0]
	c.say("bottleneck", "{resource} holds it up: busy {share} of the time, {time} in all.", "resource", upper(c.resource(p, b.Resource)),
		"share", c.percent("busy_share", b.Share), "time", c.span(b.Time))
	c.computed("busy_time", b.Time.Seconds(), "s")
	for _, next := range p.Busy[1:min(3, len(p.Busy))] {
		c.computed("busy_time", next.Time.Seconds(), "s")
		c.say("next-busy", "Then {resource}: {time}.", "resource", c.resource(p, next.Resource), "time", c.span(next.Time))
	}
	c.suggest("what if two people?", "timeline")
}

// whatIf plans the order again with other presses or people.
func (c *draft) whatIf(done Costed) {
	shop := c.pressShop
	shop.People, shop.Presses = slices.Clone(shop.People), slices.Clone(shop.Presses)
	text := lower(c.said())
	s := c.ask.Subject
	presses, staff := s.Presses, s.People
	if m := hands.FindStringSubmatch(text); m != nil && presses+staff == 0 { // said in another language
		n, _ := strconv.Atoi(m[1])
		if strings.HasPrefix(m[2], "press") {
			presses = n
		} else {
			staff = n
		}
		s.Number = 0
	}
	if presses == 0 && staff == 0 {
		if strings.Contains(text, "press") { // "on another press"
			presses = flatPresses(shop.Presses) + 1
		} else {
			staff = len(shop.People) + 1
		}
	}
	var changes []string
	if presses > 0 {
		shop.Presses = withPresses(shop.Presses, presses)
		changes = append(changes, fmt.Sprintf("%d %s", presses, c.noun(plural(presses, "press"))))
	}
	if staff > 0 {
		shop.People = withPeople(shop.People, staff)
		changes = append(changes, fmt.Sprintf("%d %s", staff, c.noun(people(staff))))
	}
	change := c.and(changes)
	if n := int(s.Number); n > 0 && n <= price.MaxPieces && n != done.Work.Lines[0].Quantity && len(done.Work.Lines) == 1 {
		o := done.Work.Order
		o.Lines = slices.Clone(o.Lines)
		o.Lines[0].Quantity, o.Lines[0].Sizes = n, nil
		again, ok := c.costed(o)
		if !ok {
			return
		}
		done = again
		c.computed("quantity", n, "count")
		change = c.phrase("pieces-and", "{n} pieces and {change}", "n", fmt.Sprint(n), "change", change)
	}
	other, err := press.Solve(press.Problem{Start: c.turn.Now.Truncate(time.Second), Shop: shop, Orders: []press.Order{c.pressOrder(done.Work, orderID(done.Work))}})
	if err != nil {
		c.fail(err)
		return
	}
	c.r.Plan = other
	was, now := done.Press.Finish.In(c.turn.Now.Location()), other.Finish.In(c.turn.Now.Location())
	c.computed("ready_at", now.Format(time.RFC3339), "RFC3339")
	c.computed("duration", other.Makespan.Seconds(), "s")
	c.say("what-if", "With {change}: ready {when}, {span} from start to finish.", "change", change, "when", c.when(now), "span", c.span(other.Makespan))
	c.computed("ready_at", was.Format(time.RFC3339), "RFC3339")
	c.say("as-it-is", "As the shop is now: {when}.", "when", c.when(was))
	c.suggest("what is the slow step?", "timeline")
}

// hands are a number of people or presses, at most two digits.
var hands = regexp.MustCompile(`\b(\d{1,2}) (people|person|presses|press)\b`)

func people(n int) string {
	if n == 1 {
		return "person"
	}
	return "people"
}

func withPeople(have []press.Person, n int) []press.Person {
	for len(have) < n && len(have) > 0 {
		next := have[len(have)-1]
		next.Name = fmt.Sprintf("person %d", len(have)+1)
		have = append(have, next)
	}
	return have[:min(n, len(have))]
}

// withPresses leaves n flat presses, or adds more like the last flat one.
func withPresses(have []press.Press, n int) []press.Press {
	var flat, other []press.Press
	for _, p := range have {
		if p.Kind == "flat" {
			flat = append(flat, p)
		} else {
			other = append(other, p)
		}
	}
	for len(flat) < n && len(flat) > 0 {
		next := flat[len(flat)-1]
		next.Name = fmt.Sprintf("%s %d", next.Name, len(flat)+1)
		flat = append(flat, next)
	}
	return append(flat[:min(n, len(flat))], other...)
}

func flatPresses(presses []press.Press) int {
	n := 0
	for _, p := range presses {
		if p.Kind == "flat" {
			n++
		}
	}
	return n
}

// runList shows the first steps a person can follow.
func (c *draft) runList(p press.Plan) {
	lines := c.runLines(p)
	if len(lines) == 0 {
		c.say("nothing-to-run", "Nothing to run.")
		return
	}
	c.r.Lines = append(c.r.Lines, lines[:min(mostRunLines, len(lines))]...)
	if len(lines) > mostRunLines {
		c.computed("more_steps", len(lines)-mostRunLines, "count")
		c.say("more-lines", "and {n} more steps.", "n", fmt.Sprint(len(lines)-mostRunLines))
	}
}

// mostRunLines keeps a run list readable on a phone.
const mostRunLines = 8

// picture adds the timeline and the sheets of an order, where pictures are
// wanted.
func (c *draft) picture(done Costed) {
	if !c.pictures {
		return
	}
	for _, g := range c.gangs(done.Work) {
		if plan, err := sheet.Solve(g); err == nil {
			c.sheetPicture(g, plan)
		}
	}
}

// sheetPicture adds a picture of sheets to cut by.
func (c *draft) sheetPicture(p sheet.Problem, plan sheet.Plan) {
	if !c.pictures {
		return
	}
	c.png(fmt.Sprintf("sheets-%d.png", len(c.r.Files)+1), fmt.Sprintf("%d pieces on %d %s sheets", len(plan.Places), plan.Sheets, p.Sheet.Name), func() *picture.Canvas { return sheet.Draw(p, plan) })
}

// timelinePicture adds the press plan, one lane a resource.
func (c *draft) timelinePicture(p press.Plan) {
	if !c.pictures {
		return
	}
	c.png("timeline.png", "Timeline of "+p.Start.Format("Mon 15:04")+" to "+p.Finish.Format("Mon 15:04")+", one lane a printer, press, person and the rack", func() *picture.Canvas { return press.Draw(p) })
}

// png adds a picture that is drawn when a face wants it: drawing takes longer
// than all the rest of an answer. What draw holds on to lasts as long as the
// reply, so it should be small.
func (c *draft) png(name, alt string, draw func() *picture.Canvas) {
	c.r.Files = append(c.r.Files, reply.File{Name: name, Type: "image/png", Alt: alt, Draw: func() ([]byte, error) {
		var buf bytes.Buffer
		err := draw().PNG(&buf)
		return buf.Bytes(), err
	}})
}
