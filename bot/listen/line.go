package listen

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
	"presshand/planner"
)

// An orderLine is a line while it is read.
type orderLine struct {
	planner.Line
	blank   *knowledge.Blank
	counted bool
	more    bool     // "12 more"
	vague   bool     // "a few"
	summed  bool     // the count is the sum of the sizes
	run     bool     // sizes were said with their counts
	group   string   // size group said
	colours []string // all colours said, in order
	hued    int      // token at which the first of them was said
	either  bool     // the colours are joined by "or"
	fibres  []string // fibres named without shares
	events  []printEvent
	from    int  // first token of what names the line
	last    int  // token after the last piece that names the line
	tail    bool // the item is a neighbour's
	trouble []Trouble
}

// adjectives are the pieces that may stand between a count and its item.
func isAdjective(k span.Kind) bool {
	switch k {
	case span.Colour, span.Fibre, span.FibreShares, span.Fabric, span.Group, span.Size, span.SizeRun,
		span.Ownership, span.Method, span.Mass, span.Amend:
		return true
	}
	return false
}

// segment cuts the message into lines. A line begins at the count before its
// item, or at the first adjective joined to the item; at a count that has
// colours or sizes of its own and borrows its item; and else goes on. What
// stands before the first item belongs to the first line.
func (b *orderBuilder) segment() {
	spans := b.reading.Spans
	starts := b.starts()
	var line *orderLine
	for i, s := range spans {
		if line == nil || slices.Contains(starts, i) && !line.empty() {
			if line == nil || !line.open() && !b.lateCount(line, i) {
				line = b.newLine(s)
			}
		}
		b.take(line, i)
	}
	kept := b.lines[:0]
	for _, l := range b.lines {
		if !l.empty() || len(l.events) > 0 {
			kept = append(kept, l)
		}
	}
	b.lines = kept
	b.dropHeading()
	if len(b.lines) > 1 && b.lines[0].Item == "" && !b.lines[0].counted {
		b.lines[1].events = append(b.lines[0].events, b.lines[1].events...)
		b.lines[1].adopt(b.lines[0])
		b.lines = b.lines[1:]
	}
}

// dropHeading drops a first line that only names the item of the next one, as
// the subject of a mail does: "re: shirts. 22 maroon tees".
func (b *orderBuilder) dropHeading() {
	if len(b.lines) < 2 {
		return
	}
	head, next := b.lines[0], b.lines[1]
	if head.Item == next.Item && next.counted && !head.counted && len(head.events) == 0 &&
		(len(head.colours) == 0 || slices.Equal(head.colours, next.colours)) && len(head.Sizes) == 0 && len(head.Fibre) == 0 && len(head.fibres) == 0 && head.Method == "" {
		b.lines = b.lines[1:]
	}
}

// lateCount reports whether the span at i is the count of an item that was
// named before it: "shirts, 15 white cotton".
func (b *orderBuilder) lateCount(l *orderLine, i int) bool {
	return b.reading.Spans[i].Kind == span.Quantity && l.Item != "" && !l.counted && len(l.Sizes) == 0 &&
		len(l.colours) == 0 && b.itemAfter(i) == 0
}

func (b *orderBuilder) newLine(s span.Span) *orderLine {
	line := &orderLine{from: s.From}
	line.Fibre, line.Sizes, line.Prints = map[string]int{}, map[string]int{}, []planner.Print{}
	b.lines = append(b.lines, line)
	return line
}

// empty reports whether nothing names the line yet.
func (l *orderLine) empty() bool {
	return l.Item == "" && !l.counted && len(l.colours) == 0 && len(l.Sizes) == 0 && len(l.Fibre) == 0 && len(l.fibres) == 0 &&
		l.Method == "" && l.Blanks == "" && l.group == ""
}

// open reports whether a new count or item would belong to the line: it has
// neither.
func (l *orderLine) open() bool { return l.Item == "" && !l.counted && len(l.Sizes) == 0 }

// adopt takes over what a line without count and item says.
func (l *orderLine) adopt(o *orderLine) {
	if len(l.colours) == 0 {
		l.colours = o.colours
	}
	if len(l.Fibre) == 0 && len(l.fibres) == 0 {
		l.Fibre, l.fibres = o.Fibre, o.fibres
	}
	if len(l.Sizes) == 0 {
		l.Sizes = o.Sizes
	}
	if l.Blanks == "" {
		l.Blanks = o.Blanks
	}
	if l.Method == "" {
		l.Method = o.Method
	}
}

// starts returns the spans at which a line begins.
func (b *orderBuilder) starts() []int {
	spans := b.reading.Spans
	var out []int
	for i, s := range spans {
		if s.Negated {
			continue
		}
		switch s.Kind {
		case span.Quantity:
			if s.Unit != "each" && !b.countsBack(i) {
				out = append(out, i)
			}
		case span.SizeRun:
			if j := b.itemAfter(i); j > 0 && !b.countBefore(i) {
				out = append(out, i)
			}
		case span.Item:
			if b.countBefore(i) {
				continue
			}
			j := i
			for j > 0 && isAdjective(spans[j-1].Kind) && !spans[j-1].Negated && spans[j-1].Kind != span.SizeRun &&
				!b.breaks(spans[j-1].To, spans[j].From) && b.joins(spans[j].From-1) != "and" {
				j--
			}
			out = append(out, j)
		}
	}
	return out
}

// maxWords bounds the other words between a count and its item.
const maxWords = 4

// countBefore reports whether a count belongs to the item at span i: only
// adjectives and small words stand between.
func (b *orderBuilder) countBefore(i int) bool {
	spans := b.reading.Spans
	words := 0
	for j := i - 1; j >= 0; j-- {
		switch {
		case spans[j].Kind == span.Quantity && spans[j].Unit != "each", spans[j].Kind == span.SizeRun:
			return true
		case isAdjective(spans[j].Kind):
		case spans[j].Kind == span.Item && !b.breaks(spans[j].To, spans[j+1].From) && b.joins(spans[j].To) == "":
			// "long sleeve black shirts" is one thing
		case spans[j].Kind == span.Word && words < maxWords:
			words++
		default:
			return false
		}
	}
	return false
}

// itemAfter returns the item that the span at i stands before, with only
// adjectives and a small word between; 0 where there is none.
func (b *orderBuilder) itemAfter(i int) int {
	spans := b.reading.Spans
	words := 0
	for j := i + 1; j < len(spans); j++ {
		switch {
		case spans[j].Kind == span.Item && !spans[j].Negated:
			return j
		case isAdjective(spans[j].Kind):
		case spans[j].Kind == span.Word && words < maxWords:
			words++
		default:
			return 0
		}
	}
	return 0
}

// countsBack reports whether the count at span i follows what it counts and
// is the only one that could: "black tees, 24", and sizes before it.
func (b *orderBuilder) countsBack(i int) bool {
	spans := b.reading.Spans
	if i > 0 && spans[i-1].Kind == span.Item && b.token(spans[i].From) == "x" { // "white tee x 8"
		return true
	}
	if b.itemAfter(i) > 0 || i+1 < len(spans) && (spans[i+1].Kind == span.Colour || spans[i+1].Kind == span.Size) &&
		!b.breaks(spans[i].To, spans[i+1].From) {
		return false
	}
	item := false
	for j := i - 1; j >= 0; j-- {
		switch spans[j].Kind {
		case span.Quantity, span.SizeRun:
			return false
		case span.Item:
			item = true
		}
	}
	return item
}

// take gives the span at i to a line.
func (b *orderBuilder) take(l *orderLine, i int) {
	s := b.reading.Spans[i]
	if s.Negated {
		return
	}
	naming := true
	switch s.Kind {
	case span.Quantity:
		b.takeCount(l, s)
	case span.SizeRun:
		l.run = true
		for size, n := range s.Sizes {
			l.Sizes[size] += n
		}
	case span.Size:
		if l.counted || b.itemAfter(i) > 0 {
			l.Sizes[s.ID], _ = countBeforeSize(b.reading, i)
		}
	case span.Item:
		b.takeItem(l, s)
	case span.Colour:
		b.takeColour(l, i)
	case span.Fibre:
		l.fibres = append(l.fibres, s.ID)
	case span.FibreShares:
		b.takeShares(l, s)
	case span.Fabric:
		if len(s.Fibre) > 0 && len(l.Fibre) == 0 {
			l.Fibre = cloneShares(s.Fibre)
			b.assume(s.Note)
		}
	case span.Group:
		l.group = s.ID
	case span.Ownership:
		l.Blanks = s.ID
	case span.Method:
		l.Method = s.ID
	default:
		naming = false
		l.takePrint(b, i)
	}
	if naming {
		l.last = s.To
	}
}

func cloneShares(m map[string]int) map[string]int {
	out := make(map[string]int, len(m))
	for k, v := range m {
		out[k] = v
	}
	return out
}

func (b *orderBuilder) takeCount(l *orderLine, s span.Span) {
	if s.Unit == "each" || s.Value2 < 0 {
		return
	}
	n, isWhole := wholePieces(s.Value)
	l.Quantity, l.counted, l.more = n, true, s.Value2 == 1
	switch {
	case s.Unit == "vague":
		t := Trouble{Kind: QuantityVague, Ask: fmt.Sprintf("%q: how many exactly?", s.Text)}
		if n > 0 {
			t.Choices = []string{strconv.Itoa(n), strconv.Itoa(n + 1)}
		}
		l.counted, l.vague = n > 0, true
		l.ask(t)
	case !isWhole:
		l.ask(Trouble{Kind: QuantityPart, Ask: fmt.Sprintf("%s is no whole number of pieces. How many?", s.Text)})
	case n == 0:
		l.ask(Trouble{Kind: QuantityZero, Ask: "Zero pieces is no order. How many?"})
	}
	if len(s.Alt) > 0 && s.Alt[0].Kind == span.Quantity {
		counts := []int{n}
		for _, a := range s.Alt {
			other, _ := wholePieces(a.Value)
			counts = append(counts, other)
		}
		slices.Sort(counts)
		choices := make([]string, len(counts))
		for k, c := range counts {
			choices[k] = strconv.Itoa(c)
		}
		l.ask(Trouble{
			Kind: TwoReadings, Choices: choices, Ask: fmt.Sprintf("How many: %s?", strings.Join(choices, " or ")),
		})
	}
}

func (b *orderBuilder) takeItem(l *orderLine, s span.Span) {
	if l.Item != "" && !strings.HasSuffix(s.Unit, " "+l.Item) {
		return // the first name counts, unless a later one says more: "shirts, long sleeve"
	}
	l.Item, l.blank = s.Unit, b.blank(s.ID)
}

func (b *orderBuilder) blank(id string) *knowledge.Blank {
	if b.env.Base == nil {
		return nil
	}
	for _, x := range b.env.Base.Blanks {
		if x.ID == id {
			return x
		}
	}
	return nil
}

// takeColour gives a colour to the line, or to the art where it follows a
// print: "9x7 in white on the front".
func (b *orderBuilder) takeColour(l *orderLine, i int) {
	spans := b.reading.Spans
	s := spans[i]
	if b.ink(l, i) {
		l.events = append(l.events, printEvent{art: b.words(s), from: s.From, to: s.To})
		return
	}
	name := b.colourName(s)
	if slices.Contains(l.colours, name) {
		return
	}
	if len(l.colours) > 0 && i > 0 && b.orBetween(spans[i-1].To, s.From) {
		l.either = true
	}
	if len(l.colours) == 0 {
		l.hued = s.From
	}
	l.colours = append(l.colours, name)
}

// ink reports whether the colour at span i is the art's and not the blank's: it
// stands in or with a print, begins the name of something else that is printed
// ("a white slogan 9x4"), or follows a print of a line whose colour was said
// before it.
func (b *orderBuilder) ink(l *orderLine, i int) bool {
	s := b.reading.Spans[i]
	if i > 0 && b.reading.Spans[i-1].To == s.From && isFigure(b.reading.Spans[i-1].Kind) {
		return false // "half black, half navy"
	}
	if l.Item != "" && b.withArt(s.From) && (len(l.colours) > 0 || b.headsArt(i)) {
		return true
	}
	if len(l.colours) == 0 || l.Item == "" && !l.counted {
		return false
	}
	switch {
	case b.joins(s.From-1) == "in" && b.inPrint(i), l.Item != "" && (b.beforePrint(i) || b.headsArt(i)):
		return true
	case len(l.events) == 0 || b.orBetween(b.reading.Spans[i-1].To, s.From):
		return false
	}
	last := l.events[len(l.events)-1]
	if b.joins(s.From-1) == "and" {
		return last.to == s.From-1 && last.art != "" // "white and teal"
	}
	return l.events[0].from > l.hued
}

// isFigure reports a figure that may say how many of a colour there are.
func isFigure(k span.Kind) bool {
	return k == span.Number || k == span.Quantity || k == span.Percent
}

// withArt reports a "with" before token i, an article between them aside:
// "tees with white".
func (b *orderBuilder) withArt(i int) bool {
	if b.joins(i-1) == "a" || b.joins(i-1) == "the" {
		i--
	}
	return b.joins(i-1) == "with"
}

// inPrint reports whether the "in" before the colour at span i belongs to a
// print: "9x7 in white".
func (b *orderBuilder) inPrint(i int) bool {
	spans := b.reading.Spans
	isPrint := func(k int) bool { return k >= 0 && (spans[k].Kind == span.Spot || spans[k].Kind == span.Dimension) }
	return i > 0 && (isPrint(i-1) || spans[i-1].Kind == span.Art || spans[i-1].Kind == span.Word && isPrint(i-2))
}

// headsArt reports whether the colour at span i begins the name of a thing that
// is printed: other words follow it, and then what only a print has ("wheat
// sheaf on the front", "white slogan 9x4").
func (b *orderBuilder) headsArt(i int) bool {
	spans := b.reading.Spans
	named := false
	for j := i + 1; j < len(spans) && j <= i+1+maxWords && !b.breaks(spans[j-1].To, spans[j].From); j++ {
		switch spans[j].Kind {
		case span.Word:
			t := b.reading.Tokens[spans[j].From]
			if j == i+1 && (t.Small || t.Joins != "") {
				return false
			}
			named = true
		case span.Art, span.Dimension, span.Spot:
			return named
		default:
			return false
		}
	}
	return false
}

// beforePrint reports whether a size or spot follows the span at i at once:
// a second colour there is the art's ("navy hoodies, white 9x7 front").
func (b *orderBuilder) beforePrint(i int) bool {
	spans := b.reading.Spans
	if i+1 >= len(spans) || spans[i+1].From != spans[i].To {
		return false
	}
	return spans[i+1].Kind == span.Dimension || spans[i+1].Kind == span.Spot
}

func (b *orderBuilder) orBetween(from, to int) bool {
	for i := max(from-1, 0); i < to; i++ {
		if b.joins(i) == "or" {
			return true
		}
	}
	return false
}

// colourName is the colour as it was said, mended; of a word that only stands
// for a colour, the colour's name.
func (b *orderBuilder) colourName(s span.Span) string {
	said := b.mended(s)
	if strings.ReplaceAll(said, " ", "") == s.ID || b.env.Base == nil {
		return said
	}
	for _, c := range b.env.Base.Colours {
		if c.ID != s.ID {
			continue
		}
		for _, n := range append([]string{c.Name}, c.Names...) {
			if b.reading.Lang == "en" && Fold(n) == Fold(said) {
				return said
			}
		}
		return c.Name
	}
	return s.ID
}

// mended is a span's text with its slips set right.
func (b *orderBuilder) mended(s span.Span) string {
	words := make([]string, 0, s.To-s.From)
	for _, t := range b.reading.Tokens[s.From:s.To] {
		words = append(words, t.Word)
	}
	return strings.Join(words, " ")
}

// words is a span's text as it was written, or mended where it had slips.
func (b *orderBuilder) words(s span.Span) string {
	for _, t := range b.reading.Tokens[s.From:s.To] {
		if t.Score < 1 {
			return b.mended(s)
		}
	}
	return s.Text
}

func (b *orderBuilder) takeShares(l *orderLine, s span.Span) {
	if len(s.Fibre) == 0 {
		var usual Usual
		if len(s.Alt) > 0 {
			usual = Usual{Fibre: s.Alt[0].Fibre, Note: s.Alt[0].Text}
		}
		l.ask(Trouble{
			Kind: BlendUnknown, Usual: usual,
			Ask: fmt.Sprintf("%q: which shares? The label inside says.", s.Text), Choices: []string{"50/50", "60/40", "65/35"},
		})
		return
	}
	if len(l.Fibre) > 0 && sayFibre(l.Fibre) != sayFibre(s.Fibre) {
		choices := []string{sayFibre(l.Fibre), sayFibre(s.Fibre)}
		l.ask(Trouble{
			Kind: TwoReadings, Choices: choices, Ask: fmt.Sprintf("Which cloth: %s?", strings.Join(choices, " or ")),
		})
		return
	}
	l.Fibre = cloneShares(s.Fibre)
	b.assume(s.Note)
	if len(s.Alt) > 0 {
		choices := []string{sayFibre(s.Fibre)}
		for _, a := range s.Alt {
			choices = append(choices, a.Text)
		}
		l.ask(Trouble{
			Kind: TwoReadings, Choices: choices,
			Ask: fmt.Sprintf("%s: is that %s?", s.Text, strings.Join(choices, " or ")),
		})
	}
}

// shareItems gives a line without item that of its neighbour: "12 navy and 12
// white tees", "24 tees: 12 in navy, 12 in white". A count that its parts add
// up to is dropped for them.
func (b *orderBuilder) shareItems() {
	for i := len(b.lines) - 1; i >= 0; i-- {
		l := b.lines[i]
		if l.Item != "" || !l.counted && len(l.Sizes) == 0 {
			continue
		}
		if i+1 < len(b.lines) && i == 0 {
			l.borrow(b.lines[i+1])
		}
	}
	for i := 1; i < len(b.lines); i++ {
		if l := b.lines[i]; l.Item == "" {
			from := b.lines[i-1]
			if from.Item == "" && i+1 < len(b.lines) {
				from = b.lines[i+1]
			}
			l.borrow(from)
			l.tail = true
		}
	}
	b.splitTotals()
}

func (l *orderLine) borrow(from *orderLine) {
	l.Item, l.blank = from.Item, from.blank
	if len(l.Fibre) == 0 && len(l.fibres) == 0 {
		l.Fibre, l.fibres = cloneShares(from.Fibre), from.fibres
	}
	if l.Blanks == "" {
		l.Blanks = from.Blanks
	}
	if l.Method == "" {
		l.Method = from.Method
	}
	if l.group == "" {
		l.group = from.group
	}
}

// splitTotals drops a line whose count is the sum of the parts after it.
func (b *orderBuilder) splitTotals() {
	for i := 0; i < len(b.lines); i++ {
		total := b.lines[i]
		if !total.counted || len(total.colours) > 0 || total.tail {
			continue
		}
		j, sum := i+1, 0
		for j < len(b.lines) && b.lines[j].tail && !b.lines[j].more {
			sum += b.lines[j].Quantity
			j++
		}
		if j == i+1 {
			continue
		}
		if sum != total.Quantity {
			total.ask(Trouble{
				Kind: TwoReadings, Choices: []string{strconv.Itoa(sum), strconv.Itoa(total.Quantity)},
				Ask: fmt.Sprintf("You say %d, but the parts add up to %d. How many of each?", total.Quantity, sum),
			})
			b.lines = slices.Delete(b.lines, i+1, j)
			continue
		}
		for _, l := range b.lines[i+1 : j] {
			l.events = slices.Concat(total.events, l.events)
		}
		b.lines = slices.Delete(b.lines, i, i+1)
	}
}

// shareCounts settles each line's count, sizes and group.
func (b *orderBuilder) shareCounts() {
	for _, s := range b.reading.Find(span.Quantity) {
		if s.Unit != "each" {
			continue
		}
		n, _ := wholePieces(s.Value)
		for _, l := range b.lines {
			if !l.counted && len(l.Sizes) == 0 {
				l.Quantity, l.counted = n, true
			}
		}
	}
	for _, l := range b.lines {
		l.settleSizes()
		if l.group == "" && l.blank != nil {
			l.group = l.blank.Group
		}
		l.regroup()
	}
}

// settleSizes makes a size without a count the line's count, and a run
// without a count the line's.
func (l *orderLine) settleSizes() {
	total := 0
	var bare []string
	for size, n := range l.Sizes {
		total += n
		if n == 0 {
			bare = append(bare, size)
		}
	}
	for _, size := range bare {
		if len(bare) == 1 && l.counted && !l.run && l.Quantity > total { // "24 tees M", "2 of them XL, rest M"
			l.Sizes[size] = l.Quantity - total
			continue
		}
		delete(l.Sizes, size)
	}
	if !l.counted && total > 0 {
		l.Quantity, l.counted, l.summed = total, true, true
	}
}

// regroup writes adult letters as youth sizes where the line is of youth wear.
func (l *orderLine) regroup() {
	if l.group != "youth" {
		return
	}
	for _, s := range []string{"XS", "S", "M", "L", "XL"} {
		if n, ok := l.Sizes[s]; ok {
			l.Sizes["Y"+s] += n
			delete(l.Sizes, s)
		}
	}
}

// shareColours settles each line's colour. Several colours with a count for
// each are several lines; with one count they are asked back.
func (b *orderBuilder) shareColours() {
	each := false
	for _, s := range b.reading.Find(span.Quantity) {
		each = each || s.Unit == "each"
	}
	var out []*orderLine
	for _, l := range b.lines {
		switch {
		case len(l.colours) <= 1:
			if len(l.colours) == 1 {
				l.Colour = l.colours[0]
			}
			out = append(out, l)
		case each && !l.counted:
			for _, c := range l.colours {
				one := *l
				one.Line = cloneLine(l.Line)
				one.Colour, one.colours = c, []string{c}
				out = append(out, &one)
			}
		default:
			ask := fmt.Sprintf("How many of each: %s?", strings.Join(l.colours, ", "))
			if l.either {
				ask = fmt.Sprintf("Which colour: %s?", strings.Join(l.colours, " or "))
			}
			l.ask(Trouble{Kind: TwoReadings, Ask: ask, Choices: l.colours})
			out = append(out, l)
		}
	}
	b.lines = out
	b.sharedColour()
}

// sharedColour gives a colour said once to lines of an order that have none:
// "24 hoodies & 24 tees, black". It was meant for all where it stands apart
// after the last item.
func (b *orderBuilder) sharedColour() {
	if len(b.lines) < 2 {
		return
	}
	last := b.lines[len(b.lines)-1]
	if last.Colour == "" || !b.colourApart() {
		return
	}
	for _, l := range b.lines[:len(b.lines)-1] {
		if l.Colour != "" {
			return
		}
	}
	for _, l := range b.lines[:len(b.lines)-1] {
		l.Colour, l.colours = last.Colour, last.colours
	}
	b.assume("all of them " + last.Colour)
}

// colourApart reports whether the last colour follows the last item after a
// sign: ", black".
func (b *orderBuilder) colourApart() bool {
	item := -1
	for _, s := range b.reading.Spans {
		if s.Negated {
			continue
		}
		if s.Kind == span.Item {
			item = s.To
		}
		if s.Kind == span.Colour && item >= 0 {
			return b.breaks(item, s.From)
		}
	}
	return false
}

// sharedFibre gives a cloth said apart, after everything that names lines, to
// those of the same item that have none: "20 tees, 10 black 10 navy, cotton".
func (b *orderBuilder) sharedFibre() {
	last := b.lines[len(b.lines)-1]
	named, apart := 0, false
	for _, s := range b.reading.Spans {
		switch s.Kind {
		case span.Item, span.Colour, span.Quantity:
			named, apart = s.To, false
		case span.Fibre, span.FibreShares, span.Fabric:
			apart = named > 0 && b.breaks(named, s.From)
		}
	}
	if !apart {
		return
	}
	for _, l := range b.lines {
		if l.Item != last.Item || l != last && (len(l.Fibre) > 0 || len(l.fibres) > 0) {
			return
		}
	}
	for _, l := range b.lines {
		l.Fibre, l.fibres = cloneShares(last.Fibre), last.fibres
	}
}

// shareBlends settles each line's fibres: one fibre without a share is all of
// it, several are asked back.
func (b *orderBuilder) shareBlends() {
	if len(b.lines) > 1 {
		b.sharedFibre()
	}
	for _, l := range b.lines {
		if len(l.Fibre) > 0 || len(l.fibres) == 0 {
			continue
		}
		named := slices.Compact(slices.Sorted(slices.Values(l.fibres)))
		if len(named) == 1 {
			if !l.blendUnknown() {
				l.Fibre = map[string]int{named[0]: wholeShare}
			}
			continue
		}
		l.ask(Trouble{
			Kind: TwoReadings, Choices: named,
			Ask: fmt.Sprintf("Which fibre: %s, or a blend? The label inside says.", strings.Join(named, " or ")),
		})
	}
}

func (l *orderLine) blendUnknown() bool {
	return slices.ContainsFunc(l.trouble, func(t Trouble) bool { return t.Kind == BlendUnknown })
}

// ask keeps what must be asked back of the line.
func (l *orderLine) ask(t Trouble) { l.trouble = append(l.trouble, t) }
