package answer

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"presshand/bot/listen"
	"presshand/bot/reply"
	"presshand/knowledge"
)

// Rules keeps what the owners of the shop correct by chat.
type Rules interface {
	// Try returns what speaks against a rule: a knowledge.Problems where it would
	// be refused, a *knowledge.FolderError where nothing can be saved.
	Try(r knowledge.ShopRule) error
	// Save saves a rule; answers to later messages go by it. It returns the rule
	// with its number and the base with it. The errors are those of Try.
	Save(ctx context.Context, r knowledge.ShopRule) (*knowledge.ShopRule, *knowledge.Base, error)
}

// WithRules lets owners change facts by chat. Without it the bot says that it
// has no folder to save them in.
func WithRules(r Rules) Option { return func(d *Desk) { d.ruled = r } }

// shopRule answers what somebody wants of the shop's own rules.
func (c *draft) shopRule() {
	c.r.Topic = "setting"
	do := map[listen.WishKind]func() error{
		listen.WishSet: c.propose, listen.WishSave: c.saveRule, listen.WishDrop: c.dropRule, listen.WishUndo: c.undoRule,
		listen.WishRequests: c.listRequests, listen.WishAccept: c.acceptRequest, listen.WishRefuse: c.refuseRequest,
	}[c.ask.Wish.Do]
	if do == nil {
		do = c.listRules
	}
	if err := do(); err != nil {
		c.unruled(err)
	}
}

// unruled says why nothing was saved.
func (c *draft) unruled(err error) {
	var problems knowledge.Problems
	var folder *knowledge.FolderError
	switch {
	case errors.As(err, &problems):
		c.contradicted(problems)
	case errors.As(err, &folder):
		c.r.Note = err.Error()
		c.say("rule-no-folder", "Nothing is saved: {why}.", "why", folder.Plain())
	case errors.Is(err, ErrNoRequest):
		c.say("no-such-request", "There is no such request.")
		c.suggest("open requests")
	case errors.Is(err, ErrDecided):
		c.say("request-decided", "Somebody decided about that request before.")
	default:
		c.unkept(err)
	}
}

// contradicted says why a rule is refused, with its place and how to mend it.
func (c *draft) contradicted(problems knowledge.Problems) {
	p := problems[0]
	c.say("rule-refused", "I don't save that: {why}.", "why", p.Message)
	if p.Rule == "ceiling" {
		if ceiling, _, ok := c.base.CeilingFor(c.ask.Subject.Fibre); ok {
			c.say("over-ceiling", "That is above what {fibre} stands in a press: {ceiling}.", "fibre", c.fibreWords(c.ask.Subject.Fibre), "ceiling", c.value("ceiling", ceiling, ""))
		}
		c.caution("fibre-ceiling")
	}
	c.say("rule-place", "It would stand at {place}. To mend it: {mend}.", "place", p.Pos.String(), "mend", p.Mend)
}

// propose shows what a wish would change. An owner is asked whether to save it;
// anybody else's goes to the owners.
func (c *draft) propose() error {
	x, ok := c.ruling()
	if !ok || !c.allowed(x) {
		return nil
	}
	if !c.difference(x) {
		return nil
	}
	if !c.turn.Owner {
		return c.request(x.rule, x.about+": "+c.changeText(x.rule))
	}
	c.asked(MissingConsent, c.phrase("rule-save", "Save it as the shop's rule?"))
	c.r.Buttons = append(c.r.Buttons,
		reply.Button{Label: "Save the rule", Say: "save the rule: " + clipSaid(c.ask.Text)},
		reply.Button{Label: "Leave it", Say: "leave it"})
	return nil
}

// MissingConsent is what a proposed rule waits for.
const MissingConsent = "consent"

// allowed reports a rule that nothing speaks against, and says what does.
func (c *draft) allowed(x ruling) bool {
	if most, too := c.tooHotForPresses(x.rule); too {
		c.say("rule-press-max", "I don't save that: no press of the shop goes beyond {most}.", "most", c.style().Temperature(most))
		return false
	}
	if word, cautions := c.unsafeRemark(x.rule); word != "" {
		c.say("rule-unsafe-remark", "I don't save that: {thing} is never pressed.", "thing", word)
		c.caution(cautions...)
		return false
	}
	if m := c.uncovered(x.rule); m != nil {
		c.say("rule-uncovered", "I don't save that: {method} needs that sheet. Say which one you use instead.", "method", c.noun(m.Name))
		return false
	}
	if c.ruled == nil {
		c.say("rule-nowhere", "I can't save that: there is no shop folder. Start me with --knowledge and a folder, and rules are saved there.")
		return false
	}
	if err := c.ruled.Try(x.rule); err != nil {
		c.unruled(err)
		return false
	}
	return true
}

// unsafeRemark returns what a remark would put under a press though it is never
// pressed.
func (c *draft) unsafeRemark(r knowledge.ShopRule) (name string, cautions []string) {
	for _, n := range r.Notes {
		text := " " + strings.ToLower(strings.Map(letterOrBlank, string(n))) + " "
		for _, f := range c.base.Fibres {
			if f.Refuse == "" {
				continue
			}
			for _, word := range append([]string{f.Name, f.ID}, f.Names...) {
				if strings.Contains(text, " "+strings.ToLower(word)+" ") {
					return f.Name, c.cautionsFor(f.ID)
				}
			}
		}
	}
	return "", nil
}

// uncovered returns the method whose protective sheet a remark would leave out.
func (c *draft) uncovered(r knowledge.ShopRule) *knowledge.Method {
	for _, n := range r.Notes {
		said := withoutSheet.FindStringSubmatch(string(n))
		if said == nil {
			continue
		}
		inside := strings.Contains(strings.ToLower(said[1]), "inside")
		for _, id := range r.Recipes {
			x, _ := c.base.Recipe(id)
			if m, ok := c.base.Method(x.Method); ok && (inside && m.InsideSheet.Is || !inside && m.CoverSheet.Is) {
				return m
			}
		}
	}
	return nil
}

var withoutSheet = regexp.MustCompile(`(?i)^(cover sheet|non-?\s?stick sheet|sheet inside|inside sheet):\s*(?:no|none|not|nothing|never|without|skip|leave)\b`)

func letterOrBlank(r rune) rune {
	if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r > 127 {
		return r
	}
	return ' '
}

// difference says what changes; false where nothing would.
func (c *draft) difference(x ruling) bool {
	if len(x.rule.Notes) == 0 && !slices.ContainsFunc(x.parts, func(p rulePart) bool { return !p.same() }) {
		c.say("rule-already", "That is how it stands already for {thing}.", "thing", x.about)
		for _, p := range x.parts {
			c.r.Lines = append(c.r.Lines, c.partLine(p, x.by.ID))
		}
		c.suggest("shop rules")
		return false
	}
	c.say("rule-for", "Shop rule for {thing}, not saved yet:", "thing", x.about)
	for _, p := range x.parts {
		c.r.Lines = append(c.r.Lines, c.partLine(p, x.by.ID))
		if p.outside() {
			low, high := p.known, p.known
			low.Is, high.Is = p.known.Low, p.known.High
			low.Ranged, high.Ranged = false, false
			c.say("rule-outside", "Mind: that is outside the range I know, {low} to {high}. Test it on a spare first.", "low", c.show(low), "high", c.show(high))
			c.caution("test-first")
		}
	}
	c.keepsLower(x)
	for _, n := range x.rule.Notes {
		c.say("rule-note", "Remark: {note}", "note", string(n))
	}
	if len(x.stays) > 0 {
		const most = 3
		names := x.stays[:min(most, len(x.stays))]
		if len(x.stays) > most {
			names = append(slices.Clone(names), c.phrase("rule-others", "others"))
		}
		c.say("rule-stays", "On {names} it stays as it is: other settings hold there.", "names", and(names, "and"))
	}
	return true
}

// partLine is one difference: "Press time: 200 s instead of 210 s (recalled from
// memory)."
func (c *draft) partLine(p rulePart, method string) string {
	lead := c.phrase(p.id, p.lead)
	if p.word() {
		is := c.word(p.fact, p.newWord, method)
		switch {
		case p.same():
			return c.phrase("rule-part-same", "{lead}: {new}, as it is.", "lead", lead, "new", is)
		case !p.oldWord.Known():
			return c.phrase("rule-part-new", "{lead}: {new}; none was given.", "lead", lead, "new", is)
		}
		return c.phrase("rule-part", "{lead}: {new} instead of {old} ({source}).", "lead", lead, "new", is, "old", c.word(p.fact, p.oldWord, method), "source", c.sourceWords(p.oldWord.Source))
	}
	is := c.value(p.fact, p.new, method)
	if p.same() {
		return c.phrase("rule-part-same", "{lead}: {new}, as it is.", "lead", lead, "new", is)
	}
	return c.phrase("rule-part", "{lead}: {new} instead of {old} ({source}).", "lead", lead, "new", is, "old", c.value(p.fact, p.old, method), "source", c.sourceWords(p.old.Source))
}

// sourceWords says where one figure comes from.
func (c *draft) sourceWords(s knowledge.Source) string {
	if s.Cite != "" {
		return s.Cite
	}
	return c.provenance([]reply.Fact{{Source: sourceOf(s)}})
}

// saveRule saves what was shown, where the one who agrees is an owner. A button
// under an earlier proposal shows that one again.
func (c *draft) saveRule() error {
	if !c.turn.Owner {
		c.ownersOnly()
		return nil
	}
	if p := c.turn.Memory.Pending; p == nil || !p.SameAs(c.ask) {
		return c.propose()
	}
	x, ok := c.ruling()
	if !ok || !c.allowed(x) {
		return nil
	}
	saved, _, err := c.saveOnce(x.rule)
	if err != nil {
		return err
	}
	c.computed("shop_rule", saved.Number(), "")
	c.say("rule-saved", "Saved as shop rule {n}: {thing}, {change}. It holds from now on.", "n", fmt.Sprint(saved.Number()), "thing", x.about, "change", c.changeText(*saved))
	c.suggest("undo that", "shop rules")
	return nil
}

// saveOnce saves a rule: a message that is delivered again after a kill finds
// what it saved before.
func (c *draft) saveOnce(r knowledge.ShopRule) (*knowledge.ShopRule, *knowledge.Base, error) {
	for _, old := range c.base.ShopRules {
		if _, undone := c.base.UndoneBy(old.ID); undone {
			continue
		}
		if old.By == r.By && old.At == r.At && old.Said == r.Said && old.Undoes == r.Undoes {
			return old, c.base, nil
		}
	}
	if c.ruled == nil {
		return nil, nil, knowledge.NewShelf("").Try(r) // says that there is no folder
	}
	return c.ruled.Save(c.ctx, r)
}

func (c *draft) ownersOnly() {
	c.r.Outcome = reply.Declined
	c.say("rule-owners-only", "Only an owner named in the shop profile can do that.")
}

func (c *draft) dropRule() error {
	c.say("rule-dropped", "All right, it stays as it is.")
	return nil
}

// undoRule takes a rule back.
func (c *draft) undoRule() error {
	r, ok := c.ruleMeant()
	if !ok {
		return nil
	}
	n := fmt.Sprint(r.Number())
	if by, undone := c.base.UndoneBy(r.ID); undone {
		c.say("rule-undone-before", "Shop rule {n} was taken back already, by {who}, {when}.", "n", n, "who", c.who(by.By), "when", c.when(by.Made().In(c.turn.Now.Location())))
		c.suggest("undo shop rule "+fmt.Sprint(by.Number()), "shop rules")
		return nil
	}
	back := knowledge.ShopRule{By: c.turn.User, At: c.turn.Now.Format(time.RFC3339Nano), Said: clipSaid(c.ask.Text), Why: clipSaid(c.ask.Wish.Why), Undoes: r.ID}
	if !c.turn.Owner {
		return c.request(back, c.phrase("request-undo", "take back shop rule {n} ({about})", "n", n, "about", c.ruleText(*r)))
	}
	saved, base, err := c.saveOnce(back)
	if err != nil {
		return err
	}
	c.computed("shop_rule", saved.Number(), "")
	if r.Undoes != "" {
		c.say("rule-again", "Shop rule {n} holds again.", "n", strings.TrimPrefix(r.Undoes, "shop-rule-"))
	} else {
		c.say("rule-undone", "Taken back: shop rule {n}, {about}.", "n", n, "about", c.ruleText(*r))
		c.nowAgain(base, r)
	}
	c.suggest("shop rules", "undo that")
	return nil
}

// nowAgain says what holds after a rule was taken back.
func (c *draft) nowAgain(base *knowledge.Base, undone *knowledge.ShopRule) {
	r, ok := base.Recipe(undone.Recipes[0])
	if !ok || len(undone.Notes) > 0 {
		return
	}
	if len(undone.Blanks) > 0 && r.Variants[undone.Blanks[0]] != nil {
		r = r.Variants[undone.Blanks[0]]
	}
	c.say("rule-now-again", "Now again: {parts}.", "parts", c.changeText(asItIs(*undone, r)))
}

// asItIs returns a rule that says of a recipe what it says today, where another
// rule changed it.
func asItIs(r knowledge.ShopRule, recipe *knowledge.Recipe) knowledge.ShopRule {
	is := func(change knowledge.DwellChange, d knowledge.Dwell) knowledge.DwellChange {
		if change.Temperature.Known() {
			change.Temperature = d.Temperature
		}
		if change.Time.Known() {
			change.Time = d.Time
		}
		if change.Pressure.Known() {
			change.Pressure = d.Pressure
		}
		return change
	}
	r.Marry, r.Prepress = is(r.Marry, recipe.Marry), is(r.Prepress, recipe.Prepress)
	r.Press, r.Finish = is(r.Press, recipe.Press), is(r.Finish, recipe.Finish)
	if r.CoolWait.Known() {
		r.CoolWait = recipe.CoolWait
	}
	r.Notes = nil
	return r
}

// ruleMeant finds the rule to take back: the one named by number, else the one
// that holds for what was named.
func (c *draft) ruleMeant() (*knowledge.ShopRule, bool) {
	if n := c.ask.Wish.Number; n > 0 {
		for _, r := range c.base.ShopRules {
			if r.Number() == n {
				return r, true
			}
		}
		c.say("rule-none", "There is no shop rule {n}.", "n", fmt.Sprint(n))
		c.suggest("shop rules")
		return nil, false
	}
	var found []*knowledge.ShopRule
	for _, r := range c.base.ShopRules {
		if _, undone := c.base.UndoneBy(r.ID); !undone && r.Undoes == "" && c.ruleFits(r) {
			found = append(found, r)
		}
	}
	switch len(found) {
	case 0:
		c.say("rule-none-such", "No shop rule holds for that.")
		c.suggest("shop rules")
		return nil, false
	case 1:
		return found[0], true
	}
	c.say("rule-which", "Which one?")
	for _, r := range found[max(0, len(found)-mostChoices):] {
		c.r.Lines = append(c.r.Lines, c.ruleLine(r))
		c.r.Buttons = append(c.r.Buttons, reply.Button{Label: fmt.Sprintf("Undo rule %d", r.Number()), Say: fmt.Sprintf("undo shop rule %d", r.Number())})
	}
	c.r.Outcome = reply.Asked
	return nil, false
}

// ruleFits reports a rule for what an ask names.
func (c *draft) ruleFits(r *knowledge.ShopRule) bool {
	s := c.ask.Subject
	if s.Blank != "" && !slices.Contains(r.Blanks, s.Blank) {
		return false
	}
	recipe := func(is func(*knowledge.Recipe) bool) bool {
		return slices.ContainsFunc(r.Recipes, func(id string) bool {
			x, ok := c.base.Recipe(id)
			return ok && is(x)
		})
	}
	if len(s.Methods) > 0 && !recipe(func(x *knowledge.Recipe) bool { return slices.Contains(s.Methods, x.Method) }) {
		return false
	}
	for _, fibre := range keysByShare(s.Fibre) {
		if !recipe(func(x *knowledge.Recipe) bool { return slices.Contains(x.Fibres, fibre) }) {
			return false
		}
	}
	return true
}

// listRules lists the latest rules, those that were taken back too.
func (c *draft) listRules() error {
	var rules []*knowledge.ShopRule
	for _, r := range c.base.ShopRules {
		if r.Undoes == "" {
			rules = append(rules, r)
		}
	}
	if len(rules) == 0 {
		c.say("rules-none", "There is no shop rule yet: every setting is as I came with it, or as your own files say.")
		c.suggest("for our mugs: 390 F 200 s")
		return nil
	}
	c.say("rules-head", "{n} in all, the latest last.", "n", fmt.Sprint(len(rules))+" "+plural(len(rules), "shop rule"))
	c.computed("shop_rules", len(rules), "count")
	for _, r := range rules[max(0, len(rules)-mostOnBoard):] {
		c.r.Lines = append(c.r.Lines, c.ruleLine(r))
	}
	last := rules[len(rules)-1]
	c.suggest(fmt.Sprintf("undo shop rule %d", last.Number()), "open requests")
	return nil
}

// ruleLine is one rule as a line, with who and when.
func (c *draft) ruleLine(r *knowledge.ShopRule) string {
	c.computed("shop_rule", r.Number(), "")
	at := func(r *knowledge.ShopRule) string { return c.when(r.Made().In(c.turn.Now.Location())) }
	line := c.phrase("rule-line", "{n}: {about}. {who}, {when}", "n", fmt.Sprint(r.Number()), "about", c.ruleText(*r), "who", c.who(r.By), "when", at(r))
	if r.WishOf != "" {
		line += c.phrase("rule-wish-of", ", for {who}", "who", c.who(r.WishOf))
	}
	if r.Why != "" {
		line += c.phrase("rule-why", ", because {why}", "why", trimStop(r.Why))
	}
	if by, undone := c.base.UndoneBy(r.ID); undone {
		line += c.phrase("rule-line-undone", "; taken back by {who}, {when}", "who", c.who(by.By), "when", at(by))
	}
	return line + "."
}

// ruleText says what a rule is for and what it changes.
func (c *draft) ruleText(r knowledge.ShopRule) string {
	return join([]string{c.ruleScope(r), c.changeText(r)})
}

// ruleScope says what a saved rule is for.
func (c *draft) ruleScope(r knowledge.ShopRule) string {
	if r.Undoes != "" {
		return c.phrase("rule-undoes", "takes back shop rule {n}", "n", strings.TrimPrefix(r.Undoes, "shop-rule-"))
	}
	var words, methods []string
	for _, id := range r.Blanks {
		if b, ok := c.base.Blank(id); ok {
			words = append(words, c.noun(b.Name))
		}
	}
	general := false
	for _, id := range r.Recipes {
		x, ok := c.base.Recipe(id)
		if !ok {
			continue
		}
		if m, ok := c.base.Method(x.Method); ok && !slices.Contains(methods, m.Name) {
			methods = append(methods, m.Name)
		}
		general = general || len(x.Blanks)+len(x.Fabrics)+len(x.Fibres) == 0
		if len(r.Blanks) == 0 && len(r.Recipes) == 1 {
			return recipeName(x)
		}
	}
	if len(words) == 0 && !general && len(r.Recipes) > 0 {
		if x, ok := c.base.Recipe(r.Recipes[0]); ok {
			return c.phrase("rule-and-more", "{name} and the like", "name", recipeName(x))
		}
	}
	return join(append(words, methods...))
}

// recipeName names a recipe.
func recipeName(r *knowledge.Recipe) string {
	if r.Name != "" {
		return r.Name
	}
	return r.ID
}

// changeText says what a rule changes: "press 390 °F (199 °C), 200 s, medium".
func (c *draft) changeText(r knowledge.ShopRule) string {
	var parts []string
	method := c.ruleMethod(r)
	for _, p := range dwellParts() {
		d := changeOf(r, p.id)
		var words []string
		if d.Temperature.Known() {
			words = append(words, c.value(p.temperature, d.Temperature, method))
		}
		if d.Time.Known() {
			words = append(words, c.value(p.time, d.Time, method))
		}
		if d.Pressure.Known() {
			words = append(words, d.Pressure.Is)
		}
		if len(words) > 0 {
			parts = append(parts, c.phrase("word-"+p.id+"-small", lower(p.lead))+" "+join(words))
		}
	}
	if r.CoolWait.Known() {
		parts = append(parts, c.phrase("rule-cool-small", "wait before the peel")+" "+c.value("cool_wait", r.CoolWait, method))
	}
	for _, n := range r.Notes {
		parts = append(parts, "“"+trimStop(string(n))+"”")
	}
	return join(parts)
}

// ruleMethod is the method a rule is about, that of its first recipe.
func (c *draft) ruleMethod(r knowledge.ShopRule) string {
	if len(r.Recipes) == 0 {
		return ""
	}
	x, _ := c.base.Recipe(r.Recipes[0])
	if x == nil {
		return ""
	}
	return x.Method
}

func changeOf(r knowledge.ShopRule, step string) knowledge.DwellChange {
	switch step {
	case "marry":
		return r.Marry
	case "prepress":
		return r.Prepress
	case "press":
		return r.Press
	case "finish":
		return r.Finish
	}
	return knowledge.DwellChange{}
}

// RuleRow is one shop rule for a list: number, what for and what, in words, who,
// when, in which words, and whether it holds.
func (d *Desk) RuleRow(r *knowledge.ShopRule, zone *time.Location) []string {
	c := &draft{Desk: d}
	const layout = "2006-01-02 15:04"
	holds := "holds"
	if by, undone := d.base.UndoneBy(r.ID); undone {
		holds = fmt.Sprintf("taken back by %s, %s", c.who(by.By), by.Made().In(zone).Format(layout))
	}
	return []string{strconv.Itoa(r.Number()), c.ruleText(*r), c.who(r.By), r.Made().In(zone).Format(layout), r.Said, r.Why, holds}
}
