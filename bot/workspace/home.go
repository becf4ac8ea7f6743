package workspace

import (
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

// Bounds of the home tab. Two lists of homeEntries, each entry with up to three
// blocks, leave room for the headers, the dividers and the last lines within the
// platform's hundred blocks. Of the characters, each list leaves the rest to
// what follows it.
const (
	homeEntries    = 14
	homeLine       = 300
	homeDetail     = 150
	homeSay        = 300
	homeButtons    = 5
	homeAfterBoard = 7000
	homeAfterWaits = maxSection + 200
)

// homeView lays the home tab out within the limits of a view.
func homeView(h Home) slack.HomeTabViewRequest {
	b := &homeBuilder{builder: builder{blocks: maxViewBlocks, room: maxPage}}
	b.entries("Today's board", h.Board, "No orders for today. Post one in a channel, or choose New Order below.", homeAfterBoard)
	b.add(slack.NewDividerBlock(), 0)
	b.entries("Waits under way", h.Waits, "No wait is running. Say: start the cool peel for order 12.", homeAfterWaits)
	b.add(slack.NewDividerBlock(), 0)
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
	b.add(slack.NewActionBlock("", newOrderButton()), len("New Ordernew"))
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
	if s = cut(shown(s), maxHeader); b.fits(size(s)) {
		b.add(slack.NewHeaderBlock(plainText(s)), size(s))
	}
}

// entries adds one list as far as it leaves room for what comes after.
func (b *homeBuilder) entries(title string, all []Entry, empty string, after int) {
	b.header(title)
	if len(all) == 0 {
		b.text(empty, maxSection)
		return
	}
	told := 0
	for _, e := range all[:min(len(all), homeEntries)] {
		line, detail := cut(shown(e.Line), homeLine), cut(shown(e.Detail), homeDetail)
		row, n := b.row(e.Buttons)
		if b.room-size(line)-size(detail)-n < after {
			break
		}
		b.text(line, maxSection)
		b.context(detail)
		if len(row) > 0 {
			b.add(slack.NewActionBlock("", row...), n)
		}
		told++
	}
	if more := len(all) - told; more > 0 {
		b.context("and " + strconv.Itoa(more) + " more; ask: what's on the board")
	}
}

// row makes an entry's buttons and counts their characters.
func (b *homeBuilder) row(all []reply.Button) (row []slack.BlockElement, n int) {
	for _, button := range all[:min(len(all), homeButtons)] {
		label := cut(shown(button.Label), maxButton)
		if label == "" || button.Say == "" || size(button.Say) > homeSay {
			continue
		}
		b.said++
		n += size(label) + size(button.Say)
		row = append(row, slack.NewButtonBlockElement(sayAction+strconv.Itoa(b.said), strings.ToValidUTF8(button.Say, "\uFFFD"), plainText(label)))
	}
	return row, n
}
