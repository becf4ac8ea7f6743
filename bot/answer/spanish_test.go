package answer

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"presshand/knowledge"
)

const spanish = "es"

// Every text of the base that an answer can show has its Spanish, with the
// same placeholders and no figure typed that the entry holds.
func TestSpanishTexts(t *testing.T) {
	d := testDesk(t, nil)
	for _, en := range baseTexts(d.base) {
		es, ok := d.tongues[spanish].texts[en]
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

// Every sentence the code can say has its Spanish, which uses no slot that the
// English one does not fill.
func TestSpanishSentences(t *testing.T) {
	es := testDesk(t, nil).tongues[spanish].sentences
	said := map[string]bool{}
	calls(t, []string{"say", "phrase"}, func(where string, args []ast.Expr) {
		id, ok := literal(args[0])
		if !ok {
			return // one of builtIDs
		}
		said[id] = true
		words, ok := es[id]
		if !ok {
			t.Errorf("%s: the sentence %q has no Spanish: add it to frases in knowledge/base/spanish.yaml", where, id)
			return
		}
		template, ok := literal(args[1])
		if !ok {
			return
		}
		for _, slot := range slotsOf(words) {
			if !strings.Contains(template, slot) {
				t.Errorf("%s: the Spanish of %q has the slot %s, its English %q has not", where, id, slot, template)
			}
		}
	})
	for _, id := range builtIDs() {
		said[id] = true
		if es[id] == "" {
			t.Errorf("the sentence %q has no Spanish: add it to frases in knowledge/base/spanish.yaml", id)
		}
	}
	for id := range es {
		if !said[id] {
			t.Errorf("no code says the sentence %q: drop its Spanish", id)
		}
	}
}

// builtIDs are the ids of sentences that the code puts together.
func builtIDs() []string {
	var out []string
	for _, part := range []string{"marry", "prepress", "press", "finish"} {
		out = append(out, "no-"+part, "word-"+part, "word-"+part+"-small")
	}
	for _, pressure := range []string{"light", "medium", "firm"} {
		out = append(out, "pressure-"+pressure)
	}
	for _, peel := range []string{"hot", "warm", "cold"} {
		out = append(out, "peel-"+peel)
	}
	return append(out, "over-temperature", "under-temperature", "over-time", "under-time",
		"peel-hot-line", "peel-warm-line", "inside_sheet-yes", "inside_sheet-no", "cover_sheet-yes", "cover_sheet-no", "toner-white", "toner-dye")
}

// Every suggestion, button and head of a table has its Spanish.
func TestSpanishLabels(t *testing.T) {
	es := testDesk(t, nil).tongues[spanish].labels
	used := map[string]bool{}
	need := func(where, words string) {
		used[words] = true
		if es[words] == "" {
			t.Errorf("%s: %q has no Spanish: add it to botones in knowledge/base/spanish-names.yaml", where, words)
		}
	}
	calls(t, []string{"suggest", "labels"}, func(where string, args []ast.Expr) {
		for _, a := range args {
			if words, ok := literal(a); ok {
				need(where, words)
			}
		}
	})
	calls(t, []string{"label"}, func(where string, args []ast.Expr) {
		if words, ok := literal(args[0]); ok {
			need(where, words)
		}
	})
	calls(t, []string{"asked"}, func(where string, args []ast.Expr) {
		for _, a := range args[min(2, len(args)):] {
			if words, ok := literal(a); ok {
				need(where, words)
			}
		}
	})
	for _, words := range stateWishes {
		need("stateWishes", words)
	}
	for _, words := range slices.Concat(extraLabels, costLabels) {
		need("quote.go", words)
	}
	for words := range es {
		if !used[words] {
			t.Errorf("no code shows %q: drop its Spanish", words)
		}
	}
}

// Every name of the base that an answer can show has its Spanish, a blank's
// also for many of it.
func TestSpanishNames(t *testing.T) {
	d := testDesk(t, nil)
	es := d.tongues[spanish].nouns
	need := func(what string, names ...string) {
		for _, n := range names {
			if n != "" && es[n] == "" {
				t.Errorf("%s %q has no Spanish: add it to nombres in knowledge/base/spanish-names.yaml", what, n)
			}
		}
	}
	b := d.base
	for _, x := range b.Blanks {
		need("blank", x.Item, plural(2, x.Item), x.Group)
		need("spot", x.Spots...)
	}
	for _, x := range b.Methods {
		need("method", x.Name, x.ID, x.TonerSet)
	}
	for _, x := range b.Fibres {
		need("fibre", x.Name)
	}
	for _, x := range b.Fabrics {
		need("fabric", x.Name)
	}
	for _, x := range b.Colours {
		need("colour", x.Name)
	}
	for _, x := range b.Lightness {
		need("shade", x.Name)
	}
	for _, x := range b.Placements {
		need("placement", x.Name, x.Spot)
	}
	for _, x := range b.Procedures {
		need("procedure", x.Name)
	}
	for _, x := range b.Terms {
		need("term", x.Name)
	}
	for _, x := range b.Faults {
		need("fault", x.Name)
	}
	for _, x := range b.Guides {
		need("guide", x.Name)
	}
	for _, x := range b.Cautions {
		need("caution", x.Name)
	}
	for _, x := range b.Corrections {
		need("correction", x.Name)
	}
	for _, s := range []State{Open, Priced, Promised, Running, Ready, Gone, Dropped} {
		need("state", string(s))
	}
	for _, word := range []string{"order", "sheet", "piece", "blank", "press", "day"} {
		need("word", word, plural(2, word))
	}
	for day := range 7 {
		for month := range 12 {
			at := tenOClock(d).AddDate(0, month, day)
			need("day", at.Format("Mon"), at.Format("Monday"))
			need("month", at.Format("Jan"), at.Format("January"))
		}
	}
	for _, v := range values(b) {
		if v.Dimension == knowledge.Count && v.Unit != "x" {
			need("unit", v.Unit)
		}
	}
}

// values are all values of the base.
func values(b *knowledge.Base) []knowledge.Value {
	var out []knowledge.Value
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		if v.Type() == reflect.TypeFor[knowledge.Value]() {
			out = append(out, v.Interface().(knowledge.Value))
			return
		}
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
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(v.MapIndex(k))
			}
		}
	}
	walk(reflect.ValueOf(b))
	return out
}

// What the reader, the price, press and artwork planners write in English is
// put into Spanish whole: each of their formats with something in its slots.
func TestSpanishTold(t *testing.T) {
	c := &draft{Desk: testDesk(t, nil)}
	c.ask.Lang = spanish
	n := 0
	for _, file := range []string{"../listen/trouble.go", "../listen/line.go", "../listen/order.go", "../listen/amend.go", "../listen/sums.go", "../listen/print.go",
		"../listen/span/fibre.go", "../listen/span/when.go", "../listen/span/measure.go",
		"../../planner/press/saving.go", "../../planner/price/turn.go", "../../planner/artwork/finding.go", "../store/fault.go"} {
		for _, format := range formats(t, file) {
			words := aVerb.ReplaceAllString(strings.ReplaceAll(format, "%%", "%"), "X")
			if !aWord.MatchString(words) || slices.Contains(notTold, words) {
				continue
			}
			if strings.HasSuffix(words, " ") {
				words += "X" // something is put behind
			}
			n++
			if told := c.told(words); told == words || len(english50.FindAllString(told, -1)) > 0 {
				t.Errorf("%s: %q becomes %q in Spanish: add a pattern to dichos in knowledge/base/spanish-names.yaml", file, format, told)
			}
		}
	}
	if n < 60 {
		t.Errorf("%d formats were found: the files no longer say things the way this test looks for", n)
	}
}

// notTold are words that the same files read and do not say.
var notTold = []string{"both sides", "both sleeves", "fl oz"}

var aWord = regexp.MustCompile(`[a-z]{3,}`)

var aVerb = regexp.MustCompile(`%[.0-9]*[a-z]`)

// formats are the sentences a file writes: its string literals of two words
// and more, but for errors and patterns.
func formats(t *testing.T, file string) []string {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	ast.Inspect(parsed, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.CallExpr:
			if s, ok := n.Fun.(*ast.SelectorExpr); ok && slices.Contains([]string{"Errorf", "New", "MustCompile", "Format", "words", "has"}, s.Sel.Name) {
				return false
			}
		case *ast.BasicLit:
			if words, ok := literal(n); ok && twoWords.MatchString(words) {
				out = append(out, words)
			}
		}
		return true
	})
	return out
}

var twoWords = regexp.MustCompile(`^[^\s]*[a-zA-Z%]{2,}[^\s]* +[^\s]*[a-zA-Z%]`)

// english50 are common English words that are no Spanish ones.
var english50 = regexp.MustCompile(`(?i)\b(the|and|with|until|is|are|of|about|your|this|that|it|its|be|not|for|from|or|but|if|then|than|when|what|which|who|how|why|will|would|can|should|have|has|was|were|do|does|you|we|they|there|here|at|by|on|into|up|out|all|each|more|less|some|any|only)\b`)

// calls visits the calls of methods by name in this package's code.
func calls(t *testing.T, names []string, visit func(where string, args []ast.Expr)) {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(set, file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if s, ok := call.Fun.(*ast.SelectorExpr); ok && slices.Contains(names, s.Sel.Name) && len(call.Args) > 0 {
				visit(set.Position(call.Pos()).String(), call.Args)
			}
			return true
		})
	}
}

// literal is the text of a string literal.
func literal(e ast.Expr) (string, bool) {
	b, ok := e.(*ast.BasicLit)
	if !ok || b.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(b.Value)
	return s, err == nil
}

// A wish for the board or the plan is read in English words, whatever language
// it was typed in.
func TestSpanishIsReadForTheBoard(t *testing.T) {
	d := testDesk(t, nil)
	for text, want := range map[string]string{
		"¿y con dos personas?":     "two people",
		"Promete el pedido #12":    "promise",
		"marca listo el pedido 12": "ready order 12",
		"cancela el pedido 7":      "drop order 7",
		"pedido 12 entregado":      "order 12 picked up",
	} {
		c := &draft{Desk: d}
		c.ask.Lang, c.ask.Text = spanish, text
		if got := c.said(); !strings.Contains(got, want) {
			t.Errorf("%q is read as %q, without %q", text, got, want)
		}
	}
	c := &draft{Desk: d}
	c.ask.Lang, c.ask.Text = spanish, "espera de 10 min para las playeras del coro."
	if got, want := c.saidAfter("for"), "las playeras del coro"; got != want {
		t.Errorf("the wait is for %q, not %q", got, want)
	}
}
