package answer

import (
	"fmt"
	"math"
	"slices"
	"time"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
	"presshand/planner/method"
	"presshand/planner/press"
	"presshand/planner/price"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// A Work is an order made ready for the planners: a method, a recipe and the
// sheets for each of its lines.
type Work struct {
	Order   planner.Order
	Lines   []WorkLine
	Assumed []string
	Release time.Time // when blanks are here and work may begin
	Waits   []string  // what the ready time waits for
}

// A WorkLine is one line of a Work.
type WorkLine struct {
	planner.Line
	thing  thing
	Plan   method.Plan
	Method *knowledge.Method
	Recipe *knowledge.Recipe
	Blank  *shop.Blank // nil where the shop has no price for it
	Make   int         // pieces, spares included
	On     sheet.Sheet // what its prints are printed on
	Layout sheet.Plan  // of all its prints for Make pieces
	packs  *packs
}

// Sheets returns the sheets for n pieces of the line, all its prints ganged.
func (l WorkLine) Sheets(n int) int { return l.packs.count(n) }

func ceilDiv(a, b int) int {
	if b <= 0 {
		return 0
	}
	return (a + b - 1) / b
}

// A Lack is the one thing missing before an order can be worked out.
type Lack struct {
	Missing string // "fibre", "colour", "size", "blank", "price", ...
	Ask     string
	Choices []string
	Refuse  bool // the wish is declined, not asked back
	Caution []string
	Facts   []reply.Fact // figures that Ask states
}

func (l *Lack) Error() string { return l.Ask }

// Work makes an order ready. A *Lack error says what is missing, or why the
// order is declined.
func (c *draft) work(o planner.Order, now time.Time) (Work, error) {
	w := Work{Order: o, Release: now}
	if len(o.Lines) == 0 {
		return w, &Lack{Missing: "blank", Ask: c.phrase("ask-order", "How many of what blank, in what colour, and how large is the print?")}
	}
	for _, line := range o.Lines {
		l, err := c.workLine(line, &w)
		if err != nil {
			return w, err
		}
		w.Lines = append(w.Lines, l)
	}
	w.Order.Lines = nil
	for _, l := range w.Lines {
		w.Order.Lines = append(w.Order.Lines, l.Line)
	}
	c.release(&w, now)
	return w, w.settle()
}

// settle lays out the pieces that are made.
func (w *Work) settle() error {
	for i := range w.Lines {
		l := &w.Lines[i]
		var err error
		if l.Layout, err = l.packs.settle(l.Make); err != nil {
			return err
		}
	}
	return nil
}

// workLine chooses the method, the recipe and the sheets of one line.
func (c *draft) workLine(line planner.Line, w *Work) (WorkLine, error) {
	s := subjectOf(line)
	s.Art = c.ask.Subject.Art
	l := WorkLine{Line: line}
	if b, ok := c.base.BlankOf(line.Item); ok {
		s.Blank = b.ID
	}
	l.thing = c.thing(s)
	t := l.thing
	if line.Quantity <= 0 {
		return l, &Lack{Missing: "quantity", Ask: c.phrase("ask-quantity", "How many?")}
	}
	if line.Quantity > price.MaxPieces {
		return l, &Lack{Missing: "quantity", Ask: c.phrase("ask-absurd", "{n} pieces: is that the number you mean? How many?", "n", fmt.Sprint(line.Quantity))}
	}
	if why, cautions := c.refused(t); why != "" {
		return l, &Lack{Ask: why, Refuse: true, Caution: cautions}
	}
	if q := c.unsafe(t); q != "" {
		return l, &Lack{Missing: "material", Ask: q}
	}
	if t.blank == nil && (t.fibre == nil || t.colour == "") {
		return l, &Lack{Missing: "fibre", Ask: c.phrase("ask-unknown-blank", "I don't know that blank: what is it made of, and what colour is it?")}
	}
	_, plan, err := c.choose(t, s)
	if err != nil {
		return l, err
	}
	l.Plan = plan
	if err := c.pickMethod(&l, plan); err != nil {
		return l, err
	}
	r, ok := c.recipe(l.Method.ID, t)
	if !ok {
		return l, &Lack{Ask: c.phrase("no-recipe-order", "I have no tested setting for {method} on {thing}: test on a spare first, or choose another blank.", "method", c.noun(l.Method.Name), "thing", c.a(c.describe(t, 1))), Refuse: true}
	}
	l.Recipe = r
	for _, a := range t.assumed {
		w.assume(c.take(t, a))
	}
	if line.Blanks != "theirs" {
		l.Blanks = "ours"
		l.Blank = c.shopBlank(t)
	}
	l.Make, err = c.copies(line)
	if err != nil {
		return l, err
	}
	if len(line.Prints) == 0 {
		return l, &Lack{Missing: "size", Ask: c.phrase("ask-print", "How large is the print, and where? For example: 9x7 front, or 3.5 in left chest.")}
	}
	l.Line.Prints = slices.Clone(line.Prints)
	for i, p := range line.Prints {
		if l.Line.Prints[i], err = c.workPrint(p, l, w); err != nil {
			return l, err
		}
	}
	if l.packs = c.bestSheet(l.Line.Prints, l); l.packs == nil {
		return l, c.tooLarge(l.Line.Prints)
	}
	l.On = l.packs.on
	l.Line.Method = l.Method.ID
	return l, nil
}

func (w *Work) assume(s string) {
	if s != "" && !slices.Contains(w.Assumed, s) {
		w.Assumed = append(w.Assumed, s)
	}
}

// subjectOf is an order line as the subject of a method choice.
func subjectOf(line planner.Line) listen.Subject {
	s := listen.Subject{Item: line.Item, Colour: line.Colour, Fibre: line.Fibre, Quantity: line.Quantity}
	if len(s.Fibre) == 0 {
		s.Fibre = nil
	}
	s.Group = groupOf(line.Sizes)
	return s
}

// groupOf reads the size group off a size run; "" where it is mixed or empty.
func groupOf(sizes map[string]int) string {
	group := ""
	for size := range sizes {
		g := sizeGroup(size)
		if group != "" && g != group {
			return ""
		}
		group = g
	}
	return group
}

// sizeGroup is the group of a size as the order form writes it.
func sizeGroup(size string) string {
	switch {
	case size == "NB" || len(size) > 1 && size[len(size)-1] == 'M' && isDigit(size[0]):
		return "infant"
	case len(size) == 2 && size[1] == 'T' && isDigit(size[0]):
		return "toddler"
	case len(size) > 1 && size[0] == 'Y':
		return "youth"
	}
	return "adult"
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// pickMethod takes the method that was asked for, or the recommended one.
func (c *draft) pickMethod(l *WorkLine, plan method.Plan) error {
	id := l.Line.Method
	if id == "" {
		if len(plan.Missing) > 0 {
			return c.lackOf(l.thing, plan.Missing)
		}
		best, ok := plan.Best()
		if !ok {
			return &Lack{Ask: c.phrase("no-method", "None of our methods suits {thing}: {because}", "thing", c.a(c.describe(l.thing, 1)), "because", stop(c.quietly(func() string { return c.becauseOf(firstOwned(plan)) }))), Refuse: true}
		}
		id = best.Method
	}
	for _, x := range plan.Choices {
		if x.Method != id {
			continue
		}
		if x.Verdict == method.RuledOut {
			best, ok := plan.Best()
			instead := ""
			if ok {
				instead = " " + c.phrase("quote-instead", "Shall I quote {method} instead?", "method", c.a(c.noun(c.methodName(best.Method))))
			}
			lack := &Lack{Missing: "method", Ask: c.phrase("method-out", "{method} won't do on {thing}: {because}{instead}", "method", upper(c.noun(c.methodName(id))),
				"thing", c.a(c.describe(l.thing, 1)), "because", stop(c.becauseOf(x)), "instead", instead)}
			if ok {
				lack.Choices = []string{c.noun(c.methodName(best.Method))}
			} else {
				lack.Refuse = true
			}
			return lack
		}
	}
	m, ok := c.base.Method(id)
	if !ok {
		return fmt.Errorf("order asks for method %q, which the knowledge base does not hold: use one of its method ids", id)
	}
	l.Method = m
	if l.Line.Method == "" {
		return nil
	}
	if !slices.Contains(c.shop.Methods, id) {
		return &Lack{Ask: c.phrase("not-owned-order", "Our shop has no kit for {method}.", "method", c.noun(m.Name)), Refuse: true}
	}
	return nil
}

// lackOf asks for what would change the method.
func (c *draft) lackOf(t thing, missing []string) *Lack {
	d := &draft{Desk: c.Desk, ctx: c.ctx, ask: c.ask, turn: c.turn}
	d.askMissing(t, missing)
	lack := &Lack{Missing: d.r.Missing, Ask: d.r.Lines[0]}
	for _, b := range d.r.Buttons {
		lack.Choices = append(lack.Choices, b.Say)
	}
	return lack
}

// shopBlank finds what the shop pays for a blank: its group's own price
// first, then the price for any.
func (c *draft) shopBlank(t thing) *shop.Blank {
	var found *shop.Blank
	for i := range c.shop.Blanks {
		b := &c.shop.Blanks[i]
		if b.Item != t.item {
			continue
		}
		if b.Group == t.group || t.group == "" && b.Group == "adult" {
			return b
		}
		if b.Group == "" || found == nil && t.group == "" {
			found = b
		}
	}
	return found
}

// copies is how many pieces are made, so that enough come out good.
func (c *draft) copies(line planner.Line) (int, error) {
	n, err := price.Copies(line.Quantity, c.shop.Spoilage, c.shop.Confidence)
	if err != nil {
		return 0, err
	}
	return price.WithFloor(n, line.Quantity, c.shop.Money.SpareFrom), nil
}

// workPrint fills in a print's spot and size where they go without saying.
func (c *draft) workPrint(p planner.Print, l WorkLine, w *Work) (planner.Print, error) {
	if p.Spot == "" && l.thing.blank != nil && len(l.thing.blank.Spots) > 0 {
		p.Spot = l.thing.blank.Spots[0]
		w.assume(c.phrase("assume-spot", "print on the {spot}", "spot", c.noun(p.Spot)))
	}
	if p.Width == 0 && p.Height == 0 {
		usual, ok := c.usualSize(p, l)
		if !ok {
			return p, &Lack{Missing: "size", Ask: c.phrase("ask-size", "How large is the {spot} print, width by height?", "spot", c.noun(p.Spot))}
		}
		p = usual
		w.assume(c.phrase("assume-usual", "{spot} print {size}, the usual size", "spot", c.noun(p.Spot), "size", c.style().Size(unit.Millimetres(p.Width), unit.Millimetres(p.Height))))
	}
	if p.Height == 0 || p.Width == 0 {
		return c.otherSide(p, l, w)
	}
	return p, nil
}

// otherSide fills in the side of a print that was not said: as long as the other
// one; where no sheet holds that, as long as a sheet leaves it.
func (c *draft) otherSide(p planner.Print, l WorkLine, w *Work) (planner.Print, error) {
	said := max(p.Width, p.Height)
	square := p
	square.Width, square.Height = said, said
	if c.bestSheet([]planner.Print{square}, l) != nil {
		w.assume(c.phrase("assume-square", "{spot} art up to as high as wide", "spot", c.noun(p.Spot)))
		return square, nil
	}
	left, longest := 0.0, sheet.Sheet{}
	for _, s := range c.sheets {
		short, long := sides(s)
		if !c.onPlaten(s, l) {
			continue
		}
		if said <= long {
			left = max(left, short)
		}
		if _, most := sides(longest); long > most {
			longest = s
		}
	}
	if left == 0 {
		return p, c.tooLong(p, longest)
	}
	other := floorLength(c, left)
	if p.Width == 0 {
		p.Width = other.MM()
	} else {
		p.Height = other.MM()
	}
	w.assume(c.phrase("assume-sheet", "{spot} art up to {size}, all that a sheet leaves", "spot", c.noun(p.Spot),
		"size", c.style().Size(unit.Millimetres(p.Width), unit.Millimetres(p.Height))))
	return p, nil
}

// sides returns the shorter and the longer side of what a sheet prints, in mm.
func sides(s sheet.Sheet) (short, long float64) {
	w, h := s.Width.MM()-2*s.Margin.MM(), s.Height.MM()-2*s.Margin.MM()
	return min(w, h), max(w, h)
}

// tooLong asks about a print whose one said side no sheet holds, and offers the
// longest that the longest sheet takes.
func (c *draft) tooLong(p planner.Print, on sheet.Sheet) *Lack {
	short, long := sides(on)
	wide, high := floorLength(c, long), floorLength(c, short)
	if p.Width == 0 {
		wide, high = high, wide
	}
	return c.offerSize(p, wide, high, c.phrase("too-long", "{side} is longer than our sheets print: they take {largest}. Shall I take that?",
		"side", c.style().Length(unit.Millimetres(max(p.Width, p.Height))), "largest", c.style().Size(wide, high)))
}

// offerSize asks whether to take another size.
func (c *draft) offerSize(p planner.Print, wide, high unit.Length, ask string) *Lack {
	size := func(name string, l unit.Length) reply.Fact {
		return reply.Fact{Name: name, Value: round(l.MM()), Unit: "mm", Source: reply.Source{Kind: "computed"}}
	}
	return &Lack{Missing: "size", Facts: []reply.Fact{size("largest_width", wide), size("largest_height", high)}, Ask: ask,
		Choices: []string{c.noun(p.Spot) + " " + c.style().Size(wide, high)}}
}

// bestSheet finds the shop's sheet on which the prints take the fewest; the
// first in the profile where several take as few; nil where none holds them.
func (c *draft) bestSheet(prints []planner.Print, l WorkLine) *packs {
	var best *packs
	for _, s := range c.sheets {
		p, ok := packsOf(s, prints)
		if !ok || !c.onPlaten(s, l) {
			continue
		}
		if best == nil || p.count(max(l.Quantity, 1)) < best.count(max(l.Quantity, 1)) {
			best = p
		}
	}
	return best
}

// usualSize takes a small print's usual size from the placements, as high as
// it is wide where no height is usual. A print that would not fit a sheet that
// way is asked for instead: nobody guesses a full front.
func (c *draft) usualSize(p planner.Print, l WorkLine) (planner.Print, bool) {
	where := c.placementFor(p.Spot, l.thing)
	if where == nil || where.Spot != p.Spot || !where.Width.Known() {
		return p, false
	}
	p.Width = where.Width.Is
	p.Height = p.Width
	if where.Height.Known() {
		p.Height = where.Height.Is
	}
	return p, c.bestSheet([]planner.Print{p}, l) != nil
}

// onPlaten reports whether a whole sheet can be married on one of the shop's
// platens; a method without marrying asks only for the piece's own press.
func (c *draft) onPlaten(s sheet.Sheet, l WorkLine) bool {
	if !l.Recipe.Marry.Temperature.Known() {
		return true
	}
	for _, p := range c.shop.Presses {
		if p.Kind != "flat" {
			continue
		}
		if s.Width <= p.Width && s.Height <= p.Height || s.Height <= p.Width && s.Width <= p.Height {
			return true
		}
	}
	return false
}

// tooLarge asks about prints that no sheet of the shop holds together, and offers
// the largest of the shape of the largest one: that a sheet with the rest holds,
// where the rest alone fits one.
func (c *draft) tooLarge(prints []planner.Print) *Lack {
	k := 0
	for i, x := range prints {
		if x.Width*x.Height > prints[k].Width*prints[k].Height {
			k = i
		}
	}
	p, rest := prints[k], slices.Delete(slices.Clone(prints), k, k+1)
	share, beside := 0.0, 0.0
	for _, s := range c.sheets {
		short, long := sides(s)
		here := max(min(short/p.Width, long/p.Height), min(long/p.Width, short/p.Height))
		share = max(share, here)
		if _, ok := packsOf(s, rest); ok {
			beside = max(beside, here)
		}
	}
	size := c.style().Size(unit.Millimetres(p.Width), unit.Millimetres(p.Height))
	if share >= 1 && beside > 0 && beside < 1 {
		wide, high := floorLength(c, p.Width*beside), floorLength(c, p.Height*beside)
		return c.offerSize(p, wide, high, c.phrase("too-large-beside", "No sheet of ours takes both {size} and the rest: with the rest, the largest of that shape is {largest}. Shall I take that?",
			"size", size, "largest", c.style().Size(wide, high)))
	}
	wide, high := floorLength(c, p.Width*share), floorLength(c, p.Height*share)
	return c.offerSize(p, wide, high, c.phrase("too-large", "{size} is larger than our sheets print: the largest of that shape is {largest}. Shall I take that?",
		"size", size, "largest", c.style().Size(wide, high)))
}

// floorLength rounds down to a hundredth of an inch or a whole millimetre, so
// that the size named does fit.
func floorLength(c *draft, mm float64) unit.Length {
	if c.style().Inches {
		return unit.Inches(math.Floor(unit.Millimetres(mm).In()*100) / 100)
	}
	return unit.Millimetres(math.Floor(mm))
}

// release says from when the order can be worked on, and what it waits for.
func (c *draft) release(w *Work, now time.Time) {
	if t, err := time.Parse(time.RFC3339, w.Order.BlanksBy); err == nil && t.After(w.Release) {
		w.Release = t
	}
	ours := false
	for _, l := range w.Lines {
		if l.Blanks == "theirs" {
			continue
		}
		ours = true
		if l.Blank != nil && l.Blank.LeadDays > 0 && w.Order.BlanksBy == "" {
			if t := c.workingDay(now, l.Blank.LeadDays); t.After(w.Release) {
				w.Release = t
				w.assume(c.phrase("assume-lead", "{item} blanks ordered today, here in {n} working {days}", "item", c.noun(l.Item), "n", fmt.Sprint(l.Blank.LeadDays), "days", c.noun(plural(l.Blank.LeadDays, "day"))))
			}
		}
	}
	if w.Order.BlanksBy == "" {
		w.Waits = append(w.Waits, c.phrase("wait-blanks", "the blanks are here"))
		if ours {
			w.assume(c.phrase("assume-ours", "blanks from our stock"))
		}
	}
	if !w.Order.ArtOK {
		w.Waits = append(w.Waits, c.phrase("wait-art", "the art is approved today"))
	}
}

// workingDay returns the opening of the n-th working day after t.
func (d *Desk) workingDay(t time.Time, n int) time.Time {
	day := t
	for range 400 { // a year and a month of closed days is the most that is walked
		if n == 0 {
			break
		}
		day = day.AddDate(0, 0, 1)
		if len(d.openOn(day)) > 0 {
			n--
		}
	}
	spans := d.openOn(day)
	if len(spans) == 0 {
		return day
	}
	return time.Date(day.Year(), day.Month(), day.Day(), spans[0].From/60, spans[0].From%60, 0, 0, day.Location())
}

func (d *Desk) openOn(day time.Time) []shop.Span {
	if slices.Contains(d.shop.Closed, day.Format(time.DateOnly)) {
		return nil
	}
	return d.shop.Hours[day.Weekday()]
}

// workingDaysTo counts the working days from now to due: 0 is today.
func (d *Desk) workingDaysTo(now, due time.Time) int {
	n := 0
	for day := now; day.Format(time.DateOnly) < due.Format(time.DateOnly) && n < 400; {
		day = day.AddDate(0, 0, 1)
		if len(d.openOn(day)) > 0 {
			n++
		}
	}
	return n
}

// priceProblem turns a Work into what the price planner reads.
func (c *draft) priceProblem(w Work, now, ready time.Time, breaks []int) price.Problem {
	p := price.Problem{Rates: c.rates, Rush: w.Order.Rush, Now: now, ReadyAt: ready, BreakAt: breaks}
	if due, err := time.Parse(time.RFC3339, w.Order.Due); err == nil {
		p.HasDue, p.DueIn = true, c.workingDaysTo(now, due.In(now.Location()))
	}
	designs := map[string]bool{}
	sets := map[string]bool{}
	for _, l := range w.Lines {
		p.Lines = append(p.Lines, c.priceLine(l, designs))
		if set := l.Method.TonerSet; set != "" && !sets[set] && !c.loaded(set) {
			sets[set] = true
			p.Changeovers = append(p.Changeovers, price.Changeover{Name: "toner set change", Method: l.Method.ID, Hands: c.shop.Printers[0].Changeover})
		}
	}
	return p
}

// loaded reports whether a printer holds a toner set already.
func (d *Desk) loaded(set string) bool {
	return len(d.shop.Printers) == 0 || slices.ContainsFunc(d.shop.Printers, func(p shop.Printer) bool { return p.Loaded == "" || p.Loaded == set })
}

func (c *draft) priceLine(l WorkLine, designs map[string]bool) price.Line {
	out := price.Line{
		Quantity: l.Quantity, Item: l.Item, Colour: l.Colour, Method: l.Method.ID,
		Sizes: l.Sizes, Theirs: l.Blanks == "theirs", Sheets: l.Sheets, PerSheet: 1,
	}
	if l.Blank != nil {
		out.Blank = price.Blank{Each: l.Blank.Price, Extra: l.Blank.Extra}
	}
	for _, p := range l.Prints {
		key := fmt.Sprintf("%s %s %.1f %.1f %s", l.Method.ID, p.Spot, p.Width, p.Height, p.Art)
		out.Design += key + "; " // lines with the same prints share their spares
		if !designs[key] {
			designs[key] = true
			out.Designs++
		}
		if len(p.Texts) > 0 {
			out.Unique = true
		}
		pp := price.Print{Spot: p.Spot, Width: unit.Millimetres(p.Width), Height: unit.Millimetres(p.Height)}
		for _, t := range c.shop.Toner {
			if t.Set == l.Method.TonerSet {
				share := c.shop.Art.Coverage[t.Channel]
				if a := c.turn.Memory.Art; a != nil && a.Coverage[t.Set] != nil {
					share, pp.Measured = unit.Share(a.Coverage[t.Set][t.Channel]), true
				}
				pp.Coverage = append(pp.Coverage, price.Coverage{Channel: t.Channel, Share: share})
			}
		}
		out.Prints = append(out.Prints, pp)
	}
	out.Hands, out.Runs = c.times(l)
	return out
}

// times lists the hands-on steps and the press time of a line: the same steps
// the press plan times, summed.
func (c *draft) times(l WorkLine) (hands, runs []price.Work) {
	k, r := c.shop.Work, l.Recipe
	n := unit.Duration(len(l.Prints))
	hand := func(name string, line, sheet, piece unit.Duration) {
		if line+sheet+piece > 0 {
			hands = append(hands, price.Work{Name: name, PerLine: line, PerSheet: sheet, PerPiece: piece})
		}
	}
	hand("file and first piece", k.OrderSetup, 0, 0)
	var sheetRun, pieceRun unit.Duration
	if r.Marry.Temperature.Known() {
		hand("marry and pull", 0, k.Marry+k.Pull, 0)
		sheetRun += r.Marry.Time.Duration()
	}
	hand("cut", 0, k.Cut, 0)
	hand("load and lay", 0, 0, (k.Load+k.Lay)*n)
	hand("unload", 0, 0, k.Unload*n)
	if p := c.peelOfRecipe(l); p != "" && p != "none" {
		hand("peel", 0, 0, k.Peel*n)
	}
	pieceRun += (r.Press.Time.Duration() + r.Prepress.Time.Duration()) * n
	if r.Finish.Temperature.Known() {
		hand("load and unload again to finish", 0, 0, (k.Load+k.Unload)*n)
		pieceRun += r.Finish.Time.Duration() * n
	}
	hand("check", 0, 0, k.Check)
	hand("pack", 0, 0, k.Pack)
	if name := c.pressNamed(l); name != "" {
		runs = append(runs, price.Work{Name: name, PerSheet: sheetRun, PerPiece: pieceRun})
	}
	return hands, runs
}

func (c *draft) peelOfRecipe(l WorkLine) string {
	if l.Recipe.Peel.Known() {
		return l.Recipe.Peel.Is
	}
	return l.Method.Peel.Is
}

// pressKind is the kind of press a line goes through.
func (c *draft) pressKind(l WorkLine) string {
	kind := "flat"
	if l.thing.blank != nil && l.thing.blank.Press != "" {
		kind = l.thing.blank.Press
	}
	if !slices.ContainsFunc(c.shop.Presses, func(p shop.Press) bool { return p.Kind == kind }) {
		return "flat"
	}
	return kind
}

func (c *draft) pressNamed(l WorkLine) string {
	kind := c.pressKind(l)
	for _, p := range c.shop.Presses {
		if p.Kind == kind {
			return p.Name
		}
	}
	return ""
}

// orderID names an order where its steps are listed: by its customer, else by
// what is printed.
func orderID(w Work) string {
	if w.Order.For != "" {
		return w.Order.For
	}
	return plural(w.Lines[0].Quantity, w.Lines[0].Item)
}

// pressOrder turns a Work into what the press planner reads.
func (c *draft) pressOrder(w Work, id string) press.Order {
	o := press.Order{ID: id, Release: w.Release}
	if due, err := time.Parse(time.RFC3339, w.Order.Due); err == nil {
		o.Due = due
	}
	for i, l := range w.Lines {
		j := press.Job{Line: i + 1, Pieces: l.Make}
		recipe := c.pressRecipe(l)
		for k, p := range l.Prints {
			pr := press.Print{Spot: p.Spot, Recipe: recipe}
			if k == 0 { // the sheets carry all prints of a piece
				pr.Sheets, pr.PageTime = l.Layout.Sheets, c.pageTime(l)
				pr.SheetOf = sheetsOfPieces(l.Layout, len(l.Prints), l.Make)
			}
			j.Prints = append(j.Prints, pr)
		}
		o.Jobs = append(o.Jobs, j)
	}
	return o
}

// pageTime is how long the printer takes for one sheet of a line.
func (c *draft) pageTime(l WorkLine) unit.Duration {
	if len(c.shop.Printers) == 0 {
		return 0
	}
	paper := "plain"
	if l.Method.TonerSet == "white" {
		paper = "transfer"
	}
	if rate := c.shop.Printers[0].PagesPerMinute[paper]; rate > 0 {
		return unit.Minutes(1 / rate)
	}
	return 0
}

func (c *draft) pressRecipe(l WorkLine) press.Recipe {
	k, r := c.shop.Work, l.Recipe
	out := press.Recipe{
		Method: l.Method.ID, TonerSet: l.Method.TonerSet, PressKind: c.pressKind(l),
		Marry: dwellOf(r.Marry), Prepress: dwellOf(r.Prepress), Press: dwellOf(r.Press), Finish: dwellOf(r.Finish),
		OneLoading: true, Load: k.Load, Unload: k.Unload, Check: k.Check,
		Cut: k.Cut,
	}
	if out.Marry != nil {
		out.Pull = k.Pull
	}
	switch c.peelOfRecipe(l) {
	case "cold":
		out.Peel, out.CoolWait, out.PeelTime = press.PeelCold, r.CoolWait.Duration(), k.Peel
	case "warm":
		out.Peel, out.CoolWait, out.PeelTime = press.PeelWarm, r.CoolWait.Duration(), k.Peel
	case "hot":
		out.Peel, out.PeelTime = press.PeelHot, k.Peel
	default:
		out.Peel = press.PeelNone
	}
	return out
}

func dwellOf(d knowledge.Dwell) *press.Dwell {
	if !d.Temperature.Known() {
		return nil
	}
	return &press.Dwell{Temperature: d.Temperature.Temperature(), Time: d.Time.Duration()}
}
