package listen

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"presshand/bot/listen/span"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// subjectOf gathers what a message is about.
func subjectOf(r span.Reading) Subject {
	var s Subject
	var bare []string // fibres named without a share
	for _, p := range r.Spans {
		if p.Negated {
			if p.Kind == span.Method {
				s.NotMethods = append(s.NotMethods, p.ID)
			}
			continue
		}
		switch p.Kind {
		case span.Item:
			if s.Blank == "" && !likened(r, p) {
				s.Blank, s.Item = p.ID, p.Unit
			}
		case span.Method:
			if !slices.Contains(s.Methods, p.ID) {
				s.Methods = append(s.Methods, p.ID)
			}
		case span.Fibre:
			if !slices.Contains(bare, p.ID) && !(len(bare) > 0 && compared(r, p)) && !coats(r, p) {
				bare = append(bare, p.ID)
			}
		case span.FibreShares:
			if len(p.Fibre) == 0 {
				s.Blend = true
				continue
			}
			s.Fibre = p.Fibre
		case span.Fabric:
			s.Fabric = p.ID
			if len(p.Fibre) > 0 && s.Fibre == nil && len(bare) == 0 {
				s.Fibre = p.Fibre
			}
		case span.Colour:
			s.Colours = append(s.Colours, p.ID)
		case span.Spot:
			if s.Spot == "" {
				s.Spot = p.ID
			}
		case span.Group:
			s.Group = p.ID
		case span.Size:
			if s.Group == "" {
				s.Group = groupOf(p.ID)
			}
		case span.Art:
			if p.ID != "" && p.ID != "file" && p.ID != "text" && !slices.Contains(s.Art, p.ID) {
				s.Art = append(s.Art, p.ID)
			}
		case span.Number:
			if s.staff(r, p) {
				continue
			}
			if s.Number == 0 {
				s.Number = p.Value
			}
		case span.Quantity:
			if s.staff(r, p) {
				continue
			}
			if s.Number == 0 {
				s.Number = p.Value
			}
			if s.Quantity == 0 {
				s.Quantity = int(p.Value)
			}
		case span.Dimension:
			if p.Value2 != 0 && (max(p.Value, p.Value2) > unlikelyPrint || pixelsFollow(r, p)) { // "3000x2400": no print, a file
				s.Pixels = max(s.Pixels, barePixels(r, p))
				continue
			}
			if s.Width == 0 && s.Height == 0 {
				s.Width, s.Height = p.Value, p.Value2
			}
		case span.Duration:
			if s.Duration == 0 {
				s.Duration = p.Value
			}
		case span.Money:
			if s.Money == "" {
				s.Money = strconv.FormatFloat(p.Value, 'f', -1, 64)
			}
		case span.When:
			if s.When.IsZero() {
				s.When = p.At
			}
		case span.Customer:
			s.Customer = p.Text
		case span.Ref:
			s.Ref = p.Text
		}
	}
	s.NotMethods = slices.DeleteFunc(s.NotMethods, func(m string) bool { return slices.Contains(s.Methods, m) })
	s.Colour = blankColour(r)
	s.Fibre = evenOut(s.Fibre, bare)
	if len(s.Fibre) == 0 && len(bare) > 1 {
		s.Fibres = bare
	}
	for i, t := range r.Tokens {
		if isSheet(t.Text) {
			s.Sheet = t.Text
		}
		if t.IsNumber && i+1 < len(r.Tokens) {
			switch next := r.Tokens[i+1].Text; {
			case strings.HasPrefix(next, "sheet"):
				s.Sheets = int(t.Number)
			case next == "px" || strings.HasPrefix(next, "pixel"):
				s.Pixels = max(s.Pixels, t.Number)
			}
		}
	}
	s.Pieces = piecesOf(r, s.Sheets)
	return s
}

// groupOf is who wears a size: "YM", "3T", "6M"; "" of sizes of adults, which
// others wear too.
func groupOf(size string) string {
	first := size != "" && size[0] >= '0' && size[0] <= '9'
	switch {
	case strings.HasPrefix(size, "Y"):
		return "youth"
	case first && strings.HasSuffix(size, "T"):
		return "toddler"
	case first && strings.HasSuffix(size, "M"), size == "NB":
		return "infant"
	}
	return ""
}

// unlikelyPrint is a side, in mm, beyond any print of a shop: two metres.
const unlikelyPrint = 2000

// fewestPixels is a side of a file too large for any print in inches.
const fewestPixels = 100

// pixelsFollow reports "800x600 px", "640 by 480 jpeg".
func pixelsFollow(r span.Reading, p span.Span) bool {
	if p.To >= len(r.Tokens) {
		return false
	}
	next := r.Tokens[p.To].Text
	return next == "px" || strings.HasPrefix(next, "pixel") || barePixels(r, p) >= fewestPixels && slices.ContainsFunc(r.Tokens, func(t span.Token) bool {
		return slices.Contains([]string{"jpg", "jpeg", "png", "file", "image", "pic", "photo", "screenshot"}, t.Text)
	})
}

// barePixels is the larger number of a piece "3000x2400" as it was written.
func barePixels(r span.Reading, p span.Span) float64 {
	most := 0.0
	for _, t := range r.Tokens[p.From:p.To] {
		if t.IsNumber {
			most = max(most, t.Number)
		}
	}
	return most
}

// piecesOf reads "12 of 9x7 and 40 left chest 3.5 in": a count opens a piece, a
// size and a spot fill it. A number of sheets counts no pieces.
func piecesOf(r span.Reading, sheets int) []Piece {
	var out []Piece
	open := Piece{}
	shut := func() {
		if open.Width != 0 || open.Height != 0 || open.Spot != "" {
			out = append(out, open)
		}
		open = Piece{}
	}
	for _, p := range r.Spans {
		switch p.Kind {
		case span.Quantity, span.Number:
			if sheets != 0 && int(p.Value) == sheets || countsSheets(r, p) {
				continue
			}
			if open.Count != 0 || open.Width != 0 {
				shut()
			}
			open.Count = int(p.Value)
		case span.Dimension:
			if open.Width != 0 || open.Height != 0 {
				shut()
			}
			open.Width, open.Height = p.Value, p.Value2
		case span.Spot:
			if open.Spot != "" {
				shut()
			}
			open.Spot = p.ID
		}
	}
	shut()
	return out
}

// countsSheets reports a number of sheets: "fit on one letter sheet".
func countsSheets(r span.Reading, p span.Span) bool {
	for i := p.To; i < min(p.To+2, len(r.Tokens)); i++ {
		if slices.Contains([]string{"sheet", "sheets", "page", "pages"}, r.Tokens[i].Text) {
			return true
		}
	}
	return false
}

// staff takes a number that counts presses or people, not pieces.
func (s *Subject) staff(r span.Reading, p span.Span) bool {
	for _, i := range []int{p.To - 1, p.To} { // the word may belong to the piece itself
		if i < p.From || i >= len(r.Tokens) {
			continue
		}
		switch w := r.Tokens[i].Text; {
		case w == "press" || w == "presses":
			s.Presses = int(p.Value)
			return true
		case w == "person" || w == "persons" || w == "people" || w == "hands" || w == "helpers":
			s.People = int(p.Value)
			return true
		}
	}
	return false
}

// blankColour is the colour of the blank among those named: the one nearest
// before the blank or its fibre, else the first.
func blankColour(r span.Reading) string {
	at := -1
	for i, p := range r.Spans {
		if p.Kind == span.Item && !p.Negated {
			at = i
			break
		}
	}
	first, before := "", ""
	for i, p := range r.Spans {
		if p.Kind != span.Colour || p.Negated {
			continue
		}
		if first == "" {
			first = p.ID
		}
		if at >= 0 && i < at {
			before = p.ID
		}
	}
	if before != "" {
		return before
	}
	return first
}

// withLine takes the blank's colour, fibre and count from the order that was
// read, where one was: that reading knows which colour is the art's.
func withLine(s Subject, o OrderReading) Subject {
	if len(o.Order.Lines) == 0 {
		return s
	}
	l := o.Order.Lines[0]
	if l.Colour != "" {
		s.Colour = l.Colour
	}
	if len(l.Fibre) > 0 && (len(s.Fibre) == 0 || sum(l.Fibre) == allOfIt) {
		s.Fibre = l.Fibre
	}
	if l.Quantity > 0 {
		s.Quantity = l.Quantity
	}
	return s
}

// posted reports an order that says how many: "can we do nylon jackets" asks
// for a price in form and for a method in fact.
func (o OrderReading) posted() bool {
	if !o.IsOrder {
		return false
	}
	if len(o.Trouble) > 0 {
		return true
	}
	for _, l := range o.Order.Lines {
		if l.Quantity > 0 || len(l.Sizes) > 0 {
			return true
		}
	}
	return false
}

// full reports how many pieces of what were named and more of them, whether or
// not an order was posted.
func (o OrderReading) full() bool {
	if len(o.Order.Lines) == 0 {
		return false
	}
	l := o.Order.Lines[0]
	return l.Quantity > 0 && l.Item != "" && (l.Colour != "" || len(l.Fibre) > 0 || len(l.Prints) > 0)
}

// complete reports an order with all that a price takes: how many of what, and
// how large.
func (o OrderReading) complete() bool {
	if !o.posted() || len(o.Order.Lines) == 0 || len(o.Order.Lines[0].Prints) == 0 {
		return false
	}
	l := o.Order.Lines[0]
	return (l.Quantity > 0 || len(l.Sizes) > 0) && l.Prints[0].Width > 0
}

// counts reports an order with a number of pieces: a new one, and no answer to
// what was asked about the last.
func (o OrderReading) counts() bool {
	return o.posted() && len(o.Order.Lines) > 0 && o.Order.Lines[0].Quantity > 0
}

// whole reports an order that says how many, of what and how large: whatever
// else its words remind of, it is an order.
func (o OrderReading) whole() bool {
	if !o.counts() {
		return false
	}
	l := o.Order.Lines[0]
	return l.Item != "" && len(l.Prints) > 0 && (l.Prints[0].Width > 0 || l.Prints[0].Height > 0)
}

// evenOut gives the one fibre that was named without a share what the others
// leave: all of it, or the rest. Of two named without shares no share is known,
// and the blend stays to be asked.
func evenOut(shares map[string]int, bare []string) map[string]int {
	rest := allOfIt
	for _, share := range shares {
		rest -= share
	}
	if len(bare) != 1 || rest <= 0 || shares[bare[0]] > 0 {
		return shares
	}
	out := map[string]int{bare[0]: rest}
	maps.Copy(out, shares)
	return out
}

// compared reports a fibre that is only held beside the one spoken of: "same as
// cotton", "hotter than polyester".
func compared(r span.Reading, p span.Span) bool {
	return p.From > 0 && slices.Contains([]string{"as", "like", "than", "unlike"}, r.Tokens[p.From-1].Text)
}

// coats reports a fibre that is only put on the cloth: "spray a poly coating on
// cotton".
func coats(r span.Reading, p span.Span) bool {
	return p.To < len(r.Tokens) && slices.Contains([]string{"coating", "coatings", "coat", "spray", "sprays", "primer", "lacquer", "stuff"}, r.Tokens[p.To].Text)
}

// likened reports a thing that another only feels or looks like: "it feels like
// a placemat".
func likened(r span.Reading, p span.Span) bool {
	i := p.From - 1
	for i >= 0 && (r.Tokens[i].Text == "a" || r.Tokens[i].Text == "an" || r.Tokens[i].Text == "the") {
		i--
	}
	return i > 0 && r.Tokens[i].Text == "like" && slices.Contains([]string{"feel", "feels", "felt", "look", "looks", "looked"}, r.Tokens[i-1].Text)
}

func sum(shares map[string]int) int {
	n := 0
	for _, share := range shares {
		n += share
	}
	return n
}

const allOfIt = 100 // per cent

func isSheet(word string) bool {
	_, ok := sheet.Known(word)
	return ok
}

// settingsOf gathers press settings someone stated.
func settingsOf(r span.Reading) []Setting {
	var s Setting
	for _, p := range r.Spans {
		switch p.Kind {
		case span.Temperature:
			if s.Unit == "" {
				s.Temperature, s.Unit = p.Value, p.Unit
				if s.Unit == "" {
					s.Unit = "F"
				}
			}
		case span.Duration:
			if s.Time == 0 && p.Value <= longestSet {
				s.Time = p.Value
			}
		}
	}
	if s.Unit == "" && s.Time == 0 {
		return nil
	}
	return []Setting{s}
}

// longestSet, in seconds, is longer than anyone sets a press or lets a piece cool:
// "two days ago" is no setting.
const longestSet = 12 * 3600

// stepOf is the step of a run a message speaks of, the last one named.
func (l *Listener) stepOf(r span.Reading) string {
	step := ""
	for _, t := range r.Tokens {
		if named := l.steps[t.Text]; named != "" {
			step = named
		}
	}
	return step
}

// conversion reads "385 f in c", "9 in to mm", "5.3 oz in gsm": a quantity, a
// joining word, a unit of the same kind.
func conversion(r span.Reading) (Conversion, bool) {
	c, at := quantity(r)
	if at < 0 {
		return bareDegrees(r)
	}
	if c.Kind == "mass" && c.From == "oz/yd2" && slices.ContainsFunc(r.Tokens, func(t span.Token) bool { return unitOf(t.Text) == "ml" }) {
		return Conversion{Kind: "volume", Value: unit.GramsPerSquareMetre(c.Value).OzYd2() * unit.MillilitresPerFluidOunce, From: "fl oz", To: "ml"}, true // what a mug holds
	}
	// The unit wanted is named after the quantity, or before it: "how many mm is 9 in".
	for i, t := range r.Tokens {
		u := unitOf(t.Text)
		if u == "" || unitKind(u) != c.Kind || u == c.From {
			continue
		}
		if i == at && i == len(r.Tokens)-1 && !r.Tokens[at-1].IsNumber { // "350 fahrenheit celsius", its own unit written
			c.To = u
			return c, true
		}
		before := i - 1
		if before >= 0 && r.Tokens[before].Raw == "°" {
			before--
		}
		if before >= 0 && (i >= at && (joiner(r.Tokens[before].Text) || isHowMany(r.Tokens[at:i])) || i < at && asks(r.Tokens[before].Text)) {
			c.To = u
			return c, true
		}
	}
	return c, false
}

// bareDegrees reads "310 to c": one number without a unit, and a temperature
// scale as what is wanted.
func bareDegrees(r span.Reading) (Conversion, bool) {
	var c Conversion
	for i, t := range r.Tokens {
		switch u := unitOf(t.Text); {
		case i == 0 || !joiner(r.Tokens[i-1].Text) && !slices.Contains([]string{"degrees", "degree", "(", "the"}, r.Tokens[i-1].Text):
		case u == "F":
			c = Conversion{Kind: "temperature", From: "C", To: "F"}
		case u == "C":
			c = Conversion{Kind: "temperature", From: "F", To: "C"}
		}
	}
	value, ok := oneFigure(r)
	if !ok || c.Kind == "" {
		return Conversion{}, false
	}
	c.Value = insideOf(c.From, value)
	return c, true
}

// oneFigure is the one bare number of a message, in digits or words, with its
// sign.
func oneFigure(r span.Reading) (value float64, ok bool) {
	n := 0
	for _, s := range r.Spans {
		if s.Kind != span.Number && s.Kind != span.Quantity && (s.Kind != span.Temperature || s.Note == "") {
			continue
		}
		value, n = s.Value, n+1
		if s.Kind == span.Temperature { // a scale was guessed: what was said is the figure
			value = r.Tokens[s.From].Number
		}
		if i := s.From; i > 0 && r.Tokens[i-1].Text == "-" && (i == 1 || !r.Tokens[i-1].Glued) {
			value = -value
		}
	}
	return value, n == 1
}

// convertAgain takes the figure of "and 385?" for a conversion like the last.
func convertAgain(r span.Reading, memory Memory) (Conversion, bool) {
	if memory.Last == nil || memory.Last.Topic != "convert" || memory.Last.Convert.Kind == "" {
		return Conversion{}, false
	}
	c := memory.Last.Convert
	if said, at := quantity(r); at >= 0 && said.Kind == c.Kind && !guessed(r) { // "and 350 f": with its unit
		if said.From == c.From {
			said.To = c.To
		}
		return said, true
	}
	value, ok := oneFigure(r)
	c.Value, c.Value2 = insideOf(c.From, value), 0
	return c, ok
}

// guessed reports a temperature whose scale was not said.
func guessed(r span.Reading) bool {
	return slices.ContainsFunc(r.Find(span.Temperature), func(s span.Span) bool { return s.Note != "" })
}

// insideOf is a figure of a unit in the inside unit of its kind.
func insideOf(u string, v float64) float64 {
	switch u {
	case "F":
		return unit.Fahrenheit(v).C()
	case "in":
		return unit.Inches(v).MM()
	case "cm":
		return v * 10
	case "oz/yd2":
		return unit.OuncesPerSquareYard(v).GSM()
	case "min":
		return unit.Minutes(v).S()
	case "h":
		return unit.Hours(v).S()
	}
	return v
}

// quantity is the first quantity with one value that a message states, and the
// token after it; -1 where there is none. Its To is empty: the other unit.
func quantity(r span.Reading) (c Conversion, at int) {
	at = -1
	for _, p := range r.Spans {
		kind := map[span.Kind]string{span.Temperature: "temperature", span.Mass: "mass", span.Dimension: "length", span.Duration: "time"}[p.Kind]
		if p.From > 0 && r.Tokens[p.From].Glued && strings.ContainsFunc(r.Tokens[p.From-1].Text, unicode.IsLetter) {
			continue // the 4 of "a4 in inches"
		}
		if kind == "" || at >= 0 || p.Value2 != 0 && kind != "length" || kind == "length" && p.Value == 0 {
			continue
		}
		c, at = Conversion{Kind: kind, Value: p.Value, Value2: p.Value2, From: unitOf(p.Unit)}, p.To
	}
	return c, at
}

func joiner(w string) bool {
	return slices.Contains([]string{"in", "to", "into", "as", "=", "a", "en"}, w)
}

// isHowMany reads the words between a quantity and a unit: "3.5 minutes is how many
// seconds".
func isHowMany(between []span.Token) bool {
	text := make([]string, len(between))
	for i, t := range between {
		text[i] = t.Text
	}
	switch strings.Join(text, " ") {
	case "is how many", "how many", "that is how many", "thats how many", "that's how many", "equals how many", "makes how many":
		return true
	}
	return false
}

func asks(w string) bool { return slices.Contains([]string{"many", "what", "cuantos", "cuantas"}, w) }

// unitOf gives the one spelling of a unit; notation is a closed class.
func unitOf(w string) string {
	switch strings.TrimSuffix(strings.ToLower(strings.TrimPrefix(w, "°")), ".") {
	case "f", "fahrenheit", "farenheit", "degf":
		return "F"
	case "c", "celsius", "celcius", "centigrade", "degc":
		return "C"
	case "in", "inch", "inches", "\"", "''":
		return "in"
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return "mm"
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return "cm"
	case "ml", "millilitre", "millilitres", "milliliter", "milliliters":
		return "ml"
	case "oz", "ounce", "ounces", "oz/yd2":
		return "oz/yd2"
	case "gsm", "g/m2", "grams", "g":
		return "g/m2"
	case "s", "sec", "secs", "second", "seconds":
		return "s"
	case "min", "mins", "minute", "minutes", "m":
		return "min"
	case "h", "hr", "hrs", "hour", "hours":
		return "h"
	}
	return ""
}

func unitKind(u string) string {
	switch u {
	case "F", "C":
		return "temperature"
	case "in", "mm", "cm":
		return "length"
	case "oz/yd2", "g/m2":
		return "mass"
	case "s", "min", "h":
		return "time"
	}
	return ""
}
