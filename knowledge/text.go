package knowledge

import "strings"

// A piece of a text is prose or a placeholder.
type piece struct {
	raw  string
	name string // of the value, where the piece is a placeholder
	end  string // "low" or "high", where one end of the range is wanted
	open bool   // a brace without its partner
}

// pieces splits a text at its placeholders: {name}, {name.low}, {name.high}.
func pieces(t Text) []piece {
	var out []piece
	rest := string(t)
	for rest != "" {
		from := strings.IndexAny(rest, "{}")
		if from < 0 {
			return append(out, piece{raw: rest})
		}
		if from > 0 {
			out = append(out, piece{raw: rest[:from]})
			rest = rest[from:]
		}
		to := strings.IndexByte(rest, '}')
		if to < 1 {
			return append(out, piece{raw: rest, open: true})
		}
		name, end, _ := strings.Cut(rest[1:to], ".")
		if end != "" && end != "low" && end != "high" {
			name = rest[1:to]
		}
		out = append(out, piece{raw: rest[:to+1], name: name, end: end, open: name == ""})
		rest = rest[to+1:]
	}
	return out
}

// Render writes a text of the entry with its values in the given style, and
// returns the names of the values used, in order of first use. {name} stands
// for the whole value, {name.low} and {name.high} for one end of its range. A
// placeholder without a value, which Load refuses, stays as it is.
func (h *Head) Render(t Text, style func(Value) string) (text string, used []string) {
	var b strings.Builder
	seen := map[string]bool{}
	for _, p := range pieces(t) {
		v, ok := h.Values[p.name]
		if p.name == "" || !ok {
			b.WriteString(p.raw)
			continue
		}
		if !seen[p.name] {
			seen[p.name] = true
			used = append(used, p.name)
		}
		b.WriteString(style(v.at(p.end)))
	}
	return b.String(), used
}

// at returns the value as a whole, or one end of its range as a value.
func (v Value) at(end string) Value {
	switch end {
	case "low":
		v.Is, v.High, v.Ranged = v.Low, v.Low, false
	case "high":
		v.Is, v.Low, v.Ranged = v.High, v.High, false
	}
	return v
}
