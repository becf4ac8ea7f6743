package span

import (
	"slices"
	"strings"
)

// maxRun bounds the parts of one size run: all sizes of all groups, twice.
const maxRun = 80

// letterSizes are the sizes of adults in order, as the trade writes them.
var letterSizes = [...]string{"XS", "S", "M", "L", "XL", "2XL", "3XL", "4XL", "5XL", "6XL"}

// sizeLetter reports whether token i is a bare size letter.
func (s *scan) sizeLetter(i int) bool {
	return s.is(i, "s") || s.is(i, "m") || s.is(i, "l")
}

// sizeAt reads a size at token i: letters, words, 2XL, 2T, and 6M where the
// message speaks of infants. group is the size group by itself, "" for adults.
func (s *scan) sizeAt(i int) (size string, n int) {
	if i >= len(s.tokens) {
		return "", 0
	}
	if t := s.tokens[i]; t.IsNumber {
		if i+1 >= len(s.tokens) || !s.tokens[i+1].Glued {
			return "", 0
		}
		v, next := t.Text, s.tokens[i+1].Text
		switch {
		case (next == "xl" || next == "x" && !s.nextIsNumber(i+2) && !s.sizeLetter(i+2)) && v >= "2" && v <= "6" && len(v) == 1:
			return v + "XL", 2
		case next == "t" && v >= "2" && v <= "5" && len(v) == 1:
			return v + "T", 2
		case next == "m" && s.infant && slices.Contains([]string{"6", "12", "18", "24"}, v):
			return v + "M", 2
		}
		return "", 0
	}
	if s.sizeLetter(i) {
		return strings.ToUpper(s.tokens[i].Text), 1
	}
	if x, n := s.kind(i, Size); n > 0 {
		return x.id, n
	}
	if size, n := s.bigSize(i); n > 0 {
		return size, n
	}
	return "", 0
}

// bigSize reads XL, XXL, XS without help of a lexicon.
func (s *scan) bigSize(i int) (string, int) {
	w := s.tokens[i].Text
	x := strings.TrimRight(w, "ls")
	if len(w)-len(x) != 1 || x == "" || strings.Trim(x, "x") != "" || len(x) > 6 {
		return "", 0
	}
	if strings.HasSuffix(w, "s") {
		if len(x) == 1 {
			return "XS", 1
		}
		return "", 0
	}
	if len(x) == 1 {
		return "XL", 1
	}
	return string(rune('0'+len(x))) + "XL", 1
}

// inGroup returns a size of a group: M of youth is YM.
func inGroup(size, group string) string {
	if group == "youth" && slices.Contains([]string{"XS", "S", "M", "L", "XL"}, size) {
		return "Y" + size
	}
	return size
}

// A part is one element of a size run.
type part struct {
	size     string
	count    int
	group    string // of a size
	isSize   bool
	each     bool // a count for each size
	from, to int
}

// readSizeRun reads sizes with their counts: "S 4 M 10 L 8", "4S 10M", "M-12,
// L-12", "12 medium 12 large", "youth M 4", "S-XL 6 each"; a size alone is a
// Size.
func (s *scan) readSizeRun(i int) []Span {
	parts, group := s.parts(i)
	if run, to, ok := s.run(parts); ok {
		sp := s.span(SizeRun, i, to)
		sp.Sizes = run
		return []Span{sp}
	}
	return s.singleSize(i, parts, group)
}

// singleSize reads one size, or a size group before it.
func (s *scan) singleSize(i int, parts []part, group string) []Span {
	if len(parts) == 0 || !parts[0].isSize {
		return nil
	}
	p := parts[0]
	bare := s.sizeLetter(p.from)
	_, described := s.class(i-1, classAdjective)
	id, _ := s.class(i-1, classCounter)
	asked := i > 0 && (described > 0 || id == "more" || id == "less" || s.joiner(i-1, "in") || s.joiner(i-1, "all") || s.is(i-1, "to") || s.is(i-1, "an") || s.afterThing(i)) && s.tokens[p.from].Raw == strings.ToUpper(s.tokens[p.from].Raw)
	if bare && p.group == "" && !asked {
		return nil
	}
	sp := s.span(Size, i, p.to)
	sp.ID = inGroup(p.size, p.group)
	return []Span{sp}
}

// listJoint reports whether token i parts two things of a list.
func (s *scan) listJoint(i int) bool { return s.is(i, ",") || s.is(i, "\n") || s.joiner(i, "and") }

// afterThing reports whether an item ends at token i: "tees M".
func (s *scan) afterThing(i int) bool {
	n := len(s.out.Spans)
	return n > 0 && s.out.Spans[n-1].Kind == Item && s.out.Spans[n-1].To == i
}

// parts reads the elements of a run: sizes, counts, groups, with what may
// stand between them. A group counts for the sizes after it; one at the end
// for all before it that have none.
func (s *scan) parts(i int) ([]part, string) {
	var out []part
	group := ""
	for len(out) < maxRun {
		j := s.skip(i, ",;:&+=-()/\n@", "and", "of", "in", "to")
		if len(out) == 0 {
			j = i
		}
		if x, n := s.kind(j, Group); n > 0 {
			if j+n < len(s.tokens) || len(out) > 0 {
				next := s.skip(j+n, ":-=(", "")
				if s.small(next) {
					next++
				}
				_, k := s.sizeAt(next)
				_, isNumber := s.number(next)
				if k > 0 || isNumber && len(out) > 0 {
					group, i = x.id, next
					if len(out) == 0 && k == 0 {
						break
					}
					if k == 0 {
						// "4 S 6 M youth, 12 ...": the group ends the run
						trailing(out, x.id)
						out[len(out)-1].to = j + n
						return out, x.id
					}
					continue
				}
				if len(out) > 0 {
					trailing(out, x.id)
					out[len(out)-1].to = j + n
				}
			}
			break
		}
		p, ok := s.part(j, group)
		if !ok {
			break
		}
		out = append(out, p)
		i = p.to
	}
	return out, group
}

func trailing(parts []part, group string) {
	for k := range parts {
		if parts[k].isSize && parts[k].group == "" {
			parts[k].group = group
		}
	}
}

func (s *scan) part(i int, group string) (part, bool) {
	if size, n := s.sizeAt(i); n > 0 {
		to := i + n
		return part{size: size, group: group, isSize: true, from: i, to: to}, true
	}
	at := i
	each := false
	if id, n := s.class(at, classCounter); n > 0 && id == "each" {
		each = true
		at += n
	}
	if s.is(at, "x") {
		at++
	}
	v, ok := s.number(at)
	if !ok || v.vague || v.value < 0 || v.value != float64(int(v.value)) || v.value > 1e6 {
		return part{}, false
	}
	to := at + v.n
	if _, n := s.unitAt(to); n > 0 && !s.is(to, "s") {
		return part{}, false
	}
	if s.is(to, "x") {
		to++
	}
	if id, n := s.class(to, classCounter); n > 0 && id == "each" {
		each = true
		to += n
	}
	return part{count: int(v.value), each: each, from: i, to: to}, true
}

// run pairs sizes with counts. Counts stand before their sizes where the run
// begins with a count and ends with a size, after them where it begins with a
// size; a count too many at the front is the quantity, one at the end belongs
// to what follows.
func (s *scan) run(parts []part) (map[string]int, int, bool) {
	if sizes, to, ok := s.eachRun(parts); ok {
		return sizes, to, true
	}
	parts = s.alternating(parts)
	if len(parts) < 2 || len(parts)%2 != 0 {
		return nil, 0, false
	}
	out := map[string]int{}
	for k := 0; k < len(parts); k += 2 {
		size, count := parts[k], parts[k+1]
		if !size.isSize {
			size, count = count, size
		}
		out[inGroup(size.size, size.group)] += count.count
	}
	if len(parts) == 2 && !s.plainPair(parts) {
		return nil, 0, false
	}
	return out, parts[len(parts)-1].to, true
}

// alternating returns the longest start of parts in which sizes and counts
// take turns and pair up. "2XL" among counts before sizes is two of XL.
func (s *scan) alternating(parts []part) []part {
	countFirst := len(parts) > 0 && !parts[0].isSize
	var out []part
	for _, p := range parts {
		wantSize := (len(out)%2 == 1) == countFirst
		if p.isSize != wantSize {
			if split, ok := s.splitSize(p); ok && countFirst && !wantSize {
				out = append(out, split...)
				continue
			}
			break
		}
		out = append(out, p)
	}
	if countFirst && len(out) > 2 && len(out) < len(parts)+1 && len(out)%2 == 1 && s.counts(out[len(out)-1].to) {
		return out[:len(out)-1]
	}
	if countFirst && len(out)%2 == 1 && len(out) > 2 {
		return nil // a count too many: the first one is the quantity, read by itself
	}
	if len(out)%2 == 1 {
		out = out[:len(out)-1]
	}
	if n := len(out); n > 0 && !countFirst && s.listJoint(out[n-2].to) && s.counts(out[n-1].to) {
		return out[:n-2] // "10 tees M, 4 hoodies L": the 4 counts what follows
	}
	return out
}

// splitSize takes "2XL" apart into two of XL.
func (s *scan) splitSize(p part) ([]part, bool) {
	t := s.tokens[p.from]
	if !t.IsNumber || p.to-p.from != 2 || !strings.HasSuffix(p.size, "XL") {
		return nil, false
	}
	return []part{
		{count: int(t.Number), from: p.from, to: p.from + 1},
		{size: "XL", group: p.group, isSize: true, from: p.from + 1, to: p.to},
	}, true
}

// plainPair reports whether a single pair is a size and its count beyond
// doubt: a bare letter must be written large, and no artwork may follow ("2
// small prints").
func (s *scan) plainPair(parts []part) bool {
	size, last := parts[0], parts[1]
	if !size.isSize {
		size = parts[1]
	}
	if _, n := s.class(last.to, classArtword); n > 0 {
		return false
	}
	if !s.sizeLetter(size.from) || size.group != "" {
		return true
	}
	raw := s.tokens[size.from].Raw
	return raw == strings.ToUpper(raw)
}

// eachRun reads sizes that share one count: "S M L 6 each", "6 each S-XL".
func (s *scan) eachRun(parts []part) (map[string]int, int, bool) {
	var sizes []part
	count, to := 0, 0
	for k, p := range parts {
		if p.isSize {
			if k > 0 && count > 0 && !parts[0].each {
				break
			}
			sizes = append(sizes, p)
			to = p.to
			continue
		}
		if parts[0].each && len(sizes) > 0 && !p.each {
			break // "4 each S M L and 8 2XL"
		}
		if !p.each || count > 0 {
			return nil, 0, false
		}
		count, to = p.count, p.to
	}
	if count == 0 || len(sizes) == 0 {
		return nil, 0, false
	}
	out := map[string]int{}
	for k, p := range sizes {
		if k > 0 && s.sizeRange(sizes[k-1], p) {
			for _, size := range between(sizes[k-1].size, p.size) {
				out[inGroup(size, p.group)] = count
			}
		}
		out[inGroup(p.size, p.group)] = count
	}
	return out, to, true
}

// sizeRange reports whether two sizes are the ends of a range: "S-XL".
func (s *scan) sizeRange(a, b part) bool {
	return a.to == b.from && s.tokens[b.from].Hyphen || a.to+1 == b.from && (s.is(a.to, "-") || s.joiner(a.to, "to"))
}

// between returns the adult sizes between two, without them.
func between(a, b string) []string {
	i, j := slices.Index(letterSizes[:], a), slices.Index(letterSizes[:], b)
	if i < 0 || j <= i {
		return nil
	}
	return letterSizes[i+1 : j]
}
