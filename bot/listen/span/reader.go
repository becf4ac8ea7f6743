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
	foreign map[string]*dictionary // by language: only its own words
	speller *speller
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
	r := &Reader{words: newDictionary(), foreign: map[string]*dictionary{}, habits: newHabits(base, profile)}
	r.words.fill(base)
	for _, l := range base.Lexicons {
		switch class(l.Kind) {
		case classSlang:
			r.words.aliases(r.words, l)
		case classTranslate:
			if r.foreign[l.Lang] == nil {
				r.foreign[l.Lang] = newDictionary()
			}
			r.foreign[l.Lang].aliases(r.words, l)
		}
	}
	ranks := make(map[string]rank, usualPhrases)
	r.rankWords(base, ranks)
	r.speller = newSpeller(ranks, slices.Sorted(maps.Keys(ranks)))
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

// rankWords takes every word the base holds, so that a known word is never
// mended into another.
func (r *Reader) rankWords(base *knowledge.Base, ranks map[string]rank) {
	put := func(words string, k rank) {
		for w := range strings.FieldsSeq(words) {
			if have, ok := ranks[w]; !ok || k < have {
				ranks[w] = k
			}
		}
	}
	for _, d := range append([]*dictionary{r.words}, slices.Collect(maps.Values(r.foreign))...) {
		for key, senses := range d.senses {
			for _, s := range senses {
				put(key, rankOf(s))
			}
		}
	}
	phrase := func(p string) {
		if _, ok := plainPhrase(p); ok {
			put(p, rankWording)
			return
		}
		for _, t := range tokenize(Clean(p)) {
			if isWordToken(t) && !t.IsNumber {
				put(t.Text, rankWording)
			}
		}
	}
	for _, c := range base.Cues {
		for _, p := range c.Phrases {
			for w := range strings.FieldsSeq(p) {
				if !strings.HasPrefix(w, "{") {
					phrase(w)
				}
			}
		}
	}
	for _, h := range heads(base) {
		for _, n := range names(h) {
			phrase(n)
		}
	}
	for _, c := range base.Corrections {
		for _, p := range c.Claim {
			phrase(p)
		}
	}
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
		return rankTrade
	}
	switch s.class {
	case classNumber, classWeekday, classMonth, classDay, classUnit, classArtword, classAxis, classBlend:
		return rankTrade
	case classEveryday:
		return rankEveryday
	}
	return rankWording
}

// Read returns the pieces of a message. now decides what "friday" means. Any
// text is read; how long a text may be is the caller's affair.
func (r *Reader) Read(text string, now time.Time) Reading {
	out := Reading{Original: text, Normal: Clean(text), Lang: "en"}
	tokens := tokenize(out.Normal)
	out.Lang = r.language(tokens)
	out.Tokens = r.mendAll(tokens, out.Lang)
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

// language returns the language that knows more of the words; English where
// they are equal.
func (r *Reader) language(tokens []Token) string {
	best, most := "en", 0
	for _, lang := range slices.Sorted(maps.Keys(r.foreign)) {
		d, foreign, own := r.foreign[lang], 0, 0
		for _, t := range tokens {
			if !isWordToken(t) || t.IsNumber {
				continue
			}
			_, f := d.longest[t.Text]
			_, o := r.words.longest[t.Text]
			switch {
			case f && !o:
				foreign++
			case o && !f:
				own++
			}
		}
		if foreign > own && foreign > most {
			best, most = lang, foreign
		}
	}
	return best
}

// mendAll sets unknown words right and takes apart two trade words that were
// written as one.
func (r *Reader) mendAll(tokens []Token, lang string) []Token {
	out := tokens
	grown := false
	for i, t := range tokens {
		if t.IsNumber || !isWordToken(t) {
			if grown {
				out = append(out, t)
			}
			continue
		}
		t.Known = r.speller.knows(t.Text)
		if !t.Known {
			if head, tail, ok := r.split(t); ok {
				if !grown {
					out = append(make([]Token, 0, len(tokens)+4), tokens[:i]...)
					grown = true
				}
				out = append(out, head, tail)
				continue
			}
			if !properName(tokens, i) {
				if w, score, ok := r.speller.mend(t.Text); ok {
					t.Word, t.Score, t.Known = w, score, true
				}
			}
		}
		if grown {
			out = append(out, t)
		} else {
			tokens[i] = t
		}
	}
	return out
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

func (r *Reader) split(t Token) (head, tail Token, ok bool) {
	if len(t.Text) != len(t.Raw) {
		return head, tail, false
	}
	for i := minHalf; i <= len(t.Text)-minHalf; i++ {
		a, b := t.Text[:i], t.Text[i:]
		if !r.trade(a) || !r.trade(b) {
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

func (r *Reader) trade(w string) bool {
	k, ok := r.speller.ranks[w]
	return ok && k == rankTrade
}
