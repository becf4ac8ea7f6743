package rephrase

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"presshand/knowledge"
)

// Languages an answer may be reworded in.
const (
	English = "en"
	Spanish = "es"
)

// phrases are wordings by their first word, the longest first.
type phrases map[string][]phrase

type phrase struct {
	words []string
	means string // what it stands for
}

func (p phrases) add(text, means string) {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return
	}
	p[words[0]] = append(p[words[0]], phrase{words, strings.ToLower(means)})
}

// sort puts longer phrases first, so that the longest that fits is taken.
func (p phrases) sort() {
	for _, list := range p {
		slices.SortStableFunc(list, func(a, b phrase) int {
			if d := len(b.words) - len(a.words); d != 0 {
				return d
			}
			return slices.Compare(a.words, b.words)
		})
	}
}

// match returns the longest phrase at the head of words.
func (p phrases) match(words []string) (phrase, bool) {
	if len(words) == 0 {
		return phrase{}, false
	}
	for _, x := range p[words[0]] {
		if len(x.words) <= len(words) && slices.Equal(x.words, words[:len(x.words)]) {
			return x, true
		}
	}
	return phrase{}, false
}

// Words of one language.
type words struct {
	sealed   phrases // names, verdicts, negations, number words
	synonyms phrases
	joining  phrases
	linking  map[string]string // words that part clauses, to "and", "so" or "then"
	scope    map[string]bool   // words that bind the clauses of a whole line: if, or
	sequence map[string]bool   // labels of lines whose parts follow one another: now
	attach   map[string]bool   // words that bind their own clause to the one before: until
	number   map[string]bool
	unit     map[string]bool
	negation map[string]bool
	small    map[string]bool     // see smallest
	alike    map[string][]string // for the instruction: what may stand for a wording
}

func newWords(base *knowledge.Base, lang string) *words {
	w := &words{
		sealed: phrases{}, synonyms: phrases{}, joining: phrases{}, linking: map[string]string{}, scope: map[string]bool{}, attach: map[string]bool{}, sequence: map[string]bool{},
		number: map[string]bool{}, unit: map[string]bool{}, negation: map[string]bool{}, alike: map[string][]string{},
	}
	called := names(base)
	for n := range called {
		w.sealed.add(n, "")
	}
	counts := numberWords(base)
	for _, l := range base.Lexicons {
		if l.Lang != "" && l.Lang != lang {
			continue
		}
		for _, text := range slices.Sorted(maps.Keys(l.Words)) {
			if l.Kind != "noun" || called[strings.ToLower(text)] {
				w.take(l.Kind, text, l.Words[text])
				if first, _, _ := strings.Cut(l.Words[text], " "); l.Kind == "translate" && (counts[first] || strings.IndexFunc(first, unicode.IsNumber) == 0) {
					w.number[text] = true // "diez" names the number 10, and is no other word for it here
				}
			}
		}
	}
	w.small = w.smallest()
	w.sealed.sort()
	w.synonyms.sort()
	w.joining.sort()
	return w
}

func (w *words) take(kind, text, means string) {
	list := []string{text}
	if text == "list" { // many words under one key
		list = strings.Fields(means)
	}
	switch kind {
	case "synonym":
		w.synonyms.add(text, means)
		w.synonyms.add(means, means) // whole: "at once" is not "once"
		w.alike[means] = append(w.alike[means], text)
	case "whole":
		w.synonyms.add(text, text)
	case "joining":
		for _, x := range list {
			w.joining.add(x, "")
		}
	case "linking":
		w.linking[text] = means
	case "scope":
		mark(w.scope, list)
	case "attach":
		mark(w.attach, list)
	case "sequence":
		mark(w.sequence, list)
	case "sealed", "sealed-negation":
		for _, x := range list {
			w.sealed.add(x, "")
			if kind == "sealed-negation" {
				w.negation[x] = true
			}
		}
	case "number":
		w.number[text] = true
		if text != "k" && text != "a" {
			w.sealed.add(text, "")
		}
	case "unit":
		w.unit[text] = true
	case "noun":
		w.sealed.add(means, "")
	}
}

// numberWords are the English words that name a number.
func numberWords(base *knowledge.Base) map[string]bool {
	out := map[string]bool{}
	for _, l := range base.Lexicons {
		if l.Kind == "number" {
			for word := range l.Words {
				out[word] = len(word) > 1
			}
		}
	}
	return out
}

func mark(set map[string]bool, list []string) {
	for _, x := range list {
		set[x] = true
	}
}

// names are what methods, blanks, fibres, fabrics and colours are called in
// English; the lexicons of kind "noun" say it in other languages.
func names(base *knowledge.Base) map[string]bool {
	all := map[string]bool{}
	add := func(names ...string) {
		for _, n := range names {
			all[strings.ToLower(n)] = true
		}
	}
	heads := func(h *knowledge.Head) { add(append([]string{h.ID, h.Name}, h.Names...)...) }
	for _, m := range base.Methods {
		heads(&m.Head)
	}
	for _, b := range base.Blanks {
		heads(&b.Head)
		add(b.Item, b.Item+"s", b.Item+"es", b.Name+"s", b.Name+"es")
	}
	for _, f := range base.Fibres {
		heads(&f.Head)
	}
	for _, f := range base.Fabrics {
		heads(&f.Head)
	}
	for _, c := range base.Colours {
		heads(&c.Head)
	}
	for _, l := range base.Lexicons {
		if l.Kind == "sealed" && l.Lang == English { // plain colours
			add(strings.Fields(l.Words["list"])...)
		}
	}
	return all
}

// fewer is by how many small words of its own a line of one language holds more
// than of another: one alone may be a word of both.
const fewer = 2

// foreign reports that a line is rather one of the other language.
func (w *words) foreign(line string, other *words) bool {
	own, others := 0, 0
	for x := range strings.FieldsFuncSeq(strings.ToLower(line), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' }) {
		if w.small[x] {
			own++
		}
		if other.small[x] {
			others++
		}
	}
	return others >= own+fewer
}

// smallest gathers the small words by which a line of this language is known.
func (w *words) smallest() map[string]bool {
	small := map[string]bool{}
	for x, list := range w.joining {
		for _, p := range list {
			if len(p.words) == 1 {
				small[x] = true
			}
		}
	}
	for x := range w.linking {
		small[x] = true
	}
	for _, set := range []map[string]bool{w.negation, w.scope, w.attach} {
		maps.Copy(small, set)
	}
	return small
}
