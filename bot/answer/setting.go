package answer

import (
	"math"
	"slices"
	"strings"

	"presshand/bot/listen"
	"presshand/knowledge"
	"presshand/planner/method"
	"presshand/planner/unit"
)

// setting answers what temperature, time and pressure a press is set to.
func (c *draft) setting() {
	t := c.thing(c.ask.Subject)
	if why, cautions := c.refused(t); why != "" {
		c.refuse(why, cautions)
		return
	}
	if q := c.unsafe(t); q != "" {
		c.asked("material", q)
		return
	}
	if len(c.ask.Settings) > 0 && c.ask.What == "stated" {
		c.stated(t)
		return
	}
	if c.ask.What == "ceiling" && len(c.ask.Subject.Methods) == 0 && c.ceiling(t) {
		return
	}
	about := c.settingMethods(t)
	if press := c.ask.What == "" || strings.HasPrefix(c.ask.What, "press_"); press && len(c.ask.Subject.Methods) == 1 && c.wontDo(t, about[0]) {
		return
	}
	c.starting = true
	for _, m := range about {
		c.settingOf(m, t, len(about) > 1)
	}
	if len(c.r.Lines) == 0 {
		c.starting = false
		c.noSetting(t, about)
		return
	}
	c.takeAssumptions(t)
	c.suggest("steps", "why?", "says who?")
}

// wontDo answers where the one method asked about is ruled out by what the
// blank is made of: settings for it would only spoil the piece. The settings of
// the method that suits it stand instead.
func (c *draft) wontDo(t thing, about *knowledge.Method) bool {
	if uncoated := t.coated != nil && !*t.coated; len(t.fibre) == 0 && !uncoated {
		return false
	}
	_, plan, err := c.choose(t, c.ask.Subject)
	if err != nil {
		return false
	}
	i := slices.IndexFunc(plan.Choices, func(x method.Choice) bool { return x.Method == about.ID })
	if i < 0 || plan.Choices[i].Verdict != method.RuledOut {
		return false
	}
	c.say("ruled-out", "{method} is ruled out: {because}", "method", upper(c.noun(about.Name)), "because", stop(c.becauseOf(plan.Choices[i])))
	c.verdicts(plan)
	c.cares(plan.Choices[i])
	if best, ok := plan.Best(); ok && len(plan.Missing) == 0 {
		m, _ := c.base.Method(best.Method)
		c.starting = true
		c.settingOf(m, t, true)
	}
	c.suggest("why?", "steps", "says who?")
	return true
}

// ceiling says how hot a press a fibre or a blend stands; false where the thing
// is of no fibre whose ceiling is known.
func (c *draft) ceiling(t thing) bool {
	if len(t.fibre) == 0 && len(c.ask.Subject.Fibres) > 0 {
		for _, id := range c.ask.Subject.Fibres {
			if t.fibre = (map[string]int{id: whole}); !c.ceiling(t) {
				c.say("no-ceiling", "{fibre} isn't pressed.", "fibre", upper(c.fibreWords(t.fibre)))
			}
		}
		return true
	}
	most, _, ok := c.base.CeilingFor(t.fibre)
	if !ok {
		return false
	}
	c.say("ceiling", "{fibre}: no hotter than {ceiling} in a press of a minute or less.",
		"fibre", upper(c.fibreWords(t.fibre)), "ceiling", c.value("ceiling", most, ""))
	if len(t.fibre) > 1 {
		c.say("ceiling-blend", "A blend takes the lowest of its fibres.")
	}
	c.caution("test-print")
	c.suggest("settings", "why?", "says who?")
	return true
}

// settingMethods returns the methods whose settings are wanted. A question
// about marrying or a finishing press is about the method that has one.
func (c *draft) settingMethods(t thing) []*knowledge.Method {
	about := c.asksAbout()
	if len(c.ask.Subject.Methods) > 0 || len(about) < 2 {
		return about
	}
	var out []*knowledge.Method
	for _, m := range about {
		r, ok := c.recipe(m.ID, t)
		if !ok {
			continue
		}
		switch c.ask.What {
		case "marry_temperature", "marry_time":
			ok = r.Marry.Temperature.Known()
		case "finish_temperature", "finish_time":
			ok = r.Finish.Temperature.Known()
		}
		if ok {
			out = append(out, m)
		}
	}
	return out
}

func (c *draft) recipe(methodID string, t thing) (*knowledge.Recipe, bool) {
	blank, fabric := "", ""
	if t.blank != nil {
		blank = t.blank.ID
	}
	if t.fabric != nil {
		fabric = t.fabric.ID
	}
	fibre := t.fibre
	if len(fibre) == 0 && (t.blank == nil || t.blank.Kind != "hard") {
		fibre = evenly(c.ask.Subject.Fibres) // the weakest of them decides
	}
	r, ok := c.base.RecipeFor(methodID, blank, fibre, fabric)
	if gentle := c.gentler(methodID, t, r); gentle != nil {
		r, ok = gentle, true
	}
	if most, _, _ := c.base.CeilingFor(fibre); ok && most.Known() {
		r = below(r, most)
	}
	return r, ok
}

// evenly gives fibres of which no share is known the same share.
func evenly(fibres []string) map[string]int {
	if len(fibres) == 0 {
		return nil
	}
	out := map[string]int{}
	for _, f := range fibres {
		out[f] = whole / len(fibres)
	}
	return out
}

// below returns a recipe whose ranges end at what the blank's fibre stands: a
// recipe may be for other fibres too.
func below(r *knowledge.Recipe, most knowledge.Value) *knowledge.Recipe {
	out := *r
	for _, v := range []*knowledge.Value{&out.Prepress.Temperature, &out.Press.Temperature, &out.Finish.Temperature} {
		if v.Ranged {
			v.High = min(v.High, max(v.Is, most.Is))
		}
	}
	return &out
}

// gentler returns a cooler recipe where a rule that holds for the thing names a
// lower press temperature than its recipe: dyed polyester bleeds, whatever the
// garment's own recipe says. Nil where none does.
func (c *draft) gentler(methodID string, t thing, r *knowledge.Recipe) *knowledge.Recipe {
	if r == nil || len(t.fibre) == 0 {
		return nil
	}
	_, plan, err := c.choose(t, listen.Subject{})
	if err != nil {
		return nil
	}
	for _, x := range plan.Choices {
		if x.Method != methodID {
			continue
		}
		for _, id := range append(slices.Clone(x.Rules), x.Cares...) {
			rule, ok := c.base.Rule(id)
			if !ok || !rule.Values["press_temperature"].Known() || r.Press.Temperature.Is <= rule.Values["press_temperature"].High {
				continue
			}
			for _, fibre := range keysByShare(t.fibre) {
				cooler, ok := c.base.RecipeFor(methodID, "", map[string]int{fibre: whole}, "")
				if ok && cooler.Press.Temperature.Is <= rule.Values["press_temperature"].High {
					return cooler
				}
			}
		}
	}
	return nil
}

// dwellPart is one closing of the press and how an answer speaks of it.
type dwellPart struct {
	id, lead          string // sentence id and lead word
	temperature, time string // fact names
	of                func(*knowledge.Recipe) knowledge.Dwell
}

func dwellParts() []dwellPart {
	return []dwellPart{
		{"marry", "Marry", "marry_temperature", "marry_time", func(r *knowledge.Recipe) knowledge.Dwell { return r.Marry }},
		{"prepress", "Pre-press", "prepress_temperature", "prepress_time", func(r *knowledge.Recipe) knowledge.Dwell { return r.Prepress }},
		{"press", "Press", "press_temperature", "press_time", func(r *knowledge.Recipe) knowledge.Dwell { return r.Press }},
		{"finish", "Finish", "finish_temperature", "finish_time", func(r *knowledge.Recipe) knowledge.Dwell { return r.Finish }},
	}
}

// settingOf gives one method's settings: the part that was asked for first,
// then the rest of the run in a line.
func (c *draft) settingOf(m *knowledge.Method, t thing, several bool) {
	r, ok := c.recipe(m.ID, t)
	if !ok {
		return
	}
	first := "press"
	switch c.ask.What {
	case "marry_temperature", "marry_time":
		first = "marry"
	case "prepress_temperature", "prepress_time":
		first = "prepress"
	case "finish_temperature", "finish_time":
		first = "finish"
	case "inside_sheet":
		c.sheetLine(m.InsideSheet, "inside_sheet", m, "Yes: put a sheet inside the garment, or dye passes through to the back.", "No sheet inside is needed for {method}.")
		c.caution(r.Cautions...)
		return
	case "cover_sheet":
		c.sheetLine(m.CoverSheet, "cover_sheet", m, "Yes: a non-stick cover sheet goes on top.", "No cover sheet is needed for {method}.")
		c.caution(r.Cautions...)
		return
	}
	for _, p := range dwellParts() {
		if p.id != first {
			continue
		}
		d := p.of(r)
		if !d.Temperature.Known() {
			if len(c.ask.Subject.Methods) > 0 || !several {
				c.say("no-"+p.id, "None: {method} has no such step.", "method", c.noun(m.Name))
			}
			return
		}
		c.r.Lines = append(c.r.Lines, c.settingLead(p, m, several)+": "+c.dwell(p, d, m.ID)+c.settingFor(m, t, several)+".")
	}
	if c.ask.What == "" || first == "press" {
		c.run(r, m, t, first, several)
	}
	if r.Status == "draft" {
		c.assume(c.phrase("draft-recipe", "a draft setting nobody here has tried through a wash; test first"))
	}
	c.caution(r.Cautions...)
	c.hot = true
}

// settingLead begins a setting's line: with the step where one method is
// spoken of, with the method where several are.
func (c *draft) settingLead(p dwellPart, m *knowledge.Method, several bool) string {
	step := c.phrase("word-"+p.id, p.lead)
	switch {
	case !several:
		return step
	case p.id == "press":
		return upper(c.noun(m.Name))
	}
	return upper(c.noun(m.Name)) + ", " + lower(step)
}

// settingFor says what a setting is for, where the question left that open.
func (c *draft) settingFor(m *knowledge.Method, t thing, several bool) string {
	if several {
		return ""
	}
	if t.blank == nil && t.fibre == nil {
		if len(c.ask.Subject.Methods) > 0 {
			return ""
		}
		return " (" + c.noun(m.Name) + ")"
	}
	return " (" + c.noun(m.Name) + ", " + c.describe(t, 1) + ")"
}

// dwell writes "310 °F (154 °C) for 30 s, firm"; what was asked for comes
// first among the facts.
func (c *draft) dwell(p dwellPart, d knowledge.Dwell, method string) string {
	temperature := c.value(p.temperature, d.Temperature, method)
	text := temperature
	if d.Time.Known() {
		text = c.phrase("dwell", "{temperature} for {time}", "temperature", temperature, "time", c.value(p.time, d.Time, method))
	}
	if d.Pressure.Known() && p.id == "press" {
		text += ", " + c.phrase("pressure-"+d.Pressure.Is, "{pressure}", "pressure", c.word("press_pressure", d.Pressure, method))
	}
	return text
}

// run gives the other stations of the same run in one or two lines.
func (c *draft) run(r *knowledge.Recipe, m *knowledge.Method, t thing, first string, several bool) {
	var before, after []string
	for _, p := range dwellParts() {
		d := p.of(r)
		if p.id == first || !d.Temperature.Known() {
			continue
		}
		part := c.phrase("word-"+p.id+"-small", lower(p.lead)) + " " + c.dwell(p, d, m.ID)
		if p.id == "finish" {
			after = append(after, part)
		} else {
			before = append(before, part)
		}
	}
	if peel := c.peelWords(r, m); peel != "" {
		after = append([]string{peel}, after...)
	}
	if len(before) > 0 {
		c.say("run-before", "Before: {parts}.", "parts", join(before))
	}
	if len(after) > 0 {
		c.say("run-after", "After: {parts}.", "parts", join(after))
	}
	noted := slices.ContainsFunc(r.Notes, func(n knowledge.Text) bool { return strings.Contains(string(n), "inside") })
	if m.InsideSheet.Given && m.InsideSheet.Is && !several && !noted && (t.blank == nil || t.blank.Kind == "garment") {
		c.flag("inside_sheet", m.InsideSheet, m.ID)
		c.say("inside", "Cover sheet on top, and a sheet inside the garment.")
	}
	for _, n := range r.Notes {
		c.r.Lines = append(c.r.Lines, c.text(&r.Head, n, m.ID))
	}
}

// peelWords says how the sheet comes off: "peel cold after about 10 min".
func (c *draft) peelWords(r *knowledge.Recipe, m *knowledge.Method) string {
	peel := r.Peel
	if !peel.Known() {
		peel = m.Peel
	}
	if !peel.Known() || peel.Is == "none" {
		return ""
	}
	text := c.phrase("peel-"+peel.Is, "peel {how}", "how", c.word("peel", peel, m.ID))
	if r.CoolWait.Known() {
		text = c.phrase("peel-after", "{peel} after about {wait}", "peel", text, "wait", c.value("cool_wait", r.CoolWait, m.ID))
	}
	return text
}

// sheetLine answers whether a sheet is needed.
func (c *draft) sheetLine(f knowledge.Flag, name string, m *knowledge.Method, yes, no string) {
	if !f.Given {
		return
	}
	answer := no
	id := name + "-no"
	if c.flag(name, f, m.ID) {
		answer, id = yes, name+"-yes"
	}
	line := c.phrase(id, answer, "method", c.noun(m.Name))
	if len(c.ask.Subject.Methods) == 0 {
		line = upper(c.noun(m.Name)) + ": " + lowerFirst(line)
	}
	c.r.Lines = append(c.r.Lines, line)
}

// noSetting says that there is no recipe, and why that may be so.
func (c *draft) noSetting(t thing, about []*knowledge.Method) {
	if len(about) == 1 {
		if ceiling, _, ok := c.base.CeilingFor(t.fibre); ok {
			c.say("no-recipe-ceiling", "I have no tested setting for {method} on {thing}; stay under {ceiling} and test on a spare.",
				"method", c.noun(about[0].Name), "thing", c.a(c.describe(t, 1)), "ceiling", c.value("ceiling", ceiling, ""))
			c.caution("test-print")
			return
		}
		c.say("no-recipe", "I have no setting for {method} on {thing}.", "method", c.noun(about[0].Name), "thing", c.a(c.describe(t, 1)))
	} else {
		c.say("no-recipe-any", "I have no press setting for that.")
	}
	c.r.Outcome = "declined"
	c.suggest("which method?", "settings for a cotton tee")
}

// stated compares settings someone used with the recipe.
func (c *draft) stated(t thing) {
	about := c.asksAbout()
	if len(about) == 0 {
		c.decline()
		return
	}
	said := c.ask.Settings[0]
	m, r := c.nearestRecipe(about, t, said)
	if r == nil {
		c.noSetting(t, about)
		return
	}
	part, _ := c.partSaid(r)
	d := part.of(r)
	name := c.noun(m.Name)
	temperature := c.value(part.temperature, d.Temperature, m.ID)
	dwell := c.value(part.time, d.Time, m.ID)
	verdict := c.compare(said.Temperature, d.Temperature, said.Time, d.Time)
	c.r.Lines = append(c.r.Lines, verdict)
	if part.id != "press" {
		name += ", " + c.phrase("word-"+part.id+"-small", lower(part.lead))
	}
	c.say("recipe-is", "Recipe for {method}: {temperature} for {time}.", "method", name, "temperature", temperature, "time", dwell)
	if ceiling, _, ok := c.base.CeilingFor(t.fibre); ok && said.Temperature > ceiling.Is {
		c.say("over-ceiling", "That is above what {fibre} stands in a press: {ceiling}.", "fibre", c.fibreWords(t.fibre), "ceiling", c.value("ceiling", ceiling, ""))
	}
	c.caution(r.Cautions...)
	c.starting = true
	c.suggest("what if it was too hot?", "first-piece check", "why?")
}

// partSaid is the step of a recipe that someone speaks of, its press where none
// was named; named is false where the recipe has no such step.
func (c *draft) partSaid(r *knowledge.Recipe) (part dwellPart, named bool) {
	for _, p := range dwellParts() {
		if p.id == c.ask.Step && p.of(r).Temperature.Known() {
			return p, true
		}
	}
	return dwellParts()[2], c.ask.Step == ""
}

// nearestRecipe picks, among the methods in question that have the step spoken
// of, the one whose temperature lies nearest to what was stated, or whose time
// does where only a time was.
func (c *draft) nearestRecipe(about []*knowledge.Method, t thing, said listen.Setting) (*knowledge.Method, *knowledge.Recipe) {
	var method *knowledge.Method
	var best *knowledge.Recipe
	gap, held := 0.0, false
	for _, m := range about {
		r, ok := c.recipe(m.ID, t)
		if !ok || !r.Press.Temperature.Known() {
			continue
		}
		part, named := c.partSaid(r)
		d := part.of(r)
		g := math.Abs(d.Temperature.Is - said.Temperature)
		if said.Temperature == 0 {
			g = math.Abs(d.Time.Is - said.Time)
		}
		if best == nil || named && !held || named == held && g < gap {
			method, best, gap, held = m, r, g, named
		}
	}
	return method, best
}

// compare says in one line whether stated settings agree with a recipe.
func (c *draft) compare(temperature float64, wantT knowledge.Value, time float64, wantS knowledge.Value) string {
	var parts []string
	if temperature != 0 {
		parts = append(parts, c.against(temperature, wantT, c.style().Temperature(unit.Celsius(temperature)), "temperature"))
	}
	if time != 0 {
		parts = append(parts, c.against(time, wantS, c.style().Duration(unit.Seconds(time)), "time"))
	}
	return upper(join(parts)) + "."
}

// against places a stated figure, a temperature or a time, beside a recipe's
// value and its range.
func (c *draft) against(said float64, want knowledge.Value, shown, what string) string {
	slack := slackOf(want)
	over, under := c.phrase("over-"+what, overWords[what]), c.phrase("under-"+what, underWords[what])
	switch {
	case said > want.High+slack:
		return c.phrase("is-too", "{shown} is too {how}", "shown", shown, "how", over)
	case said < want.Low-slack:
		return c.phrase("is-too", "{shown} is too {how}", "shown", shown, "how", under)
	case said > want.Is+slack:
		return c.phrase("is-rather", "{shown} is on the {how} side, within the range", "shown", shown, "how", over)
	case said < want.Is-slack:
		return c.phrase("is-rather", "{shown} is on the {how} side, within the range", "shown", shown, "how", under)
	}
	return c.phrase("is-right", "{shown} is right", "shown", shown)
}

// What a temperature and a time are where they are more or less than wanted.
var (
	overWords  = map[string]string{"temperature": "hot", "time": "long"}
	underWords = map[string]string{"temperature": "cool", "time": "short"}
)

// slackOf is how far a stated figure may lie off and still count as the same:
// the rounding between the two temperature scales, half a degree Celsius; for
// other quantities none.
func slackOf(v knowledge.Value) float64 {
	if v.Dimension == knowledge.Temperature {
		return 0.5
	}
	return 0
}
