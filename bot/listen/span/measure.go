package span

import (
	"math"
	"slices"

	"presshand/planner/unit"
)

// unitAt returns the unit at token i, by its sign or by a word, and its
// length in tokens.
func (s *scan) unitAt(i int) (string, int) {
	if i >= len(s.tokens) {
		return "", 0
	}
	switch s.tokens[i].Text {
	case `"`:
		return "in", 1
	case "%":
		return "%", 1
	case "\u00b0":
		if u, n := s.class(i+1, classUnit); u == "F" || u == "C" {
			return u, 1 + n
		}
		return "deg", 1
	}
	return s.class(i, classUnit)
}

// perMillimetre rounds lengths to a micrometre, so that 7 in is 177.8 mm and
// not a float's neighbour of it.
const perMillimetre = 1000

func lengthOf(v float64, u string) (float64, bool) {
	switch u {
	case "in":
		return math.Round(unit.Inches(v).MM()*perMillimetre) / perMillimetre, true
	case "mm":
		return v, true
	case "cm":
		return v * 10, true
	case "ft":
		return lengthOf(v*inchesPerFoot, "in")
	}
	return 0, false
}

const inchesPerFoot = 12

func secondsOf(v float64, u string) (float64, bool) {
	switch u {
	case "s":
		return v, true
	case "min":
		return unit.Minutes(v).S(), true
	case "h":
		return unit.Hours(v).S(), true
	case "d":
		return unit.Hours(24 * v).S(), true
	case "w":
		return unit.Hours(7 * 24 * v).S(), true
	}
	return 0, false
}

// lengthUnit returns a unit of length at token i. "in" after a whole number
// is the little word where a colour, a size, a cloth, a date or a temperature
// scale follows: "24 in black" counts, "3.5 in white" measures.
func (s *scan) lengthUnit(i int, value float64) (string, int) {
	u, n := s.unitAt(i)
	if _, ok := lengthOf(1, u); !ok {
		return "", 0
	}
	if s.is(i, "in") && !s.tokens[i].Glued && !s.tokens[i].Hyphen && value == math.Trunc(value) &&
		(s.anyKind(i+n, Colour, Size, Group, Fibre, Fabric, Item, Ownership) || s.sizeLetter(i+n) ||
			s.joiner(i+n, "the") || s.joiner(i+n, "a") || s.degreesSoon(i+n)) {
		return "", 0
	}
	return u, n
}

// degreesSoon reports whether a scale of temperature, or "degrees", stands at
// token i or shortly after it: "350 in real degrees".
func (s *scan) degreesSoon(i int) bool {
	for j := i; j < len(s.tokens) && j < i+maxWordsBetween && !s.boundary(j); j++ {
		if u := s.unitText(j); u == "F" || u == "C" || s.is(j, "degrees") || s.is(j, "degree") {
			return true
		}
	}
	return false
}

// unlikelySide is how many platens long a side must be in inches to be taken
// as millimetres: below, someone asks for more than the press can do; above,
// the same figure in millimetres is the likelier by as much.
const unlikelySide = 3

// defaultLength is the unit of a length without one: what the shop shows,
// unless no print could be so large in it.
func (s *scan) defaultLength(side float64) string {
	if s.r.habits.inches {
		if s.r.habits.widest > 0 && side > unlikelySide*s.r.habits.widest {
			return "mm"
		}
		return "in"
	}
	if s.r.habits.widest > 0 && side*10 > unit.Inches(s.r.habits.widest).MM() {
		return "mm"
	}
	return "cm"
}

// length reads a positive length at token i: number, unit and axis, before or
// behind, where there are any. u is "" where no unit was written.
func (s *scan) length(i int) (value float64, u, axis string, end int, ok bool) {
	lead, n := s.class(i, classAxis)
	if n > 0 {
		i = s.skip(i+n, ":=", "of")
	}
	v, ok := s.number(i)
	if f, n, isFraction := s.fraction(i); isFraction {
		v, ok = number{value: f, n: n}, true
	}
	if !ok || v.vague || v.value <= 0 {
		return 0, "", "", i, false
	}
	end = i + v.n
	whole := v.value
	if v.words {
		whole = math.Ceil(whole) // "half in black" measures nothing
	}
	if lu, n := s.lengthUnit(end, whole); n > 0 {
		u, end = lu, end+n
	}
	if lead != "" {
		return v.value, u, lead, end, true
	}
	if a, n := s.class(end, classAxis); n > 0 {
		axis, end = a, end+n
	} else if end < len(s.tokens) && (s.is(end, "w") || s.is(end, "h")) {
		axis, end = s.tokens[end].Text, end+1
	}
	return v.value, u, axis, end, true
}

// readDimension reads "9x7", `9" x 7"`, "9 by 7 in", "11 wide by 9 tall", "3.5
// in", "4 wide". Width comes first unless an axis says otherwise; a single
// length means width.
func (s *scan) readDimension(i int) []Span {
	start := i
	a, ua, axisA, end, ok := s.length(i)
	if !ok {
		return nil
	}
	if sp, ok := s.secondSide(start, end, a, ua, axisA); ok {
		return []Span{sp}
	}
	if ua == "" && axisA == "" {
		return nil
	}
	if ua == "" {
		ua = s.defaultLength(a)
	}
	sp := s.span(Dimension, start, end)
	sp.Unit = ua
	mm, _ := lengthOf(a, ua)
	if axisA == "h" {
		sp.Value2 = mm
	} else {
		sp.Value = mm
	}
	return []Span{sp}
}

// secondSide reads the other side after a first one that ends before token i.
func (s *scan) secondSide(start, i int, a float64, ua, axisA string) (Span, bool) {
	j := i
	switch {
	case s.is(j, "x") || s.is(j, "*") || s.joiner(j, "by"):
		j++
	case axisA != "":
		j = s.skip(j, ",&", "and")
	default:
		return Span{}, false
	}
	b, ub, axisB, end, ok := s.length(j)
	if !ok || i == j && axisB == "" || axisA != "" && j == s.skip(i, ",&", "and") && axisB == "" {
		return Span{}, false
	}
	if axisA != "" && axisA == axisB {
		return Span{}, false
	}
	if ub == "" {
		ub = ua
	}
	if ub == "" {
		ub = s.defaultLength(max(a, b))
	}
	if ua == "" {
		ua = ub
	}
	if s.is(end, "s") && s.tokens[end].Glued { // "two 4x4s"
		end++
	}
	sp := s.span(Dimension, start, end)
	sp.Unit = ub
	w, _ := lengthOf(a, ua)
	h, _ := lengthOf(b, ub)
	if axisA == "h" || axisB == "w" {
		w, h = h, w
	}
	sp.Value, sp.Value2 = w, h
	return sp, true
}

// readMeasure reads a number or a range with a unit of heat, time, weight or
// share: "310 F", "300-320 degrees", "1 min 30 s", "5.3 oz", "50 %".
func (s *scan) readMeasure(i int) []Span {
	v, ok := s.number(i)
	if !ok || v.vague {
		return nil
	}
	if s.infant && s.out.Lang == "en" && s.is(i+v.n, "m") {
		return nil
	}
	end, high := i+v.n, 0.0
	if w, ok := s.rangeEnd(end); ok && w.value > v.value {
		high, end = w.value, end+s.rangeMark(end)+w.n
	}
	u, n := s.unitAt(end)
	if n == 1 && s.tokens[end].Raw == "S" && s.otherSize(end) {
		return nil // "swap 6 S for XL"
	}
	if n == 0 || u == "d" && s.tokens[end].Text == "d" && !s.tokens[end].Glued {
		return nil
	}
	end += n
	sp := s.span(Number, i, end)
	sp.Unit = u
	switch {
	case u == "F" || u == "C" || u == "deg":
		return []Span{s.temperature(sp, v.value, high, u)}
	case u == "oz" || u == "gsm":
		return []Span{s.mass(sp, v.value, high, u)}
	case u == "%":
		sp.Kind, sp.Value, sp.Value2 = Percent, v.value, high
		return []Span{sp}
	}
	if x, ok := secondsOf(v.value, u); ok {
		y, _ := secondsOf(high, u)
		sp.Kind, sp.Value, sp.Value2 = Duration, x, y
		return []Span{s.compound(sp)}
	}
	return nil
}

// otherSize reports whether a size that is no bare letter stands somewhere
// besides token i.
func (s *scan) otherSize(i int) bool {
	for k := range s.tokens {
		if _, n := s.sizeAt(k); n > 0 && k != i && !s.sizeLetter(k) {
			return true
		}
	}
	return false
}

// rangeMark returns the number of tokens between the ends of a range at i.
func (s *scan) rangeMark(i int) int {
	if i < len(s.tokens) && s.tokens[i].Hyphen {
		return 0
	}
	return 1
}

func (s *scan) rangeEnd(i int) (number, bool) {
	if i >= len(s.tokens) {
		return number{}, false
	}
	if s.tokens[i].Hyphen || s.is(i, "-") || s.joiner(i, "to") {
		return s.number(i + s.rangeMark(i))
	}
	return number{}, false
}

// temperature fills in a temperature. Without a scale it is Fahrenheit or
// Celsius, whichever some recipe of the shop's knowledge could hold; where
// both or neither could, the shop's habit.
func (s *scan) temperature(sp Span, low, high float64, u string) Span {
	if u == "deg" {
		u = s.scale(low)
		sp.Note = "degrees taken as " + u
	}
	sp.Kind, sp.Unit = Temperature, u
	sp.Value = celsius(low, u)
	if high != 0 {
		sp.Value2 = celsius(high, u)
	}
	return sp
}

func celsius(v float64, u string) float64 {
	if u == "F" {
		return unit.Fahrenheit(v).C()
	}
	return v
}

func (s *scan) scale(v float64) string {
	f, c := s.pressable(celsius(v, "F")), s.pressable(v)
	switch {
	case f && !c:
		return "F"
	case c && !f:
		return "C"
	case s.r.habits.fahrenheit:
		return "F"
	}
	return "C"
}

// settingsSlack widens the span of all recipes' temperatures by a third to
// each side: people press too hot and too cold, and say so.
const settingsSlack = 1.0 / 3

// Heat reads a bare number as the temperature a press is set to: in C, with the
// unit it is taken to be in. ok is false where no press is set so.
func (r *Reader) Heat(v float64) (c float64, unit string, ok bool) {
	s := &scan{r: r}
	unit = s.scale(v)
	c = celsius(v, unit)
	return c, unit, s.pressable(c)
}

// pressable reports whether a press might have been set to c degrees Celsius.
func (s *scan) pressable(c float64) bool {
	hot := s.r.habits.hot
	slack := (hot[1] - hot[0]) * settingsSlack
	return c >= hot[0]-slack && c <= hot[1]+slack
}

// mass fills in the weight of a cloth, or the content of a vessel where a hard
// good follows: "11 oz mug".
func (s *scan) mass(sp Span, low, high float64, u string) Span {
	sp.Kind, sp.Value, sp.Value2 = Mass, low, high
	if u == "gsm" {
		return sp
	}
	for j := sp.To; j < len(s.tokens) && j < sp.To+4; j++ {
		if x, n := s.kind(j, Item); n > 0 {
			if x.hard {
				sp.Unit = "fl oz"
				return sp
			}
			break
		}
	}
	sp.Value = unit.OuncesPerSquareYard(low).GSM()
	if high != 0 {
		sp.Value2 = unit.OuncesPerSquareYard(high).GSM()
	}
	return sp
}

// compound adds a smaller unit of time that follows: "1 min 30 s".
func (s *scan) compound(sp Span) Span {
	j := s.skip(sp.To, "", "and")
	v, ok := s.number(j)
	if !ok || v.vague || sp.Value2 != 0 {
		return sp
	}
	u, n := s.class(j+v.n, classUnit)
	if _, time := secondsOf(1, s.unitText(j+v.n+1)); n > 0 && time && s.is(j+v.n, "in") { // "2 min 30 in sec"
		u, n = "", 0
	}
	if n == 0 && j == sp.To && sp.Unit == "min" && !s.counts(j+v.n) { // "2 min 30"
		u = "s"
	}
	x, ok := secondsOf(v.value, u)
	whole, _ := secondsOf(1, sp.Unit)
	if n == 0 && u == "" || !ok || x >= whole {
		return sp
	}
	out := s.span(Duration, sp.From, j+v.n+n)
	out.Unit, out.Value = sp.Unit, sp.Value+x
	return out
}

// unitText is the unit at token i, "" where there is none.
func (s *scan) unitText(i int) string {
	u, n := s.class(i, classUnit)
	if n == 0 {
		return ""
	}
	return u
}

// readSettings reads what somebody set a press to, where the figures stand
// without units: "385 for 50", "at 350", "310 F for 30".
func (s *scan) readSettings(i int) []Span {
	start := i
	v, ok := s.number(i)
	if !ok || v.vague || v.words && !v.spoken {
		return nil
	}
	end := i + v.n
	u, n := s.unitAt(end)
	switch u {
	case "":
		u = s.scale(v.value)
	case "deg":
		u = s.scale(v.value)
	case "F", "C":
	default:
		return nil
	}
	if !s.pressable(celsius(v.value, u)) {
		return nil
	}
	bare := n == 0
	end += n
	heat := s.temperature(s.span(Temperature, start, end), v.value, 0, u)
	if bare {
		heat.Note = "taken as " + u
	}
	dwell, ok := s.dwellAfter(end)
	switch {
	case ok:
		return []Span{heat, dwell}
	case bare && i > 0 && s.joiner(i-1, "at") && !s.counts(end):
		return []Span{heat}
	}
	return nil
}

// dwellAfter reads "for 50", "for 50 s", "/50" after a temperature.
func (s *scan) dwellAfter(i int) (Span, bool) {
	if !s.joiner(i, "for") && !s.is(i, "/") && !s.is(i, "@") {
		return Span{}, false
	}
	v, ok := s.number(i + 1)
	if !ok || v.vague || v.value <= 0 {
		return Span{}, false
	}
	end := i + 1 + v.n
	u, n := s.class(end, classUnit)
	if n == 0 {
		if s.counts(end) {
			return Span{}, false
		}
		u = "s"
	}
	x, ok := secondsOf(v.value, u)
	if !ok {
		return Span{}, false
	}
	sp := s.span(Duration, i+1, end+n)
	sp.Value, sp.Unit = x, u
	if n == 0 {
		sp.Note = "taken as seconds"
	}
	return sp, true
}

// readMoney reads "$14.80", "15 dollars", "€12".
func (s *scan) readMoney(i int) []Span {
	signs := []string{"$", "\u20ac", "\u00a3"}
	if slices.Contains(signs, s.tokens[i].Text) {
		v, ok := s.number(i + 1)
		if !ok {
			return nil
		}
		sp := s.span(Money, i, i+1+v.n)
		sp.Value, sp.Unit = v.value, s.tokens[i].Text
		return []Span{sp}
	}
	v, ok := s.number(i)
	if !ok {
		return nil
	}
	u, n := s.class(i+v.n, classUnit)
	if n == 0 && i+v.n < len(s.tokens) {
		u, n = s.tokens[i+v.n].Text, 1
	}
	if !slices.Contains(signs, u) {
		return nil
	}
	sp := s.span(Money, i, i+v.n+n)
	sp.Value, sp.Unit = v.value, u
	return []Span{sp}
}
