package questions

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"presshand/bot/reply"
)

// A dimension keeps figures of one kind together: a temperature shown must
// come from a temperature.
type dimension int

const (
	plain dimension = iota // counts, shares, money, dates
	temperature
	length
	duration
	weight
)

// A figure is a number that an answer may show, with the dimension it has; a
// plain one may be shown in any.
type figure struct {
	value float64
	of    dimension
}

// Untraced returns the numbers of an answer's text that trace to none of its
// facts, order, quote or plan, nor to what was said in the conversation; in
// any unit of their kind, rounded as shown. Ordinals of lists are left aside,
// and so are examples of what can be typed.
func Untraced(c Case, a reply.Reply) []string {
	loose := without(numbersOf(example.ReplaceAllString(a.Text(), "")), knownFigures(c, a))
	if len(loose) > 0 && a.Plan != nil { // plans are long: read only where needed
		loose = without(loose, jsonFigures(a.Plan))
	}
	var out []string
	for _, n := range loose {
		out = append(out, n.text)
	}
	return out
}

// without returns the numbers that show none of the figures.
func without(numbers []shown, known []figure) []shown {
	return slices.DeleteFunc(numbers, func(n shown) bool {
		return slices.ContainsFunc(known, func(f figure) bool { return n.shows(f) })
	})
}

func knownFigures(c Case, a reply.Reply) []figure {
	var known []figure
	for _, f := range a.Facts {
		known = append(known, factFigures(f)...)
	}
	if a.Quote != nil {
		known = append(known, jsonFigures(a.Quote)...)
	}
	if a.Order != nil {
		known = append(known, jsonFigures(a.Order)...)
	}
	for _, text := range append(slices.Clone(c.After), c.Ask) {
		for _, n := range numbersOf(text) {
			known = append(known, said(n)...)
		}
	}
	return known
}

// factFigures are a fact's value and range, and the figures of its cite.
func factFigures(f reply.Fact) []figure {
	of := map[string]dimension{"C": temperature, "mm": length, "s": duration, "g/m2": weight}[f.Unit]
	var out []figure
	switch v := f.Value.(type) {
	case string:
		out = append(out, textFigures(v)...)
	default:
		if n, ok := number(v); ok {
			out = append(out, figure{inner(n, f.Unit), dimensionOf(f.Unit, of)})
			if f.Unit == "C apart" { // 8 C apart shows as 14 F, which read as a temperature is 8 - 160/9 C
				out = append(out, figure{n - 160.0/9, temperature})
			}
		}
	}
	for _, bound := range []*float64{f.Low, f.High} {
		if bound != nil {
			out = append(out, figure{inner(*bound, f.Unit), dimensionOf(f.Unit, of)})
		}
	}
	return append(out, textFigures(f.Source.Cite)...)
}

// inner turns a converted fact, which carries the unit that was asked for,
// into the unit of its kind.
func inner(v float64, unit string) float64 {
	if m, ok := measures[unit]; ok {
		return m.inner(v)
	}
	return v
}

func dimensionOf(unit string, otherwise dimension) dimension {
	if m, ok := measures[unit]; ok {
		return m.of
	}
	return otherwise
}

// textFigures are the numbers of a word, a sum of money or a time.
func textFigures(s string) []figure {
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return timeFigures(t)
	}
	var out []figure
	for _, n := range numbersOf(s) {
		out = append(out, figure{n.value, plain})
	}
	return out
}

func timeFigures(t time.Time) []figure {
	var out []figure
	for _, v := range []int{t.Year(), int(t.Month()), t.Day(), t.Hour(), (t.Hour()+11)%12 + 1, t.Minute()} {
		out = append(out, figure{float64(v), plain})
	}
	return out
}

// lengths and times of the stable forms, by field.
var fieldDimension = map[string]dimension{
	"width": length, "height": length, "makespan_s": duration, "at_least_s": duration, "by_s": duration, "wait_s": duration,
}

func jsonFigures(v any) []figure {
	data, err := json.Marshal(v)
	if err != nil {
		return nil
	}
	var tree any
	if err := json.Unmarshal(data, &tree); err != nil {
		return nil
	}
	var out []figure
	walk(tree, "", &out)
	return out
}

func walk(node any, field string, out *[]figure) {
	switch n := node.(type) {
	case map[string]any:
		for k, v := range n {
			if k == "steps" { // each step's clock times would let any number pass
				continue
			}
			walk(v, k, out)
		}
	case []any:
		*out = append(*out, figure{float64(len(n)), plain})
		for _, v := range n {
			walk(v, field, out)
		}
	case float64:
		*out = append(*out, figure{n, fieldDimension[field]})
	case string:
		*out = append(*out, textFigures(n)...)
	}
}

// said are the readings of a number someone typed: with its unit, or in any.
func said(n shown) []figure {
	if m, ok := measures[n.unit]; ok {
		return []figure{{m.inner(n.value), m.of}, {n.value, plain}}
	}
	out := []figure{{n.value, plain}}
	for _, unit := range []string{"F", "C", "in", "mm", "s", "min", "oz/yd2", "g/m2"} {
		m := measures[unit]
		out = append(out, figure{m.inner(n.value), m.of})
	}
	return out
}

// A measure is a unit as shown: its dimension, and how it becomes the unit of
// the answer object.
type measure struct {
	of    dimension
	inner func(float64) float64
}

func scale(by float64) func(float64) float64 { return func(v float64) float64 { return v * by } }

// measures by unit. Ounces a square yard: NIST SP 811 factors.
var measures = map[string]measure{
	"F": {temperature, func(v float64) float64 { return (v - 32) / 1.8 }}, "C": {temperature, scale(1)},
	"in": {length, scale(25.4)}, "mm": {length, scale(1)}, "cm": {length, scale(10)},
	"s": {duration, scale(1)}, "min": {duration, scale(60)}, "h": {duration, scale(3600)}, "days": {duration, scale(86400)},
	"oz/yd2": {weight, scale(33.9057)}, "g/m2": {weight, scale(1)},
}

// A shown number is one as it stands in a text.
type shown struct {
	text     string // with its unit
	value    float64
	decimals int
	unit     string // "" where none stands behind it
}

var (
	example = regexp.MustCompile(`(?m)(?:For example|Por ejemplo):.*$|\x{201c}[^\x{201d}]*\x{201d}`)
	numeral = regexp.MustCompile(`\d+(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?`)
	// behind is what may stand between a number and its unit: the other end of
	// a range, the other side of a print.
	behind = regexp.MustCompile(`^(?:\s?(?:-|\x{2013}|to|x|or|and|a|o|y)\s?\d+(?:\.\d+)?)?\s?(°F|°C|in|pulg|mm|cm|s|min|h|days|oz/yd²|oz/yd2|g/m²|g/m2|F|C|%)(?:[^A-Za-z0-9/]|$)`)
	// size is what makes a number part of a word: "2XL", "12M", "3rd".
	size    = regexp.MustCompile(`^(?:X{1,3}L?|[TMLS]|st|nd|rd|th)\b`)
	ordinal = regexp.MustCompile(`(?m)(?:^|[:·;]\s)\s*(\d{1,2})[.)]?\s`)
)

// numbersOf returns the numbers of a text but the ordinals of its lists.
func numbersOf(text string) []shown {
	skip := map[int]bool{}
	next := 1
	for _, at := range ordinal.FindAllStringSubmatchIndex(text, -1) {
		n, err := strconv.Atoi(text[at[2]:at[3]])
		if err != nil || behind.MatchString(text[at[3]:]) {
			continue
		}
		if n == 1 {
			next = 1
		}
		if n == next {
			skip[at[2]] = true
			next++
		}
	}
	var out []shown
	for _, at := range numeral.FindAllStringIndex(text, -1) {
		if skip[at[0]] || inWord(text, at[0]) || size.MatchString(text[at[1]:]) {
			continue
		}
		raw := strings.ReplaceAll(text[at[0]:at[1]], ",", "")
		v, err := strconv.ParseFloat(raw, 64)
		if err != nil {
			continue
		}
		n := shown{text: text[at[0]:at[1]], value: v}
		if _, frac, ok := strings.Cut(raw, "."); ok {
			n.decimals = len(frac)
		}
		if m := behind.FindStringSubmatch(text[at[1]:]); m != nil {
			n.unit = strings.NewReplacer("°", "", "²", "2", "pulg", "in").Replace(m[1])
			n.text += " " + n.unit
		}
		out = append(out, n)
	}
	return out
}

// inWord reports a number that follows a letter, a figure and a point, or a
// hash: "D1909", "#c81e28".
func inWord(text string, at int) bool {
	if at == 0 {
		return false
	}
	b := text[at-1]
	return b == '#' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b == '.' && at > 1 && isDigit(text[at-2])
}

// shows reports whether the number may be the figure, rounded as shown.
func (n shown) shows(f figure) bool {
	m, measured := measures[n.unit]
	if measured && f.of != plain && f.of != m.of {
		return false
	}
	for _, v := range displays(f, n.unit) {
		if math.Abs(v-n.value) <= 0.5*math.Pow(10, -float64(n.decimals))+1e-6 {
			return true
		}
	}
	return false
}

// displays are the ways a figure is shown in a unit, or in any where none
// stands behind the number. Times may be split: 2 h 35 min.
func displays(f figure, unit string) []float64 {
	v := f.value
	all := map[string][]float64{
		"F": {v*1.8 + 32, v * 1.8}, "C": {v},
		"in": {v / 25.4}, "mm": {v}, "cm": {v / 10},
		"s": {v, math.Mod(v, 60)}, "min": {v / 60, math.Floor(v / 60), math.Mod(v/60, 60), math.Floor(math.Mod(v/60, 60))}, "h": {v / 3600, math.Floor(v / 3600)}, "days": {v / 86400},
		"oz/yd2": {v / 33.9057}, "g/m2": {v},
	}
	units := map[dimension][]string{
		temperature: {"F", "C"}, length: {"in", "mm", "cm"}, duration: {"s", "min", "h", "days"}, weight: {"oz/yd2", "g/m2"},
	}
	switch {
	case f.of == plain:
		return []float64{v}
	case unit != "" && all[unit] != nil:
		return all[unit]
	case unit != "":
		return []float64{v}
	}
	var out []float64
	for _, u := range units[f.of] {
		out = append(out, all[u]...)
	}
	return out
}
