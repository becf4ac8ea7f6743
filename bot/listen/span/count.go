package span

import (
	"math"
	"strings"
)

// maxAdjectives bounds the words between a number and the thing it counts.
const maxAdjectives = 14

// maxStrangers bounds the unknown words among them: a name of two words.
const maxStrangers = 2

// counts reports whether the words from token i on are a thing to be counted:
// adjectives and then an item ("black 50/50 hoodies"), or a word that counts
// ("pcs"). Two words that the knowledge base doesn't hold may stand between
// ("24 comfy black tees").
func (s *scan) counts(i int) bool {
	if id, n := s.class(i, classCounter); n > 0 && id == "after" {
		return true
	}
	strangers := 0
	for range maxAdjectives {
		if i >= len(s.tokens) {
			return false
		}
		if _, n := s.kind(i, Item); n > 0 {
			return true
		}
		n := s.adjective(i)
		if n == 0 && strangers < maxStrangers && s.stranger(i) {
			strangers, n = strangers+1, 1
		}
		if n == 0 {
			return false
		}
		i += n
	}
	return false
}

// stranger reports whether token i is a word that the base doesn't hold; what
// it may have been mended into counts for nothing.
func (s *scan) stranger(i int) bool {
	t := s.tokens[i]
	return isWordToken(t) && !t.IsNumber && (!t.Known || t.Score < 1) && len(s.hits[i]) == 0
}

// adjective returns the length of a word at token i that may stand between a
// number and what it counts.
func (s *scan) adjective(i int) int {
	if sp := s.readShares(i); len(sp) > 0 {
		return sp[0].To - i
	}
	for _, k := range []Kind{Colour, Fibre, Fabric, Group, Size, Ownership, Method} {
		if x, n := s.kind(i, k); n > 0 && x.kind != "" {
			return n
		}
	}
	if _, n := s.sizeAt(i); n > 0 && !s.tokens[i].IsNumber {
		return n
	}
	if sp := s.readMeasure(i); len(sp) > 0 && (sp[0].Kind == Mass || sp[0].Kind == Percent) {
		return sp[0].To - i
	}
	if id, n := s.class(i, classCounter); n > 0 && (id == "more" || id == "after") {
		return n
	}
	if x, n := s.kind(i, Amend); n > 0 && x.id == "instead" { // "8 rompers, i mean bodysuits"
		return n
	}
	if _, n := s.class(i, classAdjective); n > 0 {
		return n
	}
	switch {
	case s.is(i, "x") || s.is(i, ",") || s.is(i, "/"):
		return 1
	case s.joiner(i, "of") || s.joiner(i, "the") || s.joiner(i, "a"):
		return 1
	case s.joiner(i, "in") || s.joiner(i, "and") || s.joiner(i, "or"):
		return 1
	}
	return 0
}

// count settles what the bare numbers are: a quantity where they count
// something, a width where they stand by a spot, else a number.
func (s *scan) count() {
	item := s.has(Item)
	for k := range s.out.Spans {
		sp := &s.out.Spans[k]
		if sp.Kind != Number && sp.Kind != Quantity || sp.Unit != "" && sp.Unit != "vague" {
			continue
		}
		s.counted(k, item)
	}
	s.listed()
	s.unknownThing()
}

// unknownThing reads a count of something the base doesn't hold as a quantity
// and an item without ID ("24 black gizmos"), where other pieces of the trade
// stand in the message or nothing else does: whoever answers can ask what it is
// made of. The word must be strange and plural; what it was mended into counts
// for nothing.
func (s *scan) unknownThing() {
	if s.has(Item) || s.has(Quantity) {
		return
	}
	spans := s.out.Spans
	for k := range spans {
		if spans[k].Kind != Number || spans[k].Unit != "" || !s.tokens[spans[k].From].IsNumber {
			continue
		}
		i := spans[k].To
		for range maxAdjectives {
			n := 0
			if i < len(s.tokens) {
				n = s.adjective(i)
			}
			if n == 0 {
				break
			}
			i += n
		}
		if i >= len(s.tokens) || !s.stranger(i) || !strings.HasSuffix(s.tokens[i].Text, "s") || !s.thingEnds(i+1) || !s.ofTheTrade(i) {
			continue
		}
		for j := range spans {
			if spans[j].From == i && spans[j].Kind == Word {
				spans[k].Kind = Quantity
				spans[j].Kind, spans[j].Unit, spans[j].Score = Item, singular(s.tokens[i].Text), unknownScore
				return
			}
		}
	}
}

// unknownScore is the score of an item that is only known to be one by where
// it stands.
const unknownScore = 0.5

func (s *scan) thingEnds(i int) bool {
	return s.boundary(i) || s.tokens[i].Joins != "" || s.whenWord(i) || s.tokens[i].IsNumber || s.anyKind(i, Spot, Colour, Rush)
}

// ofTheTrade reports whether the message holds pieces of the trade, or no word
// besides the one at token i.
func (s *scan) ofTheTrade(i int) bool {
	alone := true
	for _, sp := range s.out.Spans {
		switch sp.Kind {
		case Colour, Fibre, FibreShares, Fabric, Dimension, Spot, Method, Art:
			return true
		case Word:
			alone = alone && (sp.From == i || s.small(sp.From) || s.tokens[sp.From].Joins != "")
		}
	}
	return alone
}

// listed gives the last of several counts in a row the others as readings:
// "price for 25, 50 and 100 tees" is one thing at three counts.
func (s *scan) listed() {
	spans := s.out.Spans
	for k := len(spans) - 1; k > 0; k-- {
		if spans[k].Kind != Quantity || len(spans[k].Alt) > 0 {
			continue
		}
		next := spans[k].From
		for j := k - 1; j >= 0; j-- {
			if spans[j].Kind == Word && (s.joiner(spans[j].From, "and") || s.joiner(spans[j].From, "or")) {
				continue
			}
			if !plainCount(spans[j]) || s.skip(spans[j].To, ",/&", "and", "or") != next {
				break
			}
			spans[j].Kind, next = Number, spans[j].From
			spans[k].Alt = append(spans[k].Alt, Alternative{Kind: Quantity, Value: spans[j].Value})
		}
	}
}

func plainCount(sp Span) bool {
	return (sp.Kind == Number || sp.Kind == Quantity) && sp.Unit == "" && sp.Value > 1 && sp.Value2 == 0
}

func (s *scan) has(kind Kind) bool {
	for _, sp := range s.out.Spans {
		if sp.Kind == kind {
			return true
		}
	}
	return false
}

func (s *scan) counted(k int, item bool) {
	sp := &s.out.Spans[k]
	if sp.Value > 0 && sp.Value < 1 && !s.tokens[sp.From].IsNumber {
		return // "half black, half white"
	}
	if (s.is(sp.To, ":") || s.is(sp.To, ")") || s.is(sp.To, ".")) && s.nextIsNumber(sp.To+1) {
		return // "order 2: 10 mugs", "1) 20 tees": a place in a list
	}
	id, n := s.class(sp.To, classCounter)
	before, bn := s.counterBefore(sp.From)
	switch {
	case n > 0 && id == "each", bn && before == "each":
		sp.Kind, sp.Unit = Quantity, "each"
	case n > 0 && (id == "more" || id == "less") && !s.ofPieces(sp.To+n): // "2 more questions"
	case n > 0 && id == "more":
		sp.Kind, sp.Value2 = Quantity, 1
	case n > 0 && id == "less":
		sp.Kind, sp.Value2 = Quantity, -1
	case bn && before == "more":
		sp.Kind, sp.Value2 = Quantity, 1
	case bn && before == "fewer" && (s.boundary(sp.To) || s.joiner(sp.To, "of") || s.counts(sp.To)), k > 0 && s.out.Spans[k-1].Kind == Amend && s.out.Spans[k-1].ID == "fewer" && s.boundary(sp.To):
		sp.Kind, sp.Value2 = Quantity, -1
	case bn && before == "fewer": // "cut 4 sheets"
	case bn, n > 0 && id == "before" && s.boundary(sp.To+n):
		sp.Kind = Quantity
	case s.isWidth(k):
		sp.Kind, sp.Unit = Dimension, s.defaultLength(sp.Value)
		sp.Value, _ = lengthOf(sp.Value, sp.Unit)
		sp.Value2 = 0
	case s.counts(sp.To):
		sp.Kind = Quantity
	case k > 0 && s.out.Spans[k-1].Kind == Amend && s.out.Spans[k-1].ID == "more" && s.amended(k):
		sp.Kind, sp.Value2 = Quantity, 1
	case s.amended(k), s.wanted(k), s.quoted(sp), item && s.inColour(sp.To), item && s.afterItem(k):
		sp.Kind = Quantity
	}
}

// ofPieces reports whether what begins at token i may be pieces, or nothing of
// weight.
func (s *scan) ofPieces(i int) bool {
	_, size := s.sizeAt(i)
	return s.boundary(i) || s.tokens[i].Joins != "" || s.small(i) || len(s.readWhen(i)) > 0 || size > 0 || s.counts(i) ||
		s.anyKind(i, Colour, Group, Fibre, Fabric, Ownership)
}

// counterBefore returns the word that counts before token i: "qty", "another".
func (s *scan) counterBefore(i int) (string, bool) {
	for j := i - 1; j >= 0 && j >= i-3; j-- {
		if s.is(j, ":") || s.is(j, "=") || s.small(j) {
			continue
		}
		if id, n := s.class(j, classCounter); n > 0 && j+n <= i && (id == "before" || id == "more" || id == "fewer" && j+n == i || id == "each" && j+n == i && !s.boundary(j)) {
			return id, true
		}
		break
	}
	return "", false
}

// isWidth reports whether a bare number belongs to the spot beside it: "3.5
// left chest", "front 9".
func (s *scan) isWidth(k int) bool {
	sp := s.out.Spans[k]
	if s.is(sp.From, "one") && sp.To == sp.From+1 { // "the front one"
		return false
	}
	if sp.Kind != Number || sp.Unit == "vague" || sp.Value <= 0 || s.r.habits.widest > 0 && sp.Value > s.r.habits.widest {
		return false
	}
	_, before := s.kind(sp.To, Spot)
	if before > 0 {
		end := sp.To + before
		_, art := s.class(end, classArtword)
		return art == 0 && !s.counts(end)
	}
	if k == 0 || s.counts(sp.To) || s.nextIsNumber(sp.To) || s.anyKind(sp.To, Colour, Size, Group) {
		return false
	}
	prev := s.out.Spans[k-1]
	if _, art := s.class(prev.From, classArtword); art > 0 && prev.Kind == Word && k > 1 { // "left chest logo 3.5"
		prev = s.out.Spans[k-2]
		prev.To++
	}
	return prev.Kind == Spot && s.skip(prev.To, ":=@", "at") == sp.From
}

// amended reports whether a change is made to the number: "make it 48".
func (s *scan) amended(k int) bool {
	for j := k - 1; j >= 0 && j >= k-2; j-- {
		prev := s.out.Spans[j]
		switch {
		case prev.Kind == Amend && prev.ID != "insteadof" && prev.ID != "remove" && prev.ID != "only":
			return s.boundary(s.out.Spans[k].To) || s.amendEnd(s.out.Spans[k].To)
		case prev.Kind != Word:
			return false
		}
	}
	return false
}

// amendEnd reports whether what follows a changed number says nothing of it.
func (s *scan) amendEnd(i int) bool {
	return s.joiner(i, "of") || s.joiner(i, "in") || s.joiner(i, "for") || s.anyKind(i, Amend, Colour) || s.small(i)
}

// wanted reports whether the number follows "need", "quote" and says nothing
// else: "need 24 with a front print".
func (s *scan) wanted(k int) bool {
	if k == 0 {
		return false
	}
	prev, to := s.out.Spans[k-1], s.out.Spans[k].To
	return prev.Kind == Intent && prev.ID != "question" && prev.To == s.out.Spans[k].From &&
		(s.boundary(to) || s.joiner(to, "with") || s.joiner(to, "for") || s.whenWord(to))
}

// quoted reports whether a price is asked "for 100".
func (s *scan) quoted(sp *Span) bool {
	if sp.From == 0 || !s.joiner(sp.From-1, "for") && !s.joiner(sp.From-1, "on") && !s.joiner(sp.From-1, "at") ||
		sp.Value != math.Trunc(sp.Value) || !s.boundary(sp.To) {
		return false
	}
	for _, other := range s.out.Spans {
		if other.Kind == Intent && other.ID != "question" {
			return true
		}
	}
	return false
}

// inColour reports whether colours or sizes follow and nothing else does: "12
// in navy, 12 in white".
func (s *scan) inColour(i int) bool {
	i = s.skip(i, "", "in", "of", "the")
	found := false
	for k := 0; k < maxAdjectives && !s.boundary(i); k++ {
		if _, number := s.number(i); number && found {
			return true
		}
		if !s.anyKind(i, Colour, Size, Group, Fibre, Fabric) {
			return found && (s.joiner(i, "with") || s.joiner(i, "for") || s.whenWord(i) || s.anyKind(i, Spot))
		}
		n := s.adjective(i)
		if n == 0 {
			return false
		}
		found = true
		i += n
	}
	return found
}

// afterItem reports whether the number follows the thing it counts, and no
// other number in the message counts: "black tees, 24".
func (s *scan) afterItem(k int) bool {
	for j, other := range s.out.Spans {
		if j != k && other.Kind == Quantity {
			return false
		}
	}
	if to := s.out.Spans[k].To; !s.boundary(to) && !s.joiner(to, "with") && !(s.joiner(to, "of") && s.small(to+1)) {
		return false
	}
	for j := k - 1; j >= 0; j-- {
		switch s.out.Spans[j].Kind {
		case Item:
			return true
		case Colour, Fibre, FibreShares, Fabric, Group, Size, Ownership, Customer, When, Ref:
		default:
			return false
		}
	}
	return false
}

// maxNegated bounds the tokens between a negation and what it negates.
const maxNegated = 4

// negate marks what a negation, "skip" or "instead of" speaks of: the next piece, and further ones
// joined to it by "or". Little words may stand between, other words end it.
func (s *scan) negate() {
	spans := s.out.Spans
	for k := range spans {
		if spans[k].Kind != Negation && !(spans[k].Kind == Amend && (spans[k].ID == "remove" || spans[k].ID == "insteadof")) {
			continue
		}
		if s.corrects(k) {
			continue
		}
		near := spans[k].To
		for j := k + 1; j < len(spans); j++ {
			if spans[j].From-near > maxNegated {
				break
			}
			if spans[j].Kind == Word {
				if _, art := s.class(spans[j].From, classArtword); art > 0 || s.littleWord(spans[j].From) {
					continue // "no print on the front"
				}
				break
			}
			if spans[j].Kind == Intent && spans[j].ID == "want" {
				near = spans[j].To // "don't need the back print"
				continue
			}
			if spans[j].Kind == Intent || spans[j].Kind == Negation {
				break
			}
			spans[j].Negated = true
			near = spans[j].To
			if !s.joiner(near, "or") && !(s.is(near, ",") && s.joiner(near+1, "or")) {
				break
			}
		}
	}
}

// corrects reports whether a "no" takes back the figure before it, for the one
// after it: "9x9, uh no, 9x8". It marks the one that is taken back.
func (s *scan) corrects(k int) bool {
	spans := s.out.Spans
	if s.out.Lang != "en" || !s.is(spans[k].From, "no") || spans[k].To-spans[k].From != 1 || k+1 >= len(spans) {
		return false
	}
	next := spans[k+1]
	if s.skip(spans[k].To, ",.") != next.From {
		return false
	}
	for j := k - 1; j >= 0 && j >= k-maxHems; j-- {
		switch {
		case spans[j].Kind == next.Kind && (next.Kind == Dimension || next.Kind == SizeRun), plainCount(spans[j]) && plainCount(next):
			spans[j].Negated = true
			return true
		case spans[j].Kind == Word:
		default:
			return false
		}
	}
	return false
}

// maxHems bounds the words between a figure and the "no" that takes it back.
const maxHems = 4

func (s *scan) littleWord(i int) bool {
	return s.small(i) || s.joiner(i, "the") || s.joiner(i, "a") || s.joiner(i, "of") || s.joiner(i, "on") ||
		s.joiner(i, "in") || s.joiner(i, "or") || s.joiner(i, "for") || s.joiner(i, "with")
}
