package answer

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner"
	"presshand/planner/unit"
)

// mostWait bounds a wait: nothing in a print shop is waited for longer, and a
// slip of the tongue is asked back.
const mostWait = 7 * 24 * time.Hour

// LateAfter is how far past its end a wait may be told without a word on it.
const LateAfter = time.Minute

// timers answers about running waits.
func (c *draft) timers() {
	c.r.Topic = "wait"
	if c.board == nil {
		c.say("no-waits", "No wait is running: waits are kept only where I was started with --data and a folder.")
		c.suggest("how long cool peel")
		return
	}
	answer := map[string]func() error{"start": c.startWait, "stop": c.stopWait, "extend": c.extendWait}[c.ask.What]
	if answer == nil {
		answer = c.listWaits
	}
	if err := answer(); err != nil {
		c.unkept(err)
	}
}

// startWait starts a wait of the length said, else of the recipe's.
func (c *draft) startWait() error {
	w := Wait{Conversation: c.turn.Conversation, User: c.turn.User, From: c.turn.Now}
	var order *planner.Order
	k, named, err := c.waitOrder()
	if err != nil {
		return err
	}
	switch {
	case named && k.Number == 0:
		return nil // there is no such order, and that was said
	case named:
		w.Number, w.Name, order = k.Number, c.label("order {n}", "n", fmt.Sprint(k.Number)), &k.Order
		if k.Order.For != "" {
			w.Name += ", " + k.Order.For
		}
	default:
		w.Name, order = c.waitName(), c.turn.Memory.Order
	}
	if named && c.ask.Subject.Duration == 0 && !c.peelsCold(k.Order) {
		c.asked("duration", c.phrase("no-cool-wait", "{order} has no cold peel to wait for: for how long, then?", "order", c.title(k)), c.label("10 min wait for order {n}", "n", fmt.Sprint(k.Number)))
		return nil
	}
	length, ok := c.waitLength(order)
	if !ok {
		return nil
	}
	w.Until = w.From.Add(length)
	if w, err = c.board.StartWait(c.ctx, w); err != nil {
		return err
	}
	c.computed("wait", length.Seconds(), "s")
	c.say("wait-started", "{length} wait for {name} started: over {when}. I'll tell you here.", "length", c.exact(length), "name", c.nameOf(w), "when", c.endOf(w))
	c.suggest("how much is left", "give it 5 minutes more", "stop the wait")
	return nil
}

// waitOrder finds the order a wait is for. named is true where one was named
// by number, whether it is there or not.
func (c *draft) waitOrder() (k Kept, named bool, err error) {
	n := orderNumber(c.said())
	if n == 0 {
		return k, false, nil
	}
	k, err = c.board.Order(c.ctx, n)
	if err != nil {
		return Kept{}, true, err
	}
	return k, true, nil
}

var waitFor = regexp.MustCompile(`(?i)\b(?:for|on)\s+((?:the\s+|our\s+)?\pL[^,.;?!]*)`)

// waitName is what was named: "the choir shirts"; else the cool peel.
func (c *draft) waitName() string {
	if m := waitFor.FindStringSubmatch(c.ask.Text); m != nil {
		return clipName(strings.TrimSpace(m[1]))
	}
	if name := c.saidAfter("for"); name != "" {
		return clipName(name)
	}
	if c.ask.Subject.Customer != "" {
		return clipName(c.ask.Subject.Customer)
	}
	return c.phrase("cool-peel-name", "the cool peel")
}

// clipName keeps a name short enough for one line.
func clipName(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}

// waitLength is the length that was said, else the cool wait of what is
// pressed; it says so where there is neither.
func (c *draft) waitLength(o *planner.Order) (time.Duration, bool) {
	if s := c.ask.Subject.Duration; s > 0 {
		d := time.Duration(s * float64(time.Second)).Round(time.Second)
		if d <= 0 || d > mostWait {
			c.asked("duration", c.phrase("wait-absurd", "That is no wait I can keep: say one of at least a second and at most {most}.", "most", c.exact(mostWait)))
			return 0, false
		}
		return d, true
	}
	w, m, ok := c.coolWait(o)
	if !ok {
		c.asked("duration", c.phrase("ask-wait", "For how long?"), "10 min", "5 min")
		return 0, false
	}
	c.value("cool_wait", w, m)
	return w.Duration().Std(), true
}

// coolWait is the recipe's wait before the peel: of the order's first line that
// is peeled cold, else of the method spoken of.
func (c *draft) coolWait(o *planner.Order) (wait knowledge.Value, method string, ok bool) {
	if o != nil {
		for _, l := range o.Lines {
			s := subjectOf(l)
			if b, found := c.base.BlankOf(l.Item); found {
				s.Blank = b.ID
			}
			if r, found := c.recipe(l.Method, c.thing(s)); found && r.CoolWait.Known() {
				return r.CoolWait, l.Method, true
			}
		}
	}
	t := c.thing(c.ask.Subject)
	for _, m := range c.peeledCold(c.asksAbout()) {
		if r, found := c.recipe(m.ID, t); found && r.CoolWait.Known() {
			return r.CoolWait, m.ID, true
		}
	}
	return wait, "", false
}

// peelsCold reports whether a line of an order is peeled cold.
func (c *draft) peelsCold(o planner.Order) bool {
	for _, l := range o.Lines {
		s := subjectOf(l)
		if b, found := c.base.BlankOf(l.Item); found {
			s.Blank = b.ID
		}
		if r, found := c.recipe(l.Method, c.thing(s)); found && r.CoolWait.Known() {
			return true
		}
	}
	return false
}

// nameOf names a wait, as somebody typed it, and states the order's number as a
// fact.
func (c *draft) nameOf(w Wait) string {
	c.r.Named = true
	if w.Number > 0 {
		c.computed("order", w.Number, "")
	}
	return w.Name
}

// endOf says when a wait is over.
func (c *draft) endOf(w Wait) string {
	until := w.Until.In(c.turn.Now.Location())
	c.computed("until", until.Format(time.RFC3339), "RFC3339")
	return c.when(until)
}

// exact writes a length to the second.
func (c *draft) exact(d time.Duration) string {
	return c.style().Duration(unit.Seconds(d.Round(time.Second).Seconds()))
}

// listWaits tells what is left of the waits: the named one, else all.
func (c *draft) listWaits() error {
	all, err := c.board.RunningWaits(c.ctx)
	if err != nil {
		return err
	}
	if some := c.meant(all); len(some) > 0 {
		all = some
	}
	if len(all) == 0 {
		c.noWait()
		return nil
	}
	for _, w := range all[:min(mostOnBoard, len(all))] {
		c.r.Lines = append(c.r.Lines, c.leftOf(w))
	}
	c.andMore(len(all) - mostOnBoard)
	c.suggest("give it 5 minutes more", "stop the wait")
	return nil
}

func (c *draft) noWait() {
	c.say("none-waiting", "No wait is running.")
	c.suggest("start the wait", "how long cool peel")
}

// leftOf is one wait as a line: "Order 12, village choir: 4 min left, over
// today 10:15 am."
func (c *draft) leftOf(w Wait) string {
	left := w.Until.Sub(c.turn.Now)
	if left <= 0 {
		return c.phrase("wait-over-now", "{name}: over since {when}.", "name", upper(c.nameOf(w)), "when", c.endOf(w))
	}
	c.computed("wait_left", left.Round(time.Second).Seconds(), "s")
	return c.phrase("wait-left", "{name}: {left} left, over {when}.", "name", upper(c.nameOf(w)), "left", c.exact(left), "when", c.endOf(w))
}

// meant picks the waits an ask names: by order, by a word of the name.
func (c *draft) meant(all []Wait) []Wait {
	var out []Wait
	n := orderNumber(c.said())
	name := ""
	if m := waitFor.FindStringSubmatch(c.ask.Text); m != nil {
		name = bareName(m[1])
	} else {
		name = bareName(c.saidAfter("for"))
	}
	for _, w := range all {
		switch {
		case n > 0 && w.Number == n, n == 0 && name != "" && strings.Contains(bareName(w.Name), name):
			out = append(out, w)
		}
	}
	return out
}

func bareName(s string) string {
	s = strings.ToLower(strings.TrimSpace(s))
	return strings.TrimPrefix(strings.TrimPrefix(s, "the "), "our ")
}

// oneWait picks the wait to stop or extend: the one named, else the only one
// of the conversation, else the only one of the asker, else it asks.
func (c *draft) oneWait() (Wait, bool, error) {
	all, err := c.board.RunningWaits(c.ctx)
	if err != nil {
		return Wait{}, false, err
	}
	if len(all) == 0 {
		c.noWait()
		return Wait{}, false, nil
	}
	for _, some := range [][]Wait{c.meant(all), keepWaits(all, func(w Wait) bool { return w.Conversation == c.turn.Conversation }),
		keepWaits(all, func(w Wait) bool { return w.User == c.turn.User }), all} {
		switch {
		case len(some) == 1:
			return some[0], true, nil
		case len(some) > 1:
			c.whichWait(some)
			return Wait{}, false, nil
		}
	}
	return Wait{}, false, nil
}

func keepWaits(all []Wait, is func(Wait) bool) []Wait {
	var out []Wait
	for _, w := range all {
		if is(w) {
			out = append(out, w)
		}
	}
	return out
}

// whichWait asks which wait is meant; each choice says the whole wish.
func (c *draft) whichWait(some []Wait) {
	var names []string
	for _, w := range some[:min(mostChoices, len(some))] {
		names = append(names, c.nameOf(w))
		of := w.Name
		if w.Number > 0 {
			of = c.label("order {n}", "n", fmt.Sprint(w.Number))
		}
		say := c.label("stop the wait for {name}", "name", of)
		if c.ask.What == "extend" {
			say = c.label("extend the wait {length} for {name}", "length", c.exact(time.Duration(c.ask.Subject.Duration*float64(time.Second))), "name", of)
		}
		c.r.Buttons = append(c.r.Buttons, reply.Button{Label: upper(w.Name), Say: say})
	}
	c.r.Outcome = reply.Asked
	c.r.Missing = "wait"
	c.say("which-wait", "Which one: {names}?", "names", c.or(names))
}

func (c *draft) stopWait() error {
	w, ok, err := c.oneWait()
	if err != nil || !ok {
		return err
	}
	left := w.Until.Sub(c.turn.Now)
	w.State = WaitStopped
	if err := c.board.ChangeWait(c.ctx, w); err != nil {
		return err
	}
	c.computed("wait_left", max(0, left).Round(time.Second).Seconds(), "s")
	c.say("wait-stopped", "Stopped: {name}, with {left} left.", "name", c.nameOf(w), "left", c.exact(max(0, left)))
	return nil
}

func (c *draft) extendWait() error {
	more := time.Duration(c.ask.Subject.Duration * float64(time.Second)).Round(time.Second)
	if more <= 0 || more > mostWait {
		c.asked("duration", c.phrase("ask-more", "By how much?"), "5 min more", "10 min more")
		return nil
	}
	w, ok, err := c.oneWait()
	if err != nil || !ok {
		return err
	}
	if w.Until.Before(c.turn.Now) {
		w.Until = c.turn.Now
	}
	w.Until, w.Tried = w.Until.Add(more), false
	if err := c.board.ChangeWait(c.ctx, w); err != nil {
		return err
	}
	c.computed("wait", more.Seconds(), "s")
	c.r.Lines = append(c.r.Lines, c.leftOf(w))
	c.suggest("how much is left", "stop the wait")
	return nil
}

// cancelWait stops the wait that was spoken of last; false where there was
// none.
func (c *draft) cancelWait() bool {
	last := c.turn.Memory.Last
	if c.board == nil || last == nil || last.Topic != "wait" {
		return false
	}
	switch last.What {
	case "start", "left", "extend", "list":
	default:
		return false
	}
	c.ask.What = "stop"
	c.timers()
	return true
}

// Over is the word that a wait is over. Where it comes late, it says so.
func (d *Desk) Over(w Wait, now time.Time) reply.Reply {
	c := &draft{Desk: d, turn: Turn{Now: now.In(d.zone())}}
	c.r.Outcome, c.r.Topic = reply.Answered, "wait"
	c.computed("wait", w.Until.Sub(w.From).Seconds(), "s")
	c.say("wait-over", "The {length} wait for {name} is over.", "length", c.exact(w.Until.Sub(w.From)), "name", c.nameOf(w))
	if late := now.Sub(w.Until); late > LateAfter {
		c.computed("late", late.Round(time.Second).Seconds(), "s")
		c.say("wait-late", "I tell you late: it was over {when}, {late} ago.", "when", c.endOf(w), "late", c.exact(late))
	}
	c.suggest("give it 5 minutes more", "finish press")
	return c.finish()
}

// WaitEntries are running waits as lines for a page, by their end.
func (d *Desk) WaitEntries(waits []Wait, now time.Time) []Entry {
	var out []Entry
	for _, w := range waits {
		c := &draft{Desk: d, turn: Turn{Now: now.In(d.zone())}}
		of := w.Name
		if w.Number > 0 {
			of = fmt.Sprintf("order %d", w.Number)
		}
		out = append(out, Entry{Line: c.leftOf(w), Buttons: []reply.Button{{Label: c.label("Stop"), Say: c.label("stop the wait for {name}", "name", of)}}})
	}
	return out
}

func (d *Desk) zone() *time.Location {
	if d.shop.Zone != nil {
		return d.shop.Zone
	}
	return time.UTC
}
