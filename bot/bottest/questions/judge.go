package questions

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"presshand/bot/reply"
	"presshand/planner"
)

// A Kind says how an answer went.
type Kind string

// The kinds. Where several things are wrong, the one that does most harm
// counts: a wrong number before all others.
const (
	Right           Kind = "right"
	WrongNumber     Kind = "wrong number"
	WrongAnswer     Kind = "wrong answer"
	WronglyDeclined Kind = "wrongly declined"
	WronglyAnswered Kind = "wrongly answered"
)

// A Verdict is a judged answer: its kind, and what came instead.
type Verdict struct {
	Kind   Kind
	Detail string
}

// Judge compares a result with what the case expects.
func Judge(c Case, r Result) Verdict {
	a := r.Reply
	if number := wrongNumber(c, a); number != "" {
		return Verdict{WrongNumber, number}
	}
	outcome := string(a.Outcome)
	if !slices.Contains(c.Outcome, outcome) {
		kind := WrongAnswer
		switch {
		case a.Outcome == reply.Declined:
			kind = WronglyDeclined
		case len(c.Outcome) == 1 && c.Outcome[0] == string(reply.Declined):
			kind = WronglyAnswered
		}
		return Verdict{kind, fmt.Sprintf("%s (%s): %s", outcome, a.Topic, firstLine(a))}
	}
	checks := []func(Case, Result) string{topic}
	if a.Outcome == reply.Declined {
		// A refusal of an unsafe wish says what it refuses; to decline what
		// lies outside the trade is enough.
		checks = nil
		if len(c.Outcome) > 1 {
			checks = append(checks, says)
		}
	}
	if a.Outcome == reply.Answered {
		checks = append(checks, missingFacts, methodsOut, order, quote, entry, says, language)
	}
	for _, check := range checks {
		if fault := check(c, r); fault != "" {
			return Verdict{WrongAnswer, fault + " | " + firstLine(a)}
		}
	}
	return Verdict{Right, ""}
}

// wrongNumber finds a stated fact of an asked name with another value, and a
// fact that must not be stated.
func wrongNumber(c Case, a reply.Reply) string {
	for _, name := range slices.Sorted(maps.Keys(c.Facts)) {
		f, ok := fact(a, name, c.FactsOf)
		if ok && !same(c, f, c.Facts[name]) {
			return fmt.Sprintf("%s %v, not %v", name, stated(f), c.Facts[name])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.Within)) {
		f, ok := fact(a, name, c.FactsOf)
		if !ok {
			continue
		}
		v, isNumber := number(f.Value)
		bounds := c.Within[name]
		if !isNumber || v < bounds[0]-near(bounds[0]) || v > bounds[1]+near(bounds[1]) {
			return fmt.Sprintf("%s %v, not within %v", name, f.Value, bounds)
		}
	}
	for _, name := range c.Never {
		if f, ok := fact(a, name, ""); ok {
			return fmt.Sprintf("%s %v, which must not be given", name, f.Value)
		}
	}
	return ""
}

// fact returns the first fact of a name, of a method where one is given.
func fact(a reply.Reply, name, method string) (reply.Fact, bool) {
	for _, f := range a.Facts {
		if f.Name == name && (method == "" || f.Method == "" || f.Method == method) {
			return f, true
		}
	}
	return reply.Fact{}, false
}

func stated(f reply.Fact) any {
	if f.Low != nil && f.High != nil {
		return fmt.Sprintf("%v (%v to %v)", f.Value, *f.Low, *f.High)
	}
	return f.Value
}

// same compares a fact with an expected number, word, boolean, or [low, high].
func same(c Case, f reply.Fact, want any) bool {
	if f.Name == "converted" && c.Unit != "" && f.Unit != c.Unit {
		return false
	}
	switch w := want.(type) {
	case []any:
		if len(w) != 2 || f.Low == nil || f.High == nil {
			return false
		}
		low, lowOK := number(w[0])
		high, highOK := number(w[1])
		return lowOK && highOK && equal(*f.Low, low) && equal(*f.High, high)
	case bool:
		return f.Value == w
	case string:
		return f.Value == w
	}
	v, ok := number(f.Value)
	w, wantOK := number(want)
	return ok && wantOK && equal(v, w)
}

func number(v any) (float64, bool) {
	switch v := v.(type) {
	case float64:
		return v, true
	case int:
		return float64(v), true
	case int64:
		return float64(v), true
	}
	return 0, false
}

// equal allows for expected values typed with three or four figures.
func equal(a, b float64) bool { return math.Abs(a-b) <= near(b) }

func near(v float64) float64 { return max(0.006, math.Abs(v)*0.0006) }

func topic(c Case, r Result) string {
	if len(c.Topic) == 0 || slices.Contains(c.Topic, r.Reply.Topic) {
		return ""
	}
	return fmt.Sprintf("topic %s, not %s", r.Reply.Topic, strings.Join(c.Topic, "/"))
}

func missingFacts(c Case, r Result) string {
	for _, name := range slices.Concat(slices.Sorted(maps.Keys(c.Facts)), slices.Sorted(maps.Keys(c.Within))) {
		if _, ok := fact(r.Reply, name, c.FactsOf); !ok {
			return "no fact " + name
		}
	}
	return ""
}

func methodsOut(c Case, r Result) string {
	for _, method := range slices.Sorted(maps.Keys(c.MethodsOut)) {
		i := slices.IndexFunc(r.Reply.Methods, func(v reply.Verdict) bool { return v.Method == method })
		if i < 0 {
			return "no verdict on " + method
		}
		v := r.Reply.Methods[i]
		if v.Verdict != "ruled out" {
			return fmt.Sprintf("%s %s, not ruled out", method, v.Verdict)
		}
		for _, rule := range c.MethodsOut[method] {
			if !slices.Contains(v.Rules, rule) {
				return fmt.Sprintf("%s ruled out by %v, not by %s", method, v.Rules, rule)
			}
		}
	}
	return ""
}

func order(c Case, r Result) string {
	want := c.Order
	if want == nil {
		return ""
	}
	got := r.Reply.Order
	if got == nil || len(got.Lines) == 0 {
		return "no order"
	}
	line := got.Lines[0]
	var first planner.Print
	if len(line.Prints) > 0 {
		first = line.Prints[0]
	}
	quantity := 0
	for _, l := range got.Lines {
		quantity += l.Quantity
	}
	rows := []struct {
		name      string
		compared  bool
		same      bool
		got, want any
	}{
		{"quantity", want.Quantity != 0, quantity == want.Quantity, quantity, want.Quantity},
		{"item", want.Item != "", line.Item == want.Item, line.Item, want.Item},
		{"colour", want.Colour != "", line.Colour == want.Colour, line.Colour, want.Colour},
		{"fibre", want.Fibre != nil, maps.Equal(line.Fibre, want.Fibre), line.Fibre, want.Fibre},
		{"sizes", want.Sizes != nil, maps.Equal(line.Sizes, want.Sizes), line.Sizes, want.Sizes},
		{"spot", want.Spot != "", first.Spot == want.Spot, first.Spot, want.Spot},
		{"width", want.Width != 0, equal(first.Width, want.Width), first.Width, want.Width},
		{"height", want.Height != 0, equal(first.Height, want.Height), first.Height, want.Height},
		{"blanks", want.Blanks != "", line.Blanks == want.Blanks, line.Blanks, want.Blanks},
		{"due", want.Due != "", strings.HasPrefix(got.Due, want.Due), got.Due, want.Due},
		{"rush", want.Rush, got.Rush, got.Rush, want.Rush},
	}
	for _, row := range rows {
		if row.compared && !row.same {
			return fmt.Sprintf("order %s %v, not %v", row.name, row.got, row.want)
		}
	}
	return ""
}

func quote(c Case, r Result) string {
	if len(c.Quote) == 0 {
		return ""
	}
	if r.Reply.Quote == nil {
		return "no quote"
	}
	data, err := r.Reply.Quote.MarshalJSON()
	if err != nil {
		return err.Error()
	}
	var got map[string]any
	if err := json.Unmarshal(data, &got); err != nil {
		return err.Error()
	}
	for _, name := range slices.Sorted(maps.Keys(c.Quote)) {
		if v, ok := got[name].(float64); !ok || v != c.Quote[name] {
			return fmt.Sprintf("quote %s %v, not %v", name, got[name], c.Quote[name])
		}
	}
	return ""
}

// entry compares the entry that was taken: by the conversation's memory, or by
// the words of the answer's own lines.
func entry(c Case, r Result) string {
	if len(c.Entry) == 0 || slices.Contains(c.Entry, r.Entry) {
		return ""
	}
	lines := strings.ToLower(strings.Join(r.Reply.Lines, "\n"))
	if slices.ContainsFunc(c.Entry, func(e string) bool { return r.marks.quoted(e, lines) }) {
		return ""
	}
	return fmt.Sprintf("entry %q, not %s", r.Entry, strings.Join(c.Entry, " or "))
}

// text returns the answer's text and cautions in lower case.
func (r Result) text() string {
	parts := []string{r.Reply.Text()}
	for _, caution := range r.Reply.Cautions {
		parts = append(parts, caution.Text)
	}
	return strings.ToLower(strings.Join(parts, "\n"))
}

// says looks for each wanted word in the text and its cautions.
func says(c Case, r Result) string {
	text := r.text()
	for _, want := range c.Says {
		if !slices.ContainsFunc(strings.Split(want, "|"), func(w string) bool { return holds(text, strings.ToLower(w)) }) {
			return fmt.Sprintf("does not say %q", want)
		}
	}
	return ""
}

// holds reports whether text holds word; a word that begins or ends with a
// figure is not found inside a longer number.
func holds(text, word string) bool {
	pattern := regexp.QuoteMeta(word)
	if isDigit(word[0]) {
		pattern = `(?:^|[^0-9.])` + pattern
	}
	if isDigit(word[len(word)-1]) {
		pattern += `(?:\.0+)?(?:$|[^0-9.]|\.(?:$|[^0-9]))`
	}
	return regexp.MustCompile(pattern).MatchString(text)
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// english are words no Spanish sentence holds.
var english = regexp.MustCompile(`(?i)\b(the|and|with|until|is|are|of|about|your)\b`)

func language(c Case, r Result) string {
	if c.Lang != "es" {
		return ""
	}
	if word := english.FindString(r.Reply.Text()); word != "" {
		return fmt.Sprintf("not in Spanish (%q)", word)
	}
	return ""
}

func firstLine(a reply.Reply) string {
	if len(a.Lines) == 0 {
		return "(no line)"
	}
	const most = 110
	line := []rune(a.Lines[0])
	if len(line) > most {
		return string(line[:most]) + "..."
	}
	return string(line)
}

// Found reports whether the answer was given from an entry the case expects;
// a declined answer was given from none.
func Found(c Case, r Result) bool {
	return len(c.Entry) > 0 && r.Reply.Outcome != reply.Declined && entry(c, r) == ""
}
