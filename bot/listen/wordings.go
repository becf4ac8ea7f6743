package listen

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"presshand/bot/listen/span"
)

// groups are lists of numbers kept as one.
type groups struct {
	ends []int32
	all  []int32
}

func (g *groups) of(i int32) []int32 {
	if i == 0 {
		return g.all[:g.ends[0]]
	}
	return g.all[g.ends[i-1]:g.ends[i]]
}

// close ends the list that was appended to last.
func (g *groups) close() { g.ends = append(g.ends, int32(len(g.all))) }

// A lexer turns wordings into words, each of which it stems once: phrases share
// most of theirs.
type lexer struct {
	*index
	filler func(string) bool
	number map[string]int32 // of a word
	words  []surface        // by number
	fill   []bool           // by number: a small word
	last   []int32          // by stem: the last phrase it was counted in
	df     []int32          // by stem: how many phrases hold it
	line   []int32          // words of the phrase at hand
}

// word returns a word's number.
func (x *lexer) word(w string) int32 {
	if n, ok := x.number[w]; ok {
		return n
	}
	n := int32(len(x.words))
	x.number[w] = n
	stem := x.stem(w)
	x.known[w] = stem
	id, ok := x.stems[stem]
	if !ok {
		id = int32(len(x.stems))
		x.stems[stem] = id
		x.last = append(x.last, -1)
		x.df = append(x.df, 0)
	}
	x.words = append(x.words, surface{word: w, letters: span.Letters(w), stem: id})
	x.fill = append(x.fill, x.filler(w))
	return n
}

// newIndex builds the index of all wordings. same gives words of one meaning
// the word that stands for them, in wordings and messages alike; a word behind "="
// has no part in the meaning of its stem: a second press takes seconds.
func newIndex(raw []rawPhrase, filler func(string) bool, same map[string]string) *index {
	x := &index{stems: make(map[string]int32, len(raw)/2), same: make(map[string]string, len(same)), known: make(map[string]string, len(raw)/2), phrases: make([]phrase, len(raw))}
	for w, one := range same {
		if apart, ok := strings.CutPrefix(w, "="); ok {
			x.known[apart] = one
			continue
		}
		x.same[stem(w)] = stem(one)
	}
	lex := &lexer{index: x, filler: filler, number: make(map[string]int32, len(raw)/2)}
	arena := make([]int32, 0, 4*len(raw))
	targets := map[Target]int32{}
	for i, r := range raw {
		from := len(arena)
		arena = lex.read(arena, int32(i), r)
		p := &x.phrases[i]
		p.words = arena[from:len(arena):len(arena)]
		at, known := targets[r.target]
		if !known {
			at = int32(len(x.targets))
			targets[r.target] = at
			x.targets = append(x.targets, r.target)
		}
		p.target = at
	}
	n := float64(len(raw))
	x.weights = make([]float64, len(lex.df))
	for id, df := range lex.df {
		x.weights[id] = rarity(n, df)
	}
	for i := range x.phrases {
		x.weighPhrase(&x.phrases[i], lex)
	}
	x.post(lex.df)
	for i := range x.phrases {
		if len(x.phrases[i].words) == 0 {
			x.wordless = append(x.wordless, int32(i))
		}
	}
	x.surface(lex.words)
	x.gatherDocs()
	return x
}

// rarity is the inverse document frequency of what stands in df of n, 1 at most.
func rarity(n float64, df int32) float64 {
	return math.Log(1+n/float64(max(1, df))) / math.Log(1+n)
}

// read appends the words of a wording to arena, each stem once, and notes its
// slots and small words.
func (x *lexer) read(arena []int32, i int32, r rawPhrase) []int32 {
	p := &x.phrases[i]
	p.factor, p.strict, p.alone = r.factor, r.strict, r.alone
	if p.factor == 0 {
		p.factor = 1
	}
	x.line = x.line[:0]
	for w := range strings.FieldsSeq(Fold(r.text)) {
		switch {
		case strings.HasPrefix(w, "{") && strings.HasSuffix(w, "}"):
			p.slots = append(p.slots, w[1:len(w)-1])
		case x.filler(w):
			p.small = append(p.small, w)
		default:
			x.line = append(x.line, x.word(w))
		}
	}
	if len(x.line) == 0 && len(p.slots) == 0 { // nothing but small words
		for _, w := range p.small {
			x.line = append(x.line, x.word(w))
		}
		p.small = nil
	}
	for _, n := range x.line {
		w := &x.words[n]
		w.df++
		if x.last[w.stem] == i {
			continue
		}
		x.last[w.stem] = i
		x.df[w.stem]++
		arena = append(arena, n)
	}
	for _, n := range r.not {
		var stems []string
		for w := range strings.FieldsSeq(Fold(n)) {
			stems = append(stems, x.stem(w))
		}
		p.not = append(p.not, stems)
	}
	return arena
}

// weighPhrase sums up a phrase, whose words are still numbers of words, and
// makes them stems.
func (x *index) weighPhrase(p *phrase, lex *lexer) {
	heavy := 0.0
	for k, n := range p.words {
		id := lex.words[n].stem
		p.words[k] = id
		p.worded += x.weights[id]
		if !lex.fill[n] {
			heavy = max(heavy, x.weights[id])
		}
	}
	p.weight = p.worded + slotWeight*float64(len(p.slots)) + smallWeight*float64(len(p.small))
	p.whole = heavy < wholeLimit
}

// post lists for each stem the phrases it stands in; df says in how many.
func (x *index) post(df []int32) {
	x.posts.ends = make([]int32, len(df))
	next := make([]int32, len(df))
	total := int32(0)
	for id, n := range df {
		next[id] = total
		total += n
		x.posts.ends[id] = total
	}
	x.posts.all = make([]int32, total)
	for i := range x.phrases {
		for _, id := range x.phrases[i].words {
			x.posts.all[next[id]] = int32(i)
			next[id]++
		}
	}
}

// surface sorts the words by length, for those that are typed wrong.
func (x *index) surface(words []surface) {
	words = slices.Clone(words)
	slices.SortFunc(words, func(a, b surface) int { return strings.Compare(a.word, b.word) })
	for _, w := range words {
		n := utf8.RuneCountInString(w.word)
		if n < shortestMended {
			continue
		}
		for len(x.surfaces) <= n {
			x.surfaces = append(x.surfaces, nil)
		}
		x.surfaces[n] = append(x.surfaces[n], w)
	}
}

// gatherDocs gathers the phrases of each target.
func (x *index) gatherDocs() {
	of := make([]int32, len(x.targets)) // the doc of each target, counted from 1
	for i := range x.phrases {
		if p := &x.phrases[i]; x.gathers(p) && of[p.target] == 0 {
			x.docs = append(x.docs, p.target)
			of[p.target] = int32(len(x.docs))
		}
	}
	last := make([]int32, len(x.docs)+1) // the stem each doc was last listed for, counted from 1
	for id := range x.posts.ends {
		for _, i := range x.posts.of(int32(id)) {
			p := &x.phrases[i]
			if d := of[p.target]; x.gathers(p) && last[d] != int32(id)+1 {
				last[d] = int32(id) + 1
				x.docsOf.all = append(x.docsOf.all, d-1)
			}
		}
		x.docsOf.close()
	}
	n := float64(len(x.docs))
	x.docWeights = make([]float64, len(x.weights))
	for id := range x.docWeights {
		x.docWeights[id] = rarity(n, int32(len(x.docsOf.of(int32(id)))))
	}
}

// gathers reports a phrase whose words may be said in other company.
func (x *index) gathers(p *phrase) bool {
	topic := x.targets[p.target].Topic
	return !p.alone && !p.strict && topic != "help" && topic != "follow"
}
