package listen

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"presshand/bot/listen/span"
	"presshand/planner"
)

// Amend applies a follow-up to an order: "make it 48", "and on white
// polyester?", "12 more in youth M", "left chest instead", "add a back print 11
// wide", "navy not black", "by thursday", "without the sleeve". It returns the
// changed order, what was changed in words, and whether anything was. The order
// given is not touched.
//
// A change is made to the line whose item the message names, else to the last
// line, and what lines have in common (colour, fibre, method, prints) to all of
// them that share it with that line. What a change makes meaningless goes with
// it and is said: sizes of another count, the size of a print that moved to
// another spot.
//
// Sizes alone leave the count as it is. Amend does not judge the result:
// Troubles does.
func Amend(order planner.Order, reading span.Reading) (planner.Order, []string, bool) {
	reading = withoutOwned(reading)
	a := &amender{reading: reading, order: order, words: amendWords(reading)}
	a.order.Lines = make([]planner.Line, len(order.Lines))
	for i, l := range order.Lines {
		a.order.Lines[i] = cloneLine(l)
	}
	if a.asks() || len(a.order.Lines) == 0 {
		return order, nil, false
	}
	a.lines()
	a.terms()
	if len(a.changes) == 0 {
		return order, nil, false
	}
	return a.order, a.changes, true
}

// withoutOwned leaves out the things that are said to be someone's: in "they'll
// supply the shirts" the shirts are the order's blanks, whatever these are.
func withoutOwned(r span.Reading) span.Reading {
	owns := r.Find(span.Ownership)
	if amendWords(r)["instead"] {
		return r
	}
	r.Spans = slices.DeleteFunc(slices.Clone(r.Spans), func(s span.Span) bool {
		return s.Kind == span.Item && slices.ContainsFunc(owns, func(o span.Span) bool {
			return s.From == o.To || s.From == o.To+1 && slices.Contains([]string{"the", "their", "all"}, r.Tokens[o.To].Text)
		})
	})
	return r
}

type amender struct {
	reading span.Reading
	order   planner.Order
	changes []string
	words   map[string]bool // amending words of the message
}

func amendWords(reading span.Reading) map[string]bool {
	out := map[string]bool{}
	for _, s := range reading.Spans {
		if s.Kind == span.Amend {
			out[s.ID] = true
		}
		if s.Kind == span.Quantity && s.Value2 != 0 { // "6 more"
			out["more"] = true
		}
	}
	if takesOff(reading) {
		out["remove"] = true
	}
	return out
}

// takesOff reads "take the sleeve off" of a print.
func takesOff(r span.Reading) bool {
	for _, s := range r.Find(span.Spot) {
		before := slices.ContainsFunc(r.Tokens[:s.From], func(t span.Token) bool { return t.Text == "take" || t.Text == "leave" })
		if before && slices.ContainsFunc(r.Tokens[s.To:], func(t span.Token) bool { return t.Text == "off" || t.Text == "out" }) {
			return true
		}
	}
	return false
}

// asks reports whether the message asks something and changes nothing.
func (a *amender) asks() bool {
	for _, s := range a.reading.Spans {
		if s.Kind == span.Intent && s.ID == "question" {
			return len(a.words) == 0
		}
	}
	return false
}

func (a *amender) say(format string, args ...any) {
	a.changes = append(a.changes, fmt.Sprintf(format, args...))
}

// adds reports whether the message adds to the order rather than changes it.
func (a *amender) adds() bool { return a.words["add"] || a.words["more"] || a.goesOn() }

// goesOn reports a message that begins with "and" and speaks of no change: "and
// 12 white mugs".
func (a *amender) goesOn() bool {
	return len(a.reading.Tokens) > 0 && a.reading.Tokens[0].Joins == "and" && !a.words["set"] && !a.words["what"] && !a.words["instead"]
}

// target returns the line that is meant: the one whose item is named, else
// the last.
func (a *amender) target() int {
	for _, s := range a.reading.Find(span.Item) {
		for i := range a.order.Lines {
			if a.order.Lines[i].Item == s.Unit {
				return i
			}
		}
	}
	return len(a.order.Lines) - 1
}

// alike returns the lines that a change to line i of something it shares with
// others was meant for: where no item is named, all that are the same in it.
func (a *amender) alike(i int, same func(a, b planner.Line) bool) []*planner.Line {
	out := []*planner.Line{&a.order.Lines[i]}
	if len(a.reading.Find(span.Item)) > 0 {
		return out
	}
	for j := range a.order.Lines {
		if j != i && same(a.order.Lines[i], a.order.Lines[j]) {
			out = append(out, &a.order.Lines[j])
		}
	}
	return out
}

// refused returns the line whose colour the message takes back: "navy not
// black"; i where there is none.
func (a *amender) refused(i int) int {
	for _, s := range a.reading.Spans {
		if s.Kind != span.Colour || !s.Negated {
			continue
		}
		for j := range a.order.Lines {
			if Fold(a.order.Lines[j].Colour) == Fold(s.Text) {
				return j
			}
		}
	}
	return i
}

// lines applies what a message says of lines.
func (a *amender) lines() {
	if a.dropLine() {
		return
	}
	if at, n, ok := a.corrected(); ok {
		a.setCount(&a.order.Lines[at], n, false)
		return
	}
	i := a.target()
	summed := a.sums(i)
	said := a.said()
	if !summed && (a.splits(i, said) || a.addLines(said)) {
		return
	}
	if len(said) > 0 {
		l := said[len(said)-1]
		if summed { // its count and sizes are done
			l.counted, l.Sizes = false, nil
		}
		a.change(i, l)
	}
	if !summed {
		a.plainCount(i)
	}
	a.dropPrints(i)
	a.keepPrints(i)
	a.dropTheirs(i)
}

// said reads the message as if it were an order.
func (a *amender) said() []*orderLine {
	b := &orderBuilder{reading: a.reading}
	b.segment()
	b.shareItems()
	b.shareCounts()
	b.shareColours()
	b.shareBlends()
	b.placePrints()
	return b.lines
}

// dropLine removes a line: "drop the mugs".
func (a *amender) dropLine() bool {
	spans := a.reading.Spans
	for k, s := range spans {
		if s.Kind != span.Item || !s.Negated && !a.removed(k) {
			continue
		}
		for i := range a.order.Lines {
			if a.order.Lines[i].Item == s.Unit && len(a.order.Lines) > 1 {
				a.order.Lines = slices.Delete(a.order.Lines, i, i+1)
				a.say("no %s", pluralOf(s.Unit))
				return true
			}
		}
	}
	return false
}

// removed reports whether "remove", "skip" speaks of the span at k.
func (a *amender) removed(k int) bool {
	if a.reading.Spans[k].Kind == span.Spot && takesOff(a.reading) {
		return true
	}
	for j := k - 1; j >= 0 && j >= k-3; j-- {
		switch s := a.reading.Spans[j]; {
		case s.Kind == span.Amend:
			return s.ID == "remove" || s.ID == "insteadof"
		case s.Kind != span.Word:
			return false
		}
	}
	return false
}

// addLines adds lines: "12 more in youth M", "and 12 white mugs". A count with
// an item the order doesn't have adds a line too.
func (a *amender) addLines(said []*orderLine) bool {
	added := false
	for _, l := range said {
		if !l.counted || !l.more && !(l.Item != "" && (a.adds() || !a.has(l.Item) && !a.words["set"] && !a.words["instead"])) {
			continue
		}
		if same := &a.order.Lines[a.target()]; l.more && l.plain(same.Item) {
			a.setCount(same, same.Quantity+l.Quantity, false)
			added = true
			continue
		}
		line := cloneLine(a.order.Lines[a.target()])
		if l.Item != "" && l.Item != line.Item {
			line = a.another(line, l)
		}
		line.Quantity = l.Quantity
		line.Sizes = maps.Clone(l.Sizes)
		overlay(&line, l)
		a.order.Lines = append(a.order.Lines, line)
		a.say("%s more", a.describe(line))
		added = true
	}
	return added
}

// plain reports that nothing but a count is said, and no other item.
func (l *orderLine) plain(item string) bool {
	return (l.Item == "" || l.Item == item) && l.Colour == "" && len(l.Fibre) == 0 && len(l.Sizes) == 0 && len(l.Prints) == 0 &&
		l.group == "" && l.Method == "" && l.Blanks == ""
}

// another is a line of another item beside one of the order: "and 10 hoodies with
// the same" has its colour, cloth and prints, "same print" only its prints.
func (a *amender) another(of planner.Line, l *orderLine) planner.Line {
	line := planner.Line{Item: l.Item, Blanks: of.Blanks, Fibre: map[string]int{}, Prints: []planner.Print{}}
	if !a.words["same"] {
		return line
	}
	line.Prints = slices.DeleteFunc(of.Prints, func(p planner.Print) bool { return !l.canTake(p.Spot) })
	if !a.sameOf() {
		line.Colour, line.Fibre, line.Method = of.Colour, of.Fibre, of.Method
	}
	return line
}

// sameOf reports whether a word after "same" says what is the same: "same print".
func (a *amender) sameOf() bool {
	for _, s := range a.reading.Find(span.Amend) {
		if s.ID == "same" && s.To < len(a.reading.Tokens) {
			t := a.reading.Tokens[s.To]
			return wordy(t) && !t.Small && t.Joins == ""
		}
	}
	return false
}

func (a *amender) has(item string) bool {
	return slices.ContainsFunc(a.order.Lines, func(l planner.Line) bool { return l.Item == item })
}

// describe writes a line in a few words.
func (a *amender) describe(l planner.Line) string {
	parts := []string{strconv.Itoa(l.Quantity), l.Colour, l.Item}
	if len(l.Sizes) > 0 {
		parts = append(parts, "("+saySizes(l.Sizes)+")")
	}
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), " ")
}

// overlay gives a line what a message says of it.
func overlay(line *planner.Line, l *orderLine) {
	if l.Colour != "" {
		line.Colour = l.Colour
	}
	if len(l.Fibre) > 0 {
		line.Fibre = cloneShares(l.Fibre)
	}
	if l.Method != "" {
		line.Method = l.Method
	}
	if l.Blanks != "" {
		line.Blanks = l.Blanks
	}
	if len(l.Prints) > 0 {
		line.Prints = slices.Clone(l.Prints)
	}
}

// change applies what a message says to line i.
func (a *amender) change(i int, l *orderLine) {
	line := &a.order.Lines[i]
	if l.Item != "" && l.Item != line.Item {
		a.say("%s instead of %s", pluralOf(l.Item), pluralOf(line.Item))
		line.Item, line.Sizes = l.Item, map[string]int{}
		line.Prints = slices.DeleteFunc(line.Prints, func(p planner.Print) bool { return !l.canTake(p.Spot) })
	}
	if l.counted && !l.summed && l.Quantity != line.Quantity {
		a.setCount(line, l.Quantity, len(l.Sizes) > 0)
	}
	if len(l.Sizes) > 0 && !maps.Equal(l.Sizes, line.Sizes) {
		line.Sizes = maps.Clone(l.Sizes)
		a.say("sizes %s", saySizes(line.Sizes))
	}
	a.changeCloth(i, l)
	if l.Method != "" && l.Method != line.Method {
		for _, o := range a.alike(i, func(x, y planner.Line) bool { return x.Method == y.Method }) {
			o.Method = l.Method
		}
		a.say("method %s", l.Method)
	}
	if l.Blanks != "" && l.Blanks != line.Blanks {
		for _, o := range a.alike(i, func(x, y planner.Line) bool { return x.Blanks == y.Blanks }) {
			o.Blanks = l.Blanks
		}
		a.say("blanks %s", l.Blanks)
	}
	if len(l.Prints) > 0 {
		a.changePrints(i, l.Prints)
	}
	a.dropMethod(line)
}

// changeCloth applies colour and fibre.
func (a *amender) changeCloth(i int, l *orderLine) {
	if k := a.refused(i); l.Colour != "" && l.Colour != a.order.Lines[k].Colour {
		for _, o := range a.alike(k, func(x, y planner.Line) bool { return x.Colour == y.Colour }) {
			o.Colour = l.Colour
		}
		a.say("%s", l.Colour)
	}
	if len(l.Fibre) > 0 && !maps.Equal(l.Fibre, a.order.Lines[i].Fibre) {
		for _, o := range a.alike(i, func(x, y planner.Line) bool { return maps.Equal(x.Fibre, y.Fibre) }) {
			o.Fibre = cloneShares(l.Fibre)
		}
		a.say("%s", sayFibre(l.Fibre))
	}
}

// changePrints applies prints to line i, and to those with the same prints.
func (a *amender) changePrints(i int, prints []planner.Print) {
	lines := a.alike(i, func(x, y planner.Line) bool { return reflect.DeepEqual(x.Prints, y.Prints) })
	said := len(a.changes)
	for k, line := range lines {
		for _, p := range prints {
			a.changePrint(line, p)
		}
		if k == 0 {
			said = len(a.changes)
		}
	}
	a.changes = a.changes[:said] // said once for all
}

// setCount changes a line's count; sizes of the old count go, unless new ones
// came with it.
func (a *amender) setCount(line *planner.Line, n int, sizes bool) {
	line.Quantity = n
	a.say("%d %s", n, pluralOf(line.Item))
	if len(line.Sizes) == 0 || sizes {
		return
	}
	total := 0
	for _, k := range line.Sizes {
		total += k
	}
	if total != n {
		line.Sizes = map[string]int{}
		a.say("sizes open, as they added up to %d", total)
	}
}

// changePrint changes or adds one print. Without a spot it sizes the only
// print; on a spot that is there it changes that one; on another spot it moves
// the only print where the message speaks of a change, and else is a further
// one.
func (a *amender) changePrint(line *planner.Line, p planner.Print) {
	at := slices.IndexFunc(line.Prints, func(x planner.Print) bool { return x.Spot == p.Spot })
	switch {
	case p.Spot == "" && len(line.Prints) > 0 && !a.adds():
		a.resize(&line.Prints[len(line.Prints)-1], p)
	case at >= 0:
		a.resize(&line.Prints[at], p)
	case len(line.Prints) == 1 && !a.adds() && (a.words["instead"] || a.words["set"] || a.words["what"] || a.words["same"] || a.words["become"] || a.words["insteadof"] || a.negatesSpot()):
		if p.Width == 0 && p.Height == 0 && faces(p.Spot) && faces(line.Prints[0].Spot) {
			p.Width, p.Height = line.Prints[0].Width, line.Prints[0].Height
		}
		a.say("%s instead of %s", sayPrint(p), sayPrint(line.Prints[0]))
		p.Art, p.Texts = line.Prints[0].Art, line.Prints[0].Texts
		line.Prints[0] = p
	default:
		line.Prints = append(line.Prints, p)
		a.say("a print more: %s", sayPrint(p))
	}
}

// faces reports the two large sides of a garment, which take the same print; on
// any other spot its size must be asked.
func faces(spot string) bool { return spot == "front" || spot == "back" }

func (a *amender) negatesSpot() bool {
	return slices.ContainsFunc(a.reading.Spans, func(s span.Span) bool { return s.Kind == span.Spot && s.Negated })
}

// resize gives a print what a message says of it.
func (a *amender) resize(p *planner.Print, o planner.Print) {
	before := *p
	if o.Width != 0 || o.Height != 0 {
		p.Width, p.Height = o.Width, o.Height
	}
	if o.Art != "" {
		p.Art = o.Art
	}
	if len(o.Texts) > 0 {
		p.Texts = slices.Clone(o.Texts)
	}
	if before.Width != p.Width || before.Height != p.Height || before.Art != p.Art || !slices.Equal(before.Texts, p.Texts) {
		a.say("%s", sayPrint(*p))
	}
}

func sayPrint(p planner.Print) string {
	spot := p.Spot
	if spot == "" {
		spot = "print"
	}
	switch {
	case p.Width != 0 && p.Height != 0:
		return fmt.Sprintf("%s %s x %s mm", spot, sayMM(p.Width), sayMM(p.Height))
	case p.Width != 0:
		return fmt.Sprintf("%s %s mm wide", spot, sayMM(p.Width))
	case p.Height != 0:
		return fmt.Sprintf("%s %s mm high", spot, sayMM(p.Height))
	case p.Art != "":
		return spot + " (" + p.Art + ")"
	}
	return spot
}

// sayMM writes a length so finely that what was said in inches can be told from it.
func sayMM(mm float64) string { return strconv.FormatFloat(math.Round(mm*10)/10, 'f', -1, 64) }

// plainCount takes a bare number that is all the message says: "48".
func (a *amender) plainCount(i int) {
	var number *span.Span
	for k := range a.reading.Spans {
		s := &a.reading.Spans[k]
		switch {
		case s.Kind == span.Number && number == nil && s.Unit == "" && !s.Negated:
			number = s
		case number != nil && s.Kind == span.Word && !a.reading.Tokens[s.From].Small:
			return // "3 of the", "3 left": it counts something else
		case s.Kind == span.Word || s.Kind == span.Amend || s.Kind == span.Negation || s.Kind == span.Intent:
		default:
			return
		}
	}
	if number == nil {
		return
	}
	if n, whole := wholePieces(number.Value); whole && n != a.order.Lines[i].Quantity {
		a.setCount(&a.order.Lines[i], n, false)
	}
}

// dropPrints removes the prints a message does without.
func (a *amender) dropPrints(i int) {
	for k, s := range a.reading.Spans {
		if s.Kind != span.Spot || !s.Negated && !a.removed(k) {
			continue
		}
		gone := spots(s.ID)
		if s.ID == anySleeve {
			gone = spots(bothSleeves)
		}
		line := &a.order.Lines[i]
		before := len(line.Prints)
		line.Prints = slices.DeleteFunc(line.Prints, func(p planner.Print) bool { return slices.Contains(gone, p.Spot) })
		if len(line.Prints) < before {
			a.say("no print on the %s", s.ID)
		}
	}
}

// keepPrints leaves only the print a message wants: "they only want the back",
// "front only".
func (a *amender) keepPrints(i int) {
	said := a.reading.Find(span.Spot)
	line := &a.order.Lines[i]
	if !a.words["only"] || len(said) != 1 || !slices.ContainsFunc(line.Prints, func(p planner.Print) bool { return p.Spot == said[0].ID }) {
		return
	}
	for _, p := range line.Prints {
		if p.Spot != said[0].ID {
			a.say("no print on the %s", p.Spot)
		}
	}
	line.Prints = slices.DeleteFunc(line.Prints, func(p planner.Print) bool { return p.Spot != said[0].ID })
}

// dropTheirs makes the blanks ours where the customer's are taken back: "they're
// not bringing their own".
func (a *amender) dropTheirs(i int) {
	line := &a.order.Lines[i]
	for _, s := range a.reading.Spans {
		if s.Kind == span.Ownership && s.Negated && s.ID == "theirs" && line.Blanks == "theirs" {
			line.Blanks = "ours"
			a.say("blanks %s", line.Blanks)
		}
	}
}

// dropMethod takes back a method the message refuses: "not sublimation".
func (a *amender) dropMethod(line *planner.Line) {
	for _, s := range a.reading.Spans {
		if s.Kind == span.Method && s.Negated && s.ID == line.Method {
			line.Method = ""
			a.say("not %s", s.ID)
		}
	}
}

// terms applies what belongs to the whole order.
func (a *amender) terms() {
	if a.words["undated"] && a.order.Due != "" {
		a.order.Due = ""
		a.say("no due date")
	}
	for _, s := range a.reading.Spans {
		switch {
		case s.Kind == span.Rush && s.Negated:
			if a.order.Rush {
				a.order.Rush = false
				a.say("no rush")
			}
		case s.Negated:
		case s.Kind == span.When:
			if due := s.At.Format(time.RFC3339); due != a.order.Due {
				a.order.Due = due
				a.say("due %s", s.At.Format("Mon 2 Jan 15:04"))
			}
		case s.Kind == span.Arrival:
			if by := s.At.Format(time.RFC3339); by != a.order.BlanksBy {
				a.order.BlanksBy = by
				a.say("blanks %s", s.At.Format("Mon 2 Jan 15:04"))
			}
			for i := range a.order.Lines {
				if s.ID != "" {
					a.order.Lines[i].Blanks = s.ID
				}
			}
		case s.Kind == span.Rush && !a.order.Rush:
			a.order.Rush = true
			a.say("rush")
		case s.Kind == span.Approval && !a.order.ArtOK:
			a.order.ArtOK = true
			a.say("art approved")
		case s.Kind == span.Customer && s.Text != a.order.For:
			a.order.For = s.Text
			a.say("for %s", s.Text)
		case s.Kind == span.Ref && s.Text != a.order.Ref:
			a.order.Ref = s.Text
			a.say("reference %s", s.Text)
		}
	}
}
