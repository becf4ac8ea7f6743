package answer

import "presshand/bot/reply"

// A Board keeps orders and waits. The desk asks it in words it understands
// and shows what it says.
type Board interface {
	// Answer handles a board or wait question; ok is false where it is none of
	// its business.
	Answer(ask BoardAsk) (r reply.Reply, ok bool)
}

// A BoardAsk is one question to the board.
type BoardAsk struct {
	Turn  Turn
	Topic string
	What  string
}

// boardTopic answers about kept orders.
func (c *draft) boardTopic() {
	if c.board != nil {
		if r, ok := c.board.Answer(BoardAsk{Turn: c.turn, Topic: c.ask.Topic, What: c.ask.What}); ok {
			c.r = r
			return
		}
	}
	c.r.Topic = "board"
	c.say("no-board", "No orders are kept here: start me with --data and a folder, and quoted orders stay.")
	c.suggest("quote 24 black cotton tees, 9x7 front")
}

// timers answers about running waits.
func (c *draft) timers() {
	if c.board != nil {
		if r, ok := c.board.Answer(BoardAsk{Turn: c.turn, Topic: "wait", What: c.ask.What}); ok {
			c.r = r
			return
		}
	}
	c.say("no-waits", "No wait is running: waits are kept only where I was started with --data and a folder.")
	c.suggest("how long cool peel")
}
