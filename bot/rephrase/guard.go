package rephrase

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reasons for which a reply is refused.
const (
	Empty     = "empty"
	TooLong   = "too long"
	Lines     = "lines"
	Tokens    = "tokens"
	Sentences = "sentences"
	Digit     = "digit"
	Number    = "number word"
	Unit      = "unit"
	Link      = "link"
	Mention   = "mention"
	Negation  = "negation"
	Language  = "language"
	Odd       = "odd character"
	Word      = "word"
	Order     = "order"
	Dropped   = "dropped"
	Clauses   = "clauses"
)

// An item is what must stand in the reply as in the source: a token, a content
// word in its common form, a bracket, a question mark.
type item struct {
	text string
	gap  gap // before it
}

// A gap is what lies between two items and may change within limits.
type gap struct {
	hard bool // . ; : !
	soft bool // , - and dashes
	and  bool
	so   bool
	then bool
}

func (g gap) mark() bool { return g.hard || g.soft }

func (g gap) any() bool { return g.mark() || g.and || g.so || g.then }

// stands reports whether b may stand for g. strict says that no clause may end
// otherwise here; steps that the parts of the line follow one another anyway.
func (g gap) stands(b gap, strict, steps bool) bool {
	switch {
	case g.any() != b.any(), g.so != b.so, g.then && !b.then: // no cause comes or goes, no order goes
		return false
	case b.then && !g.then && (strict || !steps):
		return false
	case b.hard && !g.mark(), g.hard && !b.mark():
		return false
	case strict:
		return g.hard == b.hard && g.and == b.and
	}
	return true
}

// growth bounds a line: small words may double a short line, no more.
func growth(source string) int { return 2*len(source) + 40 }

// judge returns "" where out is source reworded, or the reason why not.
func (w *words) judge(s sealedLine, out string, other *words) string {
	source := s.text
	switch {
	case strings.TrimSpace(out) == "":
		return Empty
	case len(out) > growth(source):
		return TooLong
	}
	if reason := scan(out); reason != "" {
		return reason
	}
	want, _, _ := w.items(source)
	got, raw, unread := w.items(out)
	if unread {
		return Odd
	}
	if sentences(out) > sentences(source) {
		return Sentences
	}
	if reason := w.compare(want, got, s); reason != "" {
		return w.name(reason, want, got, raw, other)
	}
	return ""
}

// scan looks for what never stands in a reply, before any word is read.
func scan(out string) string {
	switch {
	case strings.ContainsFunc(out, unicode.IsNumber):
		return Digit
	case strings.Contains(out, "://") || strings.Contains(out, "www.") || strings.Contains(out, "]("):
		return Link
	case strings.ContainsAny(out, "@<>"):
		return Mention
	}
	return ""
}

// compare holds the reply's items against the source's, gap by gap.
func (w *words) compare(want, got []item, s sealedLine) string {
	strict := w.strict(want, s)
	steps := s.prefix != "" || len(want) > 0 && w.sequence[want[0].text]
	for i := range min(len(want), len(got)) {
		a, b := want[i], got[i]
		if a.text != b.text {
			return Word
		}
		if i > 0 && !a.gap.stands(b.gap, strict[i], steps) {
			return Clauses
		}
	}
	switch {
	case len(want) > len(got):
		return Dropped
	case len(want) < len(got):
		return Word
	}
	return ""
}

// strict tells for each item whether the clause before it must end as in the
// source: beside a condition or an alternative, since "press again; if it
// lifts, ..." is not "press again, if it lifts; ...", and after a negation,
// since "no bleach, softener" is not "no bleach and softener". A clause reaches
// from one hard mark to the next.
func (w *words) strict(items []item, s sealedLine) []bool {
	strict := make([]bool, len(items))
	binds := false // the clause before holds a condition, an alternative or a negation
	for begin := 0; begin < len(items); {
		end := begin + 1
		for end < len(items) && !items[end].gap.hard {
			end++
		}
		clause := items[begin:end]
		bound := slices.ContainsFunc(clause, func(x item) bool { return w.scope[x.text] })
		negated := false
		for i, x := range clause {
			strict[begin+i] = bound || negated || i == 0 && binds || w.attach[x.text]
			negated = negated || s.negative[x.text]
		}
		begin, binds = end, bound || negated
	}
	return strict
}

// name finds the most telling reason for a refusal.
func (w *words) name(reason string, want, got []item, raw []string, other *words) string {
	if reason == Clauses {
		return reason
	}
	if !slices.Equal(tokensOf(want), tokensOf(got)) {
		return Tokens
	}
	source := map[string]int{}
	for _, x := range want {
		source[x.text]++
	}
	foreign := 0
	for _, x := range got {
		if source[x.text] > 0 {
			source[x.text]--
			continue
		}
		switch {
		case w.negation[x.text] || other.negation[x.text]:
			return Negation
		case w.number[x.text]:
			return Number
		case w.unit[x.text]:
			return Unit
		}
		reason = Word
	}
	for _, r := range raw {
		if _, ok := w.joining.match([]string{r}); ok {
			continue
		}
		if _, ok := other.joining.match([]string{r}); ok {
			foreign++
		}
	}
	switch {
	case foreign > 1:
		return Language
	case len(want) == len(got) && same(want, got):
		return Order
	}
	return reason
}

func same(a, b []item) bool {
	sorted := func(list []item) []string {
		var out []string
		for _, x := range list {
			out = append(out, x.text)
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(sorted(a), sorted(b))
}

func tokensOf(items []item) []string {
	var out []string
	for _, x := range items {
		if strings.HasPrefix(x.text, "[[") {
			out = append(out, x.text)
		}
	}
	return out
}

// sentences counts the ends of sentences in a line; one without an end is one.
func sentences(s string) int {
	n := 0
	s = strings.TrimSpace(s)
	for i, r := range s {
		if strings.ContainsRune(".!?", r) && (i+1 == len(s) || s[i+1] == ' ' || s[i+1] == ')') {
			n++
		}
	}
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "!") && !strings.HasSuffix(s, "?") {
		n++
	}
	return n
}

// Signs that a line may hold beside words, blanks and tokens.
const (
	standing = "()?¿%/+" // stay as they are
	hard     = ".;:!"
	soft     = ",-–—¡"
)

// odd reports a character that no answer needs. Brackets are judged by items.
func odd(r rune) bool {
	return r != ' ' && r != '[' && r != ']' && r != '\'' && r != '’' && !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsNumber(r) &&
		!strings.ContainsRune(standing, r) && !strings.ContainsRune(hard, r) && !strings.ContainsRune(soft, r)
}

// items reads a masked line. raw holds its words as they stand; unread reports
// something that no answer needs.
func (w *words) items(line string) (list []item, raw []string, unread bool) {
	var run []string // words with nothing but blanks between
	var g gap
	put := func(text string) {
		list = append(list, item{text, g})
		g = gap{}
	}
	flush := func() {
		raw = append(raw, run...)
		for len(run) > 0 {
			n := w.common(run, put, &g)
			run = run[n:]
		}
		run = nil
	}
	for at := 0; at < len(line); {
		if n := wordLength(line[at:]); n > 0 {
			run = append(run, strings.ToLower(strings.ReplaceAll(line[at:at+n], "’", "'")))
			at += n
			continue
		}
		r, n := utf8.DecodeRuneInString(line[at:])
		if r == ' ' {
			at++
			continue
		}
		flush()
		switch {
		case isToken(line[at:]):
			n = len(token(0))
			put(line[at : at+n])
		case strings.ContainsRune(standing, r):
			put(string(r))
		case strings.ContainsRune(hard, r):
			g.hard = true
		case strings.ContainsRune(soft, r):
			g.soft = true
		default:
			unread = true
		}
		at += n
	}
	flush()
	return list, raw, unread
}

func isToken(s string) bool {
	return len(s) >= 6 && s[:2] == "[[" && s[4:6] == "]]" && upper(s[2]) && upper(s[3])
}

func upper(c byte) bool { return 'A' <= c && c <= 'Z' }

// common takes the wording at the head of run in its common form and returns
// how many words that were.
func (w *words) common(run []string, put func(string), g *gap) int {
	small, isSmall := w.joining.match(run)
	if p, ok := w.synonyms.match(run); ok && len(p.words) >= len(small.words) {
		put(p.means)
		return len(p.words)
	}
	if isSmall {
		return len(small.words)
	}
	if link := w.linking[run[0]]; link != "" {
		g.and, g.so, g.then = g.and || link == "and", g.so || link == "so", g.then || link == "then"
		return 1
	}
	put(run[0])
	return 1
}
