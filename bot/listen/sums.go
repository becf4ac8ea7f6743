package listen

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"presshand/bot/listen/span"
	"presshand/planner"
)

// A sized is a mention of a size in a change, with its count where one was said:
// "two of the larges", "4 XL".
type sized struct {
	size  string
	count int // 0 where not said
	out   bool
}

// sizedOf lists the sizes a message mentions, in order.
func sizedOf(r span.Reading) []sized {
	var out []sized
	for k, s := range r.Spans {
		switch s.Kind {
		case span.SizeRun:
			for _, size := range slices.SortedFunc(maps.Keys(s.Sizes), bySize) {
				out = append(out, sized{size, s.Sizes[size], s.Negated || leaves(r, k)})
			}
		case span.Size:
			n, gone := countBeforeSize(r, k)
			out = append(out, sized{s.ID, n, s.Negated || gone})
		}
	}
	return out
}

// countBeforeSize is the count that belongs to the size at span k, only small
// words between them: "two of the larges"; 0 where there is none. gone reports
// that it is taken away.
func countBeforeSize(r span.Reading, k int) (n int, gone bool) {
	for j := k - 1; j >= 0; j-- {
		s := r.Spans[j]
		switch {
		case s.Kind == span.Number || s.Kind == span.Quantity:
			if n, isWhole := wholePieces(s.Value); isWhole && n > 0 && s.Unit != "each" {
				return n, s.Value2 < 0 || leaves(r, j)
			}
			return 0, false
		case j > 0 && r.Spans[j-1].Kind == span.Quantity && r.Spans[j-1].Value2 != 0: // the "fewer" of "2 fewer mediums"
		case s.Kind != span.Word || !r.Tokens[s.From].Small && r.Tokens[s.From].Joins == "":
			return 0, false
		}
	}
	return 0, false
}

// leaves reports whether the figure at span k is taken away: "drop 5", "minus
// 3", "5 fewer".
func leaves(r span.Reading, k int) bool {
	if r.Spans[k].Value2 < 0 {
		return true
	}
	for j := k - 1; j >= 0; j-- {
		switch s := r.Spans[j]; {
		case s.Kind == span.Amend:
			return s.ID == "remove"
		case s.Kind != span.Word || !r.Tokens[s.From].Small && r.Tokens[s.From].Joins == "":
			return false
		}
	}
	return false
}

// sums applies to line i what counts from what is there, and reports whether
// there was any of it: "double it", "5 fewer", "add 4 XL", "two of the larges
// become mediums", "make them all XL".
func (a *amender) sums(i int) bool {
	line := &a.order.Lines[i]
	return a.times(line) || a.moves(line) || a.takesSizes(line) || a.fewer(line) || a.allOneSize(line)
}

// times multiplies a line: "double it".
func (a *amender) times(line *planner.Line) bool {
	for _, s := range a.reading.Find(span.Amend) {
		text, isFactor := strings.CutPrefix(s.ID, "x")
		factor, err := strconv.ParseFloat(text, 64)
		if !isFactor || err != nil || line.Quantity == 0 {
			continue
		}
		sizes, total := map[string]int{}, 0
		for size, n := range line.Sizes {
			sizes[size] = int(math.Floor(float64(n) * factor))
			total += sizes[size]
		}
		n := int(math.Ceil(float64(line.Quantity) * factor))
		a.setCount(line, n, total == n)
		if total == n && len(sizes) > 0 {
			line.Sizes = sizes
			a.say("sizes %s", saySizes(sizes))
		}
		return true
	}
	return false
}

// moves turns pieces of one size into another: "two of the larges become
// mediums", "swap 4 M for XL". Without a count all of the size are meant.
func (a *amender) moves(line *planner.Line) bool {
	said := sizedOf(a.reading)
	if len(said) != 2 || said[0].size == said[1].size || said[0].out || said[1].out || a.adds() {
		return false
	}
	from, to := said[0], said[1]
	have := line.Sizes[from.size]
	n := max(from.count, to.count)
	switch {
	case have == 0 || from.count > 0 && to.count > 0 && from.count != to.count:
		return false
	case n == 0 && !a.words["become"]:
		return false
	case n == 0:
		n = have
	}
	a.resized(line, map[string]int{from.size: -n, to.size: n})
	return true
}

// takesSizes adds pieces of a size to those of a line, or takes them away:
// "add 4 XL", "drop 2 of the mediums".
func (a *amender) takesSizes(line *planner.Line) bool {
	if len(line.Sizes) == 0 || len(a.reading.Find(span.Item)) > 0 {
		return false
	}
	change := map[string]int{}
	for _, x := range sizedOf(a.reading) {
		switch {
		case x.count == 0 || youth(x.size) != youthLine(line):
			return false
		case x.out:
			change[x.size] -= x.count
		case a.adds() || a.saysMore():
			change[x.size] += x.count
		default:
			return false
		}
	}
	if len(change) == 0 {
		return false
	}
	a.resized(line, change)
	return true
}

// saysMore reports a count that adds to others: "4 more XL".
func (a *amender) saysMore() bool {
	return slices.ContainsFunc(a.reading.Spans, func(s span.Span) bool { return s.Kind == span.Quantity && s.Value2 > 0 })
}

func youth(size string) bool { return strings.HasPrefix(size, "Y") }

func youthLine(line *planner.Line) bool {
	for size := range line.Sizes {
		return youth(size)
	}
	return false
}

// resized changes the counts of a line's sizes, and its own by their sum. A
// size of which none are left goes; one of which too many were taken stays
// below zero, for Troubles to ask about.
func (a *amender) resized(line *planner.Line, change map[string]int) {
	before := line.Quantity
	for size, n := range change {
		line.Quantity += n
		if line.Sizes[size] += n; line.Sizes[size] == 0 {
			delete(line.Sizes, size)
		}
	}
	if line.Quantity != before {
		a.say("%d %s", line.Quantity, pluralOf(line.Item))
	}
	a.say("sizes %s", saySizes(line.Sizes))
}

// fewer takes pieces away from a line's count: "5 fewer", "minus 3".
func (a *amender) fewer(line *planner.Line) bool {
	for k, s := range a.reading.Spans {
		n, isWhole := wholePieces(s.Value)
		counts := s.Kind == span.Quantity || s.Kind == span.Number && s.Unit == ""
		if !counts || !isWhole || n <= 0 || !leaves(a.reading, k) || n == line.Quantity || a.counts(k) {
			continue
		}
		a.setCount(line, line.Quantity-n, false)
		return true
	}
	return false
}

// counts reports whether the figure at span k counts something that is no item:
// "cut 4 sheets".
func (a *amender) counts(k int) bool {
	if k+1 >= len(a.reading.Spans) {
		return false
	}
	next := a.reading.Spans[k+1]
	t := a.reading.Tokens[next.From]
	return a.reading.Spans[k].Kind == span.Number && next.Kind == span.Word && !t.Small && t.Joins == ""
}

// splits makes a line of its own of a part of line i: "12 of them in navy", "half
// of those hoodies". Sizes stay open where there were any.
func (a *amender) splits(i int, said []*orderLine) bool {
	line := &a.order.Lines[i]
	n := a.part(line.Quantity)
	if n <= 0 || n >= line.Quantity || len(said) == 0 {
		return false
	}
	l := said[len(said)-1]
	if l.Item == "" && l.Colour == "" && len(l.Fibre) == 0 {
		return false
	}
	part := cloneLine(*line)
	if l.Item != "" {
		part.Item = l.Item
	}
	overlay(&part, l)
	part.Quantity, line.Quantity = n, line.Quantity-n
	if len(line.Sizes) > 0 {
		part.Sizes, line.Sizes = map[string]int{}, map[string]int{}
	}
	a.say("%d %s", line.Quantity, pluralOf(line.Item))
	a.order.Lines = append(a.order.Lines, part)
	a.say("%s", a.describe(part))
	return true
}

// part is how many of whole a message speaks of: "12 of them", "half"; 0 where
// it speaks of all.
func (a *amender) part(whole int) int {
	for _, s := range a.reading.Spans {
		if s.Kind != span.Number && s.Kind != span.Quantity || s.Negated || s.Value <= 0 {
			continue
		}
		if s.Value < 1 {
			n, even := wholePieces(s.Value * float64(whole))
			if even {
				return n
			}
			return 0
		}
		if s.To+1 < len(a.reading.Tokens) && a.reading.Tokens[s.To].Joins == "of" {
			n, _ := wholePieces(s.Value)
			return n
		}
	}
	return 0
}

// allOneSize makes all pieces of a line one size: "make them all XL", "forget the
// XLs, do them all in L".
func (a *amender) allOneSize(line *planner.Line) bool {
	said := slices.DeleteFunc(sizedOf(a.reading), func(s sized) bool { return s.out })
	if len(said) != 1 || said[0].count > 0 || line.Quantity <= 0 || len(a.reading.Find(span.Item)) > 0 || a.adds() {
		return false
	}
	for _, figure := range []span.Kind{span.Quantity, span.Number, span.Duration, span.Percent} {
		if len(a.reading.Find(figure)) > 0 {
			return false
		}
	}
	if !a.words["set"] && !a.words["become"] && !a.saysAll() {
		return false
	}
	line.Sizes = map[string]int{said[0].size: line.Quantity}
	a.say("sizes %s", saySizes(line.Sizes))
	return true
}

func (a *amender) saysAll() bool {
	return slices.ContainsFunc(a.reading.Tokens, func(t span.Token) bool { return t.Joins == "all" })
}

// corrected is the new count of "54 not 45", where 45 is the count of a line
// and nothing else is counted.
func (a *amender) corrected() (line, n int, ok bool) {
	var old, now []int
	for _, s := range a.reading.Spans {
		if s.Kind != span.Quantity && s.Kind != span.Number || s.Unit != "" || s.Value2 != 0 {
			continue
		}
		v, isWhole := wholePieces(s.Value)
		switch {
		case !isWhole || v <= 0:
		case s.Negated:
			old = append(old, v)
		default:
			now = append(now, v)
		}
	}
	if len(old) != 1 || len(now) != 1 {
		return 0, 0, false
	}
	at := slices.IndexFunc(a.order.Lines, func(l planner.Line) bool { return l.Quantity == old[0] })
	return at, now[0], at >= 0
}

// bySize orders sizes as they are listed.
func bySize(a, b string) int {
	return slices.Index(sizeOrder[:], a) - slices.Index(sizeOrder[:], b)
}
