package listen

import (
	"strings"

	"presshand/bot/listen/span"
)

// signs turns a message into what the model of topics was taught on: the stems
// of its words, the kinds of things it names and which ones they are, and the
// pairs of neighbours, and of neighbours but one, among these.
func (l *Listener) signs(r span.Reading, stranger bool) []string {
	x := l.index
	out := make([]string, 0, 4*len(r.Tokens))
	if stranger {
		out = append(out, "@stranger")
	}
	line := append(make([]string, 0, len(r.Tokens)+2), "^")
	for _, t := range r.Tokens {
		for _, c := range l.concepts[t.Text] {
			out = append(out, "@~"+c)
		}
	}
	last := ""
	for _, t := range r.Tokens {
		cs := l.concepts[t.Text]
		if len(cs) == 0 {
			continue
		}
		if last != "" {
			out = append(out, "@~"+last+" "+cs[0])
		}
		last = cs[0]
	}
	next := 0
	for _, s := range r.Spans {
		if s.From < next {
			continue
		}
		for i := next; i < s.From; i++ {
			line = append(line, l.sign(x, r.Tokens[i]))
		}
		next = s.To
		if slot, _ := slotOf(s.Kind); slot != "" {
			line = append(line, "@"+slot)
			switch s.Kind {
			case span.Item, span.Method, span.Fibre, span.Fabric, span.Spot, span.Art:
				out = append(out, "@"+slot+"="+s.ID)
			}
			continue
		}
		for i := s.From; i < s.To; i++ {
			line = append(line, l.sign(x, r.Tokens[i]))
		}
	}
	for i := next; i < len(r.Tokens); i++ {
		line = append(line, l.sign(x, r.Tokens[i]))
	}
	line = append(line, "$")
	joined := strings.Join(line, " ") // holds every pair of neighbours
	at := 0
	for i, w := range line[1:] {
		if w != "$" {
			out = append(out, w)
		}
		next := at + len(line[i]) + 1
		out = append(out, joined[at:next+len(w)])
		at = next
	}
	for i := 2; i+1 < len(line)-1; i++ { // and of words with one between
		out = append(out, line[i-1]+" _ "+line[i+1])
	}
	return out
}

// sign is one word's stem, "#" for a number, the mark itself for a mark.
func (l *Listener) sign(x *index, t span.Token) string {
	switch {
	case t.IsNumber:
		return "#"
	case !wordy(t):
		return t.Text
	case t.Known && t.Word != "" && !l.everyday(t.Text) && !l.aliens[t.Text]:
		return x.stem(t.Word)
	}
	return x.stem(t.Text)
}
