package listen

import (
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/planner"
)

// A printEvent is a piece of the message that says something of a print: a
// spot, a size, what the art is, or the names that differ by piece.
type printEvent struct {
	spot     string
	width    float64
	height   float64
	art      string
	texts    []string
	from, to int // tokens
}

func (e printEvent) isSpot() bool { return e.spot != "" }
func (e printEvent) isSize() bool { return e.width != 0 || e.height != 0 }

// takePrint takes a piece that says something of the line's prints.
func (l *orderLine) takePrint(b *orderBuilder, i int) {
	s := b.reading.Spans[i]
	e := printEvent{from: s.From, to: s.To}
	switch s.Kind {
	case span.Spot:
		for _, spot := range spots(s.ID) {
			one := e
			one.spot = spot
			l.events = append(l.events, one)
		}
		if s.ID == anySleeve {
			b.assume("the left sleeve, as no side was said")
		}
	case span.Dimension:
		e.width, e.height = s.Value, s.Value2
		l.events = append(l.events, e)
	case span.Art:
		e.art = b.words(s)
		if s.ID == "texts" {
			e.art, e.texts = "", splitTexts(s.Text)
			e.spot = s.Unit
		}
		l.events = append(l.events, e)
	}
}

// Words of the spot lexicon that stand for more than one spot, or for one of
// two.
const (
	bothSides   = "both sides"
	bothSleeves = "both sleeves"
	anySleeve   = "sleeve"
)

func spots(id string) []string {
	switch id {
	case bothSides:
		return []string{"front", "back"}
	case bothSleeves:
		return []string{"left sleeve", "right sleeve"}
	case anySleeve:
		return []string{"left sleeve"}
	}
	return []string{id}
}

// splitTexts splits a list of names at commas and line ends.
func splitTexts(text string) []string {
	var out []string
	for t := range strings.SplitSeq(strings.ReplaceAll(text, "\n", ","), ",") {
		if t = strings.TrimSpace(t); t != "" {
			out = append(out, t)
		}
	}
	return out
}

// pairPrints turns events into prints. A size and the spot next to it are one
// print; a sign or "and" between them makes another neighbour likelier, and of
// two equally near ones the size goes to the spot after it. Two spots of one
// word ("each sleeve") share the size. Art goes to the nearest print.
func (b *orderBuilder) pairPrints(events []printEvent) []planner.Print {
	var core []printEvent
	for _, e := range events {
		if e.isSpot() || e.isSize() {
			core = append(core, e)
		}
	}
	partner := b.partners(core)
	prints := []planner.Print{}
	at := [][2]int{}
	done := make([]bool, len(core))
	for i, e := range core {
		if done[i] {
			continue
		}
		p := planner.Print{Spot: e.spot, Width: e.width, Height: e.height, Texts: e.texts}
		where := [2]int{e.from, e.to}
		if j := partner[i]; j >= 0 {
			o := core[j]
			if e.isSpot() {
				p.Width, p.Height = o.width, o.height
			} else {
				p.Spot, p.Texts = o.spot, o.texts
			}
			where = [2]int{min(e.from, o.from), max(e.to, o.to)}
			done[j] = true
		}
		if p.Texts == nil {
			p.Texts = []string{}
		}
		if k := slices.IndexFunc(prints, func(x planner.Print) bool { return x.Spot == p.Spot && p.Spot != "" }); k >= 0 {
			mergePrint(&prints[k], p)
			continue
		}
		prints, at = append(prints, p), append(at, where)
	}
	b.twins(core, prints)
	for _, e := range events {
		if e.isSpot() || e.isSize() {
			continue
		}
		k := nearestPrint(at, e)
		if k < 0 {
			prints = append(prints, planner.Print{Texts: []string{}})
			at = append(at, [2]int{e.from, e.to})
			k = len(prints) - 1
		}
		for j := range prints { // two spots of one word share it
			if j == k || at[j] == at[k] {
				addArt(&prints[j], e)
			}
		}
	}
	return prints
}

// mergePrint adds what a second mention of a spot says.
func mergePrint(p *planner.Print, o planner.Print) {
	if p.Width == 0 && p.Height == 0 {
		p.Width, p.Height = o.Width, o.Height
	}
	p.Texts = append(p.Texts, o.Texts...)
}

func addArt(p *planner.Print, e printEvent) {
	if e.art != "" && !strings.Contains(p.Art, e.art) {
		p.Art = strings.TrimPrefix(p.Art+", "+e.art, ", ")
	}
	p.Texts = append(p.Texts, e.texts...)
}

// twins gives two spots of one word the same size: "each sleeve 3 wide".
func (b *orderBuilder) twins(core []printEvent, prints []planner.Print) {
	for i := 1; i < len(core); i++ {
		if core[i].from != core[i-1].from || !core[i].isSpot() {
			continue
		}
		a := slices.IndexFunc(prints, func(p planner.Print) bool { return p.Spot == core[i-1].spot })
		c := slices.IndexFunc(prints, func(p planner.Print) bool { return p.Spot == core[i].spot })
		if a < 0 || c < 0 {
			continue
		}
		if prints[a].Width == 0 && prints[a].Height == 0 {
			a, c = c, a
		}
		if prints[c].Width == 0 && prints[c].Height == 0 {
			prints[c].Width, prints[c].Height = prints[a].Width, prints[a].Height
		}
	}
}

// nearestPrint returns the print next to an event; the later of two equally
// near ones, as art is mostly said before its spot.
func nearestPrint(at [][2]int, e printEvent) int {
	best, gap := -1, 0
	for k, w := range at {
		d := max(e.from-w[1], w[0]-e.to, 0)
		if best < 0 || d <= gap {
			best, gap = k, d
		}
	}
	return best
}

// Costs of pairing, lower is better: an event left alone costs more than a
// pair across a sign, or "9x7, front" would come apart; a size before its spot
// is a hair cheaper than behind it.
const (
	costAlone  = 10
	costAcross = 4
	costBehind = 1
)

// partners pairs each event with its neighbour of the other kind so that the
// sum of costs is least; -1 stands for alone. Only neighbours pair, so a chain
// of best costs from the left settles it.
func (b *orderBuilder) partners(core []printEvent) []int {
	n := len(core)
	best := make([]int, n+1)
	paired := make([]bool, n+1)
	for i := 1; i <= n; i++ {
		best[i] = best[i-1] + costAlone
		if i < 2 || core[i-2].isSpot() == core[i-1].isSpot() || core[i-2].isSize() && core[i-2].isSpot() || core[i-1].isSize() && core[i-1].isSpot() {
			continue
		}
		cost := best[i-2]
		if b.apart(core[i-2].to, core[i-1].from) {
			cost += costAcross
		}
		if core[i-2].isSpot() {
			cost += costBehind
		}
		if cost < best[i] {
			best[i], paired[i] = cost, true
		}
	}
	out := make([]int, n)
	for i := range out {
		out[i] = -1
	}
	for i := n; i > 0; {
		if paired[i] {
			out[i-1], out[i-2] = i-2, i-1
			i -= 2
			continue
		}
		i--
	}
	return out
}

// apart reports whether a sign other than a colon, or "and", stands between.
func (b *orderBuilder) apart(from, to int) bool {
	for i := from; i < to; i++ {
		switch b.token(i) {
		case ",", ";", ".", "\n", "(", ")", "/":
			return true
		}
		if b.joins(i) == "and" {
			return true
		}
	}
	return false
}

// placePrints pairs each line's events. Prints said after the last line, apart
// from it or with a word for all, belong to every line before that has none
// and whose blank takes the spot.
func (b *orderBuilder) placePrints() {
	for _, l := range b.lines {
		l.Prints = b.pairPrints(l.events)
	}
	if len(b.lines) < 2 {
		return
	}
	last := b.lines[len(b.lines)-1]
	if len(last.Prints) == 0 {
		return
	}
	if b.forAll() {
		b.shareArt(last)
	}
	for _, l := range b.lines[:len(b.lines)-1] {
		if len(l.Prints) > 0 {
			return
		}
	}
	same := true
	for _, l := range b.lines {
		same = same && l.Item == last.Item
	}
	if !b.breaks(last.last, firstEvent(last.events)) && !b.forAll() && !same {
		return
	}
	shared := last.Prints
	taken := false
	for _, l := range b.lines[:len(b.lines)-1] {
		for _, p := range shared {
			if l.canTake(p.Spot) {
				p.Texts = slices.Clone(p.Texts)
				l.Prints = append(l.Prints, p)
				taken = true
			}
		}
	}
	if !taken {
		return
	}
	own := last.Prints[:0:0]
	for _, p := range shared {
		if last.canTake(p.Spot) {
			own = append(own, p)
		}
	}
	last.Prints = own
	b.assume("the same print on every line that can take it")
}

// shareArt gives art that was said last, for all lines, to their prints too:
// "... left chest, ... front, both white logo".
func (b *orderBuilder) shareArt(last *orderLine) {
	e := last.events[len(last.events)-1]
	if e.art == "" || e.isSpot() || e.isSize() || len(last.events) < 2 || !b.breaks(last.events[len(last.events)-2].to, e.from) {
		return
	}
	for _, l := range b.lines[:len(b.lines)-1] {
		for i := range l.Prints {
			addArt(&l.Prints[i], e)
		}
	}
}

func firstEvent(events []printEvent) int {
	first := events[0].from
	for _, e := range events {
		first = min(first, e.from)
	}
	return first
}

// forAll reports whether the message says "all" or "both" of its lines.
func (b *orderBuilder) forAll() bool {
	for i := range b.reading.Tokens {
		if b.joins(i) == "all" {
			return true
		}
	}
	return false
}

// canTake reports whether the line's blank has the spot; an unknown blank and
// an unknown spot are taken at their word.
func (l *orderLine) canTake(spot string) bool {
	return spot == "" || l.blank == nil || len(l.blank.Spots) == 0 || slices.Contains(l.blank.Spots, spot)
}
