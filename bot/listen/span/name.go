package span

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// nameOrder decides between kinds that one phrase may stand for, the first
// wins; the others are kept as other readings. Materials stand before colours
// ("linen"), things before materials ("jersey").
var nameOrder = [...]Kind{
	Item, Fibre, Fabric, Colour, Spot, Method, Art, Group, Rush, Ownership, Approval, Negation, Amend, Intent,
}

// readName reads the name of a thing the knowledge base holds, or one of the
// lexicons' words that is a piece by itself.
func (s *scan) readName(i int) []Span {
	for _, h := range s.hits[i] {
		best := -1
		for _, k := range nameOrder {
			for x := range h.senses {
				if best < 0 && h.senses[x].kind == k {
					best = x
				}
			}
		}
		if best < 0 {
			continue
		}
		sp := s.named(h.senses[best], i, i+h.n)
		for x, other := range h.senses {
			if x != best && other.kind != "" && (other.kind != sp.Kind || other.id != sp.ID) {
				sp.Alt = append(sp.Alt, Alternative{Kind: other.kind, ID: other.id, Text: other.id, Score: sp.Score})
			}
		}
		return []Span{s.artColour(sp)}
	}
	return nil
}

func (s *scan) named(x sense, from, to int) Span {
	sp := s.span(x.kind, from, to)
	sp.ID, sp.Fibre = x.id, x.fibre
	switch x.kind {
	case Item:
		sp.Unit = x.unit
	case Fabric:
		if len(x.fibre) > 0 {
			sp.Note = sp.Text + " taken as " + sayShares(x.fibre)
		}
	}
	return sp
}

// maxColours bounds the colours of one piece of art that are listed.
const maxColours = 4

// artColour turns a colour into the art's where a word for art follows ("white
// lettering", "red and white logo") or where it lies on another colour or a
// spot ("white on black tees", "white on the front").
func (s *scan) artColour(sp Span) Span {
	if sp.Kind != Colour {
		return sp
	}
	j := sp.To
	for range maxColours {
		next := s.skip(j, "/&", "and")
		_, n := s.kind(next, Colour)
		if n == 0 || next == j {
			break
		}
		j = next + n
	}
	_, art := s.class(j, classArtword)
	if _, before := s.class(sp.From-1, classArtword); before > 0 && s.out.Lang == "es" { // "logo blanco"
		sp.Kind = Art
		if sp.ID != "white" {
			sp.ID = ""
		}
		return sp
	}
	on := s.joiner(sp.To, "on") && s.anyKind(s.skip(sp.To+1, "", "a", "the"), Colour, Spot)
	if art == 0 && !on {
		return sp
	}
	sp.Kind = Art
	if art > 0 && j == sp.To {
		sp.To += art
		sp.Text = s.out.text(sp.From, sp.To)
	}
	if sp.ID != "white" {
		sp.ID = ""
	}
	return sp
}

// maxName bounds the words of a customer's name.
const maxName = 6

// readCustomer reads "for the village choir": "for" and words that name
// nobody the shop sells, ending where the clause ends or a piece of another
// kind begins. It needs a capital letter, an article or possessive, or a word
// for a kind of customer.
func (s *scan) readCustomer(i int) []Span {
	if !s.joiner(i, "for") {
		return s.customerFirst(i)
	}
	from := i + 1
	if s.joiner(from, "a") {
		from++
	}
	if s.joiner(from, "the") {
		from++
	}
	to, sure := from, false
	for to < len(s.tokens) && to-from < maxName {
		n, customer, ok := s.nameWord(to, from)
		if !ok {
			break
		}
		sure = sure || customer
		to += n
	}
	if to == from || !sure {
		return nil
	}
	sp := s.span(Customer, i, to)
	sp.Text = s.nameText(from, to)
	return []Span{sp}
}

// nameText is a customer's name as it was written; only a word for a kind of
// customer is set right.
func (s *scan) nameText(from, to int) string {
	text := s.out.text(from, to)
	for i := from; i < to; i++ {
		if _, n := s.class(i, classCustomer); n > 0 && s.tokens[i].Score < 1 {
			text = strings.Replace(text, s.tokens[i].Raw, s.tokens[i].Word, 1)
		}
	}
	return text
}

// customerFirst reads "village choir wants ..." at the head of a clause.
func (s *scan) customerFirst(i int) []Span {
	if i > 0 && !s.boundary(i-1) {
		return nil
	}
	from := s.skip(i, "", "the", "a")
	to := from
	for to < len(s.tokens) && to-from < maxName {
		n, _, ok := s.nameWord(to, from)
		if !ok {
			break
		}
		_, last := s.class(to, classCustomer)
		to += n
		if x, want := s.kind(to, Intent); want > 0 && x.id == "want" && last > 0 {
			sp := s.span(Customer, i, to)
			sp.Text = s.out.text(from, to)
			return []Span{sp}
		}
	}
	return nil
}

// nameWord reads one word of a customer's name at token i, and whether it is
// one beyond doubt.
func (s *scan) nameWord(i, from int) (n int, sure, ok bool) {
	t := s.tokens[i]
	if t.Glued && !t.Hyphen && i > from {
		return 0, false, false
	}
	if _, n := s.class(i, classCustomer); n > 0 {
		return n, true, true
	}
	if s.is(i, "&") && i > from {
		return 1, false, true
	}
	if !isWordToken(t) || t.IsNumber || len(t.Raw) < 2 {
		return 0, false, false
	}
	first, _ := utf8.DecodeRuneInString(t.Raw)
	capital := unicode.IsUpper(first) && strings.ToUpper(t.Raw) != t.Raw
	if capital && !s.calendarWord(i) && !s.whenWord(i) && t.Joins == "" && (!s.anyKind(i, Item, Fibre, Fabric, Method, Spot, Art) || i > from) {
		return 1, true, true
	}
	if t.Score < 1 {
		return 1, true, true // a strange word, whatever it was mended into
	}
	if s.anyKind(i, nameOrder[:]...) || s.anyKind(i, Size) || s.calendarWord(i) || s.whenWord(i) || s.small(i) {
		return s.customerAhead(i, from)
	}
	for _, c := range []class{classNumber, classUnit, classCounter, classArtword, classJoiner, classTexts, classRef, classBlend} {
		if _, n := s.class(i, c); n > 0 {
			return s.customerAhead(i, from)
		}
	}
	return 1, !t.Known, true
}

// customerAhead lets a known word into a name where a word for a kind of
// customer follows at once: "the rowing crew team".
func (s *scan) customerAhead(i, _ int) (int, bool, bool) {
	if s.joiner(i, "and") || s.joiner(i, "for") || s.joiner(i, "on") || s.joiner(i, "with") || s.calendarWord(i) || s.tokens[i].IsNumber {
		return 0, false, false
	}
	if _, n := s.class(i+1, classCustomer); n > 0 {
		return 1, false, true
	}
	return 0, false, false
}

func (s *scan) calendarWord(i int) bool {
	for _, c := range []class{classDay, classWeekday, classMonth, classClock} {
		if _, n := s.class(i, c); n > 0 && len(s.tokens[i].Text) > 1 {
			return true
		}
	}
	return false
}

// readRef reads "ref AB-12", "PO 4451", "#4451".
func (s *scan) readRef(i int) []Span {
	from := i
	if _, n := s.class(i, classRef); n > 0 {
		from = s.skip(i+n, ":#.")
	} else if s.is(i, "#") {
		from = i + 1
	} else {
		return nil
	}
	to, digit := from, false
	for to < len(s.tokens) && to-from < maxName {
		t := s.tokens[to]
		if to > from && !t.Glued && !t.Hyphen {
			break
		}
		if !isWordToken(t) && t.Text != "/" && t.Text != "-" {
			break
		}
		digit = digit || strings.ContainsAny(t.Raw, "0123456789")
		to++
	}
	if !digit || s.counts(to) && !s.is(from-1, "#") {
		return nil
	}
	sp := s.span(Ref, i, to)
	sp.Text = s.out.text(from, to)
	return []Span{sp}
}

// readTexts reads a list of names after "names:": the piece's Text is the
// list as it was written, up to the end of the line.
func (s *scan) readTexts(i int) []Span {
	spot, n := s.class(i, classTexts)
	if n == 0 || !s.is(i+n, ":") {
		return nil
	}
	from := i + n + 1
	to := from
	for to < len(s.tokens) && !s.is(to, "\n") && !s.is(to, ".") && !s.is(to, ";") {
		to++
	}
	if to == from {
		return nil
	}
	sp := s.span(Art, i, to)
	sp.ID, sp.Unit = "texts", spot
	sp.Text = s.out.text(from, to)
	return []Span{sp}
}

// readFile reads the name of an artwork file.
func (s *scan) readFile(i int) []Span {
	if !isWordToken(s.tokens[i]) {
		return nil
	}
	to := i + 1
	for to+1 < len(s.tokens) && to-i < 2*maxName && s.tokens[to].Glued {
		if s.is(to, ".") && s.tokens[to+1].Glued {
			if _, n := s.class(to+1, classFile); n > 0 {
				sp := s.span(Art, i, to+2)
				sp.ID, sp.Score = "file", 1
				return []Span{sp}
			}
		}
		to++
	}
	return nil
}

// readArrival reads "blanks come tuesday", "they bring the shirts tuesday"; its
// ID says whose they are, where the words do.
func (s *scan) readArrival(i int) []Span {
	whose, n := s.class(i, classArrival)
	if n == 0 {
		return nil
	}
	j := i + n
	for j < len(s.tokens) && j < i+n+2 && s.small(j) {
		j++
	}
	if _, k := s.kind(s.skip(j, "", "the", "my"), Item); k > 0 {
		j = s.skip(j, "", "the", "my") + k
	}
	w := s.readWhen(j)
	if len(w) == 0 {
		return nil
	}
	sp := s.span(Arrival, i, w[0].To)
	sp.ID = whose
	sp.At, sp.DateOnly, sp.Note, sp.Alt = w[0].At, w[0].DateOnly, w[0].Note, w[0].Alt
	return []Span{sp}
}
