package knowledge

import (
	"crypto/sha256"
	_ "embed"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"reflect"
	"slices"
	"strings"

	"presshand/knowledge/document"
)

// Reading the built-in YAML costs some ten milliseconds at every start, which
// is most of what an answer may take. So a checked base is also kept packed:
// the same entries as bytes that are read in a small part of that. The pack
// carries a fingerprint of the YAML and of the entry types; where it does not
// match, the YAML is read, so a stale pack costs time and never a wrong
// answer. TestPack fails then, and "go generate" renews it.

//go:generate go test -run TestPack . -update

//go:embed base.pack
var packed string

var errStale = errors.New("pack does not match the files")

// Form of a pack: fingerprint, then unsigned varints and raw bytes:
//
//	strings   count, then the length of each, then all their bytes
//	struct    bits of the fields that are not zero (first field lowest), then those fields
//	string    its number in the list of strings
//	integer   zigzag varint
//	float     8 bytes, little-endian IEEE 754
//	bool      nothing: only true ones are written
//	*bool     1 or 0
//	slice     length, then the items
//	map       length, then keys and items, in order of keys

// pack returns base as bytes with the fingerprint in front.
func pack(base *Base, fingerprint string) []byte {
	p := &packer{numbers: map[string]uint64{}}
	p.value(reflect.ValueOf(base).Elem())
	var head []byte
	head = append(head, fingerprint...)
	head = binary.AppendUvarint(head, uint64(len(p.strings)))
	for _, s := range p.strings {
		head = binary.AppendUvarint(head, uint64(len(s)))
	}
	head = append(head, strings.Join(p.strings, "")...)
	return append(head, p.out...)
}

type packer struct {
	strings []string
	numbers map[string]uint64
	out     []byte
}

func (p *packer) uint(u uint64) { p.out = binary.AppendUvarint(p.out, u) }

func (p *packer) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		var bits uint64
		for i := range v.NumField() {
			if !v.Field(i).IsZero() {
				bits |= 1 << i
			}
		}
		p.uint(bits)
		for i := range v.NumField() {
			if bits&(1<<i) != 0 {
				p.value(v.Field(i))
			}
		}
	case reflect.String:
		p.string(v.String())
	case reflect.Int:
		p.out = binary.AppendVarint(p.out, v.Int())
	case reflect.Float64:
		p.out = binary.LittleEndian.AppendUint64(p.out, math.Float64bits(v.Float()))
	case reflect.Bool:
	case reflect.Pointer:
		if v.Type().Elem().Kind() != reflect.Bool {
			p.value(v.Elem())
			return
		}
		var bit uint64
		if v.Elem().Bool() {
			bit = 1
		}
		p.uint(bit)
	case reflect.Slice:
		p.uint(uint64(v.Len()))
		for i := range v.Len() {
			p.value(v.Index(i))
		}
	case reflect.Map:
		p.uint(uint64(v.Len()))
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, key := range keys {
			p.value(key)
			p.value(v.MapIndex(key))
		}
	default:
		panic("knowledge: no packed form of " + v.Type().String())
	}
}

func (p *packer) string(s string) {
	number, ok := p.numbers[s]
	if !ok {
		number = uint64(len(p.strings))
		p.numbers[s] = number
		p.strings = append(p.strings, s)
	}
	p.uint(number)
}

// unpack returns the base packed in data, or errStale where its fingerprint
// is not the wanted one. The base's strings share data's memory.
func unpack(data, fingerprint string) (base *Base, err error) {
	rest, ok := strings.CutPrefix(data, fingerprint)
	if !ok {
		return nil, errStale
	}
	defer func() { // a cut-off pack runs out of bytes
		if r := recover(); r != nil {
			base, err = nil, fmt.Errorf("pack is damaged: %v", r)
		}
	}()
	u := &unpacker{rest: rest}
	lengths := make([]int, u.uint())
	for i := range lengths {
		lengths[i] = int(u.uint())
	}
	u.strings = make([]string, len(lengths))
	for i, n := range lengths {
		u.strings[i], u.rest = u.rest[:n], u.rest[n:]
	}
	base = &Base{}
	u.value(reflect.ValueOf(base).Elem())
	return base, nil
}

type unpacker struct {
	strings []string
	rest    string
}

func (u *unpacker) uint() uint64 {
	var x uint64
	for shift := 0; ; shift += 7 {
		c := u.rest[0]
		u.rest = u.rest[1:]
		x |= uint64(c&0x7f) << shift
		if c < 0x80 {
			return x
		}
	}
}

func (u *unpacker) int() int64 {
	x := u.uint()
	return int64(x>>1) ^ -int64(x&1)
}

func (u *unpacker) float() float64 {
	var bits uint64
	for i := range 8 {
		bits |= uint64(u.rest[i]) << (8 * i)
	}
	u.rest = u.rest[8:]
	return math.Float64frombits(bits)
}

func (u *unpacker) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for bits, i := u.uint(), 0; bits != 0; bits, i = bits>>1, i+1 {
			if bits&1 != 0 {
				u.value(v.Field(i))
			}
		}
	case reflect.String:
		v.SetString(u.strings[u.uint()])
	case reflect.Int:
		v.SetInt(u.int())
	case reflect.Float64:
		v.SetFloat(u.float())
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		if v.Type().Elem().Kind() == reflect.Bool {
			v.Elem().SetBool(u.uint() == 1)
			return
		}
		u.value(v.Elem())
	case reflect.Slice:
		n := int(u.uint())
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			u.value(v.Index(i))
		}
	case reflect.Map:
		n := int(u.uint())
		v.Set(reflect.MakeMapWithSize(v.Type(), n))
		for range n {
			key, item := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
			u.value(key)
			u.value(item)
			v.SetMapIndex(key, item)
		}
	}
}

// fingerprint returns a line that changes with any byte of the files and with
// any change of the entry types.
func fingerprint(set fs.FS) (string, error) {
	names, problems := yamlFiles(set)
	if err := problems.Err(); err != nil {
		return "", err
	}
	h := sha256.New()
	shape(reflect.TypeFor[Base](), func(s string) { fmt.Fprintln(h, s) })
	for _, name := range names {
		data, err := fs.ReadFile(set, name)
		if err != nil {
			return "", fmt.Errorf("fingerprint: %w", err)
		}
		fmt.Fprintln(h, name, len(data))
		h.Write(data)
	}
	return fmt.Sprintf("packed knowledge %x\n", h.Sum(nil)), nil
}

// shape writes out the names and kinds of a type's fields, down to the last.
func shape(t reflect.Type, line func(string)) {
	switch t.Kind() {
	case reflect.Struct:
		for i := range t.NumField() {
			if document.Key(t.Field(i)) == "-" {
				continue // no file holds it, so no pack does
			}
			line(t.Name() + "." + t.Field(i).Name + " " + t.Field(i).Type.String())
			shape(t.Field(i).Type, line)
		}
	case reflect.Slice, reflect.Pointer, reflect.Map:
		shape(t.Elem(), line)
	}
}

// unpackBuiltin returns the packed base, where it is up to date.
func unpackBuiltin() (*Base, error) {
	mark, err := fingerprint(builtin)
	if err != nil {
		return nil, err
	}
	return unpack(packed, mark)
}

// adopt takes a base that was checked before it was packed for the first set.
func (c *checker) adopt(base *Base) {
	c.base = base
	base.eachEntry(func(section string, e entry) {
		if c.index[section] == nil {
			c.index[section] = map[string]int{}
		}
		c.index[section][e.head().ID] = len(c.index[section])
	})
}
