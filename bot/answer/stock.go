package answer

import (
	"fmt"
	"slices"
	"strings"

	"presshand/planner"
)

// A need is how much of a thing the board takes, and how much the profile says
// is there.
type need struct {
	name string
	want int
	have int
}

// stockEnough says whether sheets and blanks last for all that is promised or
// runs, as far as the profile counts them.
func (c *draft) stockEnough() error {
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Promised, Running}})
	if err != nil {
		return err
	}
	if len(all) == 0 {
		c.say("nothing-promised-stock", "Nothing is promised, so nothing is needed.")
		c.suggest("board")
		return nil
	}
	var needs []need
	left := 0
	for _, k := range all {
		w, err := (&draft{Desk: c.Desk, ctx: c.ctx, turn: Turn{Now: c.turn.Now}}).work(k.Order, c.turn.Now)
		if err != nil {
			left++
			continue
		}
		for _, l := range w.Lines {
			needs = c.needBlanks(needs, l)
			needs = c.needSheets(needs, l)
		}
	}
	c.stockLines(needs)
	c.computed("orders", len(all)-left, "count")
	c.say("stock-for", "For {n} {word} promised or running, spares included, by the shop profile's count.", "n", fmt.Sprint(len(all)-left), "word", c.noun(plural(len(all)-left, "order")))
	if left > 0 {
		c.computed("left_out", left, "count")
		c.say("stock-left", "Not counted: {n} that can't be worked out as they stand.", "n", fmt.Sprint(left))
	}
	c.suggest("board", "today's press plan")
	return nil
}

func addNeed(needs []need, name string, want, have int) []need {
	if i := slices.IndexFunc(needs, func(n need) bool { return n.name == name }); i >= 0 {
		needs[i].want += want
		return needs
	}
	return append(needs, need{name, want, have})
}

func (c *draft) needBlanks(needs []need, l WorkLine) []need {
	if l.Blanks == "theirs" {
		return needs
	}
	have := uncounted
	name := l.Item
	if l.Blank != nil {
		have = l.Blank.Have
		if l.Blank.Group != "" && l.Blank.Group != "adult" {
			name = l.Blank.Group + " " + name
		}
	}
	return addNeed(needs, name, l.Make, have)
}

func (c *draft) needSheets(needs []need, l WorkLine) []need {
	for _, id := range l.Method.Stock {
		for _, s := range c.shop.Stock {
			if s.ID != id {
				continue
			}
			want := l.Sheets(l.Make)
			if s.Uses > 1 {
				want = ceilDiv(l.Make, s.Uses)
			}
			needs = addNeed(needs, readable(id), want, s.Have)
		}
	}
	return needs
}

// uncounted marks stock the profile keeps no count of.
const uncounted = -1

// readable writes an id as words.
func readable(id string) string {
	out := []rune(id)
	for i, r := range out {
		if r == '-' {
			out[i] = ' '
		}
	}
	return string(out)
}

// stockLines says first what falls short, then what lasts, then what nobody
// counts.
func (c *draft) stockLines(needs []need) {
	var short, enough, unknown []string
	for _, n := range needs {
		c.computed("needed", n.want, "count")
		thing := fmt.Sprintf("%d %s", n.want, c.noun(plural(n.want, n.name)))
		switch {
		case n.have == uncounted:
			unknown = append(unknown, thing)
		case n.have < n.want:
			c.computed("in_stock", n.have, "count")
			c.computed("short", n.want-n.have, "count")
			short = append(short, c.phrase("stock-short-one", "{thing} needed, {have} there: {short} short", "thing", thing, "have", fmt.Sprint(n.have), "short", fmt.Sprint(n.want-n.have)))
		default:
			c.computed("in_stock", n.have, "count")
			enough = append(enough, c.phrase("stock-enough-one", "{thing} of {have}", "thing", thing, "have", fmt.Sprint(n.have)))
		}
	}
	for _, s := range short {
		c.r.Lines = append(c.r.Lines, c.phrase("stock-short", "Not enough: {thing}", "thing", stop(s)))
	}
	if len(enough) > 0 {
		c.say("stock-enough", "Enough: {things}.", "things", c.and(enough))
	}
	if len(unknown) > 0 {
		c.say("stock-unknown", "Nobody counts these, so look: {things}.", "things", c.and(unknown))
	}
	c.say("stock-toner", "Toner is not counted either: the printer tells its level.")
}

// wantsDay reports that a run list is wanted for the day, not for the order
// that was spoken of.
func (c *draft) wantsDay(o *planner.Order) bool {
	if c.board == nil || c.ask.Order.IsOrder || orderNumber(c.said()) > 0 {
		return false
	}
	return o == nil || !c.ask.Subject.When.IsZero() || namesDay(lower(c.said()))
}

func namesDay(text string) bool {
	return slices.ContainsFunc([]string{"day", "board", "promised", "all orders", "everything"}, func(w string) bool { return strings.Contains(text, w) })
}
