package knowledge

import (
	"cmp"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"presshand/knowledge/document"
)

// A checker puts the readings of all sets together and checks what no file
// shows by itself.
type checker struct {
	base       *Base
	files      map[string]*document.File
	index      map[string]map[string]int // section, id: place in the base
	references []reference
	dropped    map[*Head]bool // entries that a later set replaced, or doubles
	problems   Problems
}

func newChecker() *checker {
	return &checker{
		base:    &Base{},
		files:   map[string]*document.File{},
		index:   map[string]map[string]int{},
		dropped: map[*Head]bool{},
	}
}

// merge lays the readings of one set over what is there.
func (c *checker) merge(readings []reading) {
	first := map[string]Pos{} // section/id within this set
	for _, r := range readings {
		c.files[r.file.Name] = r.file
		c.references = append(c.references, r.references...)
		for _, section := range slices.Sorted(maps.Keys(r.entries)) {
			for _, e := range r.entries[section] {
				c.place(section, e, first)
			}
		}
	}
}

func (c *checker) place(section string, e entry, first map[string]Pos) {
	h := e.head()
	if h.ID == "" {
		return // reported where it was read
	}
	if earlier, doubled := first[section+"/"+h.ID]; doubled {
		c.report(h.Pos, "duplicate", "rename one, or make one entry of the two",
			"id %q in %s is taken, first at %s", h.ID, section, earlier)
		c.dropped[h] = true
		return
	}
	first[section+"/"+h.ID] = h.Pos
	ids := c.index[section]
	if ids == nil {
		ids = map[string]int{}
		c.index[section] = ids
	}
	at, replaces := ids[h.ID]
	if !replaces {
		at, ids[h.ID] = -1, len(ids)
	}
	if old := c.base.put(section, e, at); old != nil {
		c.dropped[old.head()] = true
	}
}

// full reports whether so much is wrong that looking further helps nobody.
func (c *checker) full() bool { return len(c.problems) >= document.MostProblems }

func (c *checker) report(at Pos, rule, mend, format string, args ...any) {
	if c.full() {
		return
	}
	p := Problem{Pos: at, Message: fmt.Sprintf(format, args...), Rule: rule, Mend: mend}
	p.Line = c.line(at)
	c.problems = append(c.problems, p)
}

// line returns a source line; a built-in file that came packed is read for it.
func (c *checker) line(at Pos) string {
	if c.files[at.File] == nil {
		data, err := builtin.ReadFile(at.File)
		if err != nil {
			return ""
		}
		c.files[at.File] = &document.File{Name: at.File, Data: data}
	}
	return c.files[at.File].Line(at.Line)
}

func (c *checker) check() {
	c.dangling()
	c.shopRules()
	c.base.eachEntry(func(section string, e entry) {
		c.named(section, e.head())
		c.shares(e)
	})
	for _, colour := range c.base.Colours {
		c.hex(colour)
	}
	c.hot()
	c.ceilings()
	c.contradictions()
	c.cycles()
}

// dangling reports references to ids that no entry has.
func (c *checker) dangling() {
	for _, r := range c.references {
		if c.dropped[r.from] || c.full() {
			continue
		}
		section, id := r.section, r.id
		if section == "" {
			var cut bool
			section, id, cut = strings.Cut(r.id, "/")
			if !cut || sectionTypes()[section] == nil {
				c.report(r.pos, "dangling", "write section/id; sections: "+strings.Join(sectionNames(), ", "),
					"%q of %q names no section", r.id, r.field)
				continue
			}
		}
		if _, ok := c.index[section][id]; !ok {
			known := slices.Sorted(maps.Keys(c.index[section]))
			mend := cmp.Or(document.Suggest(id, known), fmt.Sprintf("add the entry to %q", section))
			c.report(r.pos, "dangling", mend, "%q of %q is no entry of %q", id, r.field, section)
		}
	}
}

// named reports entries without a name where answers write the name.
func (c *checker) named(section string, h *Head) {
	switch section {
	case "methods", "fibres", "fabrics", "blanks", "colours", "procedures", "faults", "terms":
		if h.Name == "" {
			c.report(h.Pos, "name", `add "name: ..."`, "%q has no name, and answers write it", h.ID)
		}
	}
}

// shares reports fibre shares that don't make a whole.
func (c *checker) shares(e entry) {
	var fibre map[string]int
	switch e := e.(type) {
	case *Fabric:
		fibre = e.Fibre
	case *Blank:
		fibre = e.Fibre
	}
	if len(fibre) == 0 {
		return
	}
	sum := 0
	for _, id := range slices.Sorted(maps.Keys(fibre)) {
		sum += fibre[id]
		if fibre[id] < 1 || fibre[id] > wholeShare {
			c.report(e.head().Pos, "shares", "write a share between 1 and 100", "%q has %d %% %s", e.head().ID, fibre[id], id)
		}
	}
	if sum != wholeShare {
		c.report(e.head().Pos, "shares", "make them add up to 100", "fibre shares of %q add up to %d, not to 100", e.head().ID, sum)
	}
}

const wholeShare = 100 // per cent

var hexForm = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

func (c *checker) hex(colour *Colour) {
	if !hexForm.MatchString(colour.Hex) {
		c.report(colour.Pos, "hex", `write six hexadecimal digits in quotes, such as "#1f3a5f"`, "colour %q has hex %q", colour.ID, colour.Hex)
	}
}

// hot reports what sends someone to a hot machine without a caution.
func (c *checker) hot() {
	const mend = `add "cautions: [...]" with the ids of the cautions that matter here`
	for _, r := range c.base.Recipes {
		if len(r.Cautions) == 0 {
			c.report(r.Pos, "caution", mend, "recipe %q sends someone to a hot press and has no caution", r.ID)
		}
	}
	for _, f := range c.base.Faults {
		if f.Hot && len(f.Cautions) == 0 {
			c.report(f.Pos, "caution", mend, "fault %q is hot and has no caution", f.ID)
		}
	}
	for _, p := range c.base.Procedures {
		for i, step := range p.Steps {
			if step.Hot && len(step.Cautions) == 0 {
				c.report(step.Pos, "caution", mend, "step %d of %q is hot and has no caution", i+1, p.ID)
			}
		}
	}
}

// ceilings reports presses hotter than what they are for can stand: each
// fibre the recipe names, and the fibres of each blank and fabric it names.
func (c *checker) ceilings() {
	for _, r := range c.base.Recipes {
		for _, r := range append([]*Recipe{r}, variantsOf(r)...) {
			reported := map[string]bool{}
			for _, s := range c.base.subjects(r) {
				c.ceiling(r, s, reported)
			}
		}
	}
}

func (c *checker) ceiling(r *Recipe, s subject, reported map[string]bool) {
	fibre, ok := c.base.Fibre(s.fibre)
	if !ok || reported[s.fibre] {
		return
	}
	if fibre.Refuse != "" {
		reported[s.fibre] = true
		c.report(r.Pos, "ceiling", "take "+s.because+" out of the recipe", "recipe %q presses %s%s, which is never pressed", r.ID, s.fibre, s.via())
		return
	}
	if !fibre.Ceiling.Known() {
		return
	}
	for _, d := range []struct {
		name  string
		dwell Dwell
	}{{"prepress", r.Prepress}, {"press", r.Press}, {"finish", r.Finish}} {
		const slip = 1e-9 // 320 F is 160 C but for rounding
		if t := d.dwell.Temperature; t.Known() && t.High > fibre.Ceiling.Is+slip {
			reported[s.fibre] = true
			c.report(t.Pos, "ceiling", fmt.Sprintf("lower it, range included, to %s or less, or take %s out of the recipe", celsius(fibre.Ceiling.Is), s.because),
				"%s reaches %s, above the ceiling of %s%s, %s", d.name, celsius(t.High), s.fibre, s.via(), celsius(fibre.Ceiling.Is))
		}
	}
}

func celsius(c float64) string { return fmt.Sprintf("%.4g C", c) }

// A subject is a fibre that a recipe is for, and why.
type subject struct {
	fibre   string
	because string // the id that brings it in
}

func (s subject) via() string {
	if s.because == s.fibre {
		return ""
	}
	return " (of " + s.because + ")"
}

// subjects returns the fibres that a recipe is for, by itself and through its
// blanks and fabrics.
func (b *Base) subjects(r *Recipe) []subject {
	var out []subject
	add := func(because string, fibre map[string]int) {
		for _, id := range slices.Sorted(maps.Keys(fibre)) {
			out = append(out, subject{id, because})
		}
	}
	for _, id := range r.Fibres {
		out = append(out, subject{id, id})
	}
	for _, id := range r.Fabrics {
		if fabric, ok := b.Fabric(id); ok {
			add(id, fabric.Fibre)
		}
	}
	for _, id := range r.Blanks {
		add(id, b.fibreOf(id))
	}
	return out
}

// contradictions reports two recipes of one method for the very same blanks,
// fabrics and fibres whose ranges don't meet: one of them must be wrong.
func (c *checker) contradictions() {
	byMethod := map[string][]settings{}
	for _, r := range c.base.Recipes {
		s := settingsOf(r)
		for _, earlier := range byMethod[r.Method] {
			if alike(earlier.recipe, r) {
				c.meet(earlier, s)
			}
		}
		byMethod[r.Method] = append(byMethod[r.Method], s)
	}
}

// Settings are the values of a recipe, in the order of its fields.
type settings struct {
	recipe *Recipe
	names  []string
	values []Value
}

func settingsOf(r *Recipe) settings {
	s := settings{recipe: r}
	eachValue(reflect.ValueOf(r).Elem(), func(name string, field reflect.Value, _ reflect.StructTag) {
		s.names = append(s.names, name)
		s.values = append(s.values, field.Interface().(Value))
	})
	return s
}

// alike reports whether two recipes are for the very same blanks, fabrics and
// fibres, at least in part.
func alike(a, b *Recipe) bool {
	return overlap(a.Blanks, b.Blanks) && overlap(a.Fabrics, b.Fabrics) && overlap(a.Fibres, b.Fibres)
}

// overlap reports whether both lists are empty or have an id in common.
func overlap(a, b []string) bool {
	if len(a) == 0 || len(b) == 0 {
		return len(a) == len(b)
	}
	return slices.ContainsFunc(a, func(id string) bool { return slices.Contains(b, id) })
}

func (c *checker) meet(a, b settings) {
	for i, v := range b.values {
		w := a.values[i]
		if v.Known() && w.Known() && (v.Low > w.High || w.Low > v.High) {
			c.report(v.Pos, "contradiction", "correct one, or tell the recipes apart by blank, fabric or fibre",
				"%s of %q does not meet that of %q for the same method and blank, at %s", b.names[i], b.recipe.ID, a.recipe.ID, w.Pos)
		}
	}
}
