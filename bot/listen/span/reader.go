package span

import (
	"maps"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// A Reader reads messages with the words of one knowledge base and the habits
// of one shop. It does not change and may be used by any number of goroutines.
type Reader struct {
	words   *dictionary
	foreign map[string]*Glossary // by language
	langs   []string             // of the glossaries, in order
	speller *speller             // of English
	pairs   map[string]bool      // words side by side in wordings
	habits  habits
	readers []func(*scan, int) []Span
}

// habits are the shop's, as far as they decide how a figure is read.
type habits struct {
	profile    *shop.Profile
	inches     bool
	fahrenheit bool
	dayFirst   bool
	widest     float64    // in; no side of a print is longer
	hot        [2]float64 // C: coolest and hottest press of any recipe
}

// New returns a reader. A nil profile means inches, Fahrenheit, month first,
// and no closing times.
func New(base *knowledge.Base, profile *shop.Profile) *Reader {
	r := &Reader{words: newDictionary(usualPhrases), foreign: glossaries(base), habits: newHabits(base, profile)}
	r.langs = slices.Sorted(maps.Keys(r.foreign))
	r.words.fill(base)
	for _, l := range base.Lexicons {
		if class(l.Kind) == classSlang {
			r.words.aliases(l)
		}
	}
	r.learn(base)
	r.readers = []func(*scan, int) []Span{
		(*scan).readWhen, (*scan).readArrival, (*scan).readShares, (*scan).readDimension, (*scan).readSettings,
		(*scan).readMeasure, (*scan).readMoney, (*scan).readSizeRun, (*scan).readRef, (*scan).readTexts,
		(*scan).readFile, (*scan).readName, (*scan).readCustomer, (*scan).readNumber,
	}
	return r
}

func newHabits(base *knowledge.Base, profile *shop.Profile) habits {
	h := habits{profile: profile, inches: true, fahrenheit: true, hot: [2]float64{math.Inf(1), math.Inf(-1)}}
	if profile != nil {
		h.inches, h.fahrenheit, h.dayFirst = profile.Inches, profile.Fahrenheit, profile.DayFirst
		for _, p := range profile.Presses {
			h.widest = max(h.widest, p.Width.In(), p.Height.In())
		}
	}
	for _, rc := range base.Recipes {
		for _, d := range []knowledge.Dwell{rc.Press, rc.Marry} {
			if d.Temperature.Known() {
				h.hot[0] = min(h.hot[0], d.Temperature.Low)
				h.hot[1] = max(h.hot[1], d.Temperature.High)
			}
		}
	}
	return h
}

// A vocabulary is what a speller is made from.
type vocabulary struct {
	ranks map[string]rank
	short map[string]bool
	small map[string]bool // little words, which name nothing though names hold them
	pairs map[string]bool // words that stand side by side in wordings
}

func (v *vocabulary) put(w string, k rank) {
	if have, ok := v.ranks[w]; !ok || k < have {
		v.ranks[w] = k
	}
}

// phrase puts the words of a phrase; those of a name of several words are
// parts of it.
func (v *vocabulary) phrase(p string, k rank) {
	if !strings.Contains(p, " ") {
		v.put(p, k)
		return
	}
	for w := range strings.FieldsSeq(p) {
		switch {
		case v.small[w]:
			v.put(w, rankWording)
		case k == rankName:
			v.put(w, rankPart)
		default:
			v.put(w, k)
		}
	}
}

// wording puts the words of running text.
func (v *vocabulary) wording(text string) {
	if _, ok := plainPhrase(text); ok {
		v.phrase(text, rankWording)
		v.pair(text)
		return
	}
	var words []string
	for _, t := range tokenize(Clean(text)) {
		if isWordToken(t) && !t.IsNumber {
			v.put(t.Text, rankWording)
			words = append(words, t.Text)
		}
	}
	v.pair(strings.Join(words, " "))
}

// pair keeps the pairs of neighbours in a phrase of words parted by blanks.
func (v *vocabulary) pair(phrase string) {
	start, middle := 0, -1
	for i := 0; i <= len(phrase); i++ {
		if i < len(phrase) && phrase[i] != ' ' {
			continue
		}
		if middle >= 0 {
			v.pairs[phrase[start:i]] = true
			start = middle + 1
		}
		middle = i
	}
}

// dictionary puts the phrases of a dictionary.
func (v *vocabulary) dictionary(d *dictionary) {
	for key, senses := range d.senses {
		for _, s := range senses {
			if s.class == classJoiner || s.class == classFiller || s.class == classWhen {
				v.small[key] = true
			}
			if (s.class == classWeekday || s.class == classMonth) && len(key) <= maxShort {
				v.short[key] = true
			}
		}
	}
	for key, senses := range d.senses {
		for _, s := range senses {
			v.phrase(key, rankOf(s))
		}
	}
}

// maxShort is the longest name of a day or month, and the longest slang, that
// is a short form; nothing is mended into it, as "their" would end as "thur".
const maxShort = 4

// learn makes the speller: of every word the base holds, so that a known word
// is never mended into another.
func (r *Reader) learn(base *knowledge.Base) {
	own := newVocabulary(usualWords)
	own.dictionary(r.words)
	for _, l := range base.Lexicons {
		for w, list := range l.Words {
			switch class(l.Kind) {
			case classSlang:
				own.short[w] = len(w) <= maxShort
			case classEveryday:
				own.put(w, rankEveryday)
			case classOrdinary:
				for each := range strings.FieldsSeq(list) {
					own.put(each, rankEveryday)
				}
			}
		}
	}
	for _, c := range base.Cues {
		if r.foreign[c.Lang] != nil {
			continue
		}
		for _, p := range c.Phrases {
			for _, part := range withoutSlots(p) {
				own.wording(part)
			}
		}
	}
	for _, h := range heads(base) {
		for _, n := range names(h) {
			own.wording(n)
		}
	}
	for _, c := range base.Corrections {
		for _, p := range c.Claim {
			own.wording(p)
		}
	}
	r.pairs = own.pairs
	r.speller = newSpeller(own.ranks, own.short, nil)
}

func newVocabulary(words int) *vocabulary {
	return &vocabulary{ranks: make(map[string]rank, words), short: map[string]bool{}, small: map[string]bool{}, pairs: make(map[string]bool, words/2)}
}

// withoutSlots returns the parts of a cue's phrase between its {slots}.
func withoutSlots(phrase string) []string {
	if !strings.Contains(phrase, "{") {
		return []string{phrase}
	}
	var parts []string
	for phrase != "" {
		part, rest, _ := strings.Cut(phrase, "{")
		if part = strings.TrimSpace(part); part != "" {
			parts = append(parts, part)
		}
		_, phrase, _ = strings.Cut(rest, "}")
	}
	return parts
}

// heads returns the heads of entries whose names stand for no piece.
func heads(base *knowledge.Base) []knowledge.Head {
	var out []knowledge.Head
	for _, e := range base.Faults {
		out = append(out, e.Head)
	}
	for _, e := range base.Terms {
		out = append(out, e.Head)
	}
	for _, e := range base.Guides {
		out = append(out, e.Head)
	}
	for _, e := range base.Procedures {
		out = append(out, e.Head)
	}
	for _, e := range base.Cautions {
		out = append(out, e.Head)
	}
	for _, e := range base.Care {
		out = append(out, e.Head)
	}
	return out
}

func rankOf(s sense) rank {
	switch s.kind {
	case Item, Colour, Fibre, Fabric, Spot, Method, Size, Group, Art:
		return rankName
	}
	switch s.class {
	case classNumber, classWeekday, classMonth, classDay, classUnit, classArtword, classAxis, classBlend, classCounter:
		return rankName
	}
	return rankWording
}

// Read returns the pieces of a message. now decides what "friday" means. Any
// text is read; how long a text may be is the caller's affair.
func (r *Reader) Read(text string, now time.Time) Reading {
	return r.ReadTalk("en", text, now)
}

// ReadTalk is Read in a conversation held in a language: where the words of a
// message don't tell ("24", "no"), it is in that.
func (r *Reader) ReadTalk(usual, text string, now time.Time) Reading {
	normal := Clean(text)
	tokens := tokenize(normal)
	return r.read(Reading{Original: text, Normal: normal, Lang: r.language(tokens, usual)}, tokens, now)
}

// ReadIn reads a text in a language that is known, such as a part of a message in
// that of the whole.
func (r *Reader) ReadIn(lang, text string, now time.Time) Reading {
	normal := Clean(text)
	return r.read(Reading{Original: text, Normal: normal, Lang: lang}, tokenize(normal), now)
}

func (r *Reader) read(out Reading, tokens []Token, now time.Time) Reading {
	out.Tokens = r.mendAll(r.borrowed(tokens, out.Lang), out.Lang)
	if g := r.foreign[out.Lang]; g != nil {
		out.Tokens = figures(g.tokens(out.Tokens, r.words), r.words)
	}
	s := newScan(r, &out, r.local(now))
	s.readAll()
	s.count()
	s.negate()
	return out
}

func (r *Reader) local(now time.Time) time.Time {
	if p := r.habits.profile; p != nil && p.Zone != nil {
		return now.In(p.Zone)
	}
	return now
}

// language returns the language that knows more of the words, and usual where
// they are equal.
func (r *Reader) language(tokens []Token, usual string) string {
	best, most := usual, 0
	for _, lang := range r.langs {
		foreign, own := 0, 0
		for _, t := range tokens {
			if !isWordToken(t) || t.IsNumber {
				continue
			}
			switch r.tells(t.Text, lang) {
			case lang:
				foreign++
			case "en":
				own++
			}
		}
		switch {
		case foreign > own && foreign > most:
			best, most = lang, foreign
		case own > foreign && best == lang:
			best = "en"
		}
	}
	return best
}

// tells returns lang or English, whichever alone knows a word; "" where both or
// neither do.
func (r *Reader) tells(w, lang string) string {
	g := r.foreign[lang]
	if r.speller.knows(w) {
		if _, both := g.exact(w); both {
			return ""
		}
		return "en"
	}
	if g.knows(w) {
		return lang
	}
	return ""
}

// borrowed puts English words for foreign ones in an English message.
func (r *Reader) borrowed(tokens []Token, lang string) []Token {
	if r.foreign[lang] != nil {
		return tokens
	}
	var out []Token
	for i, t := range tokens {
		put := tokens[i : i+1]
		if isWordToken(t) && !t.IsNumber && len(t.Text) >= minMend && !r.speller.knows(t.Text) {
			for _, lang := range r.langs {
				if means, ok := r.foreign[lang].exact(t.Text); ok {
					put = glossed(put, means)
					break
				}
			}
		}
		out = append(out, put...)
	}
	return out
}

// mendAll sets unknown words right and takes apart two words of names that
// were written as one.
func (r *Reader) mendAll(tokens []Token, lang string) []Token {
	speller, g := r.speller, r.foreign[lang]
	if g != nil {
		speller = g.spell(r)
	}
	out := make([]Token, 0, len(tokens)+2)
	for i, t := range tokens {
		if t.IsNumber || !isWordToken(t) {
			out = append(out, t)
			continue
		}
		if t.Known = speller.knows(t.Text) || g.knows(t.Text); t.Known {
			out = append(out, t)
			continue
		}
		if head, tail, ok := speller.split(t); ok {
			out = append(out, head, tail)
			continue
		}
		t.mendable = !properName(tokens, i)
		out = append(out, t)
	}
	r.mendEach(out, speller)
	return out
}

// mendEach mends the words marked for it, and once more those beside a word
// that was mended: "lft chst".
func (r *Reader) mendEach(tokens []Token, speller *speller) {
	mended := false
	for pass := range 2 {
		for i := range tokens {
			t := &tokens[i]
			if !t.mendable || pass == 1 && !(touched(tokens, i-1) || touched(tokens, i+1)) {
				continue
			}
			before, after := "", ""
			if i > 0 {
				before = tokens[i-1].Word
			}
			if i+1 < len(tokens) {
				after = tokens[i+1].Word
			}
			if w, score, ok := speller.mend(t.Text, r.phraser(before, after)); ok {
				t.Word, t.Score, t.Known = w, score, true
				mended = true
			}
		}
		if !mended {
			return
		}
	}
}

func touched(tokens []Token, i int) bool {
	return i >= 0 && i < len(tokens) && tokens[i].mendable && tokens[i].Score < 1
}

// phraser tells of a word what speaks for it beside the words before and
// after: that they make a known phrase, or stand so in some wording.
func (r *Reader) phraser(before, after string) func(string) int {
	return func(w string) int {
		left, right := before+" "+w, w+" "+after
		switch {
		case r.words.senses[left] != nil || r.words.senses[right] != nil:
			return costPhrase
		case r.pairs[left] || r.pairs[right]:
			return costPair
		}
		return 0
	}
}

// properName reports whether a word is written as a name: a capital after a
// word in small letters.
func properName(tokens []Token, i int) bool {
	t := tokens[i]
	first, size := utf8.DecodeRuneInString(t.Raw)
	if i == 0 || !unicode.IsUpper(first) || strings.IndexFunc(t.Raw[size:], unicode.IsUpper) >= 0 {
		return false
	}
	before := tokens[i-1]
	return isWordToken(before) && !before.IsNumber
}

// minHalf is the fewest letters of each of two words written as one: of fewer,
// chance splits abound.
const minHalf = 3

func (s *speller) split(t Token) (head, tail Token, ok bool) {
	if len(t.Text) != len(t.Raw) {
		return head, tail, false
	}
	for i := minHalf; i <= len(t.Text)-minHalf; i++ {
		a, b := t.Text[:i], t.Text[i:]
		if !s.names(a) || !s.names(b) {
			continue
		}
		head, tail = t, t
		head.Raw, head.Text, head.Word, head.End = t.Raw[:i], a, a, t.Start+i
		tail.Raw, tail.Text, tail.Word, tail.Start = t.Raw[i:], b, b, t.Start+i
		tail.Glued, tail.Hyphen = true, false
		head.Known, tail.Known = true, true
		return head, tail, true
	}
	return head, tail, false
}
