package span

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// whole is what the shares of a cloth make together, in per cent.
const whole = 100

// maxParts bounds the fibres of one cloth; labels list at most a handful.
const maxParts = 6

// readShares reads what a cloth is made of: "60/40 cotton poly", "cotton/poly
// 60/40", "50% cotton 50% polyester", "CVC 60/40", "50/50", "a poly blend".
// Shares that don't make 100 are kept as said; who reads the order asks.
func (s *scan) readShares(i int) []Span {
	for _, read := range [...]func(*scan, int) (Span, bool){(*scan).ratioFirst, (*scan).halves, (*scan).fibresFirst, (*scan).percentages, (*scan).fabricRatio, (*scan).blend} {
		if sp, ok := read(s, i); ok {
			return []Span{sp}
		}
	}
	return nil
}

// ratio reads "60/40", "50-50", "50/25/25" at token i.
func (s *scan) ratio(i int) (shares []int, end int) {
	for i < len(s.tokens) && s.tokens[i].IsNumber && len(shares) < maxParts {
		v := s.tokens[i].Number
		if v <= 0 || v > whole || v != float64(int(v)) {
			return nil, i
		}
		shares = append(shares, int(v))
		i++
		if s.is(i, "%") {
			i++
		}
		switch {
		case s.is(i, "/") && s.nextIsNumber(i+1):
			i++
		case i < len(s.tokens) && s.tokens[i].Hyphen && s.tokens[i].IsNumber:
		default:
			return shares, i
		}
	}
	return shares, i
}

// fibres reads a list of fibres at token i: "cotton poly", "poly/cotton".
func (s *scan) fibres(i int) (ids []string, end int) {
	end = i
	for len(ids) < maxParts {
		x, n := s.kind(i, Fibre)
		if n == 0 {
			return ids, end
		}
		ids = append(ids, x.id)
		end = i + n
		i = s.skip(end, "/,+&", "and")
	}
	return ids, end
}

func (s *scan) ratioFirst(i int) (Span, bool) {
	shares, end := s.ratio(i)
	if len(shares) < 2 {
		return Span{}, false
	}
	ids, fend := s.fibres(end)
	if len(ids) >= len(shares) {
		ids = ids[:len(shares)]
		if again, e := s.firstFibres(end, len(shares)); len(again) == len(shares) {
			fend = e
		}
		return s.shares(i, s.blendWord(fend), ids, shares), true
	}
	if sum(shares) != whole {
		return Span{}, false
	}
	if sp, ok := s.ratioFabric(i, end, shares); ok {
		return sp, true
	}
	// A ratio without fibres: the lexicon says which ones the trade means.
	key := ratioKey(shares)
	for _, x := range s.r.words.senses[key] {
		if x.class == classBlend {
			return s.usual(i, s.blendWord(end), x.id), true
		}
	}
	return s.namedRatio(i, end, key), true
}

// namedRatio reads a ratio that is the name of a fabric: "60/40". Where its
// shares differ, the other way round is possible too, and stands in Alt.
func (s *scan) namedRatio(i, end int, key string) Span {
	for _, x := range s.r.words.senses[key] {
		if x.kind != Fabric || len(x.fibre) == 0 {
			continue
		}
		sp := s.span(FibreShares, i, s.blendWord(end))
		sp.Fibre, sp.Note = x.fibre, sp.Text+" taken as "+sayShares(x.fibre)
		ids := byShare(x.fibre)
		if first, last := ids[0], ids[len(ids)-1]; len(ids) == 2 && x.fibre[first] != x.fibre[last] {
			other := map[string]int{first: x.fibre[last], last: x.fibre[first]}
			sp.Alt = []Alternative{{Kind: FibreShares, Fibre: other, Text: sayShares(other)}}
		}
		return sp
	}
	sp := s.span(FibreShares, i, s.blendWord(end))
	sp.Note = "shares without fibres"
	return sp
}

// firstFibres reads exactly n fibres.
func (s *scan) firstFibres(i, n int) (ids []string, end int) {
	for len(ids) < n {
		x, k := s.kind(i, Fibre)
		if k == 0 {
			return ids, end
		}
		ids = append(ids, x.id)
		end = i + k
		i = s.skip(end, "/,+&", "and")
	}
	return ids, end
}

// blendWord returns i, past a word such as "blend" at i.
func (s *scan) blendWord(i int) int {
	if id, n := s.class(i, classBlend); n > 0 && id == "" {
		return i + n
	}
	return i
}

func ratioKey(shares []int) string {
	parts := make([]string, len(shares))
	for i, v := range shares {
		parts[i] = strconv.Itoa(v)
	}
	return strings.Join(parts, " / ")
}

// usual fills in what a ratio means by itself: "cotton 50 polyester 50", and
// after "|" what it might mean as well.
func (s *scan) usual(from, to int, meaning string) Span {
	sp := s.span(FibreShares, from, to)
	for k, m := range strings.Split(meaning, "|") {
		fibre := parseShares(m)
		if k == 0 {
			sp.Fibre, sp.Note = fibre, sp.Text+" taken as "+sayShares(fibre)
			continue
		}
		sp.Alt = append(sp.Alt, Alternative{Kind: FibreShares, Fibre: fibre, Text: sayShares(fibre)})
	}
	return sp
}

func parseShares(text string) map[string]int {
	fields := strings.Fields(strings.ReplaceAll(text, ",", " "))
	out := map[string]int{}
	for i := 0; i+1 < len(fields); i += 2 {
		if v, err := strconv.Atoi(fields[i+1]); err == nil {
			out[fields[i]] = v
		}
	}
	return out
}

// sayShares writes shares in words, the largest first.
func sayShares(fibre map[string]int) string {
	ids := byShare(fibre)
	parts := make([]string, len(ids))
	for i, id := range ids {
		parts[i] = strconv.Itoa(fibre[id]) + " % " + id
	}
	return strings.Join(parts, ", ")
}

// byShare returns the fibres, the largest share first, equal ones by name.
func byShare(fibre map[string]int) []string {
	return slices.SortedFunc(maps.Keys(fibre), func(a, b string) int {
		return cmp.Or(fibre[b]-fibre[a], strings.Compare(a, b))
	})
}

func (s *scan) shares(from, to int, ids []string, shares []int) Span {
	sp := s.span(FibreShares, from, to)
	sp.Fibre = map[string]int{}
	for k, id := range ids {
		sp.Fibre[id] += shares[k]
	}
	return sp
}

func (s *scan) fibresFirst(i int) (Span, bool) {
	ids, end := s.fibres(i)
	if len(ids) < 2 {
		return Span{}, false
	}
	end2 := s.blendWord(end)
	shares, rend := s.ratio(s.skip(end2, ",:("))
	if len(shares) == len(ids) {
		if s.is(rend, ")") {
			rend++
		}
		return s.shares(i, s.blendWord(rend), ids, shares), true
	}
	// "cotton/poly", "poly cotton": a blend whose shares nobody said. "cotton
	// and poly" may be two things.
	for j := i; j < end; j++ {
		if s.joiner(j, "and") || s.is(j, ",") {
			return Span{}, false
		}
	}
	sp := s.span(FibreShares, i, end2)
	sp.ID, sp.Note = ids[0], "a blend without shares"
	return s.mostly(sp), true
}

// halves reads "half linen half cotton", "half poly, half cotton", "half and half
// cotton poly".
func (s *scan) halves(i int) (Span, bool) {
	var ids []string
	end := i
	if s.is(i, "half") && s.joiner(i+1, "and") && s.is(i+2, "half") {
		ids, end = s.firstFibres(i+3, 2)
	} else {
		for j := i; len(ids) < 2 && s.is(j, "half"); j = s.skip(end, "/,+&", "and") {
			x, n := s.kind(j+1, Fibre)
			if n == 0 {
				break
			}
			ids, end = append(ids, x.id), j+1+n
		}
	}
	if len(ids) != 2 || ids[0] == ids[1] {
		return Span{}, false
	}
	return s.shares(i, s.blendWord(end), ids, []int{whole / 2, whole / 2}), true
}

// percentages reads "50% cotton 50% polyester", "cotton 60% poly 40%", and
// without the sign where two or more parts make 100.
func (s *scan) percentages(i int) (Span, bool) {
	for _, fibreFirst := range []bool{false, true} {
		if sp, ok := s.percentList(i, fibreFirst); ok {
			return sp, true
		}
	}
	return Span{}, false
}

func (s *scan) percentList(i int, fibreFirst bool) (Span, bool) {
	var ids []string
	var shares []int
	signed, end, j := 0, i, i
	for len(ids) < maxParts {
		var id string
		var share int
		var percent, ok bool
		var next int
		if fibreFirst {
			id, next, ok = s.fibreAt(j)
			if ok {
				share, percent, next, ok = s.shareAt(next)
			}
		} else {
			share, percent, next, ok = s.shareAt(j)
			if ok {
				id, next, ok = s.fibreAt(next)
			}
		}
		if !ok {
			break
		}
		if percent {
			signed++
		}
		ids, shares = append(ids, id), append(shares, share)
		end = next
		j = s.skip(end, "/,+&", "and", "with")
	}
	if id, next, ok := s.rest(end); ok && len(ids) > 0 && sum(shares) < whole {
		ids, shares, end = append(ids, id), append(shares, whole-sum(shares)), next
	}
	if len(ids) == 1 && signed == 0 && !fibreFirst && sum(shares) < whole && s.beside(i) && !s.counts(end) {
		return s.shares(i, s.blendWord(end), ids, shares), true // "what if it's 60 poly"
	}
	if len(ids) == 0 || signed == 0 && (sum(shares) != whole || len(ids) < 2 && !s.countedBefore(i) && s.counts(end)) {
		return Span{}, false
	}
	return s.shares(i, s.blendWord(end), ids, shares), true
}

// beside reports whether the word before token i says what something is: "its 60
// poly", "only 60 poly".
func (s *scan) beside(i int) bool {
	return i > 0 && slices.Contains([]string{"is", "its", "it's", "s", "are", "only", "just", "at", "says", "say", "be", "was"}, s.tokens[i-1].Text)
}

// rest reads the fibre that the rest of a cloth is made of: "6 % elastane, the
// rest poly".
func (s *scan) rest(i int) (id string, end int, ok bool) {
	i = s.skip(i, ",", "and", "with")
	if s.is(i, "the") {
		i++
	}
	if !s.is(i, "rest") && !s.is(i, "remainder") && !s.is(i, "balance") {
		return "", i, false
	}
	i++
	if s.is(i, "is") {
		i++
	}
	return s.fibreAt(i)
}

// countedBefore reports whether a count stands shortly before token i in the
// same clause: the 100 of "24 white 100 poly tees" is no second one.
func (s *scan) countedBefore(i int) bool {
	for j := i - 1; j >= 0 && j >= i-maxWordsBetween && !s.boundary(j); j-- {
		if s.tokens[j].IsNumber {
			return true
		}
	}
	return false
}

// maxWordsBetween bounds the adjectives between a count and a share.
const maxWordsBetween = 3

func (s *scan) fibreAt(i int) (string, int, bool) {
	x, n := s.kind(s.skip(i, "", "of"), Fibre)
	return x.id, s.skip(i, "", "of") + n, n > 0
}

func (s *scan) shareAt(i int) (share int, percent bool, end int, ok bool) {
	v, ok := s.number(i)
	if !ok || v.vague || v.value <= 0 || v.value > whole {
		return 0, false, i, false
	}
	end = i + v.n
	if u, n := s.unitAt(end); u == "%" {
		return int(v.value), true, end + n, true
	}
	return int(v.value), false, end, true
}

// fabricRatio reads a fabric of known fibres with its own ratio: "CVC 60/40".
func (s *scan) fabricRatio(i int) (Span, bool) {
	x, n := s.kind(i, Fabric)
	if n == 0 || len(x.fibre) == 0 {
		return Span{}, false
	}
	shares, end := s.ratio(i + n)
	if len(shares) != len(x.fibre) || sum(shares) != whole {
		return Span{}, false
	}
	return s.ranked(i, end, x.fibre, shares), true
}

// ratioFabric reads "60/40 CVC" after a ratio that ends before token end.
func (s *scan) ratioFabric(i, end int, shares []int) (Span, bool) {
	x, n := s.kind(end, Fabric)
	if n == 0 || len(x.fibre) != len(shares) {
		return Span{}, false
	}
	return s.ranked(i, end+n, x.fibre, shares), true
}

// ranked gives the fabric's largest fibre the largest share, and so on.
func (s *scan) ranked(from, to int, fibre map[string]int, shares []int) Span {
	sorted := slices.Sorted(slices.Values(shares))
	slices.Reverse(sorted)
	sp := s.shares(from, to, byShare(fibre), sorted)
	sp.Note = sp.Text + " taken as " + sayShares(sp.Fibre)
	return sp
}

// blend reads "a blend", "cotton blend": fibres without shares, or a word that
// the lexicon gives shares.
func (s *scan) blend(i int) (Span, bool) {
	j, first := i, ""
	if x, n := s.kind(i, Fibre); n > 0 {
		first, j = x.id, i+n
	}
	id, n := s.class(j, classBlend)
	if n == 0 || s.joiner(j+n, "of") { // "a mix of sizes"
		return Span{}, false
	}
	if id != "" {
		return s.usual(i, j+n, id), true
	}
	sp := s.span(FibreShares, i, j+n)
	sp.ID, sp.Note = first, "a blend without shares"
	return s.mostly(sp), true
}

// mostly gives a blend without shares, in Alt, those of the fabric of its name.
func (s *scan) mostly(sp Span) Span {
	if x, n := s.kind(sp.From, Fabric); n == sp.To-sp.From && len(x.fibre) > 0 {
		sp.Alt = []Alternative{{Kind: FibreShares, Fibre: x.fibre, Text: sp.Text + " taken as " + sayShares(x.fibre)}}
	}
	return sp
}

func sum(v []int) int {
	t := 0
	for _, x := range v {
		t += x
	}
	return t
}
