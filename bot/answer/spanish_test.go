package answer

import (
	"reflect"
	"regexp"
	"slices"
	"testing"

	"presshand/knowledge"
)

const spanish = "es"

// Every text of the base that an answer can show has its Spanish, with the
// same placeholders and no figure typed that the entry holds.
func TestSpanishTexts(t *testing.T) {
	d := testDesk(t, nil)
	for _, en := range baseTexts(d.base) {
		es, ok := d.texts[spanish][en]
		if !ok {
			t.Errorf("no Spanish for %q: add it to knowledge/base/spanish-texts.yaml", en)
			continue
		}
		if a, b := slotsOf(en), slotsOf(es); !slices.Equal(a, b) {
			t.Errorf("%q has the slots %v, its Spanish %v", en, a, b)
		}
		if a, b := figuresOf(en), figuresOf(es); !slices.Equal(a, b) {
			t.Errorf("%q has the figures %v, its Spanish %v", en, a, b)
		}
	}
}

// baseTexts are the texts of all entries, each once.
func baseTexts(base *knowledge.Base) []string {
	var out []string
	seen := map[string]bool{}
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				walk(v.Elem())
			}
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.String:
			if s := v.String(); v.Type() == reflect.TypeFor[knowledge.Text]() && s != "" && !seen[s] {
				seen[s] = true
				out = append(out, s)
			}
		}
	}
	walk(reflect.ValueOf(base))
	return out
}

var (
	aSlot   = regexp.MustCompile(`\{[^{}]*\}`)
	aFigure = regexp.MustCompile(`\d+(?:\.\d+)?`)
)

func slotsOf(text string) []string {
	out := aSlot.FindAllString(text, -1)
	slices.Sort(out)
	return out
}

func figuresOf(text string) []string {
	out := aFigure.FindAllString(aSlot.ReplaceAllString(text, ""), -1)
	slices.Sort(out)
	return out
}
