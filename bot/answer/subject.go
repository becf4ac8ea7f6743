package answer

import (
	"fmt"
	"slices"
	"strings"

	"presshand/bot/listen"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner/colour"
	"presshand/planner/method"
	"presshand/planner/unit"
)

// A thing is what is to be printed, with all that is known of it.
type thing struct {
	blank     *knowledge.Blank // nil where the item is not known
	item      string
	group     string
	fibre     map[string]int // nil where not said and not fixed by the blank
	fabric    *knowledge.Fabric
	colour    string // as said
	plain     bool   // the colour was taken, not said
	rgb       colour.Colour
	shown     bool // rgb is known
	lightness string
	coated    *bool
	migrates  *bool
	pattern   *bool
	assumed   []taken
}

// A taken is what the desk takes of a thing where nobody said it.
type taken int

const (
	takenCoated taken = iota
	takenWhite
)

// take says what was taken of a thing.
func (c *draft) take(t thing, what taken) string {
	if what == takenCoated {
		return c.phrase("assume-coated", "{item} with the polyester coating sold for sublimation", "item", c.a(c.noun(t.item)))
	}
	return c.phrase("assume-white", "white, as hard blanks for sublimation are")
}

// thing gathers what the asker said and what the knowledge base adds.
func (d *Desk) thing(s listen.Subject) thing {
	t := thing{item: s.Item, group: s.Group, colour: s.Colour}
	if b, ok := d.base.Blank(s.Blank); ok {
		if young, ok := d.base.Blank(b.Young); ok && t.group != "" && t.group != "adult" {
			b = young
		}
		t.blank = b
		t.item = b.Item
		if t.group == "" {
			t.group = b.Group
		}
	}
	if f, ok := d.base.Fabric(s.Fabric); ok {
		t.fabric = f
	} else if t.blank != nil && t.blank.Fabric != "" {
		if f, ok := d.base.Fabric(t.blank.Fabric); ok {
			t.fabric = f
		}
	}
	switch {
	case len(s.Fibre) > 0:
		t.fibre = s.Fibre
	case t.fabric != nil && len(t.fabric.Fibre) > 0 && s.Fabric != "":
		t.fibre = t.fabric.Fibre
	case t.blank != nil && len(t.blank.Fibre) > 0:
		t.fibre = t.blank.Fibre
	}
	if t.blank != nil && t.blank.Kind == "hard" {
		coated := t.blank.Coated && s.Coated != "no" || s.Coated == "yes"
		t.coated = &coated
		if coated && s.Coated == "" {
			t.assumed = append(t.assumed, takenCoated)
		}
		if t.colour == "" {
			t.colour, t.plain = "white", true
			t.assumed = append(t.assumed, takenWhite)
		}
	}
	if t.blank != nil && t.blank.Kind == "hard" && len(t.blank.Fibre) == 0 {
		if t.fibre = d.material(t.fibre); len(t.fibre) > 0 && s.Coated != "yes" { // hide has no coating
			coated := false
			t.coated = &coated
			t.assumed = slices.DeleteFunc(t.assumed, func(a taken) bool { return a == takenCoated })
		}
	}
	d.colourOf(&t)
	return t
}

// material leaves of what was said of a hard good what may be one: hide, rubber,
// PVC. A textile fibre that came from earlier talk says nothing of a mug.
func (d *Desk) material(fibre map[string]int) map[string]int {
	for id := range fibre {
		if f, ok := d.base.Fibre(id); !ok || f.Refuse == "" && len(f.Codes) > 0 {
			return nil
		}
	}
	return fibre
}

// colourOf fills in how light the thing's colour is: trade names first, then
// the CSS list, then the last word alone ("dusty rose" is a rose).
func (d *Desk) colourOf(t *thing) {
	if t.colour == "" {
		return
	}
	rgb, known, ok := d.lookColour(t.colour)
	if !ok {
		return
	}
	t.rgb, t.shown = rgb, true
	lab := rgb.Lab()
	t.lightness = method.Lightness(lab.L, lab.A, lab.B, d.classes)
	migrates, pattern := false, false
	if known != nil {
		migrates, pattern = known.Migrates, known.Pattern
	}
	t.migrates, t.pattern = &migrates, &pattern
}

func (d *Desk) lookColour(name string) (colour.Colour, *knowledge.Colour, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, try := range []string{name, strings.ReplaceAll(name, " ", "-"), lastWord(name)} {
		if k, ok := d.colours[try]; ok {
			if rgb, ok := colour.Parse(k.Hex); ok {
				return rgb, k, true
			}
		}
		if rgb, ok := colour.Parse(strings.ReplaceAll(try, "-", "")); ok {
			return rgb, nil, true
		}
	}
	return colour.Colour{}, nil, false
}

func lastWord(s string) string {
	f := strings.Fields(s)
	if len(f) == 0 {
		return ""
	}
	return f[len(f)-1]
}

// refused returns why the thing is never pressed, "" where it may be.
func (c *draft) refused(t thing) (why string, cautions []string) {
	if t.blank != nil && t.blank.Refuse != "" {
		return c.text(&t.blank.Head, t.blank.Refuse, ""), t.blank.Cautions
	}
	for _, id := range keysByShare(t.fibre) {
		if f, ok := c.base.Fibre(id); ok && f.Refuse != "" {
			return c.never(c.noun(f.Name), c.text(&f.Head, f.Refuse, "")), c.cautionsFor(id)
		}
	}
	if t.fabric != nil && t.fabric.Refuse != "" {
		return c.never(c.noun(t.fabric.Name), c.text(&t.fabric.Head, t.fabric.Refuse, "")), c.cautionsFor(t.fabric.ID)
	}
	return "", nil
}

// never begins a refusal with the refusal.
func (c *draft) never(name, why string) string {
	return c.phrase("never", "Don't press {name}: {why}", "name", name, "why", lowerFirst(why))
}

// cautionsFor returns the cautions meant for a kind of step or material.
func (d *Desk) cautionsFor(kind string) []string {
	var out []string
	for _, k := range d.base.Cautions {
		if slices.Contains(k.For, kind) {
			out = append(out, k.ID)
		}
	}
	return out
}

// unsafe returns what must be asked before any answer about the thing.
func (c *draft) unsafe(t thing) string {
	if len(t.fibre) > 0 {
		return ""
	}
	if t.fabric != nil && t.fabric.Ask != "" {
		return c.text(&t.fabric.Head, t.fabric.Ask, "")
	}
	if t.blank != nil && t.blank.Ask != "" && c.ask.Subject.Coated == "" {
		return c.text(&t.blank.Head, t.blank.Ask, "")
	}
	return ""
}

// describe names the thing: "navy 50/50 cotton/polyester hoodie".
func (d *Desk) describe(t thing, n int) string {
	var words []string
	if t.colour != "" && !t.plain {
		words = append(words, t.colour)
	}
	if f := d.fibreWords(t.fibre); f != "" && (t.blank == nil || len(t.blank.Fibre) == 0) {
		words = append(words, f)
	}
	item := t.item
	if item == "" {
		item = "blank"
	}
	if t.group != "" && t.group != "adult" && t.blank != nil && t.blank.Kind == "garment" {
		words = append(words, t.group)
	}
	return strings.Join(append(words, plural(n, item)), " ")
}

// fibreWords writes a fibre content: "100 % cotton" as "cotton", blends as
// "50/50 cotton/polyester". The law of labels aside, this is talk in the shop.
func (d *Desk) fibreWords(m map[string]int) string {
	keys := keysByShare(m)
	switch len(keys) {
	case 0:
		return ""
	case 1:
		if m[keys[0]] < whole {
			return fmt.Sprintf("%d %% %s", m[keys[0]], d.fibreName(keys[0]))
		}
		return d.fibreName(keys[0])
	}
	shares, names := make([]string, len(keys)), make([]string, len(keys))
	for i, k := range keys {
		shares[i], names[i] = fmt.Sprint(m[k]), d.fibreName(k)
	}
	return strings.Join(shares, "/") + " " + strings.Join(names, "/")
}

func (d *Desk) fibreName(id string) string {
	if f, ok := d.base.Fibre(id); ok {
		return f.Name
	}
	return id
}

func (d *Desk) methodName(id string) string {
	if m, ok := d.base.Method(id); ok {
		return m.Name
	}
	return id
}

// choose runs the method planner for a thing.
func (d *Desk) choose(t thing, s listen.Subject) (method.Problem, method.Plan, error) {
	p := method.Problem{
		Methods: d.methods, Rules: d.rules, Quantity: s.Quantity,
		Art: s.Art, Wish: s.Wish,
		Blank: method.Blank{
			Group: t.group, Fibre: t.fibre, Lightness: t.lightness,
			Coated: t.coated, Migrates: t.migrates, Pattern: t.pattern,
		},
		Fibres:  []map[string]int{{"cotton": whole}, {"polyester": whole}, {"cotton": whole / 2, "polyester": whole / 2}},
		Classes: classNames(d.classes),
	}
	if t.blank != nil {
		p.Blank.ID, p.Blank.Kind = t.blank.ID, t.blank.Kind
	} else if t.item != "" {
		p.Blank.Kind = "garment"
	}
	if t.fabric != nil {
		p.Blank.Structure = t.fabric.Structure
	}
	if len(s.NotMethods) > 0 {
		p.Methods = slices.Clone(d.methods)
		for i, m := range p.Methods {
			p.Methods[i].Owned = m.Owned && !slices.Contains(s.NotMethods, m.ID) // what was refused is as good as not there
		}
	}
	plan, err := method.Solve(p)
	return p, plan, err
}

// whole is all of a blank's fibre, in per cent.
const whole = 100

func classNames(classes []method.Class) []string {
	names := make([]string, len(classes))
	for i, c := range classes {
		names[i] = c.Name
	}
	return names
}

func classesOf(base *knowledge.Base) []method.Class {
	entries := slices.Clone(base.Lightness)
	slices.SortStableFunc(entries, func(a, b *knowledge.LightnessClass) int { return a.Rank - b.Rank })
	out := make([]method.Class, len(entries))
	for i, e := range entries {
		out[i] = method.Class{Name: e.Name, MinL: e.MinL.Is, MaxL: e.MaxL.Is, MaxC: e.MaxC.Is}
	}
	return out
}

func methodsOf(base *knowledge.Base, profile *shop.Profile) []method.Method {
	out := make([]method.Method, len(base.Methods))
	for i, m := range base.Methods {
		out[i] = method.Method{ID: m.ID, Default: m.Default, Owned: slices.Contains(profile.Methods, m.ID)}
	}
	return out
}

func rulesOf(base *knowledge.Base) []method.Rule {
	out := make([]method.Rule, len(base.Rules))
	for i, r := range base.Rules {
		w := r.When
		out[i] = method.Rule{
			ID: r.ID, Method: r.Method, Verdict: method.Verdict(r.Verdict), Prefer: r.Prefer,
			When: method.Condition{
				PolyesterBelow: shareOf(w.PolyesterBelow), PolyesterFrom: shareOf(w.PolyesterFrom),
				Lightness: w.Lightness, FibreAny: w.FibreAny, FibreNone: w.FibreNone,
				Kind: w.Kind, Blank: w.Blank, Group: w.Group, Structure: w.Structure,
				Coated: w.Coated, Migrates: w.Migrates, Pattern: w.Pattern,
				Art: w.Art, Wish: w.Wish, WishNone: w.WishNone,
				QuantityBelow: countOf(w.QuantityBelow), QuantityFrom: countOf(w.QuantityFrom),
			},
		}
	}
	return out
}

func shareOf(v knowledge.Value) *unit.Share {
	if !v.Known() {
		return nil
	}
	s := unit.Percent(v.Is)
	return &s
}

func countOf(v knowledge.Value) *int {
	if !v.Known() {
		return nil
	}
	n := int(v.Is)
	return &n
}
