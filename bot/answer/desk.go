package answer

import (
	"context"
	"time"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner/method"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// A Desk answers. It does not change after New and may be used by any number
// of goroutines.
type Desk struct {
	base      *knowledge.Base
	shop      *shop.Profile
	style     unit.Style
	classes   []method.Class
	methods   []method.Method
	rules     []method.Rule
	tongues   map[string]*tongue // by language; English has none
	topics    map[string]func(*draft)
	colours   map[string]*knowledge.Colour // by id and by every name
	board     Board
	ruled     Rules // nil where no rule can be saved
	pictures  bool
	rates     price.Rates
	pressShop press.Shop
	sheets    []sheet.Sheet
}

// A Turn is what an answer depends on besides the question.
type Turn struct {
	Memory       listen.Memory
	Now          time.Time
	User         string
	Owner        bool // may see costs and margin
	Shared       bool // others read along: costs stay hidden even from an owner
	Conversation string
}

// An Option sets up a Desk.
type Option func(*Desk)

// WithBoard gives the desk the kept orders and waits. Without it the bot says
// that nothing is kept here.
func WithBoard(b Board) Option { return func(d *Desk) { d.board = b } }

// WithPictures makes the desk draw sheets and timelines. Without it answers
// carry no files.
func WithPictures() Option { return func(d *Desk) { d.pictures = true } }

// New returns a desk over a checked base and a checked profile.
//
// Errors: a profile whose money can't be computed with; a checked profile has
// none.
func New(base *knowledge.Base, profile *shop.Profile, options ...Option) (*Desk, error) {
	d := &Desk{
		base: base, shop: profile,
		style: unit.Style{Fahrenheit: profile.Fahrenheit, Inches: profile.Inches},
	}
	for _, o := range options {
		o(d)
	}
	rates, err := ratesOf(base, profile)
	if err != nil {
		return nil, err
	}
	d.rates, d.pressShop, d.sheets = rates, pressShop(profile), sheetsOf(profile)
	d.colours = coloursOf(base)
	d.classes = classesOf(base)
	d.methods = methodsOf(base, profile)
	d.rules = rulesOf(base)
	d.tongues = tonguesOf(base, d.style)
	d.topics = map[string]func(*draft){
		"method": (*draft).method, "setting": (*draft).setting, "wait": (*draft).wait,
		"steps": (*draft).steps, "print": (*draft).print, "placement": (*draft).placement,
		"fault": (*draft).fault, "safety": (*draft).guide, "art": (*draft).art,
		"care": (*draft).care, "colour": (*draft).colour, "term": (*draft).term,
		"quote": (*draft).quote, "plan": (*draft).plan, "convert": (*draft).convert,
		"board": (*draft).boardTopic, "help": (*draft).help, "follow": (*draft).follow,
		"none": (*draft).decline,
	}
	return d, nil
}

// Answer answers one ask.
func (d *Desk) Answer(ctx context.Context, ask listen.Ask, turn Turn) reply.Reply {
	c := &draft{Desk: d, ctx: ctx, ask: ask, turn: turn}
	c.r.Outcome = reply.Answered
	if d.board != nil {
		c.recall()
	}
	c.r.Topic = c.ask.Topic
	topic, ok := d.topics[c.ask.Topic]
	switch ask.Entry.Section {
	case "guides", "cautions", "corrections": // these carry their own answer, whatever the topic
		topic, ok = (*draft).guide, true
	}
	if ask.Wish != nil {
		topic, ok = (*draft).shopRule, true
	}
	if !ok {
		topic = (*draft).decline
	}
	topic(c)
	c.keep()
	return c.finish()
}

// coloursOf finds a trade colour by any word for it; an id or a first entry
// comes before a later entry's further names.
func coloursOf(base *knowledge.Base) map[string]*knowledge.Colour {
	out := map[string]*knowledge.Colour{}
	for _, k := range base.Colours {
		out[k.ID] = k
	}
	for _, k := range base.Colours {
		for _, name := range append([]string{k.Name}, k.Names...) {
			if _, taken := out[name]; !taken {
				out[name] = k
			}
		}
	}
	return out
}
