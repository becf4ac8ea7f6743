package knowledge

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// ruleID begins the id of a shop rule; its number follows.
const ruleID = "shop-rule-"

// Number returns the number people call the rule by, 0 where its id has none.
func (r *ShopRule) Number() int {
	n, err := strconv.Atoi(strings.TrimPrefix(r.ID, ruleID))
	if err != nil || !strings.HasPrefix(r.ID, ruleID) {
		return 0
	}
	return n
}

// cite says which rule a figure comes from.
func (r *ShopRule) cite() string { return strings.ReplaceAll(r.ID, "-", " ") }

// Made returns when the rule was made.
func (r *ShopRule) Made() time.Time {
	t, _ := time.Parse(time.RFC3339, r.At) // Load refuses any other form
	return t
}

// A partChange is one dwell of a rule beside that of the recipe it changes.
type partChange struct {
	part   string // as its key is written
	change DwellChange
	dwell  func(*Recipe) *Dwell
}

func (r *ShopRule) changes() []partChange {
	return []partChange{
		{"marry", r.Marry, func(x *Recipe) *Dwell { return &x.Marry }},
		{"prepress", r.Prepress, func(x *Recipe) *Dwell { return &x.Prepress }},
		{"press", r.Press, func(x *Recipe) *Dwell { return &x.Press }},
		{"finish", r.Finish, func(x *Recipe) *Dwell { return &x.Finish }},
	}
}

func (d DwellChange) empty() bool {
	return !d.Temperature.Known() && !d.Time.Known() && !d.Pressure.Known()
}

func (r *ShopRule) empty() bool {
	for _, x := range r.changes() {
		if !x.change.empty() {
			return false
		}
	}
	return !r.CoolWait.Known() && len(r.Notes) == 0
}

// UndoneBy returns the rule that took back the one with an id; ok is false
// where it still holds. Taking back may itself be taken back.
func (b *Base) UndoneBy(id string) (*ShopRule, bool) {
	r, ok := b.undone()[id]
	return r, ok
}

// undone returns, by id, what was taken back and by which rule. A later rule
// decides about an earlier one, so the walk goes backwards.
func (b *Base) undone() map[string]*ShopRule {
	out := map[string]*ShopRule{}
	for _, r := range slices.Backward(b.ShopRules) {
		if r.Undoes != "" && out[r.ID] == nil && out[r.Undoes] == nil {
			out[r.Undoes] = r
		}
	}
	return out
}

// shopRules checks the shop's rules and lays those that hold over the recipes.
// The rules for some blanks come last, since what is closer to a blank goes
// before what is general; among equals the later rule does, by number: a clock
// may have been set back.
func (c *checker) shopRules() {
	rules := c.base.ShopRules
	slices.SortStableFunc(rules, func(a, b *ShopRule) int {
		return cmp.Or(cmp.Compare(a.Number(), b.Number()), a.Made().Compare(b.Made()))
	})
	seen := map[string]bool{}
	for _, r := range rules {
		c.shopRule(r, seen)
		seen[r.ID] = true
	}
	undone := c.base.undone()
	before := slices.Clone(c.base.Recipes)
	for _, forBlanks := range []bool{false, true} {
		for _, r := range rules {
			if undone[r.ID] == nil && r.Undoes == "" && (len(r.Blanks) > 0) == forBlanks {
				c.apply(r)
				c.unsaidFibre(r, before)
			}
		}
	}
}

// unsaidFibre reports a rule for cloth of any fibre that is hotter than cloth
// stands which was pressed at the same setting before. Without it a rule for
// "tees" would go above what a cotton tee stands, since no fibre is named.
func (c *checker) unsaidFibre(r *ShopRule, before []*Recipe) {
	for _, blank := range r.Blanks {
		if b, ok := c.base.Blank(blank); ok && (b.Kind == "hard" || len(c.base.fibreOf(blank)) > 0) {
			return // no cloth, or its fibre is known and checked
		}
	}
	for _, old := range before {
		if !slices.Contains(r.Recipes, old.ID) || len(c.base.subjects(old)) > 0 {
			continue
		}
		for _, x := range r.changes() {
			if t := x.change.Temperature; t.Known() && x.part != "marry" {
				c.alikeStand(old, before, x, t)
			}
		}
	}
}

// alikeStand holds a temperature against the ceilings of what a method's other
// recipes press at the setting a recipe had.
func (c *checker) alikeStand(old *Recipe, before []*Recipe, x partChange, t Value) {
	const slip = 1e-9
	for _, other := range before {
		if other.Method != old.Method || x.dwell(other).Temperature.Is != x.dwell(old).Temperature.Is {
			continue
		}
		for _, s := range c.base.subjects(other) {
			if f, ok := c.base.Fibre(s.fibre); ok && f.Ceiling.Known() && t.High > f.Ceiling.Is+slip {
				c.report(t.Pos, "ceiling", fmt.Sprintf("lower it to %s or less, or name the fibre it is for", celsius(f.Ceiling.Is)),
					"%s reaches %s without a word on the fibre, above the ceiling of %s, %s", x.part, celsius(t.High), s.fibre, celsius(f.Ceiling.Is))
				return
			}
		}
	}
}

// shopRule reports a rule that is not whole.
func (c *checker) shopRule(r *ShopRule, earlier map[string]bool) {
	if _, err := time.Parse(time.RFC3339, r.At); err != nil && r.At != "" {
		c.report(r.Pos, "form", `write it as "2026-11-25T09:00:00-05:00"`, "%q is made at %q, which is no time", r.ID, r.At)
	}
	_, known := c.index["shop_rules"][r.Undoes]
	switch {
	case r.Undoes != "" && (!r.empty() || len(r.Recipes) > 0 || len(r.Blanks) > 0):
		c.report(r.Pos, "contradiction", "make two rules of it", "%q takes a rule back and changes something as well", r.ID)
	case r.Undoes != "" && known && !earlier[r.Undoes]:
		c.report(r.Pos, "contradiction", "name a rule that was made before", "%q takes back %q, which is no earlier rule", r.ID, r.Undoes)
	case r.Undoes != "":
	case len(r.Recipes) == 0:
		c.report(r.Pos, "missing", `add "recipes: [...]" with the ids of what it changes`, "%q names no recipe", r.ID)
	case r.empty():
		c.report(r.Pos, "missing", `add what changes, such as "press: {time: 30 s}"`, "%q changes nothing", r.ID)
	}
	for _, id := range r.Blanks {
		if blank, ok := c.base.Blank(id); ok && blank.Refuse != "" {
			c.report(r.Pos, "caution", "take "+id+" out of the rule", "%q presses %s, which is declined", r.ID, id)
		}
	}
}

// apply lays one rule over its recipes.
func (c *checker) apply(r *ShopRule) {
	general := map[string]*Recipe{} // by method, as it was before
	for _, id := range r.Recipes {
		old, ok := c.base.Recipe(id)
		if !ok {
			continue // reported as dangling
		}
		if len(r.Blanks) == 0 {
			changed := c.changed(old, r)
			if old.general() && general[old.Method] == nil {
				general[old.Method] = old
				c.restate(old, changed)
			}
			c.base.put("recipes", changed, slices.Index(c.base.Recipes, old))
			continue
		}
		variants := maps.Clone(old.Variants)
		if variants == nil {
			variants = map[string]*Recipe{}
		}
		for _, blank := range r.Blanks {
			from := variants[blank]
			if from == nil {
				from = old
			}
			own := c.changed(from, r)
			own.Blanks, own.Variants = []string{blank}, nil
			variants[blank] = own
		}
		with := *old
		with.Variants = variants
		c.base.put("recipes", &with, slices.Index(c.base.Recipes, old))
	}
}

// general reports a recipe for anything its method can be on.
func (r *Recipe) general() bool { return len(r.Blanks)+len(r.Fabrics)+len(r.Fibres) == 0 }

// changed returns a recipe as a rule changes it. A figure of the shop's own
// stands alone: the range of the figure before was not the shop's.
func (c *checker) changed(old *Recipe, r *ShopRule) *Recipe {
	out := *old
	if out.Before == nil {
		out.Before = old
	}
	out.Values = maps.Clone(old.Values)
	if out.Values == nil {
		out.Values = map[string]Value{}
	}
	no := func(at Pos, part string) {
		c.report(at, "contradiction", "take "+old.ID+" or "+part+" out of the rule", "%q changes %s, and recipe %q has none", r.ID, part, old.ID)
	}
	for _, x := range r.changes() {
		dwell := x.dwell(&out)
		switch {
		case x.change.empty():
			continue
		case !dwell.Temperature.Known():
			no(x.change.Pos, x.part)
			continue
		}
		if t := x.change.Temperature; t.Known() {
			t.Source.Cite = r.cite()
			dwell.Temperature, out.Values[x.part+"_temperature"] = t, t
		}
		if t := x.change.Time; t.Known() {
			t.Source.Cite = r.cite()
			dwell.Time, out.Values[x.part+"_time"] = t, t
		}
		if p := x.change.Pressure; p.Known() {
			p.Source.Cite = r.cite()
			dwell.Pressure = p
		}
	}
	switch w := r.CoolWait; {
	case w.Known() && !out.CoolWait.Known():
		no(w.Pos, "cool_wait")
	case w.Known():
		w.Source.Cite = r.cite()
		out.CoolWait, out.Values["cool_wait"] = w, w
	}
	out.Notes = slices.Concat(old.Notes, r.Notes)
	return &out
}

// restate carries what changed in a method's general recipe to where the same
// figure stands in the prose about that method: a fault that says how long to
// cool must not go on saying the old time.
func (c *checker) restate(old, changed *Recipe) {
	c.base.eachEntry(func(_ string, e entry) {
		if methodOf(e) != old.Method {
			return
		}
		h := e.head()
		var values map[string]Value
		for name, v := range h.Values {
			was, now := old.Values[name], changed.Values[name]
			if was == now || v.Is != was.Is || v.Dimension != was.Dimension {
				continue
			}
			if values == nil {
				values = maps.Clone(h.Values)
			}
			values[name] = now
		}
		if values != nil {
			h.Values = values
		}
	})
}

// methodOf returns the method whose figures an entry's prose shows: the first of
// those it names, "" where it names none.
func methodOf(e entry) string {
	methods := []string{""}
	switch e := e.(type) {
	case *Method:
		return e.ID
	case *Procedure:
		return e.Method
	case *Care:
		return e.Method
	case *Fault:
		methods = append(slices.Clone(e.Methods), "")
	case *Guide:
		methods = append(slices.Clone(e.Methods), "")
	}
	return methods[0]
}

// variantsOf lists a recipe's variants in the order of their blanks.
func variantsOf(r *Recipe) []*Recipe {
	out := make([]*Recipe, 0, len(r.Variants))
	for _, blank := range slices.Sorted(maps.Keys(r.Variants)) {
		out = append(out, r.Variants[blank])
	}
	return out
}
