package method

import (
	"errors"
	"fmt"
	"slices"
	"sort"

	"presshand/planner/unit"
)

// truth is three-valued (Kleene 1938): a condition on something that was not
// said is unknown, and stays so unless another part of it fails.
type truth int

const (
	no truth = iota
	unknown
	yes
)

func of(b bool) truth {
	if b {
		return yes
	}
	return no
}

// Solve judges every method of p.
//
// Invariants: every method of p appears once; a method's verdict is the worst
// of the rules that hold for it; ruled-out methods come last; among the others
// the order is owned first, then standing (sum of Prefer) descending, then
// verdict, then Default, then the order of p. The same Problem gives the same
// Plan. It does not hold that a rule on an unsaid thing is applied: see
// Missing.
//
// Errors: no methods, a doubled method, a rule for a method that is not there,
// an unknown verdict.
func Solve(p Problem) (Plan, error) {
	if err := validate(p); err != nil {
		return Plan{}, err
	}
	plan := Plan{Choices: judge(p)}
	plan.Missing = missing(p)
	return plan, nil
}

func validate(p Problem) error {
	if len(p.Methods) == 0 {
		return errors.New("method: no methods to choose from: load a knowledge base that has some")
	}
	seen := map[string]bool{"any": true}
	for _, m := range p.Methods {
		if seen[m.ID] {
			return fmt.Errorf("method: %q stands twice among the methods: give each an id of its own", m.ID)
		}
		seen[m.ID] = true
	}
	for _, r := range p.Rules {
		if !seen[r.Method] {
			return fmt.Errorf("method: rule %q is for method %q, which is not there: correct the rule's method", r.ID, r.Method)
		}
		if r.Verdict != Fits && r.Verdict != WithCare && r.Verdict != RuledOut {
			return fmt.Errorf("method: rule %q has verdict %q: use %q, %q or %q", r.ID, r.Verdict, Fits, WithCare, RuledOut)
		}
	}
	return nil
}

// judge gives each method its verdict and sorts them.
func judge(p Problem) []Choice {
	order := make(map[string]int, len(p.Methods))
	choices := make([]Choice, len(p.Methods))
	for i, m := range p.Methods {
		order[m.ID] = m.Default
		c := Choice{Method: m.ID, Verdict: Fits, Owned: m.Owned}
		var held []Rule
		for _, r := range p.Rules {
			if (r.Method == m.ID || r.Method == "any") && p.holds(r.When) == yes {
				held = append(held, r)
				c.Standing += r.Prefer
				if r.Verdict.worse(c.Verdict) {
					c.Verdict = r.Verdict
				}
			}
		}
		for _, r := range held {
			switch r.Verdict {
			case c.Verdict:
				c.Rules = append(c.Rules, r.ID)
			case WithCare:
				c.Cares = append(c.Cares, r.ID)
			}
		}
		choices[i] = c
	}
	sort.SliceStable(choices, func(i, j int) bool {
		a, b := choices[i], choices[j]
		switch {
		case (a.Verdict == RuledOut) != (b.Verdict == RuledOut):
			return b.Verdict == RuledOut
		case a.Owned != b.Owned:
			return a.Owned
		case a.Standing != b.Standing:
			return a.Standing > b.Standing
		case a.Verdict != b.Verdict:
			return b.Verdict.worse(a.Verdict)
		default:
			return order[a.Method] < order[b.Method]
		}
	})
	return choices
}

// missing tries the usual completions of what was not said, all combinations
// of them. A thing is missing where, with the rest said in some way, two of its
// completions lead to different recommended methods, or one of them to none.
func missing(p Problem) []string {
	fibres := []map[string]int{p.Blank.Fibre}
	openFibre := p.Blank.Fibre == nil && p.Blank.Coated == nil && p.Blank.Kind != "hard" && len(p.Fibres) > 0
	if openFibre {
		fibres = p.Fibres
	}
	classes := []string{p.Blank.Lightness}
	openClass := p.Blank.Lightness == "" && len(p.Classes) > 0
	if openClass {
		classes = p.Classes
	}
	best := make([][]string, len(fibres))
	for i, f := range fibres {
		for _, class := range classes {
			q := p
			q.Blank.Fibre, q.Blank.Lightness = f, class
			choice, _ := Plan{Choices: judge(q)}.Best()
			best[i] = append(best[i], choice.Method)
		}
	}
	var out []string
	if openFibre && anyDiffer(len(classes), len(fibres), func(class, fibre int) string { return best[fibre][class] }) {
		out = append(out, "fibre")
	}
	if openClass && anyDiffer(len(fibres), len(classes), func(fibre, class int) string { return best[fibre][class] }) {
		out = append(out, "colour")
	}
	return out
}

// anyDiffer reports whether at(row, ...) takes two values in any row.
func anyDiffer(rows, columns int, at func(row, column int) string) bool {
	for r := range rows {
		for c := range columns {
			if at(r, c) != at(r, 0) {
				return true
			}
		}
	}
	return false
}

// holds evaluates a condition: no if any given part fails, unknown if none
// fails and any is unknown, else yes.
func (p Problem) holds(c Condition) truth {
	b := p.Blank
	result := yes
	for _, t := range []truth{
		p.polyester(c.PolyesterBelow, func(s, limit unit.Share) bool { return s < limit }),
		p.polyester(c.PolyesterFrom, func(s, limit unit.Share) bool { return s >= limit }),
		oneOf(c.Lightness, b.Lightness),
		oneOf(c.Kind, b.Kind),
		oneOf(c.Blank, b.ID),
		oneOf(c.Group, b.Group),
		oneOf(c.Structure, b.Structure),
		p.fibreAny(c.FibreAny),
		p.fibreNone(c.FibreNone),
		flag(c.Coated, b.Coated),
		flag(c.Migrates, b.Migrates),
		flag(c.Pattern, b.Pattern),
		anyOf(c.Art, p.Art),
		anyOf(c.Wish, p.Wish),
		noneOf(c.WishNone, p.Wish),
		p.quantity(c.QuantityBelow, func(n, limit int) bool { return n < limit }),
		p.quantity(c.QuantityFrom, func(n, limit int) bool { return n >= limit }),
	} {
		result = min(result, t)
	}
	return result
}

// polyester compares the polyester share. A coated hard good has a coating
// and no fibre content, so share conditions do not speak of it.
func (p Problem) polyester(limit *unit.Share, compare func(share, limit unit.Share) bool) truth {
	switch {
	case limit == nil:
		return yes
	case p.Blank.Fibre == nil && (p.Blank.Coated != nil || p.Blank.Kind == "hard"):
		return no
	case p.Blank.Fibre == nil:
		return unknown
	}
	return of(compare(unit.Percent(float64(p.Blank.Fibre["polyester"])), *limit))
}

func (p Problem) fibreAny(ids []string) truth {
	if len(ids) == 0 {
		return yes
	}
	if p.Blank.Fibre == nil {
		if p.Blank.Kind == "hard" {
			return no
		}
		return unknown
	}
	return of(slices.ContainsFunc(ids, func(id string) bool { return p.Blank.Fibre[id] > 0 }))
}

func (p Problem) fibreNone(ids []string) truth {
	if len(ids) == 0 {
		return yes
	}
	switch p.fibreAny(ids) {
	case yes:
		return no
	case no:
		return yes
	default:
		return unknown
	}
}

func (p Problem) quantity(limit *int, compare func(n, limit int) bool) truth {
	switch {
	case limit == nil:
		return yes
	case p.Quantity == 0:
		return unknown
	}
	return of(compare(p.Quantity, *limit))
}

func oneOf(wanted []string, is string) truth {
	switch {
	case len(wanted) == 0:
		return yes
	case is == "":
		return unknown
	}
	return of(slices.Contains(wanted, is))
}

// anyOf asks for something that must have been said to hold.
func anyOf(wanted, said []string) truth {
	if len(wanted) == 0 {
		return yes
	}
	return of(slices.ContainsFunc(wanted, func(w string) bool { return slices.Contains(said, w) }))
}

// noneOf asks for something that must not have been said.
func noneOf(unwanted, said []string) truth {
	return of(!slices.ContainsFunc(unwanted, func(w string) bool { return slices.Contains(said, w) }))
}

func flag(wanted, is *bool) truth {
	switch {
	case wanted == nil:
		return yes
	case is == nil:
		return unknown
	}
	return of(*wanted == *is)
}
