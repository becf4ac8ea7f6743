package knowledge

import (
	"fmt"
	"maps"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"presshand/knowledge/document"
)

// A reference is an id that some entry names.
type reference struct {
	from    *Head
	field   string
	section string // of the id; "" where the id itself is "section/id"
	id      string
	pos     Pos
}

// A reading is what one file holds: its entries by section, and the ids they
// name.
type reading struct {
	file       *document.File
	entries    map[string][]entry
	references []reference
}

// An entry is any of the entry types of entry.go.
type entry interface{ head() *Head }

// A reader turns one file into a reading.
type reader struct {
	reading
	decoder  document.Decoder
	measures map[string]measure

	// Of the entry being read:
	here  *Head
	texts []placedText
}

type placedText struct {
	text Text
	pos  Pos
}

// read reads one file as far as it can be read; what is wrong with it stands
// in the reading's file.
func read(name string, data []byte) reading {
	file, root := document.Parse(name, data)
	r := &reader{measures: measures()}
	r.file = file
	r.entries = map[string][]entry{}
	if root == nil {
		return r.reading
	}
	r.decoder = document.Decoder{
		File: file,
		Leaf: r.leaf,
		Readers: map[reflect.Type]document.Reader{
			reflect.TypeFor[Value](): r.value,
			reflect.TypeFor[Word]():  r.word,
			reflect.TypeFor[Flag]():  r.flag,
			reflect.TypeFor[Text]():  r.text,
		},
	}
	r.sections(root)
	return r.reading
}

func (r *reader) sections(root *yaml.Node) {
	types := sectionTypes()
	r.decoder.Pairs(root, func(key, value *yaml.Node) {
		kind, known := types[key.Value]
		if !known {
			r.file.Report(r.file.Pos(key), "key", document.Suggest(key.Value, sectionNames()), "unknown section %q", key.Value)
			return
		}
		f := document.Field{Key: key.Value}
		if !r.decoder.Filled(value, f) {
			return
		}
		if value.Kind != yaml.SequenceNode {
			r.file.Report(r.file.Pos(value), "form", `begin each entry with "- id: ..."`, "section %q is not a list of entries", key.Value)
			return
		}
		for _, item := range value.Content {
			r.entry(key.Value, kind, item)
		}
	})
}

func (r *reader) entry(section string, kind reflect.Type, n *yaml.Node) {
	fresh := reflect.New(kind)
	e := fresh.Interface().(entry)
	r.here, r.texts = e.head(), nil
	r.here.Source = r.peekSource(n)
	r.decoder.Decode(n, document.Field{Key: section}, fresh.Interface())
	if n.Kind != yaml.MappingNode {
		return
	}
	r.identity(n)
	r.source(r.file.Pos(n), r.here.Source)
	r.share(fresh.Elem(), n)
	r.prose()
	if l, ok := e.(*Lexicon); ok && l.Kind == Sentences {
		r.sentences(l)
	}
	r.entries[section] = append(r.entries[section], e)
}

// peekSource reads an entry's source ahead of the rest, since values without
// one of their own inherit it wherever it stands.
func (r *reader) peekSource(n *yaml.Node) Source {
	var s Source
	if kind := document.Get(n, "source"); kind != nil {
		s.Kind = SourceKind(kind.Value)
	}
	if cite := document.Get(n, "cite"); cite != nil {
		s.Cite = strings.TrimSpace(cite.Value)
	}
	return s
}

var idForm = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func (r *reader) identity(n *yaml.Node) {
	if id := document.Get(n, "id"); id != nil && !idForm.MatchString(r.here.ID) {
		r.file.Report(r.file.Pos(id), "id", "write lower-case words joined by hyphens, such as \"two-step-transfer\"",
			"id %q is not formed like one", r.here.ID)
	}
	if name := document.Get(n, "name"); name != nil && r.here.Name == "" {
		r.file.Report(r.file.Pos(name), "name", "write the name as an answer should show it", "name is empty")
	}
	if names := document.Get(n, "names"); names != nil {
		for i, word := range r.here.Names {
			if word == "" {
				r.file.Report(r.file.Pos(names.Content[i]), "name", "remove it", "name is empty")
			}
		}
	}
}

// source reports a provenance that says nothing.
func (r *reader) source(at Pos, s Source) {
	switch {
	case s.Kind == Published && s.Cite == "":
		r.file.Report(at, "cite", `add cite: "who, what, year"`, "source is published and there is no cite")
	case s.Kind == Practice && s.Cite != "":
		r.file.Report(at, "cite", `write "source: published", or leave the cite out`, "common practice has no cite")
	case s.Kind == "" && s.Cite != "":
		r.file.Report(at, "source", `add "source: published"`, "there is a cite and no source")
	}
}

// parts returns the keys of a value, word or flag: of {is: ..., source: ...}
// those that are there, of the short form the one word as "is".
func (r *reader) parts(n *yaml.Node, f document.Field, allowed ...string) (map[string]*yaml.Node, bool) {
	parts := map[string]*yaml.Node{}
	if n.Kind == yaml.ScalarNode {
		parts["is"] = n
		return parts, true
	}
	if n.Kind != yaml.MappingNode {
		r.file.Report(r.file.Pos(n), "form", "write {is: ..., source: ...}", "%q is a list, not one value", f.Key)
		return nil, false
	}
	allowed = append(allowed, "source", "cite")
	r.decoder.Pairs(n, func(key, value *yaml.Node) {
		switch {
		case !slices.Contains(allowed, key.Value):
			r.file.Report(r.file.Pos(key), "key", document.Suggest(key.Value, allowed), "unknown key %q in %q", key.Value, f.Key)
		case r.decoder.Filled(value, document.Field{Key: key.Value}) && r.decoder.Scalar(value, document.Field{Key: key.Value}):
			parts[key.Value] = value
		}
	})
	if parts["is"] == nil {
		if document.Get(n, "is") == nil {
			r.file.Report(r.file.Pos(n), "missing", "write {is: ..., source: ...}", "%q has no \"is\"", f.Key)
		}
		return nil, false
	}
	return parts, true
}

// provenance returns the source of a value: its own, or else the entry's.
func (r *reader) provenance(n *yaml.Node, f document.Field, parts map[string]*yaml.Node) Source {
	own, cite := parts["source"], parts["cite"]
	var s Source
	if cite != nil {
		s.Cite = strings.TrimSpace(cite.Value)
	}
	switch {
	case own != nil:
		s.Kind = SourceKind(own.Value)
		allowed := document.Field{Key: "source", Tag: `one:"published|practice|memory|shop" need:"yes"`}
		if !r.decoder.Word(own, allowed) {
			return s
		}
		if s.Kind == Published && s.Cite == "" && r.here.Source.Kind == Published {
			s.Cite = r.here.Source.Cite
		}
	case cite != nil && r.here.Source.Kind == Published:
		s.Kind = Published
	case cite == nil:
		s = r.here.Source
		if s.Kind == "" {
			r.file.Report(r.file.Pos(n), "source", "add source: published (with a cite), practice, memory or shop, here or to the entry",
				"%q has no source, and its entry has none either", f.Key)
		}
		return s
	}
	r.source(r.file.Pos(n), s)
	return s
}

func (r *reader) word(_ *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	parts, ok := r.parts(n, f, "is")
	if !ok || !r.decoder.Word(parts["is"], f) {
		return
	}
	w := Word{Is: strings.TrimSpace(parts["is"].Value), Source: r.provenance(n, f, parts), Pos: r.file.Pos(n)}
	out.Set(reflect.ValueOf(w))
}

func (r *reader) flag(_ *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	parts, ok := r.parts(n, f, "is")
	if !ok {
		return
	}
	yes, ok := document.Yes(parts["is"].Value)
	if !ok {
		r.file.Report(r.file.Pos(parts["is"]), "form", "write yes or no", "%q is %q, not yes or no", f.Key, parts["is"].Value)
		return
	}
	out.Set(reflect.ValueOf(Flag{Is: yes, Given: true, Source: r.provenance(n, f, parts), Pos: r.file.Pos(n)}))
}

func (r *reader) text(d *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	if !d.Scalar(n, f) {
		return
	}
	text := Text(strings.TrimSpace(n.Value))
	if text == "" {
		r.file.Report(r.file.Pos(n), "empty", "write the text or leave the key out", "%q is empty", f.Key)
		return
	}
	r.texts = append(r.texts, placedText{text, r.file.Pos(n)})
	out.SetString(string(text))
}

func (r *reader) value(_ *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	parts, ok := r.parts(n, f, "is", "low", "high")
	if !ok {
		return
	}
	dimension := Dimension(f.Tag.Get("dim"))
	is, ok := r.amount(parts["is"], f, dimension)
	if !ok {
		return
	}
	v := is
	v.Source, v.Pos = r.provenance(n, f, parts), r.file.Pos(n)
	if ok := r.limits(n, parts, f, &v); ok {
		out.Set(reflect.ValueOf(v))
	}
}

// limits reads low and high into v, which holds the nominal value.
func (r *reader) limits(n *yaml.Node, parts map[string]*yaml.Node, f document.Field, v *Value) bool {
	low, high := parts["low"], parts["high"]
	if low == nil && high == nil {
		return true
	}
	if low == nil || high == nil {
		r.file.Report(r.file.Pos(n), "range", "give both low and high, or neither", "%q has one end of a range only", f.Key)
		return false
	}
	lowest, okLow := r.amount(low, f, v.Dimension)
	highest, okHigh := r.amount(high, f, v.Dimension)
	if !okLow || !okHigh {
		return false
	}
	// A range in other units than the nominal value may miss by a rounding:
	// 320 F against 160 C.
	const slip = 1e-9
	switch {
	case lowest.Is > highest.Is+slip:
		r.file.Report(r.file.Pos(low), "range", "swap low and high", "low %q of %q lies above high %q", low.Value, f.Key, high.Value)
		return false
	case v.Is < lowest.Is-slip:
		r.file.Report(r.file.Pos(parts["is"]), "range", fmt.Sprintf("widen the range or correct the value, so that low <= is <= high (low is %s)", low.Value),
			"%q of %q lies below its range", parts["is"].Value, f.Key)
		return false
	case v.Is > highest.Is+slip:
		r.file.Report(r.file.Pos(parts["is"]), "range", fmt.Sprintf("widen the range or correct the value, so that low <= is <= high (high is %s)", high.Value),
			"%q of %q lies above its range", parts["is"].Value, f.Key)
		return false
	}
	v.Low, v.High, v.Ranged = min(lowest.Is, v.Is), max(highest.Is, v.Is), true
	return true
}

// amount reads "310 F" as a value of the wanted dimension, any where "".
func (r *reader) amount(n *yaml.Node, f document.Field, want Dimension) (Value, bool) {
	report := func(rule, mend, format string, args ...any) (Value, bool) {
		r.file.Report(r.file.Pos(n), rule, mend, format, args...)
		return Value{}, false
	}
	a, err := splitAmount(n.Value)
	if err != nil {
		return report("number", `write a number, a blank and a unit, such as "310 F"`, "%q is %q, which does not begin with a number", f.Key, n.Value)
	}
	units := unitsOf(r.measures, want)
	if a.unit == "" {
		return report("unit", "add one of: "+strings.Join(units, ", "), "%q is %q, without a unit", f.Key, n.Value)
	}
	m, known := r.measures[a.unit]
	if !known {
		return report("unit", document.Suggest(a.unit, units), "unknown unit %q in %q", a.unit, f.Key)
	}
	if want != "" && m.dimension != want {
		return report("dimension", "write it in one of: "+strings.Join(units, ", "), "%q is %q, a %s, where a %s is wanted", f.Key, n.Value, m.dimension, want)
	}
	x := m.inner(a.number)
	if lowest := floor(m.dimension); x < lowest || math.IsInf(x, 0) || math.IsNaN(x) {
		return report("number", "check the sign and the unit", "%q is %q, below what a %s can be", f.Key, n.Value, m.dimension)
	}
	return Value{Dimension: m.dimension, Is: x, Low: x, High: x, Unit: a.unit}, true
}

// floor returns the least value a dimension can have.
func floor(d Dimension) float64 {
	switch d {
	case Temperature:
		return absoluteZero
	case Other, Difference:
		return math.Inf(-1)
	}
	return 0
}

const absoluteZero = -273.15 // C

// leaf notes the ids an entry names.
func (r *reader) leaf(n *yaml.Node, f document.Field, word string) {
	section := f.Tag.Get("ref")
	if section == "" || word == "" || word == f.Tag.Get("or") {
		return
	}
	if section == "/" {
		section = ""
	}
	r.references = append(r.references, reference{from: r.here, field: f.Key, section: section, id: word, pos: r.file.Pos(n)})
}

// share makes the entry's value fields and its values the same set: a field
// is a value of its own name, so that texts may show it, and a value of a
// field's name fills the field.
func (r *reader) share(e reflect.Value, n *yaml.Node) {
	given := document.Get(n, "values")
	put := func(name string, field reflect.Value, tag reflect.StructTag) {
		v := field.Interface().(Value)
		listed, both := r.here.Values[name]
		switch {
		case v.Known() && !both:
			if r.here.Values == nil {
				r.here.Values = map[string]Value{}
			}
			r.here.Values[name] = v
		case v.Known() && (v.Is != listed.Is || v.Low != listed.Low || v.High != listed.High):
			r.file.Report(listed.Pos, "contradiction", "give it once",
				"%q is given twice and differs, the other at line %d, column %d", name, v.Pos.Line, v.Pos.Column)
		case !v.Known() && both:
			if want := Dimension(tag.Get("dim")); listed.Dimension != want {
				r.file.Report(listed.Pos, "dimension", fmt.Sprintf("write a %s", want), "%q is a %s, where a %s is wanted", name, listed.Dimension, want)
				return
			}
			field.Set(reflect.ValueOf(listed))
		}
	}
	eachValue(e, put)
	if given == nil {
		return
	}
	r.decoder.Pairs(given, func(key, _ *yaml.Node) {
		if !valueName.MatchString(key.Value) {
			r.file.Report(r.file.Pos(key), "id", "write lower-case words joined by underscores", "value name %q is not formed like one", key.Value)
		}
	})
}

var valueName = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)

// eachValue calls do for every Value field of an entry: its own under the
// field's key, those of a dwell under the dwell's key and the field's, such
// as "press_temperature".
func eachValue(e reflect.Value, do func(name string, field reflect.Value, tag reflect.StructTag)) {
	valueType, dwellType, changeType := reflect.TypeFor[Value](), reflect.TypeFor[Dwell](), reflect.TypeFor[DwellChange]()
	for i := range e.NumField() {
		field := e.Type().Field(i)
		key := document.Key(field)
		switch field.Type {
		case valueType:
			do(key, e.Field(i), field.Tag)
		case dwellType, changeType:
			for _, part := range []int{0, 1} { // Temperature, Time
				inner := field.Type.Field(part)
				do(key+"_"+document.Key(inner), e.Field(i).Field(part), inner.Tag)
			}
		}
	}
}

// prose checks the texts of the entry just read: each placeholder has its
// value, and no figure stands bare.
func (r *reader) prose() {
	for _, t := range r.texts {
		for _, p := range pieces(t.text) {
			r.piece(t, p)
		}
	}
	if len(r.texts) > 0 && r.here.Source.Kind == "" {
		r.file.Report(r.here.Pos, "source", "add source: published (with a cite), practice, memory or shop",
			"%s has text and no source", r.here.ID)
	}
}

// sentences checks that the sentences of answers hold no figure of their own.
// Their placeholders are filled by whoever answers.
func (r *reader) sentences(l *Lexicon) {
	for _, key := range slices.Sorted(maps.Keys(l.Words)) {
		for _, p := range pieces(Text(l.Words[key])) {
			if figure := firstFigure(p.raw); p.name == "" && figure != "" {
				at := r.file.Find(l.Pos, func(rest string) bool { return strings.HasPrefix(rest, key+":") })
				r.file.Report(at, "figure", "write a placeholder, and let the answer fill it with a value that has a source",
					"bare figure %q in the sentence %q", figure, key)
			}
		}
	}
}

func (r *reader) piece(t placedText, p piece) {
	find := func(what string) Pos {
		return r.file.Find(t.pos, func(rest string) bool { return strings.HasPrefix(rest, what) })
	}
	switch {
	case p.open:
		r.file.Report(find("{"), "placeholder", "write {name}; a text has no braces for other ends", "a brace without its partner in a text")
	case p.name != "":
		if _, ok := r.here.Values[p.name]; !ok {
			names := make([]string, 0, len(r.here.Values))
			for name := range r.here.Values {
				names = append(names, name)
			}
			slices.Sort(names)
			mend := document.Suggest(p.name, names)
			if len(names) == 0 {
				mend = fmt.Sprintf("add values: {%s: {is: ..., source: ...}} to the entry", p.name)
			}
			r.file.Report(find(p.raw), "placeholder", mend, "placeholder %q has no value in %q", p.raw, r.here.ID)
		}
	default:
		if figure := firstFigure(p.raw); figure != "" {
			r.file.Report(r.bareFigure(t.pos), "figure", `move the number into "values" with unit and source, and write {its_name} here`,
				"bare figure %q in a text: no one could say where it comes from", figure)
		}
	}
}

// bareFigure returns the place of the first digit outside braces.
func (r *reader) bareFigure(from Pos) Pos {
	depth := 0
	return r.file.Find(from, func(rest string) bool {
		switch c, _ := utf8.DecodeRuneInString(rest); {
		case c == '{':
			depth++
		case c == '}':
			depth--
		default:
			return depth == 0 && isFigure(c)
		}
		return false
	})
}

func firstFigure(s string) string {
	from := strings.IndexFunc(s, isFigure)
	if from < 0 {
		return ""
	}
	word := s[from:]
	if end := strings.IndexFunc(word, unicode.IsSpace); end > 0 {
		word = word[:end]
	}
	return word
}

// isFigure reports digits and fractions; a raised two or three belongs to a
// unit, not to a number.
func isFigure(r rune) bool {
	return unicode.IsNumber(r) && r != '²' && r != '³'
}
