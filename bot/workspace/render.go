package workspace

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/slack-go/slack"

	"presshand/bot/reply"
)

// sayAction begins the action id of every button that stands for a sentence.
const sayAction = "say."

// restFile is the file that takes what is too long for a message.
const restFile = "answer.txt"

// A page is an answer as the platform takes it.
type page struct {
	Text   string // escaped; what notifications and screen readers give
	Blocks []slack.Block
	Rest   string // the whole answer in plain text, where the blocks could not hold it
}

// render lays an answer out as blocks within every published limit. private
// says whether the reader may see the owner's lines.
//
// All text stands in plain-text or rich-text elements, where the platform reads
// no markup; only the fallback is read as markup, and it is escaped.
//
// Room is given first to the first line, the cautions and the buttons, then to
// the rest in order; what finds no room goes into a file, nothing is lost.
func render(r reply.Reply, private bool) page {
	b := builder{blocks: maxBlocks, room: maxPage}
	buttons, others := offers(r)
	tail := b.reserve(func(t *builder) {
		t.text(cautionText(r), maxSection*2)
		t.context(labelled(r.Labels().Took+" ", r.Assumptions))
		t.context(labelled(r.Labels().Next+" ", others))
		t.buttons(buttons)
	})
	b.text(first(r.Lines), maxSection)
	b.text(strings.Join(rest(r.Lines), "\n"), maxPage)
	tables := 0
	for _, t := range r.Tables {
		if tables == 0 && b.table(t) {
			tables++
			continue
		}
		b.tableText(t)
	}
	if private {
		b.text(strings.Join(r.Private, "\n"), maxPage)
	}
	short := b.short || tail.short
	whole := plain(r, private)
	p := page{Text: escapeWithin(whole, maxFallback), Blocks: append(b.out, tail.out...)}
	if short {
		p.Rest = whole
	}
	if len(p.Blocks) == 0 {
		p.Blocks = []slack.Block{plainSection("(no text)")}
	}
	if p.Text == "" {
		p.Text = "(no text)"
	}
	return p
}

// offered is how many suggestions stand as buttons.
const offered = 5

// offers makes buttons of suggestions where an answer has no buttons of its own:
// a press saves typing. The rest stay a line of text.
func offers(r reply.Reply) (buttons []reply.Button, others []string) {
	if len(r.Buttons) > 0 {
		return r.Buttons, r.Suggestions
	}
	for _, s := range r.Suggestions {
		if len(buttons) < offered && size(s) <= maxButton && shown(s) != "" {
			buttons = append(buttons, reply.Button{Label: s, Say: s})
		} else {
			others = append(others, s)
		}
	}
	return buttons, others
}

// note adds a line of small print of the face's own at the end.
func (p *page) note(line string) {
	p.Blocks = append(p.Blocks[:min(len(p.Blocks), maxBlocks-1)], slack.NewContextBlock("", plainText(line)))
}

// plain is the whole answer as text, in the order of the blocks.
func plain(r reply.Reply, private bool) string {
	parts := []string{strings.Join(r.Lines, "\n")}
	for _, t := range r.Tables {
		parts = append(parts, strings.TrimLeft(t.Title+"\n", "\n")+strings.Join(aligned(t), "\n"))
	}
	if private {
		parts = append(parts, strings.Join(r.Private, "\n"))
	}
	parts = append(parts, cautionText(r), labelled(r.Labels().Took+" ", r.Assumptions), labelled(r.Labels().Next+" ", r.Suggestions))
	var said []string
	for _, part := range parts {
		if part = strings.TrimSpace(clean(part)); part != "" {
			said = append(said, part)
		}
	}
	return strings.Join(said, "\n\n")
}

func first(lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return lines[0]
}

func rest(lines []string) []string {
	if len(lines) < 2 {
		return nil
	}
	return lines[1:]
}

func cautionText(r reply.Reply) string {
	var lines []string
	for _, c := range r.Cautions {
		if c.Text != "" {
			lines = append(lines, r.Labels().Careful+" "+c.Text)
		}
	}
	return strings.Join(lines, "\n")
}

func labelled(label string, parts []string) string {
	if len(parts) == 0 {
		return ""
	}
	return label + strings.Join(parts, " · ")
}

// A builder collects blocks and never exceeds what it may use.
type builder struct {
	out    []slack.Block
	blocks int  // blocks that may still be added
	room   int  // characters that may still be added
	short  bool // something found no room
}

// reserve builds the tail of a page first, so that its room is kept.
func (b *builder) reserve(build func(*builder)) builder {
	t := builder{blocks: b.blocks / 2, room: b.room / 2}
	build(&t)
	b.blocks -= len(t.out)
	b.room -= b.room/2 - t.room
	return t
}

// fits reports whether one more block of n characters has room, and notes it
// where it has not.
func (b *builder) fits(n int) bool {
	if b.blocks < 1 || n > b.room {
		b.short = true
		return false
	}
	return true
}

func (b *builder) add(block slack.Block, n int) {
	b.out = append(b.out, block)
	b.blocks--
	b.room -= n
}

// text adds plain text in as many sections as it needs, up to limit characters.
func (b *builder) text(s string, limit int) {
	s = shown(s)
	if size(s) > limit {
		s, b.short = cut(s, limit), true
	}
	for _, piece := range chunks(s, maxSection) {
		if left := min(b.room, maxSection); size(piece) > left && left > 1 {
			piece, b.short = cut(piece, left), true
		}
		if !b.fits(size(piece)) {
			return
		}
		b.add(plainSection(piece), size(piece))
	}
}

// context adds one line in small print.
func (b *builder) context(s string) {
	s = shown(s)
	if s == "" {
		return
	}
	if size(s) > maxContext {
		s, b.short = cut(s, maxContext), true
	}
	if b.fits(size(s)) {
		b.add(slack.NewContextBlock("", plainText(s)), size(s))
	}
}

// buttons adds one row of buttons. One whose sentence is too long to carry is
// left out: cut short it would say something else.
func (b *builder) buttons(all []reply.Button) {
	var row []slack.BlockElement
	n := 0
	for i, button := range all {
		label := cut(shown(button.Label), maxButton)
		if label == "" || button.Say == "" || size(button.Say) > maxValue || len(row) == maxActions {
			continue
		}
		cost := size(label) + size(button.Say)
		if n+cost > b.room {
			break
		}
		n += cost
		row = append(row, slack.NewButtonBlockElement(sayAction+strconv.Itoa(i), strings.ToValidUTF8(button.Say, "\uFFFD"), plainText(label)))
	}
	if len(row) > 0 && b.fits(n) {
		b.add(slack.NewActionBlock("", row...), n)
	}
}

// headerCell is what the platform may count for the mark-up of a bold cell.
const headerCell = 100

// table adds a table block, or reports that the table is too large for one.
func (b *builder) table(t reply.Table) bool {
	rows := grid(t)
	n := size(clean(t.Title)) + len(t.Header)*headerCell
	for _, row := range rows {
		for _, cell := range row {
			n += size(cell)
		}
	}
	if len(rows) == 0 || len(rows) > maxTableRows || len(rows[0]) > maxTableColumns || n > maxTable || n > b.room || b.blocks < 2 {
		return false
	}
	b.title(t.Title)
	block := slack.NewTableBlock("")
	for i, row := range rows {
		cells := make([]slack.TableCell, len(row))
		for j, cell := range row {
			cells[j] = tableCell(cell, i == 0 && len(t.Header) > 0)
		}
		block.Rows = append(block.Rows, cells)
	}
	for i := range rows[0] {
		align := slack.ColumnAlignmentLeft
		if i < len(t.Right) && t.Right[i] {
			align = slack.ColumnAlignmentRight
		}
		block.ColumnSettings = append(block.ColumnSettings, slack.ColumnSetting{Align: align, IsWrapped: true})
	}
	b.add(block, n-size(clean(t.Title)))
	return true
}

// title adds a table's title in bold.
func (b *builder) title(s string) {
	s = cut(shown(s), maxHeader)
	if s != "" && b.fits(size(s)) {
		b.add(rich(slack.NewRichTextSection(bold(s))), size(s))
	}
}

// maxTextRows is how many rows of a table too large for a block are shown as
// text: a screenful. All of them are in the attached file.
const maxTextRows = 40

// tableText adds a table as aligned text, and as much of it as has room.
func (b *builder) tableText(t reply.Table) {
	b.title(t.Title)
	rows := aligned(t)
	if len(rows) > maxTextRows+1 {
		rows = append(rows[:maxTextRows:maxTextRows], fmt.Sprintf("… %d more rows", len(rows)-maxTextRows))
		b.short = true
	}
	for _, piece := range chunks(strings.Join(rows, "\n"), maxSection) {
		if !b.fits(size(piece)) {
			return
		}
		b.add(rich(&slack.RichTextPreformatted{
			Type:     slack.RTEPreformatted,
			Elements: []slack.RichTextSectionElement{slack.NewRichTextSectionTextElement(piece, nil)},
		}), size(piece))
	}
}

// grid is the table with its header as the first row, every row of the same
// length and no cell empty, as the platform wants it.
func grid(t reply.Table) [][]string {
	var rows [][]string
	if len(t.Header) > 0 {
		rows = append(rows, t.Header)
	}
	rows = append(rows, t.Rows...)
	width := 0
	for _, row := range rows {
		width = max(width, len(row))
	}
	if width == 0 {
		return nil
	}
	out := make([][]string, len(rows))
	for i, row := range rows {
		out[i] = make([]string, width)
		for j := range out[i] {
			if j < len(row) {
				out[i][j] = shown(row[j])
			}
			if out[i][j] == "" {
				out[i][j] = "–"
			}
		}
	}
	return out
}

// aligned is the table as lines of equal columns.
func aligned(t reply.Table) []string {
	rows := grid(t)
	var widths []int
	for _, row := range rows {
		for j, cell := range row {
			if j == len(widths) {
				widths = append(widths, 0)
			}
			widths[j] = max(widths[j], runewidth.StringWidth(oneLine(cell)))
		}
	}
	lines := make([]string, len(rows))
	for i, row := range rows {
		cells := make([]string, len(row))
		for j, cell := range row {
			if j < len(t.Right) && t.Right[j] {
				cells[j] = runewidth.FillLeft(oneLine(cell), widths[j])
			} else {
				cells[j] = runewidth.FillRight(oneLine(cell), widths[j])
			}
		}
		lines[i] = strings.TrimRight(strings.Join(cells, "  "), " ")
	}
	return lines
}

func oneLine(s string) string { return strings.ReplaceAll(s, "\n", " ") }

func tableCell(s string, header bool) slack.TableCell {
	if header {
		return slack.NewTableRichTextCell(slack.NewRichTextSection(bold(s)))
	}
	return slack.NewTableRawTextCell(s)
}

func bold(s string) slack.RichTextSectionElement {
	return slack.NewRichTextSectionTextElement(s, &slack.RichTextSectionTextStyle{Bold: true})
}

func rich(element slack.RichTextElement) slack.Block { return slack.NewRichTextBlock("", element) }

// plainText is text in which the platform reads neither markup nor emoji names.
func plainText(s string) *slack.TextBlockObject {
	return slack.NewTextBlockObject(slack.PlainTextType, s, false, false)
}

func plainSection(s string) slack.Block { return slack.NewSectionBlock(plainText(s), nil, nil) }

// apology is the answer where the handler failed.
func apology(note string) reply.Reply {
	return reply.Reply{
		Outcome: reply.Declined, Topic: "none", Note: note,
		Lines: []string{"Something went wrong on my side, and I could not answer that. Please ask again; if it stays like this, tell whoever looks after me."},
	}
}

// tooSlow is the answer where the handler did not come back in time.
func tooSlow(seconds float64) reply.Reply {
	return reply.Reply{
		Outcome: reply.Declined, Topic: "none",
		Lines: []string{fmt.Sprintf("That took me longer than %.0f s, so I stopped. Please ask for less at once, or ask again in a minute.", seconds)},
	}
}
