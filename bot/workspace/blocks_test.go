package workspace_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf16"
)

// The validator below knows the platform's published limits and nothing of the
// code that keeps them. Source: the platform's Block Kit reference and its
// chat.postMessage reference, as collected with the project's notes on the
// platform; the bound on all blocks of a message (13,200) is not published, it
// was reported by users of the platform's own JavaScript library.

// validate lists what is wrong with a message, a home tab or a form.
func validate(surface, text string, raw json.RawMessage) []string {
	v := validator{surface: surface, actions: map[string]bool{}}
	posted := surface == "message" || surface == "notice"
	if surface == "notice" {
		text, v.called = strings.CutPrefix(text, "<@U1> ")
	}
	if posted {
		v.fallback(text)
	}
	var blocks []map[string]any
	if err := json.Unmarshal(raw, &blocks); err != nil {
		return []string{fmt.Sprintf("blocks are no list: %v", err)}
	}
	most := 100
	if posted {
		most = 50
	}
	if len(blocks) > most {
		v.say("%d blocks", len(blocks))
	}
	if len(blocks) == 0 {
		v.say("no blocks")
	}
	for i, b := range blocks {
		v.at = fmt.Sprintf("block %d (%v)", i, b["type"])
		v.block(b)
	}
	v.at = "message"
	if v.total > 13200 {
		v.say("%d characters in all blocks", v.total)
	}
	if v.tables > 1 {
		v.say("%d tables", v.tables)
	}
	return v.found
}

type validator struct {
	surface string
	at      string
	found   []string
	total   int
	tables  int
	called  bool // a notice's text mentions whoever asked, and nobody else
	actions map[string]bool
}

func (v *validator) say(format string, args ...any) {
	v.found = append(v.found, v.at+": "+fmt.Sprintf(format, args...))
}

// length counts as JavaScript does, which is never less than a count of runes.
func length(s string) int { return len(utf16.Encode([]rune(s))) }

// ping is markup that would reach people.
var ping = regexp.MustCompile(`<[@!#]`)

// strayEntity is an ampersand that was not escaped.
var strayEntity = regexp.MustCompile(`&(?:[^algt]|$|a[^m]|l[^t]|g[^t])`)

func (v *validator) fallback(text string) {
	v.at = "text"
	if text == "" {
		v.say("empty")
	}
	if length(text) > 4000 {
		v.say("%d characters", length(text))
	}
	v.markup(text)
}

// markup checks text that the platform reads as markup.
func (v *validator) markup(s string) {
	if strings.ContainsAny(s, "<>") || ping.MatchString(s) {
		v.say("unescaped angle bracket in %q", s)
	}
	if strayEntity.MatchString(s) {
		v.say("unescaped ampersand in %q", s)
	}
	v.harmless(s)
}

// harmless checks text of any kind for characters that disguise.
func (v *validator) harmless(s string) {
	if ping.MatchString(s) {
		v.say("looks like a mention: %q", s)
	}
	for _, r := range s {
		switch {
		case r == '\n':
		case r < 0x20, r >= 0x7f && r <= 0x9f:
			v.say("control character %U", r)
		case r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069, r == 0x200e, r == 0x200f:
			v.say("direction character %U", r)
		case r == 0x200b, r == 0x2060, r == 0xfeff:
			v.say("invisible character %U", r)
		}
	}
}

// text checks a text object.
func (v *validator) text(o any, most int, plainOnly bool) {
	m, ok := o.(map[string]any)
	if !ok {
		v.say("no text object: %v", o)
		return
	}
	s, _ := m["text"].(string)
	if s == "" {
		v.say("empty text")
	}
	if length(s) > most {
		v.say("%d characters, at most %d", length(s), most)
	}
	v.total += length(s)
	switch m["type"] {
	case "plain_text":
		if m["emoji"] == true {
			v.say("names of emoji would be drawn")
		}
		v.harmless(s)
	case "mrkdwn":
		if plainOnly {
			v.say("must be plain")
		}
		if _, ok := m["emoji"]; ok {
			v.say("emoji set on mrkdwn")
		}
		v.markup(s)
	default:
		v.say("text of type %v", m["type"])
	}
}

func list(o any) []any {
	l, _ := o.([]any)
	return l
}

func (v *validator) block(b map[string]any) {
	if id, _ := b["block_id"].(string); length(id) > 255 {
		v.say("block_id of %d", length(id))
	}
	switch b["type"] {
	case "divider":
	case "section":
		v.text(b["text"], 3000, false)
	case "header":
		v.text(b["text"], 150, true)
	case "context":
		elements := list(b["elements"])
		if len(elements) == 0 || len(elements) > 10 {
			v.say("%d elements", len(elements))
		}
		for _, e := range elements {
			v.text(e, 3000, false)
		}
	case "actions":
		v.actionsBlock(b)
	case "rich_text":
		for _, e := range list(b["elements"]) {
			v.rich(e.(map[string]any))
		}
	case "table":
		v.table(b)
	case "input":
		v.text(b["label"], 2000, true)
		e, _ := b["element"].(map[string]any)
		if id, _ := e["action_id"].(string); id == "" || length(id) > 75 {
			v.say("action_id %q", id)
		}
		if e["placeholder"] != nil {
			v.text(e["placeholder"], 150, true)
		}
		if n, _ := e["max_length"].(float64); n > 3000 {
			v.say("max_length %v", n)
		}
	default:
		v.say("not a kind the bot may send")
	}
}

func (v *validator) actionsBlock(b map[string]any) {
	elements := list(b["elements"])
	if len(elements) == 0 || len(elements) > 25 {
		v.say("%d elements", len(elements))
	}
	for _, o := range elements {
		e := o.(map[string]any)
		if e["type"] != "button" {
			v.say("element %v", e["type"])
			continue
		}
		v.text(e["text"], 75, true)
		value, _ := e["value"].(string)
		if length(value) > 2000 {
			v.say("value of %d", length(value))
		}
		v.total += length(value)
		id, _ := e["action_id"].(string)
		if id == "" || length(id) > 75 { // the owner's bound; the platform's is 255
			v.say("action_id %q", id)
		}
		if v.actions[id] {
			v.say("action_id %q twice", id)
		}
		v.actions[id] = true
	}
}

// rich checks a rich-text element: text there is taken as it stands.
func (v *validator) rich(e map[string]any) {
	switch e["type"] {
	case "rich_text_section", "rich_text_preformatted":
	default:
		v.say("rich text element %v", e["type"])
	}
	for _, o := range list(e["elements"]) {
		part := o.(map[string]any)
		switch part["type"] {
		case "text":
			s, _ := part["text"].(string)
			if s == "" || length(s) > 3000 {
				v.say("rich text of %d characters", length(s))
			}
			v.total += length(s)
			v.harmless(s)
		case "user":
			if !v.called || part["user_id"] != "U1" {
				v.say("mentions a person")
			}
		default:
			v.say("rich text part %v", part["type"])
		}
	}
}

func (v *validator) table(b map[string]any) {
	v.tables++
	rows := list(b["rows"])
	if len(rows) == 0 || len(rows) > 100 {
		v.say("%d rows", len(rows))
	}
	sum, width := 0, -1
	for _, o := range rows {
		cells := list(o)
		if width >= 0 && len(cells) != width {
			v.say("rows of %d and %d cells", width, len(cells))
		}
		width = len(cells)
		if width == 0 || width > 20 {
			v.say("%d cells", width)
		}
		for _, c := range cells {
			sum += v.cell(c.(map[string]any))
		}
	}
	if sum > 10000 {
		v.say("%d characters in the table", sum)
	}
	if n := len(list(b["column_settings"])); n > width {
		v.say("%d column settings for %d columns", n, width)
	}
}

func (v *validator) cell(c map[string]any) int {
	switch c["type"] {
	case "raw_text":
		s, _ := c["text"].(string)
		if s == "" {
			v.say("empty cell")
		}
		v.total += length(s)
		v.harmless(s)
		return length(s)
	case "rich_text":
		before := v.total
		for _, e := range list(c["elements"]) {
			v.rich(e.(map[string]any))
		}
		return v.total - before
	}
	v.say("cell of type %v", c["type"])
	return 0
}

// noticed is the channel in which only notices to U1 are posted.
const noticed = "C0NOTICES"

// checkAll validates everything the bot sent.
func checkAll(b *bench) {
	b.Helper()
	report := func(what string, found []string) {
		for _, f := range found {
			b.Errorf("%s: %s", what, f)
		}
	}
	for _, c := range b.fake.Calls("") {
		switch c.Method {
		case "chat.postMessage", "chat.update":
			surface := "message"
			if c.Values["channel"] == noticed {
				surface = "notice"
			}
			report(c.Method, validate(surface, c.Values["text"], json.RawMessage(c.Values["blocks"])))
			for _, name := range []string{"parse", "link_names"} {
				if val := c.Values[name]; val != "" && val != "none" && val != "false" && val != "0" {
					b.Errorf("%s: %s=%s", c.Method, name, val)
				}
			}
		case "files.getUploadURLExternal":
			if n := length(c.Values["alt_txt"]); n == 0 || n > 1000 {
				b.Errorf("alt text of %d characters", n)
			}
		}
	}
	for _, e := range b.fake.Ephemerals() {
		if e.Via == "response_url" {
			report("ephemeral", validate("message", e.Text, e.Blocks))
			continue
		}
		v := validator{surface: "hint"}
		v.fallback(e.Text)
		report(e.Via, v.found)
	}
	for _, view := range b.fake.Views() {
		var shown struct {
			Type   string          `json:"type"`
			Blocks json.RawMessage `json:"blocks"`
		}
		if err := json.Unmarshal(view.View, &shown); err != nil {
			b.Errorf("view: %v", err)
		}
		report(shown.Type, validate(shown.Type, "", shown.Blocks))
	}
}
