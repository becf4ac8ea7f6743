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
	means []string // what it stands for, in words
}

func (p phrases) add(text, means string) {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return
	}
	p[words[0]] = append(p[words[0]], phrase{words, strings.Fields(strings.ToLower(means))})
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
	linking  map[string]bool // joining words that part clauses: and, so, then
	number   map[string]bool
	unit     map[string]bool
	negation map[string]bool
	alike    map[string][]string // for the instruction: what may stand for a wording
}

func newWords(base *knowledge.Base, lang string) *words {
	w := &words{
		sealed: phrases{}, synonyms: phrases{}, joining: phrases{}, linking: map[string]bool{},
		number: map[string]bool{}, unit: map[string]bool{}, negation: map[string]bool{}, alike: map[string][]string{},
	}
	for _, l := range base.Lexicons {
		if l.Lang != "" && l.Lang != lang {
			continue
		}
		for _, text := range slices.Sorted(maps.Keys(l.Words)) {
			w.take(l.Kind, text, l.Words[text])
		}
	}
	w.names(base)
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
		w.alike[means] = append(w.alike[means], text)
	case "joining":
		for _, x := range list {
			w.joining.add(x, "")
		}
	case "linking":
		for _, x := range list {
			w.linking[x] = true
		}
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

// names seals what a method, blank, fibre, fabric or colour is called.
func (w *words) names(base *knowledge.Base) {
	heads := func(h *knowledge.Head) {
		for _, n := range append([]string{h.Name}, h.Names...) {
			w.sealed.add(n, "")
		}
	}
	for _, m := range base.Methods {
		heads(&m.Head)
	}
	for _, b := range base.Blanks {
		heads(&b.Head)
		w.sealed.add(b.Item, "")
		w.sealed.add(b.Item+"s", "")
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
}

// small counts a line's small words and negations of this language, by which a
// line of it is known.
func (w *words) small(line string) int {
	n := 0
	for _, x := range strings.FieldsFunc(strings.ToLower(line), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' }) {
		if _, ok := w.joining.match([]string{x}); ok || w.linking[x] || w.negation[x] {
			n++
		}
	}
	return n
}
