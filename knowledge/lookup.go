package knowledge

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// find returns the entry with an id. Sections are short enough for a walk
// through them to cost less than a message's other work, and so a Base built
// by hand answers like a loaded one.
func find[E entry](entries []E, id string) (E, bool) {
	for _, e := range entries {
		if e.head().ID == id {
			return e, true
		}
	}
	var none E
	return none, false
}

// Method returns the method with an id; the look-ups below do the same.
func (b *Base) Method(id string) (*Method, bool) { return find(b.Methods, id) }

// Fibre returns the fibre with an id.
func (b *Base) Fibre(id string) (*Fibre, bool) { return find(b.Fibres, id) }

// Fabric returns the fabric with an id.
func (b *Base) Fabric(id string) (*Fabric, bool) { return find(b.Fabrics, id) }

// Blank returns the blank with an id.
func (b *Base) Blank(id string) (*Blank, bool) { return find(b.Blanks, id) }

// Colour returns the trade colour with an id.
func (b *Base) Colour(id string) (*Colour, bool) { return find(b.Colours, id) }

// Recipe returns the recipe with an id.
func (b *Base) Recipe(id string) (*Recipe, bool) { return find(b.Recipes, id) }

// Rule returns the rule with an id.
func (b *Base) Rule(id string) (*Rule, bool) { return find(b.Rules, id) }

// Procedure returns the procedure with an id.
func (b *Base) Procedure(id string) (*Procedure, bool) { return find(b.Procedures, id) }

// Caution returns the caution with an id.
func (b *Base) Caution(id string) (*Caution, bool) { return find(b.Cautions, id) }

// Fault returns the fault with an id.
func (b *Base) Fault(id string) (*Fault, bool) { return find(b.Faults, id) }

// Placement returns the placement with an id.
func (b *Base) Placement(id string) (*Placement, bool) { return find(b.Placements, id) }

// CareFor returns the care entry of a method.
func (b *Base) CareFor(method string) (*Care, bool) {
	for _, c := range b.Care {
		if c.Method == method {
			return c, true
		}
	}
	return nil, false
}

// Term returns the term with an id.
func (b *Base) Term(id string) (*Term, bool) { return find(b.Terms, id) }

// Guide returns the guide with an id.
func (b *Base) Guide(id string) (*Guide, bool) { return find(b.Guides, id) }

// Correction returns the correction with an id.
func (b *Base) Correction(id string) (*Correction, bool) { return find(b.Corrections, id) }

// Cue returns the cue with an id.
func (b *Base) Cue(id string) (*Cue, bool) { return find(b.Cues, id) }

// Lexicon returns the lexicon with an id.
func (b *Base) Lexicon(id string) (*Lexicon, bool) { return find(b.Lexicons, id) }

// ShopRule returns the shop rule with an id, one that was taken back too.
func (b *Base) ShopRule(id string) (*ShopRule, bool) { return find(b.ShopRules, id) }

// BlankOf returns the blank an order's item word stands for.
func (b *Base) BlankOf(item string) (*Blank, bool) {
	for _, blank := range b.Blanks {
		if blank.Item == item {
			return blank, true
		}
	}
	return nil, false
}

// fibreOf returns the fibre shares that every such blank has, by itself or by
// its usual fabric; nil where they vary.
func (b *Base) fibreOf(blankID string) map[string]int {
	blank, ok := b.Blank(blankID)
	if !ok {
		return nil
	}
	if len(blank.Fibre) > 0 {
		return blank.Fibre
	}
	if fabric, ok := b.Fabric(blank.Fabric); ok {
		return fabric.Fibre
	}
	return nil
}

// CeilingFor returns the highest temperature that a blend stands in a press
// of a minute or less: the lowest ceiling of its fibres, however small their
// share. refuse says why the blend is never pressed, "" where it may be. ok
// is false where fibre is empty or the base knows no ceiling for one of its
// fibres; then the Value is the lowest of those it knows, and no promise.
func (b *Base) CeilingFor(fibre map[string]int) (ceiling Value, refuse Text, ok bool) {
	ok = len(fibre) > 0
	for _, id := range slices.Sorted(maps.Keys(fibre)) {
		f, known := b.Fibre(id)
		switch {
		case !known:
			ok = false
			continue
		case f.Refuse != "" && refuse == "":
			refuse = f.Refuse
		case !f.Ceiling.Known():
			ok = ok && f.Refuse != ""
		}
		if f.Ceiling.Known() && (!ceiling.Known() || f.Ceiling.Is < ceiling.Is) {
			ceiling = f.Ceiling
		}
	}
	return ceiling, refuse, ok
}

// RecipeFor returns the recipe of a method for a blank, the most specific
// one: a recipe for the blank comes before one for its fabric, that before
// one for its fibre, that before one for anything; a recipe that fits in two
// ways comes before one that fits in the better of them alone. Of a blend, the
// recipe of its most heat-sensitive fibre that has one counts (lowest
// ceiling; then the larger share, then the fibre's name). What is left equal
// goes by the order of the files.
//
// An empty fibre or fabric is filled from the blank where every such blank
// has the same. A recipe whose pre-press, press or finish is hotter than the
// blend's ceiling is passed over, and a blend that is never pressed has none.
// The ranges of the recipe may reach above the ceiling: whoever shows them
// cuts them off at CeilingFor. Of fibres without a known ceiling it promises
// nothing.
//
// Where a shop rule changed that recipe for the blank, its Variant is returned,
// unless that is hotter than the blend's ceiling.
func (b *Base) RecipeFor(method, blankID string, fibre map[string]int, fabric string) (*Recipe, bool) {
	if blank, ok := b.Blank(blankID); ok && fabric == "" {
		fabric = blank.Fabric
	}
	if len(fibre) == 0 {
		fibre = b.fibreOf(blankID)
	}
	if f, ok := b.Fabric(fabric); ok && len(fibre) == 0 {
		fibre = f.Fibre
	}
	ceiling, refuse, _ := b.CeilingFor(fibre)
	if refuse != "" {
		return nil, false
	}
	order := b.sensitivity(fibre)
	var best *Recipe
	var bestFit fit
	for _, r := range b.Recipes {
		f, ok := fitOf(r, blankID, fabric, order)
		if r.Method != method || !ok || tooHot(r, ceiling) {
			continue
		}
		if best == nil || f.compare(bestFit) < 0 {
			best, bestFit = r, f
		}
	}
	if best == nil {
		return nil, false
	}
	if own := best.Variants[blankID]; own != nil && !tooHot(own, ceiling) {
		return own, true
	}
	return best, true
}

// sensitivity returns the fibres of a blend, the most heat-sensitive first.
func (b *Base) sensitivity(fibre map[string]int) []string {
	ceiling := func(id string) float64 {
		if f, ok := b.Fibre(id); ok && f.Ceiling.Known() {
			return f.Ceiling.Is
		}
		return math.Inf(1)
	}
	return slices.SortedFunc(maps.Keys(fibre), func(x, y string) int {
		return cmp.Or(cmp.Compare(ceiling(x), ceiling(y)), cmp.Compare(fibre[y], fibre[x]), cmp.Compare(x, y))
	})
}

// A fit says how closely a recipe is meant for a blank.
type fit struct {
	blank, fabric, fibre bool
	rank                 int // of the fibre in the order of sensitivity
}

func fitOf(r *Recipe, blankID, fabric string, order []string) (fit, bool) {
	f := fit{
		blank:  slices.Contains(r.Blanks, blankID),
		fabric: slices.Contains(r.Fabrics, fabric),
		rank:   slices.IndexFunc(order, func(id string) bool { return slices.Contains(r.Fibres, id) }),
	}
	f.fibre = f.rank >= 0
	fits := (f.blank || len(r.Blanks) == 0) && (f.fabric || len(r.Fabrics) == 0) && (f.fibre || len(r.Fibres) == 0)
	return f, fits
}

// compare is negative where f is the closer fit.
func (f fit) compare(g fit) int {
	yes := func(a, b bool) int {
		switch {
		case a == b:
			return 0
		case a:
			return -1
		}
		return 1
	}
	return cmp.Or(yes(f.blank, g.blank), yes(f.fabric, g.fabric), yes(f.fibre, g.fibre), cmp.Compare(f.rank, g.rank))
}

func tooHot(r *Recipe, ceiling Value) bool {
	const slip = 1e-9 // 320 F is 160 C but for rounding
	for _, d := range []Dwell{r.Prepress, r.Press, r.Finish} {
		if ceiling.Known() && d.Temperature.Known() && d.Temperature.Is > ceiling.Is+slip {
			return true
		}
	}
	return false
}
