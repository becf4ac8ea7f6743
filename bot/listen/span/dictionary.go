package span

import (
	"maps"
	"slices"
	"strings"

	"golang.org/x/image/colornames"

	"presshand/knowledge"
)

// A class is a kind of lexicon; see the package comment. A sense of a class
// serves the readers, it names nothing by itself.
type class string

const (
	classNumber    class = "number"
	classUnit      class = "unit"
	classAxis      class = "axis"
	classCounter   class = "counter"
	classWeekday   class = "weekday"
	classMonth     class = "month"
	classDay       class = "day"
	classClock     class = "clock"
	classWhen      class = "when"
	classBlend     class = "blend"
	classArtword   class = "artword"
	classTexts     class = "texts"
	classFile      class = "file"
	classCustomer  class = "customer"
	classRef       class = "ref"
	classArrival   class = "arrival"
	classJoiner    class = "joiner"
	classFiller    class = "filler"
	classAdjective class = "adjective"
	classEveryday  class = "everyday"
	classOrdinary  class = "ordinary"
	classSlang     class = "slang"
	classTranslate class = "translate"
	classEnding    class = "ending"
)

// namingLexicons are the lexicon kinds whose words are pieces by themselves.
var namingLexicons = map[string]Kind{
	"size": Size, "group": Group, "spot": Spot, "art": Art, "rush": Rush, "colour": Colour,
	"ownership": Ownership, "approval": Approval, "intent": Intent, "amend": Amend, "negation": Negation,
}

// A sense is one meaning of a word or phrase: a piece of kind, or a word of a
// class.
type sense struct {
	kind  Kind
	class class
	id    string // of a piece: its ID; of a class: what the word stands for
	unit  string // of an item: the word an order uses
	group string // of an item: its size group
	hard  bool   // of an item: not a textile
	fibre map[string]int
}

// A dictionary holds the senses of phrases by their folded words joined by
// blanks. It does not change once built.
type dictionary struct {
	senses  map[string][]sense
	longest map[string]int // by first word: words of the longest phrase
}

// About how many phrases and words a base holds of its own language and of a
// foreign one; it saves the growing of maps at start.
const (
	usualPhrases = 6000
	usualForeign = 800
	usualWords   = 16000
)

func newDictionary(phrases int) *dictionary {
	return &dictionary{senses: make(map[string][]sense, phrases), longest: make(map[string]int, phrases/2)}
}

// phraseKey returns a phrase's words joined by blanks, and how many they are.
func phraseKey(phrase string) (string, int) {
	if n, ok := plainPhrase(phrase); ok {
		return phrase, n
	}
	tokens := tokenize(Clean(phrase))
	words := make([]string, len(tokens))
	for i, t := range tokens {
		words[i] = t.Text
	}
	return strings.Join(words, " "), len(words)
}

// plainPhrase reports whether a phrase is its own key, small letters and
// single blanks, and counts its words.
func plainPhrase(phrase string) (int, bool) {
	words, blank := 0, true
	for i := 0; i < len(phrase); i++ {
		switch c := phrase[i]; {
		case c >= 'a' && c <= 'z':
			if blank {
				words++
			}
			blank = false
		case c == ' ' && !blank:
			blank = true
		default:
			return 0, false
		}
	}
	return words, !blank
}

func (d *dictionary) add(phrase string, s sense) {
	key, n := phraseKey(phrase)
	if n == 0 {
		return
	}
	d.put(key, n, s)
}

func (d *dictionary) put(key string, n int, s sense) {
	for _, have := range d.senses[key] {
		if have.kind == s.kind && have.class == s.class && (have.id == s.id || s.kind == "") {
			return
		}
	}
	d.senses[key] = append(d.senses[key], s)
	first, _, _ := strings.Cut(key, " ")
	d.longest[first] = max(d.longest[first], n)
}

// addName adds a thing's name, its plural, and its words written as one.
func (d *dictionary) addName(name string, s sense) {
	key, n := phraseKey(name)
	if n == 0 {
		return
	}
	for _, form := range []string{key, plural(key), singular(key)} {
		d.put(form, n, s)
		if n == 2 && len(form) >= 6 {
			d.put(strings.ReplaceAll(form, " ", ""), 1, s)
		}
	}
}

// plural and singular fold the regular English and Spanish endings of a
// phrase's last word; a form that is no word does no harm, as nobody types it.
func plural(key string) string {
	switch {
	case strings.HasSuffix(key, "s"), strings.HasSuffix(key, "x"), strings.HasSuffix(key, "ch"), strings.HasSuffix(key, "sh"):
		return key + "es"
	case strings.HasSuffix(key, "y") && len(key) > 1 && !strings.ContainsRune("aeiou", rune(key[len(key)-2])):
		return key[:len(key)-1] + "ies"
	default:
		return key + "s"
	}
}

func singular(key string) string {
	switch {
	case strings.HasSuffix(key, "ies") && len(key) > 4:
		return key[:len(key)-3] + "y"
	case strings.HasSuffix(key, "ss") || !strings.HasSuffix(key, "s") || len(key) < 4:
		return key
	default:
		return key[:len(key)-1]
	}
}

// names returns an entry's name and further names, each once.
func names(h knowledge.Head) []string {
	return slices.Concat([]string{h.Name}, h.Names)
}

// fill takes the names of the base's things.
func (d *dictionary) fill(base *knowledge.Base) {
	for _, b := range base.Blanks {
		s := sense{kind: Item, id: b.ID, unit: b.Item, group: b.Group, hard: b.Kind == "hard", fibre: b.Fibre}
		for _, n := range append(names(b.Head), b.Item) {
			if n == b.Item && b.Name != b.Item && itemOwner(base, b.Item) != b.ID {
				continue // the bare order word belongs to one blank
			}
			d.addName(n, s)
		}
		for _, spot := range b.Spots {
			d.add(spot, sense{kind: Spot, id: spot})
		}
	}
	for _, f := range base.Fibres {
		for _, n := range append(names(f.Head), f.Codes...) {
			if len(n) > 2 { // two-letter label codes are words of other meaning
				d.add(n, sense{kind: Fibre, id: f.ID})
			}
		}
	}
	for _, f := range base.Fabrics {
		for _, n := range names(f.Head) {
			d.addName(n, sense{kind: Fabric, id: f.ID, fibre: f.Fibre})
		}
	}
	for _, c := range base.Colours {
		for _, n := range names(c.Head) {
			d.add(n, sense{kind: Colour, id: c.ID})
		}
	}
	for _, m := range base.Methods {
		for _, n := range names(m.Head) {
			d.addName(n, sense{kind: Method, id: m.ID})
		}
	}
	for _, p := range base.Placements {
		d.add(p.Spot, sense{kind: Spot, id: p.Spot})
	}
	for _, l := range base.Lexicons {
		if l.Lang == "" || l.Lang == "en" {
			d.lexicon(l)
		}
	}
	d.svgColours()
}

// itemOwner returns the id of the blank that a bare order word means: the one
// so named, else the first adult one, else the first.
func itemOwner(base *knowledge.Base, item string) string {
	first, adult := "", ""
	for _, b := range base.Blanks {
		if b.Item != item {
			continue
		}
		if b.Name == item || b.ID == item {
			return b.ID
		}
		if first == "" {
			first = b.ID
		}
		if adult == "" && b.Group == "adult" {
			adult = b.ID
		}
	}
	if adult != "" {
		return adult
	}
	return first
}

func (d *dictionary) lexicon(l *knowledge.Lexicon) {
	kind, naming := namingLexicons[l.Kind]
	notRead := map[class]bool{
		classSlang: true, classTranslate: true, classEnding: true, classEveryday: true, classOrdinary: true,
		"shop rule": true,                                                                       // read by the listener itself
		"level":     true, "tongue": true, "tongue-cue": true, "wrapper": true, "confirm": true, // of how the bot speaks
	}
	for w, v := range l.Words { // a word stands once in a lexicon, so its order decides nothing
		switch {
		case notRead[class(l.Kind)]:
		case naming:
			d.add(w, sense{kind: kind, id: v})
		default:
			d.add(w, sense{class: class(l.Kind), id: v})
		}
	}
}

// aliases gives slang the senses of what it stands for. What stands for a
// word without a sense is kept as a plain word.
func (d *dictionary) aliases(l *knowledge.Lexicon) {
	for _, w := range slices.Sorted(maps.Keys(l.Words)) {
		target, _ := phraseKey(l.Words[w])
		senses := d.senses[target]
		if len(senses) == 0 {
			senses = []sense{{class: classTranslate, id: target}}
		}
		for _, s := range senses {
			d.addName(w, s) // slang takes English endings
		}
		if v, ok := digitsOf(target); ok {
			d.add(w, sense{class: classNumber, id: v})
		}
	}
}

func digitsOf(s string) (string, bool) {
	if n := scanNumber(s + " "); n == len(s) && n > 0 {
		return s, true
	}
	return "", false
}

// svgColours adds the colour names of the SVG standard (W3C, Scalable Vector
// Graphics 1.1, 4.4, the same list as CSS), which writes them as one word:
// darkblue is also read as "dark blue". Names the base holds keep its sense.
func (d *dictionary) svgColours() {
	for _, name := range colornames.Names {
		for _, form := range apart(name) {
			if d.has(form, Colour) {
				continue
			}
			_, n := phraseKey(form)
			d.put(form, n, sense{kind: Colour, id: name})
		}
	}
}

// apart returns a colour name and its forms split before a shorter name in
// it: darkslategray gives "dark slate gray".
func apart(name string) []string {
	forms := []string{name}
	for _, tail := range colornames.Names {
		if head, ok := strings.CutSuffix(name, tail); ok && head != "" {
			for _, f := range apart(tail) {
				forms = append(forms, head+" "+f)
			}
		}
	}
	return forms
}

func (d *dictionary) has(key string, kind Kind) bool {
	return slices.ContainsFunc(d.senses[key], func(s sense) bool { return s.kind == kind })
}
