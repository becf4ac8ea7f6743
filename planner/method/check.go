package method

import (
	"fmt"
	"slices"
)

// Check verifies a Plan against its Problem without using Solve's code: every
// method once, recommended methods before ruled-out ones, and no verdict
// better than a rule allows that plainly holds. It looks only at rules whose
// given parts are all said, and evaluates those by elimination.
func Check(p Problem, plan Plan) error {
	if len(plan.Choices) != len(p.Methods) {
		return fmt.Errorf("method: %d choices for %d methods", len(plan.Choices), len(p.Methods))
	}
	at := map[string]Choice{}
	ruledOut := false
	for _, c := range plan.Choices {
		if _, twice := at[c.Method]; twice {
			return fmt.Errorf("method: %q is judged twice", c.Method)
		}
		at[c.Method] = c
		if c.Verdict == RuledOut {
			ruledOut = true
		} else if ruledOut {
			return fmt.Errorf("method: %q fits but stands after one that is ruled out", c.Method)
		}
	}
	for _, m := range p.Methods {
		c, ok := at[m.ID]
		if !ok {
			return fmt.Errorf("method: %q is not judged", m.ID)
		}
		for _, r := range p.Rules {
			applies := r.Method == m.ID || r.Method == "any"
			if applies && plainlyHolds(p, r.When) && severity(r.Verdict) > severity(c.Verdict) {
				return fmt.Errorf("method: %q is said to be %q though rule %q makes it %q", m.ID, c.Verdict, r.ID, r.Verdict)
			}
			cited := slices.Contains(c.Rules, r.ID)
			if applies && cited && !plainlyHolds(p, r.When) {
				return fmt.Errorf("method: %q cites rule %q, which does not hold", m.ID, r.ID)
			}
		}
	}
	return nil
}

// severity is Check's own order of verdicts.
func severity(v Verdict) int {
	return slices.Index([]Verdict{Fits, WithCare, RuledOut}, v)
}

// plainlyHolds strikes out a rule at the first part that is not plainly true.
func plainlyHolds(p Problem, c Condition) bool {
	b := p.Blank
	share := 0
	if b.Fibre != nil {
		share = b.Fibre["polyester"]
	}
	told := b.Fibre != nil
	if c.PolyesterBelow != nil && !(told && float64(share) < c.PolyesterBelow.Percent()-1e-9) {
		return false
	}
	if c.PolyesterFrom != nil && !(told && float64(share) >= c.PolyesterFrom.Percent()-1e-9) {
		return false
	}
	for _, part := range []struct {
		wanted []string
		is     string
	}{{c.Lightness, b.Lightness}, {c.Kind, b.Kind}, {c.Blank, b.ID}, {c.Group, b.Group}, {c.Structure, b.Structure}} {
		if len(part.wanted) > 0 && (part.is == "" || !slices.Contains(part.wanted, part.is)) {
			return false
		}
	}
	present := 0
	for _, f := range c.FibreAny {
		present += b.Fibre[f]
	}
	if len(c.FibreAny) > 0 && present == 0 {
		return false
	}
	for _, f := range c.FibreNone {
		if b.Fibre[f] > 0 || (!told && b.Kind != "hard") {
			return false
		}
	}
	for _, pair := range [][2]*bool{{c.Coated, b.Coated}, {c.Migrates, b.Migrates}, {c.Pattern, b.Pattern}} {
		if pair[0] != nil && (pair[1] == nil || *pair[0] != *pair[1]) {
			return false
		}
	}
	for _, pair := range [][2][]string{{c.Art, p.Art}, {c.Wish, p.Wish}} {
		met := len(pair[0]) == 0
		for _, w := range pair[0] {
			met = met || slices.Contains(pair[1], w)
		}
		if !met {
			return false
		}
	}
	for _, w := range c.WishNone {
		if slices.Contains(p.Wish, w) {
			return false
		}
	}
	if c.QuantityBelow != nil && (p.Quantity == 0 || p.Quantity >= *c.QuantityBelow) {
		return false
	}
	if c.QuantityFrom != nil && p.Quantity < *c.QuantityFrom {
		return false
	}
	return true
}
