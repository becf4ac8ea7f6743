package listen

import (
	"cmp"
	"slices"
	"strings"

	"presshand/bot/listen/span"
	"presshand/knowledge"
)

// A wish is a phrase, a space on each side, with what it wants of a print or
// says of a coating.
type wish struct{ phrase, id string }

// wishesOf gathers the phrases that say what is wanted of a print, or what was
// said of a hard good's coating.
func wishesOf(base *knowledge.Base) []wish {
	var out []wish
	for _, x := range base.Lexicons {
		if x.Kind == "wish" {
			for phrase, id := range x.Words {
				out = append(out, wish{" " + Fold(phrase) + " ", id})
			}
		}
	}
	slices.SortFunc(out, func(a, b wish) int { return cmp.Or(cmp.Compare(a.phrase, b.phrase), cmp.Compare(a.id, b.id)) })
	return out
}

// wished reads what is wanted of the print, and what was said of a hard good's
// coating, by the phrases of the base.
func (l *Listener) wished(r span.Reading) (wish []string, coated string) {
	text := spaced(r)
	for _, w := range l.wishes {
		if !strings.Contains(text, w.phrase) {
			continue
		}
		switch id := w.id; id {
		case "coated":
			if coated == "" {
				coated = "yes"
			}
		case "uncoated":
			coated = "no"
		default:
			if !slices.Contains(wish, id) {
				wish = append(wish, id)
			}
		}
	}
	return wish, coated
}

// spaced is a message in its words, each between two spaces.
func spaced(r span.Reading) string {
	words := make([]string, len(r.Tokens))
	for i, t := range r.Tokens {
		words[i] = t.Text
	}
	return " " + strings.Join(words, " ") + " "
}
