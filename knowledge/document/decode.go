package document

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v3"
)

// A Field says for which struct field a node is read. The struct tags the
// decoder itself obeys:
//
//	need:"yes"        the key must be there
//	one:"hot|cold"    the only words allowed
//	key:"name"        the key, where it is not the field name in lower_snake
//	inline:"yes"      a struct whose keys stand in the outer mapping
type Field struct {
	Key string // as written in YAML
	In  string // what holds it: "recipe"
	Tag reflect.StructTag
}

// A Reader reads one type that needs more than its field names tell. It
// reports what is wrong and leaves out unset then.
type Reader func(d *Decoder, n *yaml.Node, f Field, out reflect.Value)

// A Decoder turns the nodes of one file into Go values. Keys are field names
// in lower_snake; embedded structs without a key of their own are read as if
// their fields stood in the outer one; a field of type Pos gets the place of the mapping it stands in.
type Decoder struct {
	File    *File
	Readers map[reflect.Type]Reader
	Leaf    func(n *yaml.Node, f Field, word string) // sees every plain word and map key; may be nil
	Places  map[string]Pos                           // where not nil, gets the place of each path: "money.margin", "presses[0].width"
	Empty   bool                                     // empty lists and mappings, null and "" stand for nothing, as in files that programs write

	path   []string
	shapes map[reflect.Type]*shape
}

// Decode reads n into out, a pointer.
func (d *Decoder) Decode(n *yaml.Node, f Field, out any) {
	d.value(n, f, reflect.ValueOf(out).Elem())
}

var posType = reflect.TypeFor[Pos]()

func (d *Decoder) value(n *yaml.Node, f Field, out reflect.Value) {
	if d.Places != nil {
		d.Places[strings.Join(d.path, "")] = d.File.Pos(n)
	}
	if read := d.Readers[out.Type()]; read != nil {
		read(d, n, f, out)
		return
	}
	switch out.Kind() {
	case reflect.Struct:
		d.structure(n, f, out)
	case reflect.Slice:
		d.list(n, f, out)
	case reflect.Map:
		d.mapping(n, f, out)
	case reflect.Pointer:
		fresh := reflect.New(out.Type().Elem())
		d.value(n, f, fresh.Elem())
		out.Set(fresh)
	default:
		d.scalar(n, f, out)
	}
}

func (d *Decoder) structure(n *yaml.Node, f Field, out reflect.Value) {
	if !d.expect(n, yaml.MappingNode, f, "a mapping") {
		return
	}
	shape := d.shape(out.Type())
	d.Pairs(n, func(key, value *yaml.Node) {
		index, known := shape.fields[key.Value]
		if !known && n.Style&yaml.FlowStyle != 0 && value.Tag == "!!null" {
			// {note: press it, then wait}: the comma ends the note.
			d.File.Report(d.File.Pos(key), "form", "put quotes round the whole text", "a comma breaks the text off before %q", shorten(key.Value))
			return
		}
		if !known {
			d.File.Report(d.File.Pos(key), "key", Suggest(key.Value, shape.keys),
				"unknown key %q in %s", key.Value, shape.name)
			return
		}
		field := out.Type().FieldByIndex(index)
		inner := Field{Key: key.Value, In: shape.name, Tag: field.Tag}
		if d.Filled(value, inner) {
			d.In("."+key.Value, func() { d.value(value, inner, out.FieldByIndex(index)) })
		}
	})
	if shape.pos != nil {
		out.FieldByIndex(shape.pos).Set(reflect.ValueOf(d.File.Pos(n)))
	}
	for _, key := range shape.needed {
		if Get(n, key) == nil {
			d.File.Report(d.File.Pos(n), "missing", fmt.Sprintf("add %q", key+": ..."),
				"%s has no %q", shape.name, key)
		}
	}
}

// Pairs calls do for each key and value of a mapping and reports doubled
// keys, whose second value is skipped.
func (d *Decoder) Pairs(n *yaml.Node, do func(key, value *yaml.Node)) {
	first := make(map[string]*yaml.Node, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		if key.Kind != yaml.ScalarNode {
			d.File.Report(d.File.Pos(key), "form", "write a plain word before the colon", "a key is %s, not a word", describe(key))
			continue
		}
		if earlier := first[key.Value]; earlier != nil {
			at := d.File.Pos(earlier)
			d.File.Report(d.File.Pos(key), "duplicate", "keep one of the two",
				"key %q is given twice, first at line %d, column %d", key.Value, at.Line, at.Column)
			continue
		}
		first[key.Value] = key
		do(key, value)
	}
}

// Get returns the value of a key of a mapping, nil where there is none.
func Get(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// In runs do with step added to the path that Places records.
func (d *Decoder) In(step string, do func()) {
	if d.Places == nil {
		do()
		return
	}
	if len(d.path) == 0 {
		step = strings.TrimPrefix(step, ".")
	}
	d.path = append(d.path, step)
	do()
	d.path = d.path[:len(d.path)-1]
}

// Filled reports a key without a value.
func (d *Decoder) Filled(n *yaml.Node, f Field) bool {
	empty := n.Tag == "!!null" || (n.Kind == yaml.SequenceNode || n.Kind == yaml.MappingNode) && len(n.Content) == 0
	if empty && !d.Empty {
		d.File.Report(d.File.Pos(n), "empty", "give it a value or leave the key out", "%q is empty", f.Key)
	}
	return !empty
}

func (d *Decoder) list(n *yaml.Node, f Field, out reflect.Value) {
	if !d.expect(n, yaml.SequenceNode, f, "a list") {
		return
	}
	items := reflect.MakeSlice(out.Type(), len(n.Content), len(n.Content))
	for i, item := range n.Content {
		if d.Filled(item, f) {
			d.In("["+strconv.Itoa(i)+"]", func() { d.value(item, f, items.Index(i)) })
		}
	}
	out.Set(items)
}

func (d *Decoder) mapping(n *yaml.Node, f Field, out reflect.Value) {
	if !d.expect(n, yaml.MappingNode, f, "a mapping") {
		return
	}
	items := reflect.MakeMapWithSize(out.Type(), len(n.Content)/2)
	d.Pairs(n, func(key, value *yaml.Node) {
		item := reflect.New(out.Type().Elem()).Elem()
		inner := Field{Key: key.Value, In: f.Key, Tag: f.Tag}
		d.leaf(key, f, key.Value)
		before := len(d.File.Problems)
		d.In("."+key.Value, func() { d.value(value, inner, item) })
		if len(d.File.Problems) > before {
			return
		}
		items.SetMapIndex(reflect.ValueOf(key.Value).Convert(out.Type().Key()), item)
	})
	out.Set(items)
}

// Plain reads one word or number the way fields without a Reader are read.
func (d *Decoder) Plain(n *yaml.Node, f Field, out reflect.Value) { d.scalar(n, f, out) }

func (d *Decoder) scalar(n *yaml.Node, f Field, out reflect.Value) {
	if !d.expect(n, yaml.ScalarNode, f, "one word or number") {
		return
	}
	wrong := func(want string) {
		d.File.Report(d.File.Pos(n), "form", "write "+want, "%q is %q, not %s", f.Key, shorten(n.Value), want)
	}
	switch out.Kind() {
	case reflect.String:
		out.SetString(strings.TrimSpace(n.Value))
		if d.Word(n, f) {
			d.leaf(n, f, out.String())
		}
	case reflect.Bool:
		yes, ok := Yes(n.Value)
		if !ok {
			wrong("yes or no")
		}
		out.SetBool(yes)
	case reflect.Int:
		i, err := strconv.Atoi(n.Value)
		if err != nil {
			wrong("a whole number")
		}
		out.SetInt(int64(i))
	case reflect.Float64:
		x, err := strconv.ParseFloat(n.Value, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			wrong("a number")
			return
		}
		out.SetFloat(x)
	default:
		panic("document: no reader for " + out.Type().String())
	}
}

func (d *Decoder) leaf(n *yaml.Node, f Field, word string) {
	if d.Leaf != nil {
		d.Leaf(n, f, word)
	}
}

// Word reports a word that is not among those the field's tag allows.
func (d *Decoder) Word(n *yaml.Node, f Field) bool {
	one := f.Tag.Get("one")
	if one == "" {
		return true
	}
	allowed := strings.Split(one, "|")
	if n.Value == "" && f.Tag.Get("need") == "" {
		return true
	}
	for _, a := range allowed {
		if a == n.Value {
			return true
		}
	}
	d.File.Report(d.File.Pos(n), "word", Suggest(n.Value, allowed), "%q is %q, which is no word for it", f.Key, shorten(n.Value))
	return false
}

// Yes reads a yes or no.
func Yes(s string) (yes, ok bool) {
	switch s {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	return false, false
}

// expect reports a node of the wrong kind.
func (d *Decoder) expect(n *yaml.Node, kind yaml.Kind, f Field, want string) bool {
	if n.Kind == kind {
		return true
	}
	mend := "write " + want
	if kind == yaml.ScalarNode && n.Style&yaml.FlowStyle != 0 {
		mend = `put quotes round a text that begins with "{" or "["`
	}
	d.File.Report(d.File.Pos(n), "form", mend, "%q holds %s, not %s", f.Key, describe(n), want)
	return false
}

// Scalar reports a node that is no single word or number.
func (d *Decoder) Scalar(n *yaml.Node, f Field) bool {
	return d.expect(n, yaml.ScalarNode, f, "one word or number")
}

// A shape is what a struct type looks like in YAML.
type shape struct {
	name   string           // "lightness class"
	keys   []string         // in the order of the fields
	fields map[string][]int // key to field index
	needed []string
	pos    []int // index of the field that gets the place
}

func (d *Decoder) shape(t reflect.Type) *shape {
	if s := d.shapes[t]; s != nil {
		return s
	}
	s := &shape{name: words(t.Name()), fields: map[string][]int{}}
	s.add(t, nil)
	if d.shapes == nil {
		d.shapes = map[reflect.Type]*shape{}
	}
	d.shapes[t] = s
	return s
}

func (s *shape) add(t reflect.Type, at []int) {
	for i := range t.NumField() {
		field := t.Field(i)
		index := append(append([]int{}, at...), i)
		key := Key(field)
		switch {
		case !field.IsExported() || key == "-":
		case field.Type == posType:
			s.pos = index
		case (field.Anonymous && field.Tag.Get("key") == "" || field.Tag.Get("inline") != "") && field.Type.Kind() == reflect.Struct:
			s.add(field.Type, index)
		default:
			s.keys = append(s.keys, key)
			s.fields[key] = index
			if field.Tag.Get("need") != "" {
				s.needed = append(s.needed, key)
			}
		}
	}
}

// Key returns the YAML key of a struct field; "-" where it has none.
func Key(field reflect.StructField) string {
	if key := field.Tag.Get("key"); key != "" {
		return key
	}
	return strings.ReplaceAll(words(field.Name), " ", "_")
}

// words splits a Go name into lower-case words: "LightnessClass" gives
// "lightness class", "MinL" "min l", "ID" "id".
func words(name string) string {
	var b strings.Builder
	runes := []rune(name)
	for i, r := range runes {
		begins := unicode.IsUpper(r) && i > 0 &&
			(unicode.IsLower(runes[i-1]) || i+1 < len(runes) && unicode.IsLower(runes[i+1]))
		if begins {
			b.WriteByte(' ')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
