package listen

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	edlib "github.com/hbollon/go-edlib"
	"github.com/kljensen/snowball"
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
	stems    map[string]int    // stem to its number
	same     map[string]string // stem to the stem of the word that stands for all of its meaning
	weights  []float64         // by stem
	phrases  []phrase
	posting  [][]posting // by stem: the phrases it stands in
	wordless []int       // phrases of slots and small words alone
	surfaces map[int][]surface
	lang     string

	docs       []doc
	docsOf     [][]int   // by stem
	docWeights []float64 // by stem
}

// A stemmer remembers stems while an index is built: phrases share most words.
type stemmer struct {
	lang  string
	known map[string]string
	same  map[string]string
}

func (s stemmer) stem(w string) string {
	if v, ok := s.known[w]; ok {
		return v
	}
	v := stem(w, s.lang)
	if one, ok := s.same[v]; ok {
		v = one
	}
	s.known[w] = v
	return v
}

type phrase struct {
	target Target
	words  []int // stems
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

type posting struct {
	phrase int
	weight float64
}

type surface struct {
	word string
	stem int
	df   int
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

// newIndex builds the index of all wordings. same gives words of one meaning
// the word that stands for them, in wordings and messages alike.
func newIndex(raw []rawPhrase, lang string, filler func(string) bool, same map[string]string) *index {
	x := &index{stems: map[string]int{}, same: map[string]string{}, surfaces: map[int][]surface{}, lang: lang}
	for w, one := range same {
		x.same[stem(w, lang)] = stem(one, lang)
	}
	st := stemmer{lang, map[string]string{}, x.same}
	type parsed struct {
		words []string
		slots []string
		small []string
	}
	all := make([]parsed, len(raw))
	df := map[string]int{}
	surfaceDF := map[string]int{}
	for i, r := range raw {
		var p parsed
		for _, w := range strings.Fields(Fold(r.text)) {
			if strings.HasPrefix(w, "{") && strings.HasSuffix(w, "}") {
				p.slots = append(p.slots, w[1:len(w)-1])
				continue
			}
			if filler(w) {
				p.small = append(p.small, w)
				continue
			}
			p.words = append(p.words, w)
		}
		if len(p.words) == 0 && len(p.slots) == 0 {
			p.words, p.small = p.small, nil
		}
		seen := map[string]bool{}
		for _, w := range p.words {
			surfaceDF[w]++
			if s := st.stem(w); !seen[s] {
				seen[s] = true
				df[s]++
			}
		}
		all[i] = p
	}
	n := float64(len(raw))
	words := make([]string, 0, len(df))
	for s := range df {
		words = append(words, s)
	}
	slices.Sort(words)
	for i, s := range words {
		x.stems[s] = i
		x.weights = append(x.weights, math.Log(1+n/float64(df[s]))/math.Log(1+n))
	}
	x.posting = make([][]posting, len(words))
	for i, r := range raw {
		p := phrase{target: r.target, slots: all[i].slots, small: all[i].small, factor: r.factor, strict: r.strict, alone: r.alone}
		if p.factor == 0 {
			p.factor = 1
		}
		heavy := 0.0
		for _, w := range all[i].words {
			id := x.stems[st.stem(w)]
			if slices.Contains(p.words, id) {
				continue
			}
			p.words = append(p.words, id)
			p.weight += x.weights[id]
			if !filler(w) {
				heavy = max(heavy, x.weights[id])
			}
		}
		p.worded = p.weight
		p.weight += slotWeight*float64(len(p.slots)) + smallWeight*float64(len(p.small))
		p.whole = heavy < wholeLimit
		for _, n := range r.not {
			var stems []string
			for _, w := range strings.Fields(Fold(n)) {
				stems = append(stems, st.stem(w))
			}
			p.not = append(p.not, stems)
		}
		for _, id := range p.words {
			x.posting[id] = append(x.posting[id], posting{i, x.weights[id]})
		}
		if len(p.words) == 0 {
			x.wordless = append(x.wordless, i)
		}
		x.phrases = append(x.phrases, p)
	}
	surfaces := make([]string, 0, len(surfaceDF))
	for w := range surfaceDF {
		surfaces = append(surfaces, w)
	}
	slices.Sort(surfaces)
	for _, w := range surfaces {
		n := len([]rune(w))
		if n >= 4 {
			x.surfaces[n] = append(x.surfaces[n], surface{w, x.stems[st.stem(w)], surfaceDF[w]})
		}
	}
	x.gatherDocs()
	return x
}

// stem folds the endings of a word: peel, peels, peeled, peeling (Porter, An
// algorithm for suffix stripping, Program 14(3), 1980, in its second version).
func stem(w, lang string) string {
	name := "english"
	if lang == "es" {
		name = "spanish"
	}
	s, err := snowball.Stem(w, name, true)
	if err != nil || s == "" {
		return w
	}
	return s
}

func (x *index) stem(w string) string {
	s := stem(w, x.lang)
	if one, ok := x.same[s]; ok {
		return one
	}
	return s
}

// know returns the stem a word stands for, mending one slip of the key in
// words up to five letters and two in longer ones. everyday words are never
// mended into a word of the trade.
func (x *index) know(w string, everyday func(string) bool) (id int, factor float64, ok bool) {
	if id, ok := x.stems[x.stem(w)]; ok {
		return id, 1, true
	}
	n := len([]rune(w))
	if n < 4 || n > 24 || everyday(w) {
		return 0, 0, false
	}
	limit := 1
	if n > 5 {
		limit = 2
	}
	best, bestDF := limit+1, 0
	for l := n - limit; l <= n+limit; l++ {
		for _, s := range x.surfaces[l] {
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

// seen is a token's stem, where it has one.
type seen struct {
	id     int
	factor float64
	known  bool
}

func (x *index) see(tokens []token, everyday func(string) bool) []seen {
	words := make([]seen, len(tokens))
	for i, t := range tokens {
		id, f, ok := x.know(t.text, func(w string) bool { return t.weight > 0 || t.filler || t.alien || everyday(w) })
		words[i] = seen{id, f, ok}
	}
	return words
}

// find returns the candidates, best first: phrases with p and m above the
// floors, and the entries that the message's words gather on.
func (x *index) find(tokens []token, everyday func(string) bool) []candidate {
	words := x.see(tokens, everyday)
	kinds, counts := map[string]bool{}, map[string]int{}
	for _, t := range tokens {
		for _, k := range t.kinds {
			kinds[k] = true
			if t.weight > 0 { // the first word of the thing
				counts[k]++
			}
		}
	}
	have := map[int]float64{}
	said := map[string]bool{}
	for _, t := range tokens {
		said[x.stem(t.text)], said[t.text] = true, true
	}
	for _, w := range words {
		if w.known {
			have[w.id] = max(have[w.id], w.factor)
		}
	}
	hit := make([]float64, len(x.phrases))
	ids := slices.Clone(x.wordless)
	for _, id := range slices.Sorted(maps.Keys(have)) { // in order, for sums of fractions depend on it
		for _, p := range x.posting[id] {
			if hit[p.phrase] == 0 {
				ids = append(ids, p.phrase)
			}
			hit[p.phrase] += p.weight * have[id]
		}
	}
	slices.Sort(ids)
	defines := asksMeaning(tokens)
	anchored := slices.ContainsFunc(tokens, func(t token) bool { return t.anchor })
	var out []candidate
	for _, i := range ids {
		p := &x.phrases[i]
		if hit[i] < leastWorded*p.worded || !p.filled(counts) {
			continue
		}
		for _, s := range p.slots {
			if kinds[s] {
				hit[i] += slotWeight
			}
		}
		if hit[i] == 0 { // neither a word of it nor a thing
			continue
		}
		for _, w := range p.small {
			if said[w] {
				hit[i] += smallWeight
			}
		}
		if covered := hit[i] / p.weight; covered < leastCovered || p.strict && covered < typoFactor || p.against(said) {
			continue
		}
		explained, total, named, alien := 0.0, 0.0, false, false
		for k, t := range tokens {
			w := words[k]
			inPhrase := w.known && slices.Contains(p.words, w.id)
			switch {
			case inPhrase:
				explained += x.weights[w.id] * w.factor
				total += x.weights[w.id]
			case t.alien:
				alien = true
			case t.foreign != "" && !slices.Contains(p.slots, t.foreign):
				total += unknownWeight
			case t.weight > 0:
				named = true
				explained += t.weight
				total += t.weight
			case t.filler:
			case w.known:
				if anchored { // elsewhere it is any word: "how hot is the sun"
					explained += x.weights[w.id] * w.factor * strayShare
				}
				total += x.weights[w.id]
			default:
				total += unknownWeight
			}
		}
		share := hit[i] / p.weight
		m := 1.0
		if total > 0 {
			m = explained / total
		}
		if alien || !anchored && m < unanchored {
			continue
		}
		if p.whole && (share < 0.99 || m < 0.99 || len(p.slots) == 0 && (named || len(tokens) > len(p.words)+2)) {
			continue
		}
		if p.alone && (m < 0.99 || named) {
			continue
		}
		factor := p.factor
		if defines && p.target.Topic == "term" && factor == meant && m >= 0.99 {
			factor = asked
		}
		score := share * share * m * factor
		out = append(out, candidate{p.target, score, score, hit[i], len(p.words), i})
	}
	if c, ok := x.gather(tokens, words); ok {
		out = append(out, c)
	}
	slices.SortStableFunc(out, byScore)
	return out
}

// byScore orders candidates, best first.
func byScore(a, b candidate) int {
	return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(b.matched, a.matched), a.phrase-b.phrase)
}

// A doc is all that is said of one target, over all its phrases.
type doc struct {
	target Target
	stems  map[int]bool
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
func (x *index) gather(tokens []token, words []seen) (candidate, bool) {
	total, named := 0.0, 0.0
	anchored := false
	weights := map[int]float64{}
	for i, t := range tokens {
		anchored = anchored || t.anchor
		switch {
		case t.alien:
			return candidate{}, false
		case t.weight > 0 && !words[i].known:
			named += t.weight
			total += t.weight
		case t.filler:
		case words[i].known:
			w := x.docWeights[words[i].id] * words[i].factor
			weights[words[i].id] = max(weights[words[i].id], w)
			total += x.docWeights[words[i].id]
		default:
			total += unknownWeight
		}
	}
	if total == 0 || len(weights) == 0 {
		return candidate{}, false
	}
	ids := make([]int, 0, len(weights))
	for id := range weights {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	sums := map[int]float64{}
	for _, id := range ids {
		for _, d := range x.docsOf[id] {
			sums[d] += weights[id]
		}
	}
	best, second, at := 0.0, 0.0, -1
	for d := range x.docs {
		switch s := sums[d]; {
		case s > best:
			best, second, at = s, best, d
		case s > second:
			second = s
		}
	}
	if at < 0 || best < gatherLeast || best < gatherMargin*second {
		return candidate{}, false
	}
	share := (best + named) / total
	if !anchored && share < unanchored {
		return candidate{}, false
	}
	return candidate{target: x.docs[at].target, score: gathered * share, wording: gathered * share, matched: best, phrase: len(x.phrases)}, true
}

// gatherDocs gathers the phrases of each target.
func (x *index) gatherDocs() {
	at := map[Target]int{}
	for _, p := range x.phrases {
		if p.alone || p.strict || p.target.Topic == "help" || p.target.Topic == "follow" {
			continue
		}
		d, ok := at[p.target]
		if !ok {
			d = len(x.docs)
			at[p.target] = d
			x.docs = append(x.docs, doc{target: p.target, stems: map[int]bool{}})
		}
		for _, id := range p.words {
			x.docs[d].stems[id] = true
		}
	}
	x.docsOf = make([][]int, len(x.weights))
	for d := range x.docs {
		ids := make([]int, 0, len(x.docs[d].stems))
		for id := range x.docs[d].stems {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		for _, id := range ids {
			x.docsOf[id] = append(x.docsOf[id], d)
		}
	}
	n := float64(len(x.docs))
	x.docWeights = make([]float64, len(x.weights))
	for id, docs := range x.docsOf {
		x.docWeights[id] = math.Log(1+n/float64(max(1, len(docs)))) / math.Log(1+n)
	}
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
func (p phrase) filled(counts map[string]int) bool {
	for i, s := range p.slots {
		if slices.Contains(p.slots[:i], s) && counts[s] < 2 {
			return false
		}
	}
	return true
}

// against reports whether all words of one of the phrase's contrary wordings
// were said.
func (p phrase) against(said map[string]bool) bool {
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
