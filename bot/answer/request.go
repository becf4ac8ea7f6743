package answer

import (
	"fmt"
	"time"

	"presshand/bot/reply"
	"presshand/knowledge"
)

// request passes a wish of somebody who is no owner on to the owners.
func (c *draft) request(r knowledge.ShopRule, text string) error {
	c.ownersDecide()
	if c.board == nil {
		c.say("request-nowhere", "I can't pass it on: requests are kept only where I was started with --data and a folder. Tell an owner.")
		return nil
	}
	q, err := c.board.AddRequest(c.ctx, Request{Rule: r, Text: text, Conversation: c.turn.Conversation, User: c.turn.User, At: c.turn.Now})
	if err != nil {
		return err
	}
	c.computed("request", q.Number, "")
	c.say("request-added", "I have passed it on as request {n}; nothing changes until an owner accepts it.", "n", fmt.Sprint(q.Number))
	if len(c.shop.Owners) == 0 {
		c.say("request-no-owner", "The shop profile names no owner yet: its line “owners” does.")
	}
	c.suggest("open requests", fmt.Sprintf("withdraw request %d", q.Number))
	return nil
}

func (c *draft) ownersDecide() {
	c.say("rule-owners-decide", "Only an owner named in the shop profile changes that.")
}

// listRequests lists what waits for an owner.
func (c *draft) listRequests() error {
	if c.board == nil {
		c.say("requests-nowhere", "No requests are kept here: start me with --data and a folder.")
		return nil
	}
	open, err := c.board.FindRequests(c.ctx, RequestOpen)
	if err != nil {
		return err
	}
	c.computed("requests", len(open), "count")
	if len(open) == 0 {
		c.say("requests-none", "No request is open.")
		c.suggest("shop rules")
		return nil
	}
	for _, q := range open[:min(mostOnBoard, len(open))] {
		c.r.Lines = append(c.r.Lines, c.requestLine(q))
	}
	c.andMore(len(open) - mostOnBoard)
	if c.turn.Owner {
		for _, q := range open[:min(mostChoices, len(open))] {
			c.r.Buttons = append(c.r.Buttons, decisions(q, fmt.Sprintf(" %d", q.Number))...)
		}
	}
	return nil
}

// decisions are the buttons under a request.
func decisions(q Request, of string) []reply.Button {
	return []reply.Button{
		{Label: "Accept" + of, Say: fmt.Sprintf("accept request %d", q.Number)},
		{Label: "Refuse" + of, Say: fmt.Sprintf("refuse request %d", q.Number)},
	}
}

func (c *draft) requestLine(q Request) string {
	c.computed("request", q.Number, "")
	line := c.phrase("request-line", "Request {n}, {who}, {when}: {text}", "n", fmt.Sprint(q.Number), "who", c.who(q.User), "when", c.when(q.At.In(c.turn.Now.Location())), "text", q.Text)
	if q.Rule.Why != "" {
		line += c.phrase("rule-why", ", because {why}", "why", trimStop(q.Rule.Why))
	}
	return line + "."
}

// decidable finds the request an ask names, where it is open.
func (c *draft) decidable() (Request, error) {
	if c.board == nil {
		return Request{}, ErrNoRequest
	}
	q, err := c.board.Request(c.ctx, c.ask.Wish.Number)
	if err == nil && q.State != RequestOpen {
		err = ErrDecided
	}
	return q, err
}

// acceptRequest makes a request a rule.
func (c *draft) acceptRequest() error {
	if !c.turn.Owner {
		c.ownersOnly()
		return nil
	}
	q, err := c.decidable()
	if err != nil {
		return err
	}
	r := q.Rule
	r.WishOf, r.By, r.At = q.User, c.turn.User, c.turn.Now.Format(time.RFC3339Nano)
	saved, _, err := c.saveFor(q, r)
	if err != nil {
		return err
	}
	if err := c.decide(q, RequestAccepted); err != nil {
		return err
	}
	c.computed("shop_rule", saved.Number(), "")
	c.computed("request", q.Number, "")
	c.say("request-accepted", "Accepted request {n} of {who}: {text}. It is shop rule {rule} and holds from now on.", "n", fmt.Sprint(q.Number), "who", c.who(q.User), "text", q.Text, "rule", fmt.Sprint(saved.Number()))
	c.suggest("undo that", "shop rules")
	return nil
}

// saveFor saves the rule of a request once: killed between the rule and the
// note of the decision, the owner says it again and finds the rule there.
func (c *draft) saveFor(q Request, r knowledge.ShopRule) (*knowledge.ShopRule, *knowledge.Base, error) {
	for _, old := range c.base.ShopRules {
		if _, undone := c.base.UndoneBy(old.ID); undone {
			continue
		}
		if old.WishOf == q.User && old.Said == r.Said && old.Undoes == r.Undoes && !old.Made().Before(q.At) {
			return old, c.base, nil
		}
	}
	return c.saveOnce(r)
}

// refuseRequest turns a request down; who made it may withdraw it.
func (c *draft) refuseRequest() error {
	q, err := c.decidable()
	if err != nil && !c.turn.Owner {
		c.ownersOnly()
		return nil
	}
	if err != nil {
		return err
	}
	if !c.turn.Owner && q.User != c.turn.User {
		c.ownersOnly()
		return nil
	}
	if err := c.decide(q, RequestRefused); err != nil {
		return err
	}
	c.computed("request", q.Number, "")
	c.say("request-refused", "Request {n} of {who} is turned down; nothing changes.", "n", fmt.Sprint(q.Number), "who", c.who(q.User))
	c.suggest("open requests")
	return nil
}

func (c *draft) decide(q Request, s RequestState) error {
	q.State, q.DecidedBy, q.DecidedAt = s, c.turn.User, c.turn.Now
	return c.board.DecideRequest(c.ctx, q)
}

// Asked is the word to an owner that somebody wishes a rule.
func (d *Desk) Asked(q Request, now time.Time) reply.Reply {
	c := &draft{Desk: d, turn: Turn{Now: now.In(d.zone())}}
	c.r.Outcome, c.r.Topic = reply.Answered, "setting"
	c.say("request-to-owner", "A request to change a setting of the shop.")
	c.r.Lines = append(c.r.Lines, c.requestLine(q))
	c.r.Buttons = decisions(q, "")
	return c.finish()
}

// Decided is the word to whoever wished a rule that an owner decided.
func (d *Desk) Decided(q Request, now time.Time) reply.Reply {
	c := &draft{Desk: d, turn: Turn{Now: now.In(d.zone())}}
	c.r.Outcome, c.r.Topic = reply.Answered, "setting"
	c.computed("request", q.Number, "")
	if q.State == RequestAccepted {
		c.say("request-decided-yes", "{who} accepted request {n}: {text}. It holds from now on.", "who", c.who(q.DecidedBy), "n", fmt.Sprint(q.Number), "text", q.Text)
	} else {
		c.say("request-decided-no", "{who} turned request {n} down: {text}. Nothing changes.", "who", c.who(q.DecidedBy), "n", fmt.Sprint(q.Number), "text", q.Text)
	}
	return c.finish()
}
