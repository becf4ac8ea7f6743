package answer

import (
	"strings"

	"presshand/planner"
)

// typed reports that the lines hold something people typed: of the orders this
// message could speak of, or of the shop's rules.
func (c *draft) typed() bool {
	lines := strings.ToLower(strings.Join(c.r.Lines, "\n"))
	holds := func(texts ...string) bool {
		for _, t := range texts {
			if t = strings.ToLower(strings.Trim(t, " .!?")); t != "" && strings.Contains(lines, t) {
				return true
			}
		}
		return false
	}
	for _, o := range []*planner.Order{&c.ask.Order.Order, c.turn.Memory.Order, c.r.Order} {
		if o != nil && holds(o.For, o.Ref, o.Note) {
			return true
		}
	}
	for _, r := range c.base.ShopRules {
		if holds(r.By, r.WishOf, r.Said, r.Why) {
			return true
		}
		for _, n := range r.Notes {
			if holds(string(n)) {
				return true
			}
		}
	}
	return holds(c.ask.Subject.Customer, c.ask.Subject.Ref)
}
