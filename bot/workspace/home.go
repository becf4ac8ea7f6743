package workspace

import (
	"context"
	"strconv"
	"strings"

	"github.com/slack-go/slack"

	"presshand/bot/reply"
)

// A Home is what a user's home tab shows.
type Home struct {
	Board []Entry  // today's orders, by due time
	Waits []Entry  // waits under way
	HowTo []string // examples of what to ask; each becomes a line
}

// An Entry is one line of the home tab.
type Entry struct {
	Line    string // "Order 12, village choir: 24 tees, promised for 3 pm"
	Detail  string // small print; may be empty
	Buttons []reply.Button
}

// homeEntries bounds each list of the home tab; the rest is told as a number.
const homeEntries = 15

// homeView lays the home tab out within the limits of a view.
func homeView(h Home) slack.HomeTabViewRequest {
	b := &homeBuilder{builder: builder{blocks: maxViewBlocks, room: maxPage}}
	b.entries("Today's board", h.Board, "No orders for today. Post one in a channel, or choose New Order below.")
	b.add(slack.NewActionBlock("", newOrderButton()), 9)
	b.entries("Waits under way", h.Waits, "No wait is running. Say: start the cool peel for order 12.")
	b.header("How to ask")
	how := h.HowTo
	if len(how) == 0 {
		how = []string{
			"Mention me in a channel, or write to me directly.",
			"which method for 24 navy 50/50 hoodies with white lettering",
			"how long before I peel",
			"24 black cotton tees, 9x7 front, need it Friday",
		}
	}
	b.text(strings.Join(how, "\n"), maxSection)
	return slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: b.out}}
}

func newOrderButton() *slack.ButtonBlockElement {
	button := slack.NewButtonBlockElement(newOrderAction, "new", plainText("New Order"))
	button.Style = slack.StylePrimary
	return button
}

type homeBuilder struct {
	builder
	said int // buttons so far; their action ids must differ
}

func (b *homeBuilder) header(s string) {
	if s = cut(clean(s), maxHeader); b.fits(size(s)) {
		b.add(slack.NewHeaderBlock(plainText(s)), size(s))
	}
}

// entries adds one list, each list with at most a third of what is left.
func (b *homeBuilder) entries(title string, all []Entry, empty string) {
	b.header(title)
	if len(all) == 0 {
		b.text(empty, maxSection)
		return
	}
	shown := all[:min(len(all), homeEntries)]
	for _, e := range shown {
		b.text(cut(clean(e.Line), 300), maxSection)
		b.context(cut(clean(e.Detail), 150))
		b.buttonRow(e.Buttons)
	}
	if more := len(all) - len(shown); more > 0 {
		b.context("and " + strconv.Itoa(more) + " more; ask: what's on the board")
	}
}

func (b *homeBuilder) buttonRow(all []reply.Button) {
	var row []slack.BlockElement
	n := 0
	for _, button := range all[:min(len(all), 5)] {
		label := cut(strings.TrimSpace(clean(button.Label)), maxButton)
		if label == "" || button.Say == "" || size(button.Say) > 300 {
			continue
		}
		b.said++
		n += size(label) + size(button.Say)
		row = append(row, slack.NewButtonBlockElement(sayAction+strconv.Itoa(b.said), strings.ToValidUTF8(button.Say, "\uFFFD"), plainText(label)))
	}
	if len(row) > 0 && b.fits(n) {
		b.add(slack.NewActionBlock("", row...), n)
	}
}

// ShowHome draws a user's home tab anew: when it is opened, and when what it
// shows has changed.
func (w *Workspace) ShowHome(ctx context.Context, team, user string) error {
	view := homeView(w.cfg.Home(ctx, team, user, w.cfg.Owner(team, user)))
	return w.out.call(ctx, "views.publish", func(ctx context.Context) error {
		_, err := w.api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: user, View: view})
		return err
	})
}
