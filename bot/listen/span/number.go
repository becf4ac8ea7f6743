package span

import (
	"math"
	"strconv"
	"strings"
)

// A number is a number in digits or words.
type number struct {
	value  float64
	n      int  // tokens
	vague  bool // "a couple", "a few": value is the likeliest, 0 where there is none
	words  bool // written in words
	spoken bool // hundreds as they are spoken: "three ten"
}

// number reads a number at token i: digits with a fraction ("3 1/2", "5 and a
// half"), words ("twenty-four", "one hundred and twenty", "three ten"), both
// ("2 dozen", "1.5k").
func (s *scan) number(i int) (number, bool) {
	v, ok := s.plainFigure(i)
	if f, n := s.andPart(i + v.n); ok && n > 0 && !v.vague && v.value >= 1 && v.value == math.Trunc(v.value) {
		v.value, v.n = v.value+f*s.lastMultiplier(i+v.n-1), v.n+n
		if m, k := s.multiplier(i + v.n); k > 0 { // "two and a half dozen"
			v.value, v.n = v.value*m, v.n+k
		}
	}
	return v, ok
}

// lastMultiplier is what the last word of a number multiplies by, 1 where it
// does not: "a dozen and a half" is 18.
func (s *scan) lastMultiplier(i int) float64 {
	if m, n := s.multiplier(i); n == 1 {
		return m
	}
	return 1
}

// andPart reads "and a half", "and three quarters" behind a number.
func (s *scan) andPart(i int) (float64, int) {
	if !s.joiner(i, "and") {
		return 0, 0
	}
	j, times := i+1, 1.0
	switch {
	case s.joiner(j, "a"):
		j++
	case j < len(s.tokens) && s.tokens[j].Text == "half":
	default:
		v, n := s.plainNumber(j)
		if n == 0 {
			return 0, 0
		}
		j, times = j+n, v
	}
	part, n := s.plainNumber(j)
	if n == 0 || part <= 0 || part >= 1 || part*times >= 1 {
		return 0, 0
	}
	return part * times, j + n - i
}

func (s *scan) plainFigure(i int) (number, bool) {
	if i >= len(s.tokens) {
		return number{}, false
	}
	if t := s.tokens[i]; t.IsNumber {
		v := number{value: t.Number, n: 1}
		if f, n, ok := s.fraction(i + 1); ok && t.Number == float64(int64(t.Number)) {
			v.value, v.n = v.value+f, 1+n
			return v, true
		}
		if m, n := s.multiplier(i + 1); n > 0 {
			v.value, v.n = v.value*m, 1+n
		}
		return v, true
	}
	return s.numberWords(i)
}

// fraction reads "1/2" at token i: a numerator below its denominator.
func (s *scan) fraction(i int) (float64, int, bool) {
	if i+2 >= len(s.tokens) || !s.tokens[i].IsNumber || !s.is(i+1, "/") || !s.tokens[i+2].IsNumber {
		return 0, 0, false
	}
	a, b := s.tokens[i].Number, s.tokens[i+2].Number
	if a <= 0 || a >= b || !inchFraction(b) {
		return 0, 0, false
	}
	return a / b, 3, true
}

// inchFraction reports whether rulers are divided by b.
func inchFraction(b float64) bool { return b == 2 || b == 3 || b == 4 || b == 8 || b == 16 || b == 32 }

// multiplier reads "dozen", "hundred"; a "k" only where it touches the digits.
func (s *scan) multiplier(i int) (float64, int) {
	id, n := s.class(i, classNumber)
	if n == 0 || !strings.HasPrefix(id, "x") || len(s.tokens[i].Text) == 1 && !s.tokens[i].Glued {
		return 0, 0
	}
	m, err := strconv.ParseFloat(id[1:], 64)
	if err != nil {
		return 0, 0
	}
	return m, n
}

// Bounds of a number in words as English builds it: units under ten follow
// tens, "and" follows hundreds.
const (
	ten     = 10
	twenty  = 20
	hundred = 100
)

func (s *scan) numberWords(i int) (number, bool) {
	if id, n := s.class(i, classNumber); n > 0 && strings.HasSuffix(id, "?") {
		v, err := strconv.ParseFloat(strings.TrimSuffix(id, "?"), 64)
		if err != nil {
			v = 0
		}
		if m, k := s.multiplier(i + n); k > 0 {
			return number{value: v * m, n: n + k, vague: true, words: true}, true
		}
		return number{value: v, n: n, vague: true, words: true}, true
	}
	start := i
	if s.joiner(i, "a") {
		if _, n := s.multiplier(i + 1); n == 0 {
			return number{}, false
		}
		i++
	}
	total, current, began, spoken := 0.0, 0.0, false, false
	for i < len(s.tokens) && !s.tokens[i].IsNumber {
		if s.joiner(i, "a") && began && current < 1 { // half a dozen
			i++
			continue
		}
		if m, n := s.multiplier(i); n > 0 {
			if current == 0 {
				current = 1
			}
			current *= m
			if m > hundred {
				total, current = total+current, 0
			}
			i, began = i+n, true
			continue
		}
		j := i
		if began && (current >= hundred || total > 0) && s.joiner(i, "and") {
			j++
		}
		v, n := s.plainNumber(j)
		if n > 0 && began && !spoken && total == 0 && current >= 1 && current < ten && v >= ten && v < hundred && !s.measured(j+n, v) {
			current, spoken = current*hundred+v, true // "three eighty"; "two ten inch prints" are two
			i = j + n
			continue
		}
		if n == 0 || began && !follows(current, v) {
			break
		}
		current += v
		i, began = j+n, true
	}
	if !began || i == start {
		return number{}, false
	}
	return number{value: total + current, n: i - start, words: true, spoken: spoken}, true
}

// measured reports a unit of length behind a number of value v.
func (s *scan) measured(i int, v float64) bool {
	_, n := s.lengthUnit(i, v)
	return n > 0
}

// follows reports whether a number word of value v can go on from current.
func follows(current, v float64) bool {
	last := int(current) % hundred
	return last == 0 && v > 0 || last >= twenty && last%ten == 0 && v >= 1 && v < ten
}

func (s *scan) plainNumber(i int) (float64, int) {
	id, n := s.class(i, classNumber)
	if n == 0 || strings.HasPrefix(id, "x") {
		return 0, 0
	}
	v, err := strconv.ParseFloat(id, 64)
	if err != nil {
		return 0, 0
	}
	return v, n
}

// readNumber reads a bare number, with a sign before it and an "x" that
// counts: "-5", "x24", "24x". Of a range that counts ("24 to 30 tees") the
// upper end is the other reading.
func (s *scan) readNumber(i int) []Span {
	start, sign, counted := i, 1.0, false
	if s.is(i, "-") && i+1 < len(s.tokens) && s.tokens[i+1].Glued && (i == 0 || !s.tokens[i-1].IsNumber) {
		sign = -1
		i++
	}
	if s.is(i, "x") && i+1 < len(s.tokens) && s.tokens[i+1].IsNumber {
		counted = true
		i++
	}
	v, ok := s.number(i)
	if !ok {
		if f, n, isFraction := s.fraction(i); isFraction {
			v, ok = number{value: f, n: n}, true
		}
	}
	if !ok {
		return nil
	}
	end := i + v.n
	if id, n := s.class(end, classCounter); id == "lot" && s.joiner(end+n, "of") {
		if each, ok := s.number(end + n + 1); ok && !each.vague { // "2 boxes of 12 mugs"
			v.value, end = v.value*each.value, end+n+1+each.n
		}
	}
	var upper []Alternative
	if w, ok := s.rangeEnd(end); ok && sign > 0 && w.value > v.value && s.counts(end+s.rangeMark(end)+w.n) {
		end += s.rangeMark(end) + w.n
		upper = []Alternative{{Kind: Quantity, Value: w.value}}
	}
	if s.is(end, "x") && !s.nextIsNumber(end+1) {
		counted = true
		end++
	}
	sp := s.span(Number, start, end)
	sp.Value, sp.Alt = sign*v.value, upper
	if v.vague {
		sp.Unit = "vague"
	}
	if counted {
		sp.Kind = Quantity
	}
	return []Span{sp}
}

func (s *scan) nextIsNumber(i int) bool { return i < len(s.tokens) && s.tokens[i].IsNumber }
