package knowledge

import (
	"reflect"

	"presshand/knowledge/document"
)

// Sections are the fields of Base: a section's name is the field's in lower
// case, its entries are of the field's element type.

func sectionTypes() map[string]reflect.Type {
	types := map[string]reflect.Type{}
	base := reflect.TypeFor[Base]()
	for i := range base.NumField() {
		field := base.Field(i)
		types[document.Key(field)] = field.Type.Elem().Elem()
	}
	return types
}

func sectionNames() []string {
	base := reflect.TypeFor[Base]()
	names := make([]string, base.NumField())
	for i := range names {
		names[i] = document.Key(base.Field(i))
	}
	return names
}

// eachEntry calls do for every entry of the base, section by section.
func (b *Base) eachEntry(do func(section string, e entry)) {
	base := reflect.ValueOf(b).Elem()
	for i := range base.NumField() {
		name := document.Key(base.Type().Field(i))
		for j := range base.Field(i).Len() {
			do(name, base.Field(i).Index(j).Interface().(entry))
		}
	}
}

// put adds an entry to its section, or replaces the one at index where that
// is not negative, and returns the replaced one.
func (b *Base) put(section string, e entry, index int) (old entry) {
	base := reflect.ValueOf(b).Elem()
	for i := range base.NumField() {
		entries := base.Field(i)
		switch {
		case document.Key(base.Type().Field(i)) != section:
		case index < 0:
			entries.Set(reflect.Append(entries, reflect.ValueOf(e)))
		default:
			old = entries.Index(index).Interface().(entry)
			entries.Index(index).Set(reflect.ValueOf(e))
		}
	}
	return old
}
