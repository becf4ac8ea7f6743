package answer

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/planner"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/unit"
)

// A Costed is an order worked out whole: methods, sheets, press plan, price.
type Costed struct {
	Work  Work
	Press press.Plan
	Price price.Plan
	// Unpriced names the item the shop has no price for; then Price is empty.
	Unpriced string
}

// quote prices a posted order, or answers about the one spoken of.
func (c *draft) quote() {
	switch c.ask.What {
	case "fit":
		c.fit()
		return
	case "spare":
		c.spare()
		return
	case "money":
		c.money()
		return
	case "valid":
		c.validity()
		return
	case "tax":
		c.tax()
		return
	}
	o, ok := c.order()
	if !ok {
		c.asked("order", c.phrase("ask-order", "How many of what blank, in what colour, and how large is the print?"))
		return
	}
	if c.troubled(o) {
		return
	}
	done, ok := c.costed(o)
	if !ok {
		return
	}
	switch c.ask.What {
	case "breaks":
		c.breaks(done)
	case "budget", "best-under":
		c.budget(done)
	case "customer":
		c.customer(done)
	case "inner":
		c.inner(done)
	case "break-even":
		c.breakEven(done)
	case "why":
		c.whyPrice(done)
	case "workings":
		c.workings(done)
	default:
		c.offer(done)
	}
}

// troubled asks back what is wrong with a posted or changed order, the gravest
// first.
func (c *draft) troubled(o planner.Order) bool {
	if !c.ask.Order.IsOrder {
		return false
	}
	trouble := c.ask.Order.Trouble
	if c.ask.Amend {
		trouble = listen.Troubles(o, listen.OrderEnv{Base: c.base, Profile: c.shop, Now: c.turn.Now})
	}
	if len(trouble) == 0 {
		return false
	}
	c.r.Order = &o
	if i := trouble[0].Line; i >= 0 && i < len(o.Lines) && len(o.Lines[i].Sizes) > 0 {
		c.computed("sizes_total", count(o.Lines[i].Sizes), "count")
	}
	if len(trouble[0].Choices) > 0 {
		c.fact(reply.Fact{Name: "choices", Value: strings.Join(trouble[0].Choices, "; "), Source: reply.Source{Kind: "computed"}})
	}
	c.asked(string(trouble[0].Kind), c.told(trouble[0].Ask), trouble[0].Choices...)
	return true
}

// order returns the order a question is about: the one posted, else the
// conversation's.
func (c *draft) order() (planner.Order, bool) {
	if c.ask.Order.IsOrder {
		return c.usualBlends(c.withTalk(c.ask.Order.Order)), true
	}
	if c.turn.Memory.Order != nil {
		return *c.turn.Memory.Order, true
	}
	return planner.Order{}, false
}

// usualBlends takes a blend named without its shares ("polycotton") for what it
// mostly is where the blank is too dark for the share to decide the method, and
// says so; on a light one it stays a question.
func (c *draft) usualBlends(o planner.Order) planner.Order {
	read := &c.ask.Order
	read.Trouble = slices.DeleteFunc(slices.Clone(read.Trouble), func(t listen.Trouble) bool {
		if t.Kind != listen.BlendUnknown || len(t.Usual.Fibre) == 0 || t.Line < 0 || t.Line >= len(o.Lines) || len(o.Lines[t.Line].Fibre) > 0 {
			return false
		}
		if shade := c.thing(subjectOf(o.Lines[t.Line])).lightness; shade != "dark" && shade != "mid" {
			return false
		}
		o.Lines = slices.Clone(o.Lines)
		o.Lines[t.Line].Fibre = maps.Clone(t.Usual.Fibre)
		read.Assumed = append(slices.Clip(read.Assumed), t.Usual.Note)
		return true
	})
	return o
}

// withTalk fills the blank that was just talked of into an order that names
// none: "quote 20 of them, 8x8 front".
func (c *draft) withTalk(o planner.Order) planner.Order {
	last := c.turn.Memory.Last
	if last == nil || len(o.Lines) != 1 || o.Lines[0].Item != "" || last.Subject.Item == "" {
		return o
	}
	o.Lines = slices.Clone(o.Lines)
	l := &o.Lines[0]
	l.Item = last.Subject.Item
	if l.Colour == "" {
		l.Colour = last.Subject.Colour
	}
	if len(l.Fibre) == 0 {
		l.Fibre = last.Subject.Fibre
	}
	return o
}

// costed works an order out, or asks for what is missing.
func (c *draft) costed(o planner.Order) (Costed, bool) {
	c.r.Order = &o
	done, err := c.Cost(o, c.turn.Now, nil)
	var lack *Lack
	switch {
	case errors.As(err, &lack):
		c.lack(lack)
		return done, false
	case err != nil:
		c.fail(err)
		return done, false
	}
	kept := done.Work.Order
	c.r.Order = &kept
	return done, true
}

func (c *draft) lack(l *Lack) {
	for _, f := range l.Facts {
		c.fact(f)
	}
	c.takeChanges()
	if l.Refuse {
		c.r.Lines = append(c.r.Lines, l.Ask)
		c.caution(l.Caution...)
		return
	}
	c.asked(l.Missing, l.Ask, l.Choices...)
}

// Cost works an order out as of now. breaks are further quantities to price;
// nil means the usual ones. A *Lack error says what is missing.
func (c *draft) Cost(o planner.Order, now time.Time, breaks []int) (Costed, error) {
	var done Costed
	w, err := c.work(o, now)
	if err != nil {
		return done, err
	}
	w.Assumed = append(c.toldAll(c.ask.Order.Assumed), w.Assumed...)
	for _, l := range w.Lines {
		if l.Blanks != "theirs" && l.Blank == nil {
			done.Unpriced = l.Item
		}
	}
	if breaks == nil {
		breaks = otherQuantities(total(o))
	}
	if done.Unpriced == "" {
		// How many are made is the price planner's word: it knows which lines
		// share their spares.
		q, err := price.Solve(c.priceProblem(w, now, time.Time{}, nil))
		if err != nil {
			return done, fmt.Errorf("pricing the order: %w", err)
		}
		for i := range w.Lines {
			w.Lines[i].Make = q.Lines[i].Make
		}
	}
	if err := w.settle(); err != nil {
		return done, err
	}
	done.Work = w
	done.Press, err = press.Solve(press.Problem{Start: now.Truncate(time.Second), Shop: c.pressShop, Orders: []press.Order{c.pressOrder(w, orderID(w))}})
	if err != nil {
		return done, fmt.Errorf("timing the order: %w", err)
	}
	if done.Unpriced != "" {
		return done, nil
	}
	done.Price, err = price.Solve(c.priceProblem(w, now, done.Press.Finish, breaks))
	if err != nil {
		return done, fmt.Errorf("pricing the order: %w", err)
	}
	return done, nil
}

func total(o planner.Order) int {
	n := 0
	for _, l := range o.Lines {
		n += l.Quantity
	}
	return n
}

// otherQuantities are the quantities an order is priced at besides its own:
// half as many again and twice as many, in whole half-dozens where that makes
// sense to someone who counts in dozens.
func otherQuantities(n int) []int {
	round := func(v int) int {
		if n < 12 {
			return v
		}
		return (v + 5) / 6 * 6
	}
	return []int{round(n + max(1, n/2)), round(2*n + 1/n)} // one more at the least
}

// offer is the answer to a posted order.
func (c *draft) offer(done Costed) {
	w := done.Work
	first := w.Lines[0]
	c.verdicts(first.Plan)
	for _, l := range w.Lines {
		c.fact(reply.Fact{Name: "method", Value: l.Method.ID, Source: reply.Source{Kind: "computed"}})
	}
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	c.r.Quote = done.Price
	c.r.Plan = done.Press
	q := done.Price
	money := func(d decimal.Decimal) string { return q.Currency.Format(d) }
	n := total(w.Order)
	if len(w.Lines) == 1 {
		each := effective(q, n)
		c.computed("price_each", money(each), q.Currency.Code)
		c.computed("price_total", money(q.Total), q.Currency.Code)
		c.computed("quantity", n, "count")
		c.say("offer", "{method}, {n} {thing}, {prints}: {each} each{extras}, {total} in all.", "extras", c.extras(q), "method", upper(c.noun(first.Method.Name)), "n", fmt.Sprint(n),
			"thing", c.describe(first.thing, n), "prints", c.printWords(first), "each", money(each), "total", money(q.Total))
	} else {
		c.computed("price_total", money(q.Total), q.Currency.Code)
		c.computed("quantity", n, "count")
		c.say("offer-lines", "{total} in all for {n} pieces{extras}.", "total", money(q.Total), "n", fmt.Sprint(n), "extras", c.extrasIn(q))
		for i, l := range w.Lines {
			lp := q.Lines[i]
			c.computed("price_each", money(lp.PriceEach), q.Currency.Code)
			c.say("offer-line", "{n} {thing}, {method}, {prints}: {each} each.", "n", fmt.Sprint(l.Quantity), "thing", c.describe(l.thing, l.Quantity),
				"method", c.noun(l.Method.Name), "prints", c.printWords(l), "each", money(lp.PriceEach))
		}
	}
	c.readyLine(done)
	c.workTable(done)
	c.careLines(w)
	for _, b := range q.Breaks {
		if b.Quantity > n && b.PriceEach.LessThan(effective(q, n)) {
			c.computed(fmt.Sprintf("price_each_at_%d", b.Quantity), money(b.PriceEach), q.Currency.Code)
			c.say("at-quantity", "At {n}: {each} each.", "n", fmt.Sprint(b.Quantity), "each", money(b.PriceEach))
			break
		}
	}
	for _, f := range q.Falls {
		c.say("falls", "{to} would cost less than {from}: {total} in all.", "to", fmt.Sprint(f.To), "from", fmt.Sprint(f.From), "total", money(f.Total))
		break
	}
	for _, l := range q.Lines {
		if l.ChanceTheirs > 0 && l.ChanceTheirs < 1 {
			c.computed("chance", round(100*l.ChanceTheirs), "%")
		}
	}
	for _, risk := range q.Risks {
		c.r.Lines = append(c.r.Lines, stop(upper(c.told(risk))))
	}
	c.takeChanges()
	for _, a := range w.Assumed {
		c.assume(a)
	}
	c.examplePrices()
	for _, l := range w.Lines {
		c.caution(l.Recipe.Cautions...)
	}
	c.private(done)
	c.picture(done)
	c.suggest("sheets", "timeline", c.label("make it {n}", "n", fmt.Sprint(nextQuantity(n))), "why that price?")
}

// examplePrices says that prices are the invented shop's, wherever one stands.
func (c *draft) examplePrices() {
	if c.shop.Example {
		c.assume(c.phrase("assume-example", "example prices of an invented shop"))
	}
}

// takeChanges says what was taken of a change to the order.
func (c *draft) takeChanges() {
	for _, x := range c.ask.Changes {
		x = c.told(c.inShopUnits(trimStop(x)))
		c.fact(reply.Fact{Name: "change", Value: x, Source: reply.Source{Kind: "computed"}})
		c.assume(c.phrase("changed", "{what} now", "what", x))
	}
}

// inShopUnits rewrites sizes in mm for a shop that thinks in inches.
func (c *draft) inShopUnits(text string) string {
	if !c.style().Inches {
		return text
	}
	return sizeInMM.ReplaceAllStringFunc(text, func(s string) string {
		m := sizeInMM.FindStringSubmatch(s)
		w, errW := strconv.ParseFloat(m[1], 64)
		if errW != nil {
			return s
		}
		h, errH := strconv.ParseFloat(m[2], 64)
		if errH != nil {
			return c.style().Length(unit.Millimetres(w))
		}
		return c.style().Size(unit.Millimetres(w), unit.Millimetres(h))
	})
}

var sizeInMM = regexp.MustCompile(`(\d+(?:\.\d+)?)(?: x (\d+(?:\.\d+)?))? mm`)

// effective is what one piece comes to where everything is shared out: total
// over quantity, rounded to the currency's places.
func effective(q price.Plan, n int) decimal.Decimal {
	if len(q.Lines) == 1 {
		return q.Lines[0].PriceEach
	}
	return q.Total.DivRound(decimal.NewFromInt(int64(n)), q.Currency.Places)
}

func nextQuantity(n int) int { return otherQuantities(n)[0] }

// printWords names a line's prints: "front 9 x 7 in".
func (c *draft) printWords(l WorkLine) string {
	var parts []string
	for _, p := range l.Prints {
		parts = append(parts, c.noun(p.Spot)+" "+c.style().Size(unit.Millimetres(p.Width), unit.Millimetres(p.Height)))
	}
	return c.and(parts)
}

// readyLine says when the order is ready, what that waits for, and whether it
// is in time.
func (c *draft) readyLine(done Costed) {
	p := done.Press
	ready := p.Finish.In(c.turn.Now.Location())
	c.computed("ready_at", ready.Format(time.RFC3339), "RFC3339")
	line := c.phrase("ready", "Ready {when}", "when", c.when(ready))
	if len(done.Work.Waits) > 0 {
		line += " " + c.phrase("ready-if", "if {waits}", "waits", c.and(done.Work.Waits))
	}
	if due, err := time.Parse(time.RFC3339, done.Work.Order.Due); err == nil {
		due = due.In(c.turn.Now.Location())
		if late := ready.Sub(due); late > 0 {
			line += "; " + c.phrase("late", "{late} too late for {due}", "late", c.style().Duration(unit.Seconds(late.Round(time.Minute).Seconds())), "due", c.when(due))
			c.computed("late", late.Seconds(), "s")
			if len(p.Late) > 0 && len(p.Late[0].Saves) > 0 {
				line += "; " + c.phrase("late-saves", "what would help: {saves}", "saves", c.saving(p.Late[0].Saves[0]))
			}
		} else {
			line += "; " + c.phrase("in-time", "in time for {due}", "due", c.when(due))
		}
	}
	c.r.Lines = append(c.r.Lines, stop(line))
}

// when writes a time as a person says it: the day where it is near, the date
// where it is not.
func (c *draft) when(t time.Time) string {
	day := c.dated(t, "Mon")
	gap := t.Sub(c.turn.Now)
	switch {
	case t.Format(time.DateOnly) == c.turn.Now.Format(time.DateOnly):
		day = c.phrase("today", "today")
	case gap > 6*24*time.Hour || gap < 0:
		day = c.dated(t, "Mon 2 Jan")
	}
	return day + " " + strings.ToLower(t.Format("3:04 PM"))
}

func (c *draft) workTable(done Costed) {
	q, p := done.Price, done.Press
	c.computed("make", q.Make, "count")
	c.computed("sheets", q.Sheets, "count")
	spare := q.Make - total(done.Work.Order)
	made := fmt.Sprint(q.Make)
	if l := done.Work.Lines[0]; len(done.Work.Lines) == 1 && l.Blanks == "theirs" { // no spare blank, so spare prints only
		made = c.phrase("made-prints", "{n}, {make} prints", "n", fmt.Sprint(l.Quantity), "make", fmt.Sprint(q.Make))
		c.computed("spares", spare, "count")
	} else if spare > 0 {
		made += " " + c.phrase("made-spare", "({n} spare)", "n", fmt.Sprint(spare))
		c.computed("spares", spare, "count")
	}
	c.fetchLine(done)
	onPress := pressTime(p)
	c.computed("press_time_total", onPress.Seconds(), "s")
	c.computed("hands_on", p.HandsOn.Seconds(), "s")
	c.computed("duration", p.Makespan.Seconds(), "s")
	c.r.Tables = append(c.r.Tables, reply.Table{
		Header: c.labels("make", "sheets", "on the press", "hands on"),
		Rows: [][]string{{made, c.sheetWords(done.Work, q.Sheets),
			c.span(onPress), c.span(p.HandsOn)}},
	})
}

// fetchLine says which blanks to fetch where spares are kept by size: more
// blanks than prints, since a spare M is no use for an L.
func (c *draft) fetchLine(done Costed) {
	q := done.Price
	spare := q.Spares.BySize
	if q.Spares.Rule == price.Commonest {
		spare = q.Spares.Commonest
	}
	ordered, sized := 0, false
	for _, l := range done.Work.Lines {
		if l.Blanks != "theirs" {
			ordered += l.Quantity
			sized = sized || len(l.Sizes) > 1
		}
	}
	if !sized || spare.Count == 0 {
		return
	}
	var parts []string
	for _, b := range spare.Sizes {
		name := b.Size
		if name == "" {
			name = b.Colour
		}
		c.computed("spare_"+name, b.Count, "count")
		parts = append(parts, fmt.Sprintf("%d %s", b.Count, c.noun(name)))
	}
	c.computed("blanks", ordered+spare.Count, "count")
	c.computed("spare_blanks", spare.Count, "count")
	c.say("fetch", "Fetch {n} blanks: {spare} spare ({parts}).", "n", fmt.Sprint(ordered+spare.Count), "spare", fmt.Sprint(spare.Count), "parts", join(parts))
}

// sheetWords writes the sheets of an order, and that there can be no fewer
// where that is proven: "26 letter, the fewest possible".
func (c *draft) sheetWords(w Work, n int) string {
	var sizes []string
	fewest := len(w.Lines) == 1 // lines of several kinds might share a sheet
	for _, l := range w.Lines {
		if !slices.Contains(sizes, c.noun(l.On.Name)) {
			sizes = append(sizes, c.noun(l.On.Name))
		}
		fewest = fewest && l.Layout.Fewest
	}
	text := fmt.Sprintf("%d %s", n, c.and(sizes))
	if fewest {
		text += c.phrase("fewest", ", the fewest possible")
	}
	return text
}

// pressTime is how long presses are in use, all together.
func pressTime(p press.Plan) time.Duration {
	var sum time.Duration
	for _, b := range p.Busy {
		if strings.HasPrefix(b.Resource, "press-") {
			sum += b.Time
		}
	}
	return sum
}

// careLines says what to mind where a method fits only with care.
func (c *draft) careLines(w Work) {
	for _, l := range w.Lines {
		for _, x := range l.Plan.Choices {
			if x.Method == l.Method.ID && x.Verdict == "fits with care" {
				c.say("with-care-order", "With care: {because}", "because", stop(c.becauseOf(x)))
				c.cares(x)
			}
		}
	}
}

// unpriced answers an order whose blank has no price: all but the money.
func (c *draft) unpriced(done Costed) {
	l := done.Work.Lines[0]
	c.r.Plan = done.Press
	n := total(done.Work.Order)
	c.computed("quantity", n, "count")
	c.say("offer-unpriced", "{method}, {n} {thing}, {prints}.", "method", upper(c.noun(l.Method.Name)), "n", fmt.Sprint(n), "thing", c.describe(l.thing, n), "prints", c.printWords(l))
	sheets := 0
	for _, x := range done.Work.Lines {
		sheets += x.Sheets(x.Make)
	}
	c.computed("sheets", sheets, "count")
	c.computed("make", l.Make, "count")
	c.say("offer-unpriced-work", "{make} to make, {sheets} {word}.", "make", fmt.Sprint(l.Make), "sheets", fmt.Sprint(sheets), "word", c.noun(plural(sheets, "sheet")))
	c.readyLine(done)
	for _, a := range done.Work.Assumed {
		c.assume(a)
	}
	c.asked("price", c.phrase("ask-price", "I have no price for {item}: what does one cost us? It goes into the shop profile.", "item", c.a(c.noun(done.Unpriced))))
}

// private adds cost and margin for the owners, never where others read along.
func (c *draft) private(done Costed) {
	if !c.turn.Owner || c.turn.Shared {
		return
	}
	q := done.Price
	cost := q.Cost.Total()
	c.r.Private = append(c.r.Private, c.phrase("cost-line", "For you only: cost {cost}, profit {profit}, {hour} for each hour a press is closed.",
		"cost", q.Currency.Format(cost), "profit", q.Currency.Format(q.Profit), "hour", q.Currency.Format(q.ProfitPerPressHour)))
}

// breaks gives the price at other quantities.
func (c *draft) breaks(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	n := total(done.Work.Order)
	quantities := otherQuantities(n)
	if s := c.ask.Subject; s.Quantity > 0 && s.Quantity != n {
		quantities = append([]int{s.Quantity}, quantities...)
	}
	again, err := c.Cost(done.Work.Order, c.turn.Now, quantities)
	if err != nil {
		c.fail(err)
		return
	}
	q := again.Price
	c.r.Quote = q
	t := reply.Table{Header: c.labels("pieces", "each", "in all"), Right: []bool{true, true, true}}
	t.Rows = append(t.Rows, []string{fmt.Sprint(n), q.Currency.Format(effective(q, n)), q.Currency.Format(q.Total)})
	c.computed("price_each", q.Currency.Format(effective(q, n)), q.Currency.Code)
	c.computed("price_total", q.Currency.Format(q.Total), q.Currency.Code)
	c.computed("quantity", n, "count")
	for _, b := range q.Breaks {
		if b.Quantity == n {
			continue
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(b.Quantity), q.Currency.Format(b.PriceEach), q.Currency.Format(b.Total)})
		c.computed("quantity", b.Quantity, "count")
		c.computed(fmt.Sprintf("price_each_at_%d", b.Quantity), q.Currency.Format(b.PriceEach), q.Currency.Code)
		c.computed(fmt.Sprintf("price_total_at_%d", b.Quantity), q.Currency.Format(b.Total), q.Currency.Code)
	}
	next := nextQuantity(n)
	each := q.Currency.Format(effective(q, n))
	wanted := slices.IndexFunc(q.Breaks, func(b price.BreakPrice) bool { return b.Quantity == c.ask.Subject.Quantity && b.Quantity != n })
	if wanted >= 0 {
		b := q.Breaks[wanted]
		next = b.Quantity
		c.say("breaks-at", "{at} pieces: {price} each, {total} in all; the {n} asked for are {each} each.", "at", fmt.Sprint(b.Quantity),
			"price", q.Currency.Format(b.PriceEach), "total", q.Currency.Format(b.Total), "n", fmt.Sprint(n), "each", each)
	} else {
		c.say("breaks", "{n} pieces are {each} each; at other quantities:", "n", fmt.Sprint(n), "each", each)
	}
	c.r.Tables = append(c.r.Tables, t)
	c.examplePrices()
	c.suggest(c.label("make it {n}", "n", fmt.Sprint(next)), "why that price?")
}

// budget finds what a sum buys: the most pieces, or the least price a piece.
// Every whole quantity is priced, since a total may fall past a break.
func (c *draft) budget(done Costed) {
	if c.ask.Subject.Money == "" && c.ask.Subject.Number > 0 {
		c.ask.Subject.Money = plain(c.ask.Subject.Number)
	}
	sum, err := decimal.NewFromString(c.ask.Subject.Money)
	if err != nil || done.Unpriced != "" {
		c.asked("money", c.phrase("ask-budget", "For how much money?"))
		return
	}
	problem := c.priceProblem(done.Work, c.turn.Now, time.Time{}, nil)
	search := price.MostFor
	if c.ask.What == "best-under" {
		search = price.BestUnder
	}
	found, err := search(problem, sum, mostBudget)
	if err != nil {
		c.fail(err)
		return
	}
	format := c.rates.Currency.Format
	code := c.rates.Currency.Code
	c.computed("budget", format(sum), code)
	if found.Quantity == 0 {
		c.computed("least", format(found.Least), code)
		c.say("budget-none", "None for {sum}: the least is {least}.", "sum", format(sum), "least", format(found.Least))
		c.examplePrices()
		return
	}
	c.computed("quantity", found.Quantity, "count")
	c.computed("price_total", format(found.Total), code)
	c.computed("price_each", format(found.Each), code)
	c.say("budget", "{n} for {sum}: {total} in all, {each} each with everything on it.", "n", fmt.Sprint(found.Quantity), "sum", format(sum), "total", format(found.Total), "each", format(found.Each))
	c.examplePrices()
	c.suggest(c.label("make it {n}", "n", fmt.Sprint(found.Quantity)), "price at other quantities")
}

// mostBudget bounds the search for a quantity: far above what a small shop
// presses in a month.
const mostBudget = 2000

// customer is the text to send: no cost, no margin.
func (c *draft) customer(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	for line := range strings.Lines(price.CustomerText(done.Price)) {
		c.r.Lines = append(c.r.Lines, c.told(strings.TrimSpace(line)))
	}
	c.quoteFacts(done)
	c.examplePrices()
	c.suggest("promise it", "price at other quantities")
}

// quoteFacts states the figures of a quote that its texts hold.
func (c *draft) quoteFacts(done Costed) {
	q := done.Price
	c.r.Quote = q
	for _, l := range q.Lines {
		c.computed("quantity", l.Quantity, "count")
		c.computed("price_each", q.Currency.Format(l.PriceEach), q.Currency.Code)
	}
	c.computed("price_total", q.Currency.Format(q.Total), q.Currency.Code)
	c.computed("ready_at", q.ReadyAt, "RFC3339")
	c.computed("valid_until", q.ValidUntil, "date")
}

// inner is the shop's own sheet: cost by part, profit, spares. Owners only,
// and never where others read along.
func (c *draft) inner(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	if !c.seesCosts() {
		return
	}
	t := reply.Table{Header: []string{c.label("line"), done.Price.Currency.Code}, Right: []bool{false, true}}
	for _, row := range price.InnerSheet(done.Price) {
		if row.Amount == "" {
			c.r.Lines = append(c.r.Lines, stop(row.Name+": "+row.Detail))
			continue
		}
		t.Rows = append(t.Rows, []string{row.Name, row.Amount})
	}
	if len(c.r.Lines) == 0 {
		c.say("inner", "The shop's own sheet:")
	}
	c.r.Tables = append(c.r.Tables, t)
	c.quoteFacts(done)
	c.suggest("show the workings", "text for the customer")
}

// seesCosts says so where the asker may not see costs here.
func (c *draft) seesCosts() bool {
	if c.turn.Owner && !c.turn.Shared {
		return true
	}
	c.say("costs-hidden", "What it costs us is shown to the owner, in a direct message.")
	return false
}

// breakEven says from which quantity the other method that fits costs less.
func (c *draft) breakEven(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	first := done.Work.Lines[0]
	for _, x := range first.Plan.Choices {
		if !x.Owned || x.Method == first.Method.ID || x.Verdict == "ruled out" {
			continue
		}
		o := done.Work.Order
		o.Lines = append([]planner.Line{}, o.Lines...)
		o.Lines[0].Method = x.Method
		other, err := c.work(o, c.turn.Now)
		if err != nil {
			continue
		}
		turns, err := price.BreakEven(c.priceProblem(done.Work, c.turn.Now, time.Time{}, nil), c.priceProblem(other, c.turn.Now, time.Time{}, nil), mostTurns)
		if err != nil {
			c.fail(err)
			return
		}
		text := c.told(price.TurnText(turns, c.noun(first.Method.Name), c.noun(c.methodName(x.Method))))
		for _, t := range turns {
			c.computed("from", t.From, "count")
		}
		c.r.Lines = append(c.r.Lines, stop(upper(text)))
		c.examplePrices()
		return
	}
	c.say("no-other", "Only {method} fits that, so there is nothing to weigh it against.", "method", c.a(c.noun(first.Method.Name)))
}

// mostTurns is the largest quantity at which two methods are compared.
const mostTurns = 300

// whyPrice opens the price: to everyone how it is made, to an owner in
// private its lines.
func (c *draft) whyPrice(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	q := done.Price
	n := total(done.Work.Order)
	c.r.Quote = q
	c.computed("price_total", q.Currency.Format(q.Total), q.Currency.Code)
	c.say("why-price", "{total} is {lines} for the pieces{extras}.", "total", q.Currency.Format(q.Total), "lines", q.Currency.Format(q.Subtotal), "extras", c.extras(q))
	c.computed("subtotal", q.Currency.Format(q.Subtotal), q.Currency.Code)
	c.examplePrices()
	if !c.seesCosts() {
		c.r.Quote = nil
		return
	}
	rows := [][]string{}
	parts := []decimal.Decimal{q.Cost.Blanks, q.Cost.Sheets, q.Cost.Toner, q.Cost.Labour, q.Cost.Machine,
		q.Cost.Energy, q.Cost.Spoilage, q.Cost.Overhead, q.Cost.Total(), q.Profit}
	for i, name := range costLabels {
		sum := q.Currency.Format(parts[i])
		c.computed("cost_"+strings.ReplaceAll(name, " ", "_"), sum, q.Currency.Code)
		rows = append(rows, []string{c.label(name), sum})
	}
	c.r.Tables = append(c.r.Tables, reply.Table{Title: c.phrase("cost-of-pieces", "What {n} pieces cost us:", "n", fmt.Sprint(n)), Header: []string{c.label("part"), q.Currency.Code}, Rows: rows, Right: []bool{false, true}})
	c.computed("quantity", n, "count")
}

// costLabels name the parts of a price, in the order of whyPrice's table.
var costLabels = []string{"blanks", "sheets", "toner", "labour", "machine", "energy", "spoilage", "overhead", "cost in all", "profit"}

// workings opens every line of a price to its arithmetic, for owners.
func (c *draft) workings(done Costed) {
	if done.Unpriced != "" {
		c.unpriced(done)
		return
	}
	if !c.seesCosts() {
		return
	}
	for _, s := range done.Price.Steps() {
		c.r.Lines = append(c.r.Lines, s.Name+": "+s.Formula+" = "+s.Result)
	}
	c.r.Quote = done.Price
}

// extrasIn is extras as a clause of its own: "(10.00 set-up in it)".
func (c *draft) extrasIn(q price.Plan) string {
	x := strings.TrimPrefix(c.extras(q), ", ")
	if x == "" {
		return ""
	}
	return " " + c.phrase("extras-in", "({extras} in it)", "extras", x)
}

// extras lists what is charged besides the pieces.
func (c *draft) extras(q price.Plan) string {
	out := ""
	names := []string{"setup", "rush", "minimum_topup", "card_fee", "tax"}
	for i, sum := range []decimal.Decimal{q.Setup, q.Rush, q.MinimumTopup, q.CardFee, q.Tax} {
		if !sum.IsZero() {
			c.computed(names[i], q.Currency.Format(sum), q.Currency.Code)
			out += ", " + q.Currency.Format(sum) + " " + c.label(extraLabels[i])
		}
	}
	if !q.Discount.IsZero() {
		c.computed("discount", q.Currency.Format(q.Discount), q.Currency.Code)
		out += c.phrase("less-discount", ", less {sum} discount", "sum", q.Currency.Format(q.Discount))
	}
	return out
}

// extraLabels name what is charged besides the pieces, in the order of extras.
var extraLabels = []string{"set-up", "rush", "up to the minimum order", "card fee", "tax"}

// whyQuote answers "why?" after a quote.
func (c *draft) whyQuote() {
	o, ok := c.order()
	if !ok {
		return
	}
	done, ok := c.costed(o)
	if !ok {
		return
	}
	c.whyPrice(done)
	if len(done.Work.Lines) > 0 {
		l := done.Work.Lines[0]
		for _, x := range l.Plan.Choices {
			if x.Owned && x.Method != l.Method.ID && x.Verdict == "ruled out" {
				c.say("why-method", "{method} was out: {because}", "method", upper(c.noun(c.methodName(x.Method))), "because", stop(c.becauseOf(x)))
			}
		}
	}
}

// spare answers how many to make for a quantity.
func (c *draft) spare() {
	n := c.ask.Subject.Quantity
	if said := c.ask.Subject.Number; n == 0 && said == math.Trunc(said) {
		n = int(said)
	}
	if n == 0 && c.turn.Memory.Order != nil {
		n = total(*c.turn.Memory.Order)
	}
	if n <= 0 {
		c.asked("quantity", c.phrase("ask-quantity", "How many?"))
		return
	}
	make, err := c.copies(planner.Line{Quantity: n})
	if err != nil {
		c.asked("quantity-absurd", c.phrase("quantity-absurd", "{n} pieces? Please check the number.", "n", fmt.Sprint(n)))
		return
	}
	chance := price.ChanceEnough(make, n, c.shop.Spoilage)
	c.computed("make", make, "count")
	c.computed("spares", make-n, "count")
	c.computed("chance", round(chance*100), "%")
	c.fact(reply.Fact{Name: "spoilage", Value: round(c.shop.Spoilage.Percent()), Unit: "%", Source: reply.Source{Kind: "shop"}})
	c.computed("quantity", n, "count")
	c.say("spare", "Make {make} for {n}: {spare} spare, {chance} sure of enough at {spoilage} spoilage.", "make", fmt.Sprint(make), "n", fmt.Sprint(n),
		"spare", fmt.Sprint(make-n), "chance", rounded(chance*100)+" %", "spoilage", c.style().Percent(c.shop.Spoilage))
	c.say("first-piece", "Check the first piece before you run the rest: a wrong setting spoils them all.")
	c.suggest("quote it", "why?")
}

// money answers what the shop charges besides the pieces.
func (c *draft) money() {
	m := c.shop.Money
	currency := c.rates.Currency
	fact := func(name string, d decimal.Decimal) string {
		c.fact(reply.Fact{Name: name, Value: currency.Format(d), Unit: currency.Code, Source: reply.Source{Kind: "shop"}})
		return currency.Format(d)
	}
	c.say("money", "Set-up {setup} a design, minimum order {minimum}.", "setup", fact("setup", m.Setup), "minimum", fact("minimum", m.Minimum))
	for _, x := range m.Rush {
		c.fact(reply.Fact{Name: "rush", Value: round(x.Share.Percent()), Unit: "%", Source: reply.Source{Kind: "shop"}})
		c.fact(reply.Fact{Name: "rush_days", Value: x.Days, Unit: "count", Source: reply.Source{Kind: "shop"}})
		c.say("money-rush", "Rush: {share} on top inside {days} working days.", "share", c.style().Percent(x.Share), "days", fmt.Sprint(x.Days))
	}
	c.examplePrices()
	if m.Tax > 0 {
		c.fact(reply.Fact{Name: "tax", Value: round(m.Tax.Percent()), Unit: "%", Source: reply.Source{Kind: "shop"}})
		c.say("money-tax", "Tax: {share}.", "share", c.style().Percent(m.Tax))
	}
	c.suggest("quote it")
}
