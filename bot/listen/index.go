package listen

import (
	"cmp"
	"math/bits"
	"slices"
	"sync"
	"unicode/utf8"

	edlib "github.com/hbollon/go-edlib"
	"github.com/kljensen/snowball"

	"presshand/bot/listen/span"
)

// An index finds the phrase that best explains a message. It is a bag of
// weighted stems with slots for things, not a language model: what it can't
// explain counts against an answer.
//
// For a phrase with word weights w and a message,
//
//	p = sum of w over the phrase's words and slots found in the message
//	    / sum of w over all of them
//	m = weight of the message's words that the phrase, or a thing named in the
//	    message, explains / weight of all of them
//	score = p^2 m
//
// A word's weight is its inverse document frequency over all phrases, scaled
// to 0..1: w = ln(1 + N/n) / ln(1 + N) (Spärck Jones, A statistical
// interpretation of term specificity, J. Documentation 28(1), 1972). A word
// no phrase knows weighs unknownWeight: an ordinary word outside the trade is
// the best sign of a question outside the trade.
type index struct {
	same     map[string]string // stem to the stem of the word that stands for all of its meaning
	known    map[string]string // word of a wording to its stem
	stems    map[string]int32  // stem to its number
	weights  []float64         // by stem
	phrases  []phrase
	targets  []Target
	posts    groups      // by stem: the phrases it stands in
	wordless []int32     // phrases of slots and small words alone
	surfaces [][]surface // by length in letters

	docs       []int32   // all that is said of one target, over all its phrases
	docsOf     groups    // by stem: the docs it stands in
	docWeights []float64 // by stem

	scratch sync.Pool // of *sums
}

type phrase struct {
	target int32
	words  []int32 // stems
	slots  []string
	small  []string   // small words, which count a little where nothing else tells phrases apart
	not    [][]string // stems of contrary wordings
	weight float64
	worded float64 // the part of weight that its words have, slots and small words aside
	whole  bool    // must explain the whole message: it holds no word of weight
	factor float64
	strict bool // every word must occur
	alone  bool // the message must hold nothing else of weight
}

// A surface is a word as wordings hold it.
type surface struct {
	word    string
	letters uint32 // which it holds
	stem    int32
	df      int32
}

// Weights of what a message holds besides words of phrases.
const (
	unknownWeight = 1.0  // an unknown word weighs as much as the rarest known one
	slotWeight    = 0.7  // a slot of a phrase: a little below a rare word, since many phrases share it
	strayShare    = 0.5  // a word of another phrase is half explained: it is of the trade, yet not of this question
	typoFactor    = 0.85 // a mended word explains less than a right one
	smallWeight   = 0.06 // a small word of a phrase
	leastCovered  = 0.6  // below this a phrase is no candidate at all
	leastWorded   = 0.5  // and so much of its own words: things named alone ask for nothing
	unanchored    = 0.7  // a message without a word of the trade must be explained to this share
	wholeLimit    = 0.34 // phrases of less weight than this hold nothing but small words
)

// asked is the factor of a term's wording where a message asks what a word
// means and holds nothing else: the fault or setting of that name comes after.
const asked = 1.1

// A token is one word of the message as the index sees it.
type token struct {
	text    string
	kinds   []string // slots it fills: "item", "method", ...
	weight  float64  // of the thing it names; 0 where it names none
	filler  bool
	anchor  bool   // of this trade alone
	alien   bool   // of another trade
	foreign string // a slot whose thing explains the word only in phrases that ask for it: anybody may be named anywhere
}

// A Target is what a phrase points to.
type Target struct {
	Topic string
	Ask   string
	Entry Entry
}

// An Entry is a knowledge entry by section and id.
type Entry struct{ Section, ID string }

// a candidate is a phrase with its score for a message.
type candidate struct {
	target  Target
	score   float64
	wording float64 // what the index alone makes of it
	matched float64
	words   int
	phrase  int
}

type rawPhrase struct {
	target Target
	text   string
	not    []string
	factor float64
	strict bool
	alone  bool
}

// stem folds the endings of a word: peel, peels, peeled, peeling (Porter, An
// algorithm for suffix stripping, Program 14(3), 1980, in its second version).
func stem(w string) string {
	s, err := snowball.Stem(w, "english", true)
	if err != nil || s == "" {
		return w
	}
	return s
}

func (x *index) stem(w string) string {
	if s, ok := x.known[w]; ok {
		return s
	}
	s := stem(w)
	if one, ok := x.same[s]; ok {
		return one
	}
	return s
}

// know returns the stem a word stands for, mending one slip of the key in
// words up to five letters and two in longer ones. everyday words are never
// mended into a word of the trade.
func (x *index) know(w string, everyday func(string) bool) (id int32, factor float64, ok bool) {
	return x.knowStem(w, x.stem(w), everyday)
}

func (x *index) knowStem(w, stem string, everyday func(string) bool) (id int32, factor float64, ok bool) {
	if id, ok := x.stems[stem]; ok {
		return id, 1, true
	}
	n := utf8.RuneCountInString(w)
	if n < shortestMended || n > longestMended || everyday(w) {
		return 0, 0, false
	}
	limit := 1
	if n > 5 {
		limit = 2
	}
	best, bestDF := limit+1, int32(0)
	set := span.Letters(w)
	for l := max(n-limit, 0); l <= min(n+limit, len(x.surfaces)-1); l++ {
		for i := range x.surfaces[l] {
			s := &x.surfaces[l][i]
			// A slip takes one letter away at most and brings one in.
			if bits.OnesCount32(set^s.letters) > 2*min(best, limit) {
				continue
			}
			d := edlib.OSADamerauLevenshteinDistance(w, s.word)
			// Two slips are believed only where the first letter stands.
			if d == 2 && s.word[0] != w[0] {
				continue
			}
			if d < best || d == best && s.df > bestDF {
				best, bestDF, id = d, s.df, s.stem
			}
		}
	}
	return id, typoFactor, best <= limit
}

// Words shorter or longer, in letters, are not mended.
const (
	shortestMended = 4
	longestMended  = 24
)

// seen is a token's stem, with its number where wordings hold it.
type seen struct {
	stem   string
	id     int32
	factor float64
	known  bool
}

func (x *index) see(tokens []token, everyday func(string) bool) []seen {
	words := make([]seen, len(tokens))
	for i, t := range tokens {
		stem := x.stem(t.text)
		id, f, ok := x.knowStem(t.text, stem, func(w string) bool { return t.weight > 0 || t.filler || t.alien || everyday(w) })
		words[i] = seen{stem, id, f, ok}
	}
	return words
}

// heard returns the stems a message holds, each once and in order, for sums of
// fractions depend on it, with how surely each was said.
func heard(words []seen) []seen {
	var have []seen
	for _, w := range words {
		if !w.known {
			continue
		}
		if i := slices.IndexFunc(have, func(h seen) bool { return h.id == w.id }); i >= 0 {
			have[i].factor = max(have[i].factor, w.factor)
		} else {
			have = append(have, w)
		}
	}
	slices.SortFunc(have, func(a, b seen) int { return int(a.id - b.id) })
	return have
}

// sums are what the phrases, or docs, get from a message; those that got
// anything are listed.
type sums struct {
	of      []float64
	touched []int32
}

func (s *sums) add(i int32, weight float64) {
	if s.of[i] == 0 {
		s.touched = append(s.touched, i)
	}
	s.of[i] += weight
}

// cleared returns sums of nothing.
func (x *index) cleared() *sums {
	s, ok := x.scratch.Get().(*sums)
	if !ok {
		s = &sums{of: make([]float64, max(len(x.phrases), len(x.targets)))}
	}
	return s
}

func (x *index) putBack(s *sums) {
	for _, i := range s.touched {
		s.of[i] = 0
	}
	s.touched = s.touched[:0]
	x.scratch.Put(s)
}

// A message is what find knows of one.
type message struct {
	tokens   []token
	words    []seen
	have     []seen          // the stems it holds
	kinds    map[string]int  // the things it names, by kind; 0 for one whose first word is another's
	said     map[string]bool // its words and stems
	defines  bool            // it asks what a word means
	anchored bool            // it holds a word of the trade
}

func (x *index) read(tokens []token, everyday func(string) bool) *message {
	m := &message{tokens: tokens, words: x.see(tokens, everyday), kinds: map[string]int{}, said: make(map[string]bool, 2*len(tokens)), defines: asksMeaning(tokens)}
	m.have = heard(m.words)
	for i, t := range tokens {
		for _, k := range t.kinds {
			n := m.kinds[k]
			if t.weight > 0 { // the first word of the thing
				n++
			}
			m.kinds[k] = n
		}
		m.said[m.words[i].stem], m.said[t.text] = true, true
		m.anchored = m.anchored || t.anchor
	}
	return m
}

// find returns the candidates, best first: of each target the best phrase with p
// and m above the floors, and the entry that the message's words gather on.
func (x *index) find(tokens []token, everyday func(string) bool) []candidate {
	m := x.read(tokens, everyday)
	hit := x.cleared()
	defer x.putBack(hit)
	for _, w := range m.have {
		for _, i := range x.posts.of(w.id) {
			hit.add(i, x.weights[w.id]*w.factor)
		}
	}
	var out []candidate
	at := x.cleared() // of each target: its place in out, counted from 1
	defer x.putBack(at)
	keep := func(target int32, c candidate) {
		switch k := int(at.of[target]); {
		case k == 0:
			out = append(out, c)
			at.add(target, float64(len(out)))
		case byScore(c, out[k-1]) < 0:
			out[k-1] = c
		}
	}
	consider := func(i int32) {
		p := &x.phrases[i]
		if score, matched, ok := x.score(p, m, hit.of[i]); ok {
			keep(p.target, candidate{x.targets[p.target], score, score, matched, len(p.words), int(i)})
		}
	}
	for _, i := range hit.touched {
		consider(i)
	}
	for _, i := range x.wordless {
		consider(i)
	}
	if target, c, ok := x.gather(m); ok {
		keep(target, c)
	}
	slices.SortFunc(out, byScore)
	return out
}

// score returns how well a phrase explains a message, of whose words it holds
// hit in weight, and the weight it explains with slots and small words.
func (x *index) score(p *phrase, m *message, hit float64) (score, matched float64, ok bool) {
	if hit < leastWorded*p.worded || !p.filled(m.kinds) {
		return 0, 0, false
	}
	for _, s := range p.slots {
		if _, named := m.kinds[s]; named {
			hit += slotWeight
		}
	}
	if hit == 0 { // neither a word of it nor a thing
		return 0, 0, false
	}
	for _, w := range p.small {
		if m.said[w] {
			hit += smallWeight
		}
	}
	share := hit / p.weight
	if share < leastCovered || p.strict && share < typoFactor || p.against(m.said) {
		return 0, 0, false
	}
	explained, total, named := 0.0, 0.0, false
	for k, t := range m.tokens {
		w := m.words[k]
		switch {
		case w.known && slices.Contains(p.words, w.id):
			explained += x.weights[w.id] * w.factor
			total += x.weights[w.id]
		case t.alien:
			return 0, 0, false
		case t.foreign != "" && !slices.Contains(p.slots, t.foreign):
			total += unknownWeight
		case t.weight > 0:
			named = true
			explained += t.weight
			total += t.weight
		case t.filler:
		case w.known:
			if m.anchored { // elsewhere it is any word: "how hot is the sun"
				explained += x.weights[w.id] * w.factor * strayShare
			}
			total += x.weights[w.id]
		default:
			total += unknownWeight
		}
	}
	part := 1.0
	if total > 0 {
		part = explained / total
	}
	switch {
	case !m.anchored && part < unanchored,
		p.whole && (share < 0.99 || part < 0.99 || len(p.slots) == 0 && (named || len(m.tokens) > len(p.words)+2)),
		p.alone && (part < 0.99 || named):
		return 0, 0, false
	}
	factor := p.factor
	if m.defines && x.targets[p.target].Topic == "term" && factor == meant && part >= 0.99 {
		factor = asked
	}
	return share * share * part * factor, hit, true
}

// byScore orders candidates, best first.
func byScore(a, b candidate) int {
	return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(b.matched, a.matched), a.phrase-b.phrase)
}

// Limits of gathering.
const (
	gathered     = 0.8  // factor: words gathered from several wordings tell less than one wording
	gatherLeast  = 1.1  // weight of the words that must gather on an entry: two telling words
	gatherMargin = 1.25 // and so much more than on any other entry
)

// gather finds the entry on which the words of a message gather, though no
// single wording of it holds them: "print feels rough and stiff". The score is
// the share of the message that the entry's words explain, each word weighed by
// its inverse document frequency over entries (Spärck Jones 1972).
func (x *index) gather(m *message) (target int32, c candidate, ok bool) {
	total, named := 0.0, 0.0
	var telling []seen
	for i, t := range m.tokens {
		w := m.words[i]
		switch {
		case t.alien:
			return 0, candidate{}, false
		case t.weight > 0 && !w.known:
			named += t.weight
			total += t.weight
		case t.filler:
		case w.known:
			telling = append(telling, w)
			total += x.docWeights[w.id]
		default:
			total += unknownWeight
		}
	}
	if total == 0 || len(telling) == 0 {
		return 0, candidate{}, false
	}
	hit := x.cleared()
	defer x.putBack(hit)
	for _, w := range heard(telling) {
		for _, d := range x.docsOf.of(w.id) {
			hit.add(d, x.docWeights[w.id]*w.factor)
		}
	}
	best, second, at := 0.0, 0.0, int32(-1)
	for _, d := range hit.touched {
		switch s := hit.of[d]; {
		case s > best:
			best, second, at = s, best, d
		case s > second:
			second = s
		}
	}
	if at < 0 || best < gatherLeast || best < gatherMargin*second {
		return 0, candidate{}, false
	}
	share := (best + named) / total
	if !m.anchored && share < unanchored {
		return 0, candidate{}, false
	}
	target = x.docs[at]
	return target, candidate{target: x.targets[target], score: gathered * share, wording: gathered * share, matched: best, phrase: len(x.phrases)}, true
}

// asksMeaning reports "what is a platen", "whats ghosting", "define dwell",
// "what does marry mean"; "what is the dwell" asks for a figure.
func asksMeaning(tokens []token) bool {
	if len(tokens) == 0 {
		return false
	}
	word := func(i int, list ...string) bool { return i < len(tokens) && slices.Contains(list, tokens[i].text) }
	if word(0, "define", "definition", "explain", "meaning") || word(len(tokens)-1, "mean", "means", "meaning") {
		return true
	}
	if !word(0, "what", "whats", "what's", "wats") {
		return false
	}
	i := 1
	for word(i, "is", "s", "'s", "are") {
		i++
	}
	return i < len(tokens) && !word(i, "the", "our", "my", "your")
}

// filled reports whether a phrase that asks for two things of a kind ("navy on
// grey") finds as many.
func (p *phrase) filled(counts map[string]int) bool {
	for i, s := range p.slots {
		if slices.Contains(p.slots[:i], s) && counts[s] < 2 {
			return false
		}
	}
	return true
}

// against reports whether all words of one of the phrase's contrary wordings
// were said.
func (p *phrase) against(said map[string]bool) bool {
	for _, not := range p.not {
		all := len(not) > 0
		for _, stem := range not {
			all = all && said[stem]
		}
		if all {
			return true
		}
	}
	return false
}
