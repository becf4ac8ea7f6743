package listen

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"presshand/bot/listen/span"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
)

// An OrderEnv is what reading an order needs besides the text.
type OrderEnv struct {
	Base    *knowledge.Base
	Profile *shop.Profile
	Now     time.Time
}

// An OrderReading is what a message says of an order. Only what was said, or
// is named in Assumed, is in Order.
type OrderReading struct {
	Order   planner.Order
	IsOrder bool      // someone posts or prices an order; false for a question that happens to hold a number
	Trouble []Trouble // what must be asked back before anything is computed, the gravest first
	Assumed []string  // what was taken, in plain words
	Missing []string  // what an order needs and nobody said: "item", "quantity", "colour", "fibre", "print", "width"
}

// ReadOrder builds the order that a message holds. A message may hold several
// lines; sizes, colours and prints belong to the line they stand with, a print
// said after all lines to every line that can take it. Where a message holds
// no order, the Order has what little was said, and IsOrder is false.
func ReadOrder(reading span.Reading, env OrderEnv) OrderReading {
	b := &orderBuilder{env: env, reading: reading}
	b.segment()
	b.shareItems()
	b.shareColours()
	b.shareCounts()
	b.shareBlends()
	b.placePrints()
	b.whole()
	out := OrderReading{Order: b.order, Trouble: b.trouble, Assumed: b.assumed}
	for i, l := range b.lines {
		out.Order.Lines = append(out.Order.Lines, l.Line)
		for _, t := range l.trouble {
			t.Line = i
			out.Trouble = append(out.Trouble, t)
		}
	}
	if out.Order.Lines == nil {
		out.Order.Lines = []planner.Line{}
	}
	out.IsOrder = b.isOrder()
	out.Trouble = append(Troubles(out.Order, env), out.Trouble...)
	slices.SortStableFunc(out.Trouble, func(a, b Trouble) int { return a.Kind.rank() - b.Kind.rank() })
	out.Missing = b.missing()
	return out
}

// An orderBuilder gathers the lines of a message.
type orderBuilder struct {
	env     OrderEnv
	reading span.Reading
	lines   []*orderLine
	order   planner.Order
	trouble []Trouble
	assumed []string
}

func (b *orderBuilder) assume(text string) {
	if text != "" && !slices.Contains(b.assumed, text) {
		b.assumed = append(b.assumed, text)
	}
}

// token returns the folded text of token i, "" outside the message.
func (b *orderBuilder) token(i int) string {
	if i < 0 || i >= len(b.reading.Tokens) {
		return ""
	}
	return b.reading.Tokens[i].Text
}

// joins returns what token i stands for as a joining word.
func (b *orderBuilder) joins(i int) string {
	if i < 0 || i >= len(b.reading.Tokens) {
		return ""
	}
	return b.reading.Tokens[i].Joins
}

// breaks reports whether a sign between tokens from and to ends a clause.
func (b *orderBuilder) breaks(from, to int) bool {
	for i := from; i < to; i++ {
		switch b.token(i) {
		case ",", ";", ".", "\n", ":", "(", ")", "!", "?", "/":
			return true
		}
	}
	return false
}

// whole reads what belongs to the order and not to one line.
func (b *orderBuilder) whole() {
	for _, s := range b.reading.Spans {
		if s.Negated {
			continue
		}
		switch s.Kind {
		case span.Customer:
			b.order.For = s.Text
		case span.Ref:
			b.order.Ref = s.Text
		case span.Approval:
			b.order.ArtOK = true
		case span.Rush:
			b.order.Rush = true
		case span.Arrival:
			b.order.BlanksBy = s.At.Format(time.RFC3339)
			b.assume(s.Note)
			b.whose(s.ID)
		}
	}
	if due, ok := b.dueSpan(); ok {
		b.due(due)
	}
}

// whose says of all lines that do not say it themselves whose the blanks are.
func (b *orderBuilder) whose(blanks string) {
	for _, l := range b.lines {
		if l.Blanks == "" {
			l.Blanks = blanks
		}
	}
}

// dueSpan returns the date that is the due one: the last that was said to be
// ("by", "due"), else the last of all.
func (b *orderBuilder) dueSpan() (due span.Span, ok bool) {
	for _, s := range b.reading.Find(span.When) {
		if !ok || s.Unit == "by" || due.Unit != "by" {
			due, ok = s, true
		}
	}
	return due, ok
}

// due takes a due date.
func (b *orderBuilder) due(s span.Span) {
	b.order.Due = s.At.Format(time.RFC3339)
	b.assume(s.Note)
	if len(s.Alt) == 0 {
		return
	}
	choices := []string{s.At.Format(dayChoice)}
	for _, a := range s.Alt {
		choices = append(choices, a.At.Format(dayChoice))
	}
	slices.Reverse(choices)
	b.trouble = append(b.trouble, Trouble{
		Kind: TwoReadings, Line: -1, Choices: choices,
		Ask: fmt.Sprintf("%q: do you mean %s?", s.Text, strings.Join(choices, " or ")),
	})
}

// dayChoice writes a day to choose from.
const dayChoice = "Mon 2 Jan"

// intents counts what speaks for an order and for a question.
func (b *orderBuilder) intents() (order, want, question bool) {
	for _, s := range b.reading.Spans {
		if s.Kind != span.Intent || s.Negated {
			continue
		}
		switch s.ID {
		case "order":
			order = true
		case "want":
			want = true
		case "question":
			question = true
		}
	}
	return order, want, question
}

// isOrder decides whether an order was posted or priced. A counted item is
// one, unless the message asks something else; an item without a count is one
// where a price is asked for and nothing else is spoken of, or where it is
// wanted and more is said of it. A stated press setting speaks of work at the
// press.
func (b *orderBuilder) isOrder() bool {
	order, want, question := b.intents()
	counted, item, detail := false, false, b.order.Due != "" || b.order.For != "" || b.order.Rush
	for _, l := range b.lines {
		item = item || l.Item != ""
		counted = counted || (l.counted || l.vague) && (l.Item != "" || len(l.Prints) > 0 && (order || want))
		detail = detail || len(l.Prints) > 0 || l.Colour != ""
	}
	if len(b.reading.Find(span.Temperature)) > 0 && !order {
		return false
	}
	switch {
	case order:
		return counted || item && (detail || b.spare())
	case question:
		return false
	case want:
		return counted || item && detail
	}
	return counted
}

// spare reports whether every word of the message belongs to the order or
// carries nothing: "how much for a mug", and not "how much gas is in my tank".
func (b *orderBuilder) spare() bool {
	for _, s := range b.reading.Spans {
		if t := b.reading.Tokens[s.From]; s.Kind == span.Word && !t.Small && t.Joins == "" {
			return false
		}
	}
	return true
}

// missing lists what an order needs and nobody said.
func (b *orderBuilder) missing() []string {
	var out []string
	add := func(name string, lacks bool) {
		if lacks && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	if len(b.lines) == 0 {
		return []string{"item", "quantity"}
	}
	for _, l := range b.lines {
		blank := l.blank
		add("item", l.Item == "")
		add("quantity", !l.counted)
		add("colour", l.Colour == "")
		add("fibre", len(l.Fibre) == 0 && (blank == nil || len(blank.Fibre) == 0 && !blank.Coated && blank.Kind != "hard"))
		add("print", len(l.Prints) == 0)
		for _, p := range l.Prints {
			add("width", p.Width == 0 && p.Height == 0)
		}
	}
	return out
}

func cloneLine(l planner.Line) planner.Line {
	l.Fibre, l.Sizes = maps.Clone(l.Fibre), maps.Clone(l.Sizes)
	l.Prints = slices.Clone(l.Prints)
	for i := range l.Prints {
		l.Prints[i].Texts = slices.Clone(l.Prints[i].Texts)
	}
	return l
}
