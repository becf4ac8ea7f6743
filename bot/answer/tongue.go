package answer

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"presshand/bot/listen"
	"presshand/knowledge"
	"presshand/planner/press"
	"presshand/planner/unit"
)

// Kinds of the lexicons that carry an answer into another language. Sentences
// have ids; the others are keyed by the English words.
const (
	kindText  = "text"  // texts of entries
	kindNoun  = "noun"  // names of things, and short words that stand in sentences
	kindLabel = "label" // suggestions, buttons, heads of tables; {slots} as in sentences
	kindTold  = "told"  // sentences of rooms that know one language only; {slots} take what stands there
)

// A tongue is a language other than English, as answers speak it.
type tongue struct {
	sentences, texts, nouns, labels map[string]string
	glossary                        func() *listen.Glossary // the other way: its words in English
	told                            func() []pattern
	style                           unit.Style
}

// tonguesOf gathers the languages of a base.
func tonguesOf(base *knowledge.Base, style unit.Style) map[string]*tongue {
	out := map[string]*tongue{}
	told := map[string]map[string]string{}
	for _, l := range base.Lexicons {
		if l.Lang == "" || l.Lang == english {
			continue
		}
		t := out[l.Lang]
		if t == nil {
			t = &tongue{sentences: map[string]string{}, texts: map[string]string{}, nouns: map[string]string{}, labels: map[string]string{}}
			t.glossary = sync.OnceValue(func() *listen.Glossary { return listen.NewGlossary(base, l.Lang) })
			out[l.Lang], told[l.Lang] = t, map[string]string{}
		}
		into := map[string]map[string]string{
			knowledge.Sentences: t.sentences, kindText: t.texts, kindNoun: t.nouns, kindLabel: t.labels, kindTold: told[l.Lang],
		}[l.Kind]
		if into != nil {
			maps.Copy(into, l.Words)
		}
	}
	for lang, t := range out {
		t.style = style
		t.style.Words = unit.Words{Inch: t.nouns["in"], Days: t.nouns["days"], To: t.nouns["to"]}
		t.told = sync.OnceValue(func() []pattern { return patternsOf(told[lang]) })
	}
	return out
}

const english = "en"

// tongue is the asker's language; ok is false for English, in which the code
// is written.
func (c *draft) tongue() (t *tongue, ok bool) {
	t, ok = c.tongues[c.ask.Lang]
	return t, ok
}

// style writes quantities as the shop likes them, in the asker's language.
func (c *draft) style() unit.Style {
	if t, ok := c.tongue(); ok {
		return t.style
	}
	return c.Desk.style
}

// label is a suggestion, a button's text or a table's head in the asker's
// language; {slots} are filled as in sentences.
func (c *draft) label(words string, slots ...string) string {
	if t, ok := c.tongue(); ok {
		if l, ok := t.labels[words]; ok {
			words = l
		}
	}
	return fill(words, slots)
}

// labels are the labels of a table's columns.
func (c *draft) labels(words ...string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = c.label(w)
	}
	return out
}

// noun gives the name of a method, item, colour, fibre or unit in the asker's
// language.
func (c *draft) noun(name string) string {
	if t, ok := c.tongue(); ok {
		if n, ok := t.nouns[name]; ok {
			return n
		}
	}
	return name
}

// nouns puts the nouns of the asker's language for those of an English phrase,
// the longest first: "Fri 27 Nov", "60 % cotton".
func (c *draft) nouns(phrase string) string {
	t, ok := c.tongue()
	if !ok {
		return phrase
	}
	return replaceWords(phrase, mostNounWords, func(words string) (string, bool) {
		n, ok := t.nouns[words]
		return n, ok
	})
}

// mostNounWords is how many words a noun has at most that is looked for inside
// a phrase.
const mostNounWords = 3

// replaceWords looks up every run of up to most words of a phrase, the longest
// first. Punctuation behind a run stays.
func replaceWords(phrase string, most int, find func(string) (string, bool)) string {
	words := strings.Fields(phrase)
	var out []string
	for i := 0; i < len(words); {
		n := min(most, len(words)-i)
		for ; n > 0; n-- {
			run := strings.Join(words[i:i+n], " ")
			bare := strings.TrimRightFunc(run, unicode.IsPunct)
			if other, ok := find(bare); ok {
				out = append(out, other+run[len(bare):])
				break
			}
		}
		if n == 0 {
			out = append(out, words[i])
			n = 1
		}
		i += n
	}
	return strings.Join(out, " ")
}

// and joins words as prose in the asker's language.
func (c *draft) and(words []string) string { return and(words, c.phrase("word-and", "and")) }

// or joins words as a choice in the asker's language.
func (c *draft) or(words []string) string { return and(words, c.phrase("word-or", "or")) }

// dated writes a time by a layout, its days and months in the asker's language.
func (c *draft) dated(t time.Time, layout string) string { return c.nouns(t.Format(layout)) }

// saving says what would help a late order.
func (c *draft) saving(s press.Saving) string { return c.told(s.String()) }

// runLines are the steps of a plan that a person can follow.
func (c *draft) runLines(p press.Plan) []string {
	return c.toldAll(press.RunList(p, c.style()))
}

// fibreWords writes a fibre content in the asker's language.
func (c *draft) fibreWords(m map[string]int) string {
	if _, ok := c.tongue(); !ok || len(m) < 2 {
		return c.nouns(c.Desk.fibreWords(m))
	}
	var parts []string
	for _, id := range keysByShare(m) {
		parts = append(parts, plain(float64(m[id]))+" % "+c.noun(c.fibreName(id)))
	}
	return c.and(parts)
}

// A pattern is an English sentence with slots, and the same in another
// language.
type pattern struct {
	english *regexp.Regexp
	slots   []string
	other   string
	fixed   int // letters outside slots: the more, the closer it describes
}

var slotIn = regexp.MustCompile(`\\\{(\w+)\\\}`)

// patternsOf makes patterns of sentences with {slots}, the closest first.
func patternsOf(words map[string]string) []pattern {
	var out []pattern
	for en, other := range words {
		p := pattern{other: other, fixed: len(aBrace.ReplaceAllString(en, ""))}
		quoted := regexp.QuoteMeta(en)
		for _, m := range slotIn.FindAllStringSubmatch(quoted, -1) {
			p.slots = append(p.slots, m[1])
		}
		p.english = regexp.MustCompile(`^(?i:` + slotIn.ReplaceAllString(quoted, `(.+?)`) + `)$`)
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b pattern) int {
		return cmp.Or(b.fixed-a.fixed, cmp.Compare(a.other, b.other))
	})
	return out
}

var aBrace = regexp.MustCompile(`\{\w+\}`)

// told puts a sentence of another room, which knows English only, into the
// asker's language; what fills its slots as well.
func (c *draft) told(sentence string) string {
	t, ok := c.tongue()
	if !ok || sentence == "" {
		return sentence
	}
	if n, ok := t.nouns[sentence]; ok {
		return n
	}
	for _, p := range t.told() {
		m := p.english.FindStringSubmatch(sentence)
		if m == nil {
			continue
		}
		var slots []string
		for i, name := range p.slots {
			slots = append(slots, name, c.told(m[i+1]))
		}
		return fill(p.other, slots)
	}
	return c.nouns(sentence)
}

func (c *draft) toldAll(sentences []string) []string {
	out := make([]string, len(sentences))
	for i, s := range sentences {
		out[i] = c.told(s)
	}
	return out
}

// fill puts slots, pairs of name and text, into a template. Where a name stands
// twice, its first text counts; what is put in is not looked at again.
func fill(template string, slots []string) string {
	var b strings.Builder
	for {
		before, rest, open := strings.Cut(template, "{")
		name, after, closed := strings.Cut(rest, "}")
		if !open || !closed {
			b.WriteString(template)
			return b.String()
		}
		b.WriteString(before)
		i := 0
		for i+1 < len(slots) && slots[i] != name {
			i += 2
		}
		if i+1 < len(slots) {
			b.WriteString(slots[i+1])
			template = after
		} else { // a brace of the text's own
			b.WriteByte('{')
			template = rest
		}
	}
}

// said is what was asked, in lower case and English words: the board reads
// "promise", "ready", "order 12" in it.
func (c *draft) said() string { return c.inEnglish(c.ask) }

func (d *Desk) inEnglish(ask listen.Ask) string {
	t, ok := d.tongues[ask.Lang]
	if !ok {
		return strings.ToLower(ask.Text)
	}
	return t.glossary().Wording(listen.Fold(ask.Text))
}

// saidAfter is what stands behind the word of the asker's language that means
// an English one: "el coro" behind "para", which is "for". "" where none does,
// and in English.
func (c *draft) saidAfter(word string) string {
	t, ok := c.tongue()
	if !ok {
		return ""
	}
	words := strings.Fields(c.ask.Text)
	for i, w := range words {
		if t.glossary().Wording(listen.Fold(w)) != word || i+1 == len(words) {
			continue
		}
		rest := strings.TrimRight(strings.Join(words[i+1:], " "), "?!. ")
		if strings.IndexFunc(rest, unicode.IsLetter) == 0 {
			return rest
		}
	}
	return ""
}
