package answer

import (
	"context"
	"math"
	"slices"
	"strings"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/planner/unit"
)

// A draft is an answer being written.
type draft struct {
	*Desk
	ctx      context.Context // of this one message; the board needs it
	ask      listen.Ask
	turn     Turn
	r        reply.Reply
	hot      bool // the answer sends someone to a hot machine
	starting bool // a press setting was given, so the maker's sheet is named once
}

// most is how many cautions an answer carries at the most: more are not read
// at a hot press.
const mostCautions = 3

// say adds a line. id names the sentence, so that a language file can carry it
// in other words; template is the English one. Slots are pairs of name and
// text; {name} in the template is replaced. An empty result is dropped.
func (c *draft) say(id, template string, slots ...string) {
	if line := strings.TrimSpace(c.phrase(id, template, slots...)); line != "" {
		c.r.Lines = append(c.r.Lines, line)
	}
}

// phrase returns a sentence in the asker's language.
func (c *draft) phrase(id, template string, slots ...string) string {
	if t, ok := c.tongue(); ok && t.sentences[id] != "" {
		template = t.sentences[id]
	}
	return fill(template, slots)
}

// value states a knowledge value: it becomes a fact, and the returned text
// goes into the sentence.
func (c *draft) value(name string, v knowledge.Value, method string) string {
	c.fact(factOf(name, v, method))
	return c.show(v)
}

// word states a knowledge word as a fact.
func (c *draft) word(name string, w knowledge.Word, method string) string {
	c.fact(reply.Fact{Name: name, Value: w.Is, Method: method, Source: sourceOf(w.Source)})
	return w.Is
}

// flag states a yes or no as a fact.
func (c *draft) flag(name string, f knowledge.Flag, method string) bool {
	c.fact(reply.Fact{Name: name, Value: f.Is, Method: method, Source: sourceOf(f.Source)})
	return f.Is
}

// computed states a number the program worked out.
func (c *draft) computed(name string, value any, unit string) {
	c.fact(reply.Fact{Name: name, Value: value, Unit: unit, Source: reply.Source{Kind: "computed"}})
}

// fact adds f unless the same fact stands already.
func (c *draft) fact(f reply.Fact) {
	same := func(g reply.Fact) bool {
		return g.Name == f.Name && g.Method == f.Method && g.Value == f.Value && g.Unit == f.Unit
	}
	if !slices.ContainsFunc(c.r.Facts, same) {
		c.r.Facts = append(c.r.Facts, f)
	}
}

func factOf(name string, v knowledge.Value, method string) reply.Fact {
	f := reply.Fact{Name: name, Value: round(v.Is), Unit: factUnit(v), Method: method, Source: sourceOf(v.Source)}
	if v.Ranged {
		low, high := round(v.Low), round(v.High)
		f.Low, f.High = &low, &high
	}
	return f
}

// factUnit is the fixed unit of facts of a dimension.
func factUnit(v knowledge.Value) string {
	switch v.Dimension {
	case knowledge.Temperature:
		return "C"
	case knowledge.Time:
		return "s"
	case knowledge.Length:
		return "mm"
	case knowledge.Share:
		return "%"
	case knowledge.ArealMass:
		return "g/m2"
	case knowledge.Washes:
		return "washes"
	case knowledge.Difference:
		return "C apart"
	case knowledge.Count:
		return "count"
	case knowledge.Resolution:
		return "1/in"
	default:
		return v.Unit
	}
}

func sourceOf(s knowledge.Source) reply.Source {
	return reply.Source{Kind: string(s.Kind), Cite: s.Cite}
}

// show writes a value in the shop's units and the asker's language.
func (c *draft) show(v knowledge.Value) string {
	style := c.style()
	switch v.Dimension {
	case knowledge.Temperature:
		if v.Ranged && v.Is == v.Low {
			return style.TemperatureRange(unit.Celsius(v.Low), unit.Celsius(v.High))
		}
		return style.Temperature(v.Temperature())
	case knowledge.Difference:
		if style.Fahrenheit {
			return plain(math.Round(v.Is*9/5)) + " °F"
		}
		return plain(v.Is) + " °C"
	case knowledge.Time:
		return style.Duration(v.Duration())
	case knowledge.Length:
		return style.Length(v.Length())
	case knowledge.Share:
		return plain(v.Is) + " %"
	case knowledge.ArealMass:
		return style.ArealMass(unit.GramsPerSquareMetre(v.Is))
	case knowledge.Washes:
		if v.Ranged {
			return c.phrase("washes-range", "{low} to {high} washes", "low", plain(v.Low), "high", plain(v.High))
		}
		return c.phrase("washes", "{n} washes", "n", plain(v.Is))
	case knowledge.Count:
		if v.Unit == "" || v.Unit == "x" {
			return plain(v.Is)
		}
		return plain(v.Is) + " " + c.noun(v.Unit)
	default:
		return strings.TrimSpace(plain(v.Is) + " " + c.noun(v.Unit))
	}
}

// a puts the article before an English noun; in other languages the sentence
// itself does.
func (c *draft) a(noun string) string {
	if c.ask.Lang != "" && c.ask.Lang != "en" {
		return noun
	}
	return article(noun)
}

// describe names a thing in the asker's language.
func (c *draft) describe(t thing, n int) string {
	if len(t.fibre) > 0 && (t.blank == nil || len(t.blank.Fibre) == 0) {
		c.fibreFacts(t)
	}
	if c.ask.Lang == "" || c.ask.Lang == "en" {
		return c.Desk.describe(t, n)
	}
	item := t.item
	if item == "" {
		item = "blank"
	}
	words := []string{c.noun(plural(n, item))}
	if t.group != "" && t.group != "adult" && t.blank != nil && t.blank.Kind == "garment" {
		words = append(words, c.noun(t.group))
	}
	if t.colour != "" && !t.plain {
		words = append(words, c.phrase("in-colour", "in {colour}", "colour", c.noun(t.colour)))
	}
	if f := c.fibreWords(t.fibre); f != "" && (t.blank == nil || len(t.blank.Fibre) == 0) {
		words = append(words, c.phrase("of-fibre", "of {fibre}", "fibre", f))
	}
	return strings.Join(words, " ")
}

// fibreFacts states the shares a description shows: those of a fabric's name
// are the base's, others were said.
func (c *draft) fibreFacts(t thing) {
	source := reply.Source{Kind: "computed"}
	if t.fabric != nil && len(t.fabric.Fibre) > 0 {
		source = sourceOf(t.fabric.Source)
	}
	for _, id := range keysByShare(t.fibre) {
		c.fact(reply.Fact{Name: "fibre_" + id, Value: t.fibre[id], Unit: "%", Source: source})
	}
}

// text renders an entry's prose: each {value} becomes a fact and is written
// in the shop's units.
func (c *draft) text(h *knowledge.Head, t knowledge.Text, method string) string {
	if t == "" {
		return ""
	}
	if tongue, ok := c.tongue(); ok && tongue.texts[string(t)] != "" {
		t = knowledge.Text(tongue.texts[string(t)])
	}
	out, used := h.Render(t, c.show)
	for _, name := range used {
		c.fact(factOf(name, h.Values[name], method))
	}
	return out
}

// caution adds cautions by id, each once; finish keeps the most serious.
func (c *draft) caution(ids ...string) {
	for _, id := range ids {
		k, ok := c.base.Caution(id)
		if !ok {
			continue
		}
		if slices.ContainsFunc(c.r.Cautions, func(x reply.Caution) bool { return x.ID == id }) {
			continue
		}
		c.r.Cautions = append(c.r.Cautions, reply.Caution{ID: id, Text: c.text(&k.Head, k.Text, "")})
	}
}

// cautionAt adds those of the cautions that belong to one of the given kinds
// of step: someone at the cooling rack needs no word on marrying.
func (c *draft) cautionAt(kinds []string, ids ...string) {
	for _, id := range ids {
		k, ok := c.base.Caution(id)
		if ok && slices.ContainsFunc(k.For, func(f string) bool { return slices.Contains(kinds, f) }) {
			c.caution(id)
		}
	}
}

func (c *draft) assume(s string) {
	if s != "" && !slices.Contains(c.r.Assumptions, s) {
		c.r.Assumptions = append(c.r.Assumptions, s)
	}
}

// suggest offers what can be asked next, each a wording of its own in the
// asker's language that is understood when it is sent.
func (c *draft) suggest(s ...string) {
	for _, x := range s {
		if x = c.label(x); x != "" && !slices.Contains(c.r.Suggestions, x) {
			c.r.Suggestions = append(c.r.Suggestions, x)
		}
	}
}

// asked turns the answer into a question for one missing thing.
func (c *draft) asked(missing, question string, choices ...string) {
	c.r.Outcome = reply.Asked
	c.r.Lines = append(c.r.Lines, question)
	c.r.Missing = missing
	for _, x := range choices {
		x = c.label(x)
		c.r.Buttons = append(c.r.Buttons, reply.Button{Label: x, Say: x})
	}
}

// mostSuggestions keeps the line of follow-ups to one line on a phone.
const mostSuggestions = 4

func (c *draft) finish() reply.Reply {
	if c.ask.Lang != "" && c.ask.Lang != "en" {
		c.r.Words = reply.Words{
			Took:    c.phrase("word-took", reply.English().Took),
			Careful: c.phrase("word-careful", reply.English().Careful),
			Next:    c.phrase("word-next", reply.English().Next),
		}
	}
	if c.starting {
		c.r.Lines = append(c.r.Lines, c.phrase("starting-point", "Starting point; your sheet's maker wins."))
	}
	slices.SortStableFunc(c.r.Cautions, func(a, b reply.Caution) int {
		return c.cautionRank(a.ID) - c.cautionRank(b.ID)
	})
	if len(c.r.Cautions) > mostCautions {
		c.r.Cautions = c.r.Cautions[:mostCautions]
	}
	if len(c.r.Suggestions) > mostSuggestions {
		c.r.Suggestions = c.r.Suggestions[:mostSuggestions]
	}
	c.r.Named = c.r.Named || c.typed()
	return c.r
}

func (d *Desk) cautionRank(id string) int {
	if k, ok := d.base.Caution(id); ok {
		return k.Rank
	}
	return 1 << 20
}
