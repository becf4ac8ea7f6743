package answer

import (
	"context"
	"errors"
	"fmt"
	"reflect"
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
)

// Bounds of what is shown at once: a board is read on a phone.
const (
	mostOnBoard = 8
	mostChoices = 4
)

// boardTopic answers about kept orders.
func (c *draft) boardTopic() {
	c.r.Topic = "board"
	if c.board == nil {
		c.say("no-board", "No orders are kept here: start me with --data and a folder, and quoted orders stay.")
		c.suggest("quote 24 black cotton tees, 9x7 front")
		return
	}
	answer := map[string]func() error{
		"next": c.nextUp, "late": c.lateOnes, "promise": c.promise, "state": c.changeState, "find": c.find,
		"same": c.sameAgain, "stock": c.stockEnough, "first": c.dayPlan, "day": c.dayPlan, "history": c.history,
	}[c.ask.What]
	if answer == nil {
		answer = c.boardList
	}
	if err := answer(); err != nil {
		c.unkept(err)
	}
}

// unkept says that the board failed, in words for people; the detail goes to
// the operator.
func (c *draft) unkept(err error) {
	c.r.Note = err.Error()
	var p interface{ Plain() string }
	switch {
	case errors.Is(err, ErrChanged):
		c.say("changed-meanwhile", "Somebody else changed that order just now: look at it again, then say it once more.")
	case errors.Is(err, ErrNoOrder):
		c.say("no-such-order", "There is no such order on the board.")
		c.suggest("board")
	case errors.As(err, &p):
		c.say("not-kept", "Nothing is kept at the moment: {why}.", "why", c.told(p.Plain()))
	default:
		c.say("not-kept-other", "The board does not answer at the moment, and nothing was kept; the rest works.")
	}
}

var (
	numbered = regexp.MustCompile(`(?i)(?:\border(?:s|\s+(?:no|nr|number))?\.?\s*#?\s*|#)(\d{1,7})\b`)
	anyCount = regexp.MustCompile(`\b\d{1,7}\b`)
)

// orderNumber is the number of an order that was named as one: "order 12",
// "#12". 0 where none was.
func orderNumber(text string) int {
	m := numbered.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	n, _ := strconv.Atoi(m[1]) // at most seven digits
	return n
}

// spokenNumber is the number of the order an ask is about: one named as such,
// or the only bare number of a short phrase like "mark 12 ready".
func (c *draft) spokenNumber() int {
	if n := orderNumber(c.said()); n > 0 {
		return n
	}
	text := c.said()
	if s := c.ask.Subject; s.Duration > 0 || s.Ref != "" || !s.When.IsZero() {
		return 0
	}
	if all := anyCount.FindAllString(text, 2); len(all) == 1 {
		n, _ := strconv.Atoi(all[0])
		return n
	}
	return 0
}

// recall gives a question about a price or a time the order it names.
func (c *draft) recall() {
	n := orderNumber(c.said())
	if n == 0 || c.ask.Order.IsOrder || c.ask.Topic != "quote" && c.ask.Topic != "plan" {
		return
	}
	// A number that is none of ours was read as something else.
	if k, err := c.board.Order(c.ctx, n); err == nil {
		c.turn.Memory.Order = &k.Order
	}
}

// Aim corrects what a message was taken for by what only the board knows:
// which orders there are, and that waits are kept. Without a board it only
// sends a question about a numbered order to where it is told that none are kept.
func (d *Desk) Aim(ctx context.Context, ask listen.Ask, turn Turn) listen.Ask {
	if ask.Wish != nil {
		return ask // of a shop rule, and of no order
	}
	text := d.inEnglish(ask)
	if d.board == nil {
		if ask.Topic == "none" && orderNumber(text) > 0 {
			ask.Topic, ask.What = "board", "find"
		}
		return ask
	}
	switch {
	case moves.MatchString(text) && d.onBoard(ctx, moved(text)):
		ask.Topic, ask.What = "board", "state" // "drop 12", "cancel order 12"
	case ask.Subject.Duration > 0 && (ask.Amend && aboutWaits.MatchString(text) || ask.Topic != "wait" && startsWait.MatchString(text)):
		ask.Topic, ask.What = "wait", "start" // "10 minute wait for the choir shirts" changes no order
	case ask.Amend && orderNumber(text) > 0 && total(ask.Order.Order) == orderNumber(text) && d.onBoard(ctx, orderNumber(text)):
		ask.Topic, ask.What = "board", "find" // "history of order 12" is no wish for 12 pieces
	case ask.Amend && ask.Subject.Ref != "" && looksUp.MatchString(text):
		ask.Topic, ask.What = "board", "find" // "find PO-77" changes no reference
	case ask.Topic == "steps" && whatNext.MatchString(text) && aboutOrders(turn.Memory.Last):
		ask.Topic, ask.What = "board", "next"
	case ask.Topic == "none" && orderNumber(text) > 0 && d.onBoard(ctx, orderNumber(text)):
		ask.Topic, ask.What = "board", "state" // "reopen order 12", "who changed order 12"
	default:
		return ask
	}
	ask.Amend, ask.Order, ask.Entry, ask.Changes = false, listen.OrderReading{}, listen.Entry{}, nil
	return ask
}

var (
	aboutWaits = regexp.MustCompile(`\b(?:wait|timer|remind|ping)\b`)
	startsWait = regexp.MustCompile(`^\s*(?:start|set)?\s*(?:an?|the)?\s*\d[\d ./½¼]*[a-z]+\.?\s+(?:wait|timer)\s+(?:for|on)\b`)
	whatNext   = regexp.MustCompile(`^\s*what(?:'s|\x{2019}s|s| is)? next\W*$`)
	looksUp    = regexp.MustCompile(`^\s*(?:find|show|where|status|look)\b`)
	moves      = regexp.MustCompile(`^\s*(?:drop|start|reopen|mark|cancel)\s+(?:order\s+)?#?(\d{1,7})(?:\s+(?:as\s+)?(?:running|ready|done|finished|gone|picked up|collected))?(?:\s+please)?\W*$`)
)

func moved(text string) int {
	n, _ := strconv.Atoi(moves.FindStringSubmatch(text)[1]) // at most seven digits
	return n
}

func (d *Desk) onBoard(ctx context.Context, number int) bool {
	_, err := d.board.Order(ctx, number)
	return err == nil
}

// aboutOrders reports a conversation about orders, or a new one.
func aboutOrders(last *listen.Ask) bool {
	if last == nil {
		return true
	}
	switch last.Topic {
	case "board", "quote", "plan", "wait":
		return true
	}
	return false
}

// keep puts a quoted order on the board, or writes a changed wish into the one
// its conversation speaks of.
func (c *draft) keep() {
	if c.board == nil || c.ask.Topic != "quote" || c.ask.What != "" || !c.ask.Order.IsOrder || c.r.Order == nil {
		return
	}
	q, priced := c.r.Quote.(price.Plan)
	if !priced && c.r.Missing != "price" {
		return
	}
	k, err := c.keptOf(*c.r.Order, q, priced)
	if err == nil {
		k, err = c.putOnBoard(k)
	}
	if err != nil {
		c.unkept(err)
		return
	}
	c.computed("order", k.Number, "")
	c.say("kept", "Kept as order {n}.", "n", fmt.Sprint(k.Number))
	if priced {
		c.orderButtons(k)
	}
}

func (c *draft) keptOf(o planner.Order, q price.Plan, priced bool) (Kept, error) {
	k := Kept{State: Open, Order: o, Conversation: c.turn.Conversation, User: c.turn.User, Created: c.turn.Now}
	if due, err := time.Parse(time.RFC3339, o.Due); err == nil {
		k.Due = due
	}
	if !priced {
		return k, nil
	}
	quote, err := q.Keep()
	if err != nil {
		return k, err
	}
	k.State, k.Quote, k.Total, k.Currency, k.Valid = Priced, quote, q.Currency.Format(q.Total), q.Currency.Code, q.ValidUntil
	if ready, err := time.Parse(time.RFC3339, q.ReadyAt); err == nil {
		k.ReadyAt = ready
	}
	return k, nil
}

// putOnBoard keeps an order. A changed wish changes the conversation's order as
// long as nothing was promised; after that it is an order of its own.
func (c *draft) putOnBoard(k Kept) (Kept, error) {
	if c.ask.Amend && c.turn.Conversation != "" {
		was, err := c.spokenOf()
		if err != nil {
			return k, err
		}
		if was.Number > 0 && reflect.DeepEqual(was.Order, k.Order) {
			return was, nil
		}
		if was.Number > 0 && (was.State == Open || was.State == Priced) {
			k.Number, k.Revision, k.Conversation, k.User, k.Created = was.Number, was.Revision, was.Conversation, was.User, was.Created
			return c.board.Change(c.ctx, k, c.turn.User, c.turn.Now)
		}
		if was.Number > 0 && was.State != Gone && was.State != Dropped {
			c.computed("order", was.Number, "")
			c.say("promise-stays", "Order {n} stays {state} as it was.", "n", fmt.Sprint(was.Number), "state", c.noun(string(was.State)))
		}
	}
	kept, err := c.board.Keep(c.ctx, k)
	if err != nil {
		return k, err
	}
	return kept, c.speak(kept)
}

// spokenOf returns the order the conversation speaks of; its number is 0 where
// there is none.
func (c *draft) spokenOf() (Kept, error) {
	if c.turn.Conversation == "" {
		return Kept{}, nil
	}
	n, err := c.board.About(c.ctx, c.turn.Conversation)
	if err != nil || n == 0 {
		return Kept{}, err
	}
	return c.board.Order(c.ctx, n)
}

func (c *draft) speak(k Kept) error {
	if c.turn.Conversation == "" {
		return nil
	}
	return c.board.Speak(c.ctx, c.turn.Conversation, k.Number)
}

// orderButtons offers what usually follows a quote. Each says which order it is
// about, so that it does what it said however late it is pressed.
func (c *draft) orderButtons(k Kept) {
	n := nextQuantity(total(k.Order))
	c.r.Suggestions = nil
	c.suggest("sheets", "timeline", c.label("make it {n}", "n", fmt.Sprint(n)), "promise it")
	number := fmt.Sprint(k.Number)
	c.r.Buttons = append(c.r.Buttons,
		reply.Button{Label: c.label("Sheets"), Say: c.label("gang sheets for order {n}", "n", number)},
		reply.Button{Label: c.label("Timeline"), Say: c.label("timeline for order {n}", "n", number)},
		reply.Button{Label: c.label("Make it {n}", "n", fmt.Sprint(n)), Say: c.label("make it {n}", "n", fmt.Sprint(n))},
		reply.Button{Label: c.label("Promise it"), Say: c.label("promise order {n}", "n", number)},
	)
	if c.peelsCold(k.Order) {
		c.r.Buttons = append(c.r.Buttons, reply.Button{Label: c.label("Start the cool peel"), Say: c.label("start the cool peel for order {n}", "n", number)})
	}
}

// target finds the order an ask is about, or asks which one.
func (c *draft) target() (Kept, bool, error) {
	if n := c.spokenNumber(); n > 0 {
		k, err := c.board.Order(c.ctx, n)
		if errors.Is(err, ErrNoOrder) {
			c.say("no-order-number", "There is no order {n} on the board.", "n", fmt.Sprint(n))
			c.suggest("board")
			return k, false, nil
		}
		return k, err == nil, err
	}
	if q, ok := c.query(); ok {
		found, err := c.board.Find(c.ctx, q)
		if err != nil {
			return Kept{}, false, err
		}
		found = slices.DeleteFunc(found, func(k Kept) bool { return k.State == Gone || k.State == Dropped })
		if len(found) == 1 {
			return found[0], true, nil
		}
		if len(found) > 1 {
			c.which(found)
			return Kept{}, false, nil
		}
	}
	k, err := c.spokenOf()
	if err != nil {
		return k, false, err
	}
	if k.Number > 0 {
		return k, true, nil
	}
	open, err := c.board.Find(c.ctx, OrderQuery{States: []State{Priced, Promised, Running, Ready}})
	if err != nil {
		return k, false, err
	}
	switch len(open) {
	case 0:
		c.say("board-empty", "Nothing is on the board yet: post an order, and its quote stays.")
		c.suggest("24 black cotton tees, 9x7 front")
	case 1:
		return open[0], true, nil
	default:
		c.which(open)
	}
	return k, false, nil
}

// which asks which of several orders is meant.
func (c *draft) which(of []Kept) {
	var names []string
	for _, k := range of[:min(mostChoices, len(of))] {
		names = append(names, lowerFirst(c.title(k)))
		c.r.Buttons = append(c.r.Buttons, reply.Button{Label: upper(c.label("order {n}", "n", fmt.Sprint(k.Number))), Say: c.wish(k.Number)})
	}
	c.r.Outcome, c.r.Missing = reply.Asked, "order-number"
	c.say("which-order", "Which one: {names}?", "names", c.or(names))
}

// wish is what was asked, said of one order.
func (c *draft) wish(number int) string {
	n := fmt.Sprint(number)
	switch c.ask.What {
	case "promise":
		return c.label(stateWishes[Promised], "n", n)
	case "state":
		if wish, ok := stateWishes[wishedState(c.said())]; ok {
			return c.label(wish, "n", n)
		}
	}
	return c.label("find order {n}", "n", n)
}

// stateWishes say of an order that it is to change.
var stateWishes = map[State]string{
	Promised: "promise order {n}", Running: "start order {n}", Ready: "mark order {n} ready",
	Gone: "order {n} picked up", Dropped: "drop order {n}", Priced: "reopen order {n}",
}

// query reads customer, reference and day of an ask.
func (c *draft) query() (OrderQuery, bool) {
	s := c.ask.Subject
	q := OrderQuery{Customer: s.Customer, Ref: s.Ref}
	if q.Customer == "" && q.Ref == "" {
		q.Customer = c.afterFor()
	}
	if !s.When.IsZero() {
		at := s.When.In(c.turn.Now.Location())
		q.DueFrom = time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, at.Location())
		q.DueTo = q.DueFrom.AddDate(0, 0, 1)
		if strings.EqualFold(q.Customer, lastWord(strings.TrimRight(c.ask.Text, "?!. "))) {
			q.Customer = "" // "orders for Friday" name a day
		}
	}
	return q, q.Customer != "" || q.Ref != "" || !q.DueFrom.IsZero()
}

var forWhom = regexp.MustCompile(`(?i)\bfor\s+(?:the\s+|our\s+)?([\pL][\pL' -]*?)\s*[?.!]*$`)

// afterFor is what follows the last "for": "find order for the choir".
func (c *draft) afterFor() string {
	if m := forWhom.FindStringSubmatch(c.ask.Text); m != nil {
		return strings.ToLower(m[1])
	}
	return lower(c.saidAfter("for"))
}

// what names what an order is for: "24 black cotton tees".
func (c *draft) what(o planner.Order) string {
	var parts []string
	for i, l := range o.Lines {
		if i == 2 && len(o.Lines) > 3 {
			parts = append(parts, c.phrase("more-lines-of-order", "{n} more lines", "n", fmt.Sprint(len(o.Lines)-i)))
			c.computed("lines", len(o.Lines)-i, "count")
			break
		}
		s := subjectOf(l)
		if b, ok := c.base.BlankOf(l.Item); ok {
			s.Blank = b.ID
		}
		c.computed("quantity", l.Quantity, "count")
		parts = append(parts, fmt.Sprintf("%d %s", l.Quantity, c.describe(c.thing(s), l.Quantity)))
	}
	return c.and(parts)
}

// title names an order: "Order 12, village choir".
func (c *draft) title(k Kept) string {
	c.computed("order", k.Number, "")
	t := upper(c.label("order {n}", "n", fmt.Sprint(k.Number)))
	if k.Order.For != "" {
		t += ", " + k.Order.For
	}
	if k.Order.Ref != "" {
		t += " (" + k.Order.Ref + ")"
	}
	return t
}

// row is an order's line on the board.
func (c *draft) row(k Kept) string {
	line := c.title(k) + ": " + c.what(k.Order) + ", " + c.noun(string(k.State))
	if !k.Due.IsZero() && k.State != Gone && k.State != Dropped {
		line += ", " + c.phrase("row-due", "due {when}", "when", c.dueAt(k))
	}
	return stop(line)
}

func (c *draft) dueAt(k Kept) string {
	due := k.Due.In(c.turn.Now.Location())
	c.computed("due", due.Format(time.RFC3339), "RFC3339")
	return c.when(due)
}

// standing are the states of work in hand.
func standing() []State { return []State{Promised, Running, Ready} }

// boardList shows the orders in hand by due time, then what is only priced.
func (c *draft) boardList() error {
	if w := c.ask.Subject.When; !w.IsZero() && w.In(c.turn.Now.Location()).Format(time.DateOnly) != c.turn.Now.Format(time.DateOnly) {
		return c.find() // "orders due Friday"
	}
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Open, Priced, Promised, Running, Ready}})
	if err != nil {
		return err
	}
	var hand, offered []Kept
	for _, k := range all {
		if slices.Contains(standing(), k.State) {
			hand = append(hand, k)
		} else {
			offered = append(offered, k)
		}
	}
	if len(all) == 0 {
		c.say("board-empty", "Nothing is on the board yet: post an order, and its quote stays.")
		c.suggest("24 black cotton tees, 9x7 front")
		return nil
	}
	c.boardHead(len(hand), len(offered))
	shown := append(hand, offered...)
	for _, k := range shown[:min(mostOnBoard, len(shown))] {
		c.r.Lines = append(c.r.Lines, c.row(k))
	}
	c.andMore(len(shown) - mostOnBoard)
	c.suggest("what's next", "what's late", "today's press plan")
	return nil
}

// boardHead counts what is in hand and what is only offered.
func (c *draft) boardHead(hand, offered int) {
	if offered > 0 {
		c.computed("offered", offered, "count")
	}
	if hand == 0 {
		c.say("board-offered-only", "Nothing is promised; {n} {word} wait for a yes or a price.", "n", fmt.Sprint(offered), "word", c.noun(plural(offered, "order")))
		return
	}
	c.computed("orders", hand, "count")
	rest := ""
	if offered > 0 {
		rest = c.phrase("board-offered", ", {n} more not promised", "n", fmt.Sprint(offered))
	}
	c.say("board-head", "{n} {word} in hand{rest}.", "n", fmt.Sprint(hand), "word", c.noun(plural(hand, "order")), "rest", rest)
}

func (c *draft) andMore(n int) {
	if n > 0 {
		c.computed("more", n, "count")
		c.say("and-more", "And {n} more.", "n", fmt.Sprint(n))
	}
}

// nextUp names what runs and what is to be started next.
func (c *draft) nextUp() error {
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Promised, Running}})
	if err != nil {
		return err
	}
	var next *Kept
	for i := range all {
		if all[i].State == Promised && next == nil {
			next = &all[i]
		}
	}
	if next == nil {
		c.say("none-next", "Nothing promised waits to be started.")
	} else {
		c.r.Lines = append(c.r.Lines, c.phrase("next-is", "Next: {row}", "row", lowerFirst(c.row(*next))))
		c.suggest(c.label("start order {n}", "n", fmt.Sprint(next.Number)))
		if err := c.speak(*next); err != nil {
			return err
		}
	}
	for _, k := range all {
		if k.State == Running {
			c.r.Lines = append(c.r.Lines, c.phrase("running-is", "Running: {row}", "row", lowerFirst(c.row(k))))
		}
	}
	c.suggest("board", "today's press plan")
	return nil
}

// lateOnes names what is past its due time, and what the press plan says will
// be.
func (c *draft) lateOnes() error {
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Promised, Running}})
	if err != nil {
		return err
	}
	past := 0
	for _, k := range all {
		if !k.Due.IsZero() && k.Due.Before(c.turn.Now) {
			past++
			late := c.turn.Now.Sub(k.Due)
			c.computed("late", late.Round(time.Minute).Seconds(), "s")
			c.r.Lines = append(c.r.Lines, trimStop(c.row(k))+c.phrase("late-by", ": {late} late.", "late", c.span(late)))
		}
	}
	plan, _, err := c.planBoard(all)
	if err != nil {
		return err
	}
	will := c.willBeLate(plan, all, 0)
	if past+will == 0 {
		c.say("none-late", "Nothing is late, and by the press plan nothing will be.")
	}
	c.suggest("board", "today's press plan")
	return nil
}

// willBeLate adds a line for each order the plan finishes after its due time,
// but for those past it already and the one named, and returns how many.
func (c *draft) willBeLate(plan press.Plan, all []Kept, but int) int {
	n := 0
	for _, l := range plan.Late {
		for _, k := range all {
			if fmt.Sprint(k.Number) != l.Order || k.Due.Before(c.turn.Now) || k.Number == but {
				continue
			}
			n++
			c.computed("late", l.By.Seconds(), "s")
			line := c.phrase("will-be-late", "{order} will be {late} late", "order", c.title(k), "late", c.span(l.By))
			if len(l.Saves) > 0 {
				line += "; " + c.phrase("late-saves", "what would help: {saves}", "saves", c.saving(l.Saves[0]))
			}
			c.r.Lines = append(c.r.Lines, stop(line))
		}
	}
	return n
}

// mostPlanned bounds the pieces that are planned together, so that an answer
// takes no longer than someone waits for it.
const mostPlanned = 600

// planBoard times orders through the shop together, those that run first.
// left are the numbers of orders that can't be timed.
func (c *draft) planBoard(orders []Kept) (plan press.Plan, left []int, err error) {
	p := press.Problem{Start: c.turn.Now.Truncate(time.Second), Shop: c.pressShop}
	pieces := 0
	for _, k := range orders {
		d := &draft{Desk: c.Desk, ctx: c.ctx, turn: Turn{Now: c.turn.Now}}
		w, err := d.work(k.Order, c.turn.Now)
		if err != nil || pieces+total(k.Order) > mostPlanned {
			left = append(left, k.Number)
			continue
		}
		pieces += total(k.Order)
		o := d.pressOrder(w, fmt.Sprint(k.Number))
		o.Due, o.Promised = k.Due, true
		if k.State == Running {
			o.Priority = 1
		}
		p.Orders = append(p.Orders, o)
	}
	if len(p.Orders) == 0 {
		return press.Plan{}, left, nil
	}
	plan, err = press.Solve(p)
	return plan, left, err
}

// dayPlan is the press plan over everything promised.
func (c *draft) dayPlan() error {
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Promised, Running}})
	if err != nil {
		return err
	}
	if len(all) == 0 {
		c.say("nothing-promised", "Nothing is promised, so there is nothing to plan.")
		c.suggest("board")
		return nil
	}
	plan, left, err := c.planBoard(all)
	if err != nil {
		return err
	}
	if len(plan.Ready) > 0 {
		c.r.Plan = plan
		finish := plan.Finish.In(c.turn.Now.Location())
		c.computed("orders", len(plan.Ready), "count")
		c.computed("ready_at", finish.Format(time.RFC3339), "RFC3339")
		c.say("day-plan", "{n} {word}, all ready {when}.", "n", fmt.Sprint(len(plan.Ready)), "word", c.noun(plural(len(plan.Ready), "order")), "when", c.when(finish))
		c.willBeLate(plan, all, 0)
		c.runList(plan)
		c.timelinePicture(plan)
	}
	if len(left) > 0 {
		var names []string
		for _, n := range left {
			c.computed("order", n, "")
			names = append(names, fmt.Sprint(n))
		}
		c.say("left-out", "Not in the plan: order {which}.", "which", c.and(names))
	}
	c.suggest("what's late", "board")
	return nil
}

// promise commits the shop to an order.
func (c *draft) promise() error {
	k, ok, err := c.target()
	if err != nil || !ok {
		return err
	}
	switch {
	case k.State == Promised:
		c.r.Lines = append(c.r.Lines, c.phrase("already", "Already: {row}", "row", lowerFirst(c.row(k))))
		return c.speak(k)
	case k.Quote == nil:
		c.say("no-price-yet", "{order} has no price yet, so it can't be promised: say what the blank costs us, or post it again.", "order", c.title(k))
		return c.speak(k)
	case !slices.Contains(next(k.State), Promised):
		c.cannot(k, Promised)
		return c.speak(k)
	case k.Valid != "" && k.Valid < c.turn.Now.Format(time.DateOnly):
		c.computed("valid_until", k.Valid, "date")
		c.say("quote-old", "The price of {order} held until {day}: post the order again for today's price.", "order", lowerFirst(c.title(k)), "day", k.Valid)
		return c.speak(k)
	}
	if s := c.ask.Subject.When; !s.IsZero() {
		k.Due = s
	}
	if k.Due.IsZero() {
		k.Due = k.ReadyAt
		c.assume(c.phrase("assume-due", "due when it was quoted to be ready"))
	}
	k.State = Promised
	if k, err = c.board.Change(c.ctx, k, c.turn.User, c.turn.Now); err != nil {
		return err
	}
	c.promised(k)
	if err := c.speak(k); err != nil {
		return err
	}
	return c.inTime(k)
}

func (c *draft) promised(k Kept) {
	kept := k.Order
	c.r.Order = &kept
	c.computed("price_total", k.Total, k.Currency)
	c.say("promised", "{order}: promised for {when}, {what}, {total} in all.", "order", c.title(k), "when", c.dueAt(k), "what", c.what(k.Order), "total", k.Total)
	c.suggest(c.label("start order {n}", "n", fmt.Sprint(k.Number)), "today's press plan", "board")
}

// inTime says how a promise goes with everything else that is promised.
func (c *draft) inTime(k Kept) error {
	all, err := c.board.Find(c.ctx, OrderQuery{States: []State{Promised, Running}})
	if err != nil {
		return err
	}
	plan, _, err := c.planBoard(all)
	if err != nil {
		return err
	}
	for _, r := range plan.Ready {
		if r.Order != fmt.Sprint(k.Number) {
			continue
		}
		ready := r.At.In(c.turn.Now.Location())
		c.computed("ready_at", ready.Format(time.RFC3339), "RFC3339")
		line := c.phrase("ready-with-board", "With all that is promised: ready {when}", "when", c.when(ready))
		if late := ready.Sub(k.Due); late > 0 {
			c.computed("late", late.Seconds(), "s")
			line += ", " + c.phrase("late-for-it", "{late} late", "late", c.span(late))
		} else {
			line += ", " + c.phrase("in-time-for-it", "in time")
		}
		c.r.Lines = append(c.r.Lines, stop(line))
	}
	c.willBeLate(plan, all, k.Number)
	return nil
}

func (c *draft) cannot(k Kept, to State) {
	c.say("cannot", "{order} is {state}, so it can't become {to}: nothing was changed.", "order", c.title(k), "state", c.noun(string(k.State)), "to", c.noun(string(to)))
}

// wishedState reads the state out of what was said: "mark 12 ready", "drop it".
func wishedState(text string) State {
	for _, w := range []struct {
		state State
		words []string
	}{
		{Dropped, []string{"drop", "cancel"}},
		{Priced, []string{"reopen", "bring back", "undo"}},
		{Gone, []string{"picked up", "pick up", "collected", "gone", "handed", "delivered", "shipped"}},
		{Promised, []string{"promise"}},
		{Running, []string{"start", "running", "begin", "under way"}},
		{Ready, []string{"ready", "done", "finished", "complete"}},
	} {
		for _, word := range w.words {
			if strings.Contains(strings.ToLower(text), word) {
				return w.state
			}
		}
	}
	return ""
}

// changeState moves an order on: start, ready, picked up, drop, reopen.
func (c *draft) changeState() error {
	to := wishedState(c.said())
	switch {
	case to == "":
		return c.find()
	case to == Promised:
		return c.promise()
	case asksWhether(c.said()):
		return c.find()
	}
	k, ok, err := c.target()
	if err != nil || !ok {
		return err
	}
	if err := c.speak(k); err != nil {
		return err
	}
	switch {
	case to == Priced && k.State == Gone: // handed out by mistake: it is ready again
		to = Ready
	case k.State == to:
		c.r.Lines = append(c.r.Lines, c.phrase("already", "Already: {row}", "row", lowerFirst(c.row(k))))
		return nil
	case !slices.Contains(next(k.State), to):
		c.cannot(k, to)
		return nil
	}
	if to == Priced && k.Quote == nil {
		to = Open
	}
	was := k.State
	k.State = to
	if k, err = c.board.Change(c.ctx, k, c.turn.User, c.turn.Now); err != nil {
		return err
	}
	kept := k.Order
	c.r.Order = &kept
	c.r.Lines = append(c.r.Lines, c.row(k))
	c.say("was-state", "It was {state}.", "state", c.noun(string(was)))
	c.suggestFor(k)
	return nil
}

// asksWhether reports a question about a state, not a wish for it.
func asksWhether(text string) bool {
	t := strings.ToLower(strings.TrimSpace(text))
	return strings.HasPrefix(t, "is ") || strings.HasPrefix(t, "has ") || strings.HasPrefix(t, "was ") || strings.HasPrefix(t, "when ")
}

func (c *draft) suggestFor(k Kept) {
	n := fmt.Sprint(k.Number)
	say := func(to State) string { return c.label(stateWishes[to], "n", n) }
	switch k.State {
	case Priced:
		c.suggest(say(Promised), say(Dropped))
	case Promised:
		c.suggest(say(Running), c.label("timeline for order {n}", "n", n))
	case Running:
		c.suggest(say(Ready))
		if c.peelsCold(k.Order) {
			c.suggest(c.label("start the cool peel for order {n}", "n", n))
		}
	case Ready:
		c.suggest(say(Gone))
	case Dropped, Gone:
		c.suggest(say(Priced))
	}
	c.suggest(c.label("history of order {n}", "n", n), "board")
}

// find shows one order, or lists those that fit.
func (c *draft) find() error {
	if strings.Contains(lower(c.said()), "history") || strings.Contains(lower(c.said()), "who changed") {
		return c.history()
	}
	if wishedState(c.said()) == Priced && !asksWhether(c.said()) {
		return c.changeState()
	}
	if c.spokenNumber() == 0 {
		if q, ok := c.query(); ok {
			return c.findAll(q)
		}
	}
	k, ok, err := c.target()
	if err != nil || !ok {
		return err
	}
	return c.show1(k)
}

func (c *draft) findAll(q OrderQuery) error {
	found, err := c.board.Find(c.ctx, q)
	if err != nil {
		return err
	}
	switch len(found) {
	case 0:
		c.say("none-found", "No order on the board fits that.")
		c.suggest("board")
		return nil
	case 1:
		return c.show1(found[0])
	}
	c.computed("orders", len(found), "count")
	c.say("found", "{n} orders:", "n", fmt.Sprint(len(found)))
	for _, k := range found[:min(mostOnBoard, len(found))] {
		c.r.Lines = append(c.r.Lines, c.row(k))
	}
	c.andMore(len(found) - mostOnBoard)
	return nil
}

// show1 opens one order: what, when, how much; never what it costs us.
func (c *draft) show1(k Kept) error {
	kept := k.Order
	c.r.Order = &kept
	c.r.Lines = append(c.r.Lines, c.row(k))
	if k.Total != "" {
		c.computed("price_total", k.Total, k.Currency)
		line := c.phrase("total-of", "{total} in all", "total", k.Total)
		if !k.ReadyAt.IsZero() && (k.State == Priced || k.State == Promised) {
			ready := k.ReadyAt.In(c.turn.Now.Location())
			c.computed("ready_at", ready.Format(time.RFC3339), "RFC3339")
			line += "; " + c.phrase("quoted-ready", "quoted as ready {when}", "when", c.when(ready))
		}
		c.r.Lines = append(c.r.Lines, stop(line))
	}
	if k.Order.Note != "" {
		c.say("note-of", "Note: {note}", "note", stop(k.Order.Note))
	}
	c.profitOf(k)
	c.suggestFor(k)
	return c.speak(k)
}

// profitOf shows an owner what a kept quote leaves, where nobody reads along.
func (c *draft) profitOf(k Kept) {
	if !c.turn.Owner || c.turn.Shared || k.Quote == nil {
		return
	}
	q, err := price.Kept(k.Quote)
	if err != nil {
		c.r.Note = err.Error()
		return
	}
	c.r.Private = append(c.r.Private, c.phrase("cost-line", "For you only: cost {cost}, profit {profit}, {hour} a press hour.",
		"cost", q.Currency.Format(q.Cost.Total()), "profit", q.Currency.Format(q.Profit), "hour", q.Currency.Format(q.ProfitPerPressHour)))
}

// history tells what happened to an order: when, who, what.
func (c *draft) history() error {
	k, ok, err := c.target()
	if err != nil || !ok {
		return err
	}
	changes, err := c.board.History(c.ctx, k.Number)
	if err != nil {
		return err
	}
	c.r.Lines = append(c.r.Lines, c.row(k))
	told := changes[max(0, len(changes)-mostOnBoard):]
	for _, x := range told {
		at := x.At.In(c.turn.Now.Location())
		c.computed("changed_at", at.Format(time.RFC3339), "RFC3339")
		c.say("change", "{when}, {who}: {what}.", "when", c.when(at), "who", c.who(x.User), "what", c.changeWords(x))
	}
	return c.speak(k)
}

func (c *draft) changeWords(x Change) string {
	switch x.What {
	case "kept":
		return c.phrase("change-kept", "kept as {to}", "to", c.noun(x.To))
	case "state":
		return c.phrase("change-state", "{from} to {to}", "from", c.noun(x.From), "to", c.noun(x.To))
	case "total":
		c.computed("price_total", x.From, c.rates.Currency.Code)
		c.computed("price_total", x.To, c.rates.Currency.Code)
		return c.phrase("change-total", "total {from} to {to}", "from", c.orNone(x.From), "to", c.orNone(x.To))
	case "due":
		return c.phrase("change-due", "due {from} to {to}", "from", c.stampWords(x.From), "to", c.stampWords(x.To))
	}
	return c.phrase("change-other", "{what} changed", "what", c.noun(x.What))
}

func (c *draft) orNone(s string) string {
	if s == "" {
		return c.noun("none")
	}
	return s
}

func (c *draft) stampWords(s string) string {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return c.orNone(s)
	}
	t = t.In(c.turn.Now.Location())
	c.computed("due", t.Format(time.RFC3339), "RFC3339")
	return c.when(t)
}

// who names a user without their workspace.
func (c *draft) who(user string) string {
	if i := strings.LastIndexByte(user, '/'); i >= 0 {
		return user[i+1:]
	}
	return c.orNone(user)
}

// sameAgain quotes the last order once more: the customer's that is named,
// else the conversation's, else the asker's own.
func (c *draft) sameAgain() error {
	k, ok, err := c.lastTime()
	if err != nil {
		return err
	}
	if !ok {
		c.say("no-last-time", "I have no earlier order of that kind: post it once, and next time I have it.")
		return nil
	}
	o := k.Order
	o.Due, o.Rush, o.ArtOK, o.BlanksBy = "", false, true, ""
	if w := c.ask.Subject.When; !w.IsZero() {
		o.Due = w.Format(time.RFC3339)
	}
	c.computed("order", k.Number, "")
	c.assume(c.phrase("assume-same", "the same as order {n}, art as approved then", "n", fmt.Sprint(k.Number)))
	c.ask = listen.Ask{Topic: "quote", Lang: c.ask.Lang, Text: c.ask.Text, Order: listen.OrderReading{Order: o, IsOrder: true}}
	c.r.Topic = "quote"
	c.quote()
	return nil
}

func (c *draft) lastTime() (Kept, bool, error) {
	if n := orderNumber(c.said()); n > 0 {
		k, err := c.board.Order(c.ctx, n)
		if errors.Is(err, ErrNoOrder) {
			return k, false, nil
		}
		return k, err == nil, err
	}
	q := OrderQuery{Latest: true, Limit: 1}
	q.Customer = c.ask.Subject.Customer
	if q.Customer == "" {
		q.Customer = c.afterFor()
	}
	if q.Customer == "" {
		k, err := c.spokenOf()
		if err != nil || k.Number > 0 {
			return k, k.Number > 0, err
		}
		q.User = c.turn.User
	}
	found, err := c.board.Find(c.ctx, q)
	if err != nil || len(found) == 0 {
		return Kept{}, false, err
	}
	return found[0], true, nil
}

// An Entry is an order or a wait as a line for a page: what, and how much is
// left to say in small print.
type Entry struct {
	Line, Detail string
	Buttons      []reply.Button
}

// Entries are the orders in hand as lines for a page, by due time.
func (d *Desk) Entries(orders []Kept, turn Turn) []Entry {
	var out []Entry
	for _, k := range orders {
		c := &draft{Desk: d, turn: turn}
		e := Entry{Line: c.row(k)}
		if k.Total != "" {
			e.Detail = k.Total + " " + k.Currency
		}
		e.Buttons = c.stateButtons(k)
		out = append(out, e)
	}
	return out
}

func (c *draft) stateButtons(k Kept) []reply.Button {
	n := fmt.Sprint(k.Number)
	say := func(to State) string { return c.label(stateWishes[to], "n", n) }
	switch k.State {
	case Priced:
		return []reply.Button{{Label: c.label("Promise"), Say: say(Promised)}, {Label: c.label("Drop"), Say: say(Dropped)}}
	case Promised:
		return []reply.Button{{Label: c.label("Start"), Say: say(Running)}, {Label: c.label("Timeline"), Say: c.label("timeline for order {n}", "n", n)}}
	case Running:
		buttons := []reply.Button{{Label: c.label("Ready"), Say: say(Ready)}}
		if c.peelsCold(k.Order) {
			buttons = append(buttons, reply.Button{Label: c.label("Start the cool peel"), Say: c.label("start the cool peel for order {n}", "n", n)})
		}
		return buttons
	case Ready:
		return []reply.Button{{Label: c.label("Picked up"), Say: say(Gone)}}
	}
	return nil
}

// MoneyOf is an order's total as a number, for tables; ok is false where it has
// no price.
func MoneyOf(k Kept) (d decimal.Decimal, ok bool) {
	d, err := decimal.NewFromString(k.Total)
	return d, err == nil
}

// What names what an order is for, in words: "24 black cotton tees".
func (d *Desk) What(o planner.Order) string { return (&draft{Desk: d}).what(o) }
