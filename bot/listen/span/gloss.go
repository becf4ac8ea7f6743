package span

import (
	"slices"
	"strings"
	"sync"

	"presshand/knowledge"
)

// A Glossary says in English what the words of another language mean, so that
// a message in it is understood by all that is known of English ones.
//
// A message is taken phrase by phrase, the longest first, then word by word. A
// word that no lexicon holds is looked up by the word it may be a form of:
// kind ending lists what its last letters stand for in the lexicons
// ("despegan" by "an: ar" is "despegar"), so that forms need not be listed.
type Glossary struct {
	words   []map[string]string // as the base holds them
	longest map[string]int      // by first word: words of the longest phrase
	endings map[string]string
	spell   func(own *Reader) *speller
}

// longestEnding is the longest ending of a form, in letters, and leastHead the
// fewest letters that must stand before one.
const (
	longestEnding = 8
	leastHead     = 2
)

// noEnding in a lexicon of endings says that nothing takes an ending's place.
const noEnding = "-"

// NewGlossary returns the glossary of a language.
func NewGlossary(base *knowledge.Base, lang string) *Glossary {
	g := &Glossary{longest: map[string]int{}}
	for _, l := range base.Lexicons {
		switch {
		case l.Lang != lang:
		case class(l.Kind) == classTranslate:
			g.words = append(g.words, l.Words)
		case class(l.Kind) == classEnding:
			g.endings = l.Words
		}
	}
	for _, words := range g.words {
		for phrase := range words {
			if first, _, more := strings.Cut(phrase, " "); more {
				g.longest[first] = max(g.longest[first], 1+strings.Count(phrase, " "))
			}
		}
	}
	g.spell = onceSpeller(g)
	return g
}

// onceSpeller returns what makes the speller of a glossary when a message first
// needs it: most shops are never written to in another language.
func onceSpeller(g *Glossary) func(*Reader) *speller {
	var once sync.Once
	var made *speller
	return func(own *Reader) *speller {
		once.Do(func() {
			v := newVocabulary(usualForeign)
			for _, words := range g.words {
				for phrase, means := range words {
					k := rankWording
					if slices.ContainsFunc(own.words.senses[means], func(s sense) bool { return rankOf(s) == rankName }) {
						k = rankName
					}
					v.phrase(phrase, k)
				}
			}
			made = newSpeller(v.ranks, v.short, own.speller)
		})
		return made
	}
}

// exact returns what a word or phrase means as it stands.
func (g *Glossary) exact(phrase string) (string, bool) {
	for _, words := range g.words {
		if means, ok := words[phrase]; ok {
			return means, true
		}
	}
	return "", false
}

// word returns what a word means, as it stands or as a form of another.
func (g *Glossary) word(w string) (string, bool) {
	if means, ok := g.exact(w); ok {
		return means, true
	}
	for n := min(len(w)-leastHead, longestEnding); n > 0; n-- {
		head, ending := w[:len(w)-n], w[len(w)-n:]
		for base := range strings.FieldsSeq(g.endings[ending]) {
			if base == noEnding {
				base = ""
			}
			if means, ok := g.exact(head + base); ok {
				return means, true
			}
		}
	}
	return "", false
}

// knows reports whether the glossary holds a word or one it is a form of.
func (g *Glossary) knows(w string) bool {
	if g == nil {
		return false
	}
	_, ok := g.word(w)
	return ok
}

// phrase returns what the longest known phrase at the head of some words means,
// and how many words it has; 0 where none is known.
func (g *Glossary) phrase(words []string) (string, int) {
	for n := min(g.longest[words[0]], len(words)); n > 1; n-- {
		if means, ok := g.exact(strings.Join(words[:n], " ")); ok {
			return means, n
		}
	}
	if means, ok := g.word(words[0]); ok {
		return means, 1
	}
	return "", 0
}

// Wording returns a wording of words parted by blanks in English; {slots} and
// words that are not known stay.
func (g *Glossary) Wording(text string) string {
	words := strings.Fields(text)
	out := make([]string, 0, len(words)+4)
	for i := 0; i < len(words); {
		means, n := g.phrase(words[i:])
		if n == 0 {
			means, n = words[i], 1
		}
		if means != "" {
			out = append(out, means)
		}
		i += n
	}
	return strings.Join(out, " ")
}

// tokens puts English words for those of a message. Each stands where the
// words stood that it is for, so that what an answer quotes is what was typed.
func (g *Glossary) tokens(in []Token, own *dictionary) []Token {
	words := make([]string, len(in))
	for i, t := range in {
		words[i] = t.Word
	}
	out := make([]Token, 0, len(in)+8)
	last, lastEnd := 0, 0 // the words of the phrase before, in out
	named := false        // they are a customer's
	for i := 0; i < len(in); {
		means, n := "", 0
		named = named && properName(in, i)
		if isWordToken(in[i]) && !in[i].IsNumber && !named {
			means, n = g.phrase(words[i:])
		}
		from := len(out)
		if n == 0 {
			out, n = append(out, in[i]), 1
		} else {
			out = append(out, glossed(in[i:i+n], means)...)
		}
		if from == lastEnd && own.before(out[last:from], out[from:]) {
			swap(out[last:], from-last)
		}
		last, lastEnd = from, len(out)
		named = named || own.isA(out[from:], func(s sense) bool { return s.class == classCustomer })
		i += n
	}
	return out
}

// glossed returns the English words for a phrase.
func glossed(phrase []Token, means string) []Token {
	out := tokenize(means)
	for i := range out {
		t := &out[i]
		t.Start, t.End = phrase[0].Start, phrase[len(phrase)-1].End
		t.Known = true
		for _, p := range phrase {
			t.Score = min(t.Score, p.Score)
		}
		if i == 0 {
			t.Glued, t.Hyphen = phrase[0].Glued, phrase[0].Hyphen
		}
	}
	return out
}

// before reports whether two pieces are a thing and its colour, which English
// says before the thing.
func (d *dictionary) before(thing, colour []Token) bool {
	return d.isA(colour, func(s sense) bool { return s.kind == Colour }) &&
		d.isA(thing, func(s sense) bool { return s.kind == Item || s.kind == Art || s.class == classArtword })
}

func (d *dictionary) isA(phrase []Token, is func(sense) bool) bool {
	words := make([]string, len(phrase))
	for i, t := range phrase {
		words[i] = t.Word
	}
	return slices.ContainsFunc(d.senses[strings.Join(words, " ")], is)
}

// swap puts the first n tokens behind the others; all then stand for the whole
// of what was typed.
func swap(tokens []Token, n int) {
	start, end := tokens[0].Start, tokens[len(tokens)-1].End
	slices.Reverse(tokens[:n])
	slices.Reverse(tokens[n:])
	slices.Reverse(tokens)
	for i := range tokens {
		tokens[i].Start, tokens[i].End = start, end
	}
	tokens[0].Glued = false
}

// glossaries returns those of all languages but English.
func glossaries(base *knowledge.Base) map[string]*Glossary {
	out := map[string]*Glossary{}
	for _, l := range base.Lexicons {
		if class(l.Kind) == classTranslate && out[l.Lang] == nil {
			out[l.Lang] = NewGlossary(base, l.Lang)
		}
	}
	return out
}

// figures reads numbers as they are written where the comma parts the whole from
// the rest and the point the thousands: "1,5 cm", "1.500 tees". Several figures
// with commas are a list, and two of the rest are one only of a measure or a sum
// of money, for "10,12" may be sizes. A measure may have three figures after its
// point.
func figures(in []Token, own *dictionary) []Token {
	out := make([]Token, 0, len(in))
	for i := 0; i < len(in); i++ {
		t := in[i]
		whole, rest, pointed := strings.Cut(t.Raw, ".")
		switch {
		case !t.IsNumber:
		case pointed && len(rest) == 3 && whole != "0" && !own.measures(in, i+1):
			t.Number *= 1000
			t.Text = whole + rest
			t.Word = t.Text
		case commaRest(in, i) && (len(in[i+2].Raw) == 1 || own.measures(in, i+3) || i > 0 && in[i-1].Text == "$"):
			r := in[i+2]
			t = numberToken(t.Raw+"."+r.Raw, t.Start)
			t.End, t.Glued, t.Hyphen, t.Word, t.Score = r.End, in[i].Glued, in[i].Hyphen, t.Text, 1
			i += 2
		}
		out = append(out, t)
	}
	return out
}

// commaRest reports a whole number at i, a comma and one or two figures, all
// written as one, with no more of the kind around them.
func commaRest(in []Token, i int) bool {
	comma := func(i int) bool {
		return i >= 0 && i+1 < len(in) && in[i].Text == "," && in[i].Glued && in[i+1].Glued && in[i+1].IsNumber
	}
	return comma(i+1) && !comma(i-1) && !comma(i+3) && len(in[i+2].Raw) <= 2 && !strings.Contains(in[i].Raw, ".")
}

// measures reports whether what follows a number at i makes it a measure or a
// share.
func (d *dictionary) measures(in []Token, i int) bool {
	if i >= len(in) {
		return false
	}
	switch in[i].Text {
	case "x", "%", "°", `"`, "'":
		return true
	}
	return slices.ContainsFunc(d.senses[in[i].Word], func(s sense) bool { return s.class == classUnit })
}
