package listen

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"presshand/planner"
)

// A Trouble is something in an order that must be asked back.
type Trouble struct {
	Kind    TroubleKind
	Line    int      // index of the line; -1 where it is of the whole order
	Ask     string   // one question, in words
	Choices []string // short answers to choose from; empty where there are too many
	Usual   Usual    // what may be taken where it decides nothing
}

// A Usual is what a cloth named without its shares mostly is.
type Usual struct {
	Fibre map[string]int
	Note  string // that it was taken for it
}

// A TroubleKind says what is wrong.
type TroubleKind string

// The kinds of trouble, the gravest first.
const (
	QuantityAbsurd   TroubleKind = "quantity-absurd"
	QuantityNegative TroubleKind = "quantity-negative"
	QuantityZero     TroubleKind = "quantity-zero"
	QuantityPart     TroubleKind = "quantity-part"  // not a whole number
	QuantityVague    TroubleKind = "quantity-vague" // "a couple", "a few"
	SizesDiffer      TroubleKind = "sizes-differ"
	DatePast         TroubleKind = "date-past"
	FibreSum         TroubleKind = "fibre-sum" // shares that don't make 100
	TwoReadings      TroubleKind = "two-readings"
	BlendUnknown     TroubleKind = "blend-unknown" // a blend without shares
)

var troubleOrder = [...]TroubleKind{
	QuantityAbsurd, QuantityNegative, QuantityZero, QuantityPart, QuantityVague, SizesDiffer, DatePast,
	FibreSum, TwoReadings, BlendUnknown,
}

func (k TroubleKind) rank() int { return slices.Index(troubleOrder[:], k) }

// mostPieces is the largest count taken at its word: at two minutes a piece it
// keeps two presses busy for a year of working days, far more than a shop of
// this kind accepts in one line.
const mostPieces = 100_000

// wholeShare is what the shares of a cloth make together, in per cent.
const wholeShare = 100

// Troubles returns what is wrong with an order by itself: impossible counts,
// sizes that don't add up, shares that don't make 100, a due time in the past.
func Troubles(order planner.Order, env OrderEnv) []Trouble {
	var out []Trouble
	for i, l := range order.Lines {
		if t, ok := quantityTrouble(l); ok {
			t.Line = i
			out = append(out, t)
		}
		if t, ok := sizeTrouble(l); ok {
			t.Line = i
			out = append(out, t)
		}
		if t, ok := fibreTrouble(l); ok {
			t.Line = i
			out = append(out, t)
		}
	}
	if at, err := time.Parse(time.RFC3339, order.Due); err == nil && at.Before(env.Now) {
		out = append(out, Trouble{Kind: DatePast, Line: -1, Ask: fmt.Sprintf("%s is over. When is it due?", at.Format("Mon 2 Jan 15:04"))})
	}
	return out
}

func quantityTrouble(l planner.Line) (Trouble, bool) {
	what := l.Item
	if what == "" {
		what = "piece"
	}
	switch {
	case l.Quantity < 0:
		return Trouble{Kind: QuantityNegative, Ask: fmt.Sprintf("%d %s can't be made. How many?", l.Quantity, pluralOf(what)), Choices: []string{strconv.Itoa(-l.Quantity)}}, true
	case l.Quantity > mostPieces:
		return Trouble{Kind: QuantityAbsurd, Ask: fmt.Sprintf("%s %s: is that the number you mean? How many?", thousands(l.Quantity), pluralOf(what))}, true
	}
	return Trouble{}, false
}

func sizeTrouble(l planner.Line) (Trouble, bool) {
	total := 0
	for size, n := range l.Sizes {
		if n < 0 {
			return Trouble{Kind: SizesDiffer, Ask: fmt.Sprintf("That is %d %s more than there are. How many of each size?", -n, size)}, true
		}
		total += n
	}
	if len(l.Sizes) == 0 || l.Quantity <= 0 || total == l.Quantity {
		return Trouble{}, false
	}
	return Trouble{
		Kind: SizesDiffer, Choices: []string{strconv.Itoa(total), strconv.Itoa(l.Quantity)},
		Ask: fmt.Sprintf("The sizes (%s) add up to %d, but you say %d. Which is right?", saySizes(l.Sizes), total, l.Quantity),
	}, true
}

func fibreTrouble(l planner.Line) (Trouble, bool) {
	total := 0
	for _, n := range l.Fibre {
		total += n
	}
	if len(l.Fibre) == 0 || total == wholeShare {
		return Trouble{}, false
	}
	return Trouble{Kind: FibreSum, Ask: fmt.Sprintf("The fibres (%s) make %d %% together. What does the label say?", sayFibre(l.Fibre), total)}, true
}

// sizeOrder is the order in which sizes are listed.
var sizeOrder = [...]string{
	"NB", "6M", "12M", "18M", "24M", "2T", "3T", "4T", "5T", "YXS", "YS", "YM", "YL", "YXL",
	"XS", "S", "M", "L", "XL", "2XL", "3XL", "4XL", "5XL", "6XL",
}

// saySizes writes a size run: "S 4, M 10".
func saySizes(sizes map[string]int) string {
	keys := slices.SortedFunc(maps.Keys(sizes), func(a, b string) int {
		i, j := slices.Index(sizeOrder[:], a), slices.Index(sizeOrder[:], b)
		if i != j {
			return i - j
		}
		return strings.Compare(a, b)
	})
	parts := make([]string, len(keys))
	for i, k := range keys {
		parts[i] = k + " " + strconv.Itoa(sizes[k])
	}
	return strings.Join(parts, ", ")
}

// sayFibre writes shares, the largest first: "60 % cotton, 40 % polyester".
func sayFibre(fibre map[string]int) string {
	keys := slices.SortedFunc(maps.Keys(fibre), func(a, b string) int {
		if fibre[a] != fibre[b] {
			return fibre[b] - fibre[a]
		}
		return strings.Compare(a, b)
	})
	parts := make([]string, len(keys))
	for i, k := range keys {
		parts[i] = strconv.Itoa(fibre[k]) + " % " + k
	}
	return strings.Join(parts, ", ")
}

// pluralOf writes an order's item as many.
func pluralOf(item string) string {
	switch {
	case strings.HasSuffix(item, "s"):
		return item
	case strings.HasSuffix(item, "ch"), strings.HasSuffix(item, "sh"), strings.HasSuffix(item, "x"):
		return item + "es"
	}
	return item + "s"
}

// thousands writes a number with commas.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// wholePieces returns a count as an int; what is no whole number, or beyond
// int's safe range, is rounded, and ok is false.
func wholePieces(v float64) (n int, ok bool) {
	const safe = 1 << 53 // float64 counts without gaps up to here
	if math.Abs(v) > safe || math.IsNaN(v) {
		return math.MaxInt32, false
	}
	return int(math.Round(v)), v == math.Trunc(v)
}
