package main

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"presshand/bot"
	"presshand/bot/answer"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
)

// A ruleBook saves what owners change by chat in the shop's folder and lets the
// bot answer from it.
type ruleBook struct {
	shelf    *knowledge.Shelf
	profile  *shop.Profile
	settings []answer.Option // of the desks it makes
	bot      *bot.Bot
	log      *slog.Logger // nil where nothing is logged

	mu    sync.Mutex // the base saved last is the one that is answered from
	state string     // of the folder, when it was last read by look
}

// Try implements answer.Rules.
func (b *ruleBook) Try(r knowledge.ShopRule) error { return b.shelf.Try(r) }

// Save implements answer.Rules.
func (b *ruleBook) Save(_ context.Context, r knowledge.ShopRule) (*knowledge.ShopRule, *knowledge.Base, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	saved, base, err := b.shelf.Add(r)
	if err != nil {
		return nil, nil, err
	}
	if err := b.renew(base); err != nil {
		return nil, nil, fmt.Errorf("shop rule %d is saved and holds from the next start on: %w", saved.Number(), err)
	}
	return saved, base, nil
}

func (b *ruleBook) renew(base *knowledge.Base) error {
	desk, err := answer.New(base, b.profile, b.settings...)
	if err != nil {
		return err
	}
	b.bot.Renew(base, b.profile, desk)
	return nil
}

// look takes in what others changed in the folder since: another program of the
// same shop, or a hand. Where that has faults, answers go on from what was there
// before.
func (b *ruleBook) look() {
	b.mu.Lock()
	defer b.mu.Unlock()
	now := b.shelf.State()
	if now == b.state {
		return
	}
	b.state = now
	base, err := b.shelf.Base()
	if err == nil {
		err = b.renew(base)
	}
	if err != nil && b.log != nil {
		b.log.Error("the knowledge folder changed and has faults; answers go on from what was there before", "error", err)
	}
}

// factsRules lists the shop's rules.
type factsRules struct{}

// Run implements the command.
func (factsRules) Run(s *session) error {
	h, err := s.open()
	if err != nil {
		return err
	}
	t := reply.Table{Header: []string{"rule", "what", "who", "when", "in which words", "why", "now"}, Right: []bool{true}}
	for _, r := range h.base.ShopRules {
		if r.Undoes != "" {
			continue
		}
		zone := h.profile.Zone
		if zone == nil {
			zone = time.UTC
		}
		row := h.desk.RuleRow(r, zone)
		for i := range row {
			row[i] = oneLine(row[i])
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 {
		s.print("There is no shop rule yet.")
		return nil
	}
	s.print(t.Text())
	return nil
}
