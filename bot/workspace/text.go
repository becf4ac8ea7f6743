package workspace

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/slack-go/slack/slackutilsx"
)

// token matches one piece of the platform's inline markup: <@U1|name>,
// <#C1|name>, <!here>, <https://a.example|label>. Literal angle brackets a
// person typed arrive escaped, so they never match.
var token = regexp.MustCompile(`<([@#!]?)([^<>|]*)(?:\|([^<>]*))?>`)

// entities are the wire's three escapes; breaks are the ways to write a line
// break or a gap.
var (
	entities = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
	breaks   = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u2028", "\n", "\u2029", "\n", "\t", " ")
)

// userID is how the platform writes a person's id.
var userID = regexp.MustCompile(`^[UW][A-Z0-9]{1,20}$`)

// incoming turns a message's wire text into what the person typed: the bot's
// own mention is gone, links read as they were typed, entities are unescaped.
func incoming(wire, self string) string {
	plain := token.ReplaceAllStringFunc(wire, func(tok string) string {
		part := token.FindStringSubmatch(tok)
		sigil, target, label := part[1], part[2], part[3]
		switch {
		case sigil == "@" && target == self:
			return " "
		case sigil == "":
			if label != "" {
				return label
			}
			return strings.TrimPrefix(target, "mailto:")
		case label != "":
			return sigilText(sigil) + strings.TrimLeft(label, "@#")
		case sigil == "!":
			name, _, _ := strings.Cut(target, "^")
			return "@" + name
		}
		return sigil + target
	})
	return strings.TrimSpace(clean(unescape(plain)))
}

// sigilText is how a mention's sigil is typed: a group or broadcast is typed
// with an at sign.
func sigilText(sigil string) string {
	if sigil == "!" {
		return "@"
	}
	return sigil
}

// mentions reports whether the wire text names the user.
func mentions(wire, user string) bool {
	for _, part := range token.FindAllStringSubmatch(wire, -1) {
		if part[1] == "@" && part[2] == user {
			return true
		}
	}
	return false
}

// mentionsAnyone reports whether the wire text names any person.
func mentionsAnyone(wire string) bool {
	for _, part := range token.FindAllStringSubmatch(wire, -1) {
		if part[1] == "@" {
			return true
		}
	}
	return false
}

// unescape undoes the three entities of the wire, in one pass so that nothing
// is undone twice.
func unescape(s string) string {
	return entities.Replace(s)
}

// escape makes text safe where the platform reads markup. It is applied once.
func escape(s string) string { return slackutilsx.EscapeMessage(s) }

// clean drops what can disguise text: control characters but the line break,
// characters that turn the reading direction, and invisible ones. The joiners
// that emoji and several scripts need stay.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = breaks.Replace(s)
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case unicode.IsControl(r):
			return -1
		case r == '\u200B', r == '\u2060', r == '\uFEFF', r == '\u00AD', r == '\u180E':
			return -1
		case r == '\u200E', r == '\u200F', r == '\u061C':
			return -1
		case r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069':
			return -1
		case r >= 0xE0000 && r <= 0xE007F: // invisible tag characters
			return -1
		}
		return r
	}, s)
}

// markup begins what reaches people or hides an address: <@U1>, <!here>,
// <#C1>, <https://...|label>.
var markup = regexp.MustCompile(`<([@!#]|[A-Za-z]+:)`)

// shown is clean text for an element in which the platform reads no markup. It
// needs no escaping there, and escaped it might show its entities; so that the
// promise to reach nobody does not hang on the kind of element alone, what looks
// like a mention or link gets another bracket.
func shown(s string) string {
	return markup.ReplaceAllString(strings.TrimSpace(clean(s)), "‹$1")
}

// size counts text as the platform's limits do.
func size(s string) int {
	n := 0
	for _, r := range s {
		n += units(r)
	}
	return n
}

// units is the number of UTF-16 units of a rune.
func units(r rune) int {
	if r > 0xFFFF {
		return 2
	}
	return 1
}

// cut shortens text to at most limit characters, with an ellipsis where
// something is missing.
func cut(s string, limit int) string {
	if size(s) <= limit {
		return s
	}
	head, _ := split(s, limit-1)
	return strings.TrimRight(head, " \n") + "…"
}

// split parts text after at most limit characters.
func split(s string, limit int) (head, rest string) {
	n := 0
	for i, r := range s {
		if n += units(r); n > limit {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

// chunks parts text into pieces of at most limit characters, at line breaks
// where there are any, else at spaces, else anywhere.
func chunks(s string, limit int) []string {
	var out []string
	for s = strings.Trim(s, "\n"); s != ""; s = strings.TrimLeft(s, "\n") {
		head, rest := split(s, limit)
		if rest != "" {
			if i := strings.LastIndexAny(head, "\n"); i > 0 {
				head, rest = s[:i], s[i:]
			} else if i := strings.LastIndexByte(head, ' '); i > 0 {
				head, rest = s[:i], s[i+1:]
			}
		}
		if strings.TrimSpace(head) != "" {
			out = append(out, head)
		}
		s = rest
	}
	return out
}

// escapeWithin escapes text and keeps the result within limit characters
// without cutting an entity in two.
func escapeWithin(s string, limit int) string {
	whole := escape(s)
	if size(whole) <= limit {
		return whole
	}
	n, end := 0, 0
	for i, r := range s {
		n += size(escape(string(r)))
		if n > limit-1 {
			break
		}
		end = i + utf8.RuneLen(r)
	}
	return escape(s[:end]) + "…"
}
