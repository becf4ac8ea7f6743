package span

import (
	"math/bits"
	"slices"
	"strings"
	"unicode/utf8"

	edlib "github.com/hbollon/go-edlib"
	"github.com/sahilm/fuzzy"
)

// How far a word may be off and still be mended.
const (
	minMend        = 4  // letters: shorter words have too many neighbours one slip away
	shortWord      = 5  // letters: up to here one slip, two above
	longWord       = 8  // letters: two slips into a word that is no name are believed from here on, beside English
	maxMend        = 24 // letters: no name in the trade is longer, and the distance is quadratic
	minAbbreviated = 3  // letters of an abbreviation
	maxPattern     = 32 // runes given to the subsequence search, whose score overflows from 40 on

	slipScore        = 0.9  // of a word with one slip; two slips score its square
	abbreviatedScore = 0.75 // of an abbreviation, at best
	longestShort     = 2    // times its length: what an abbreviation stands for is no longer
	abbreviatedFloor = 0.6  // share of a word's consonants that an abbreviation must keep
)

// A rank says how much a word speaks for itself as what was meant, the first
// the most.
type rank uint8

const (
	rankName     rank = iota // names a thing, a size, a day, a number by itself
	rankPart                 // a word of such a name
	rankWording              // words of questions and of other entries
	rankEveryday             // ordinary words
)

// A speller knows the words of one language, and those of the language below
// it, and finds the one that was meant.
type speller struct {
	below  *speller // nil for the base's own language
	ranks  map[string]rank
	first  shelf             // by length and first byte
	second shelf             // by length and second byte
	abbrev map[byte][]string // single words of names, by first letter
}

// A shelf holds words sorted by length and one byte: many short lists, made
// without growing each.
type shelf struct {
	ends  [(maxMend + 1) << 8]int32
	words []spelled
}

func slotOf(letters int, letter byte) int { return letters<<8 | int(letter) }

// fill sorts words into slots by counting them first (Knuth, The Art of Computer
// Programming 3, 5.2, algorithm D).
func (s *shelf) fill(words []spelled, slot func(spelled) int) {
	for _, w := range words {
		s.ends[slot(w)]++
	}
	total := int32(0)
	for i, n := range s.ends {
		s.ends[i] = total
		total += n
	}
	s.words = make([]spelled, len(words))
	for _, w := range words { // each end moves on from its list's start
		i := slot(w)
		s.words[s.ends[i]] = w
		s.ends[i]++
	}
}

func (s *shelf) at(letters int, letter byte) []spelled {
	if letters < 1 || letters > maxMend {
		return nil
	}
	i := slotOf(letters, letter)
	return s.words[s.ends[i-1]:s.ends[i]]
}

type spelled struct {
	word    string
	mask    uint32 // which letters it holds
	letters uint8  // and how many
	rank    rank
}

// Costs of a correction. A slip more outweighs everything else; that a word
// makes a known phrase with its neighbour outweighs all but that, and that the
// two stand so in some wording outweighs two ranks; then comes
// what the word is, then how it was missed: swapped letters and dropped ones
// are the commonest slips of a hurried hand, a wrong first letter the rarest
// (Damerau 1964; K. Kukich, Techniques for automatically correcting words in
// text, ACM Computing Surveys 24(4), 1992, 2.1).
const (
	costSlip     = 100
	costPhrase   = -30
	costPair     = -10
	costRank     = 4
	costFirst    = 6
	costDropped  = 3
	costReplaced = 6
	costExtra    = 7
	costVowels   = 1 // the consonants differ too
)

// newSpeller returns a speller of the ranked words. Short forms are known, but
// nothing is mended into them.
func newSpeller(ranks map[string]rank, short map[string]bool, below *speller) *speller {
	s := &speller{below: below, ranks: ranks, abbrev: map[byte][]string{}}
	words := make([]spelled, 0, len(ranks))
	for w, k := range ranks { // the order of the lists decides nothing
		n, mask := utf8.RuneCountInString(w), Letters(w)
		if n < minAbbreviated || n > maxMend || short[w] || mask&vowelSet == 0 {
			continue
		}
		words = append(words, spelled{w, mask, uint8(n), k})
		if k <= rankPart && n > minAbbreviated {
			s.abbrev[w[0]] = append(s.abbrev[w[0]], w)
		}
	}
	s.first.fill(words, func(w spelled) int { return slotOf(int(w.letters), w.word[0]) })
	s.second.fill(words, func(w spelled) int { return slotOf(int(w.letters), w.word[1]) })
	return s
}

func (s *speller) knows(w string) bool {
	_, ok := s.ranks[w]
	return ok || s.below != nil && s.below.knows(w)
}

// names reports whether w is a name or a word of one.
func (s *speller) names(w string) bool {
	k, ok := s.ranks[w]
	return ok && k <= rankPart || s.below != nil && s.below.names(w)
}

// vowelSet is the set of vowels, as Letters gives it.
const vowelSet = 1 | 1<<('e'-'a') | 1<<('i'-'a') | 1<<('o'-'a') | 1<<('u'-'a')

// Letters returns the set of a word's letters, all non-ASCII ones as one.
func Letters(w string) uint32 {
	var m uint32
	for _, r := range w {
		if r >= 'a' && r <= 'z' {
			m |= 1 << (r - 'a')
		} else {
			m |= 1 << 26
		}
	}
	return m
}

// mend returns the known word that w most likely stands for. Slips are
// counted as optimal string alignment distance: insertions, deletions,
// replacements and swaps of neighbours cost one each (F. J. Damerau, A
// technique for computer detection and correction of spelling errors, Comm.
// ACM 7(3), 1964). Fewest slips win; what decides between equal ones is said
// at the costs, and then the alphabet. Two slips are believed only where the
// first letter stands and the consonants are one slip apart at most: hurried
// hands leave out vowels, and "hobbies" are no hoodies. beside tells what
// speaks for a word beside its neighbours, as a cost.
func (s *speller) mend(w string, beside func(string) int) (word string, score float64, ok bool) {
	n := utf8.RuneCountInString(w)
	if n >= minMend && n <= maxMend {
		if word, slips := s.nearest(w, n, beside); slips > 0 {
			score = slipScore
			if slips > 1 {
				score *= slipScore
			}
			return word, score, true
		}
	}
	if n == minAbbreviated {
		if word, ok := s.longer(w, beside); ok {
			return word, abbreviatedScore, true
		}
	}
	return s.expand(w, n)
}

func (s *speller) nearest(w string, n int, beside func(string) int) (best string, slips int) {
	x := typed{word: w, n: n, mask: Letters(w), skeleton: skeletonOf(w), limit: 1}
	if n > shortWord {
		x.limit = 2
	}
	bestCost := (x.limit + 1) * costSlip
	for l := max(n-x.limit, minAbbreviated); l <= min(n+x.limit, maxMend); l++ {
		for _, list := range s.near(w, l) {
			for _, c := range list {
				d := x.slips(c, (bestCost-costPhrase)/costSlip)
				if d == 0 || d > 1 && s.below != nil && c.rank > rankPart && n < longWord {
					continue
				}
				cost := d*costSlip + x.cost(c, l) + beside(c.word)
				if cost < bestCost || cost == bestCost && c.word < best {
					best, slips, bestCost = c.word, d, cost
				}
			}
		}
	}
	return best, slips
}

// near returns the words of n letters that may be within the slips allowed of
// w, some of them twice. A single slip leaves the first letter, or brings the
// second one into its place, or the first one into the second's, or leaves the
// second; two slips leave the first letter. Of the language below only names are
// meant: nobody who writes Spanish slips into an ordinary English word.
func (s *speller) near(w string, n int) [][]spelled {
	out := [][]spelled{s.first.at(n, w[0]), s.first.at(n, w[1]), s.second.at(n, w[0]), s.second.at(n, w[1])}
	if s.below == nil {
		return out
	}
	for _, list := range s.below.near(w, n) {
		out = append(out, slices.DeleteFunc(slices.Clone(list), func(c spelled) bool { return c.rank > rankPart }))
	}
	return out
}

// typed is an unknown word as it was typed.
type typed struct {
	word     string
	n        int // letters
	mask     uint32
	skeleton string
	limit    int // slips
}

// slips returns how many slips c is away, 0 where it is too many or more than
// most. One slip is seen without counting; go-edlib counts two.
func (x *typed) slips(c spelled, most int) int {
	limit := min(x.limit, most)
	if !within(x.mask, c.mask, limit) {
		return 0
	}
	if oneSlip(x.word, c.word) {
		return 1
	}
	if limit < 2 || c.word[0] != x.word[0] || edlib.OSADamerauLevenshteinDistance(x.word, c.word) != 2 ||
		edlib.OSADamerauLevenshteinDistance(x.skeleton, skeletonOf(c.word)) > 1 {
		return 0
	}
	return 2
}

// cost is what the choice of c, of l letters, costs besides its slips.
func (x *typed) cost(c spelled, l int) int {
	cost := int(c.rank) * costRank
	switch {
	case l > x.n:
		cost += costDropped
	case l < x.n:
		cost += costExtra
	case c.mask != x.mask:
		cost += costReplaced
	}
	if c.word[0] != x.word[0] {
		cost += costFirst
	}
	if skeletonOf(c.word) != x.skeleton {
		cost += costVowels
	}
	return cost
}

// oneSlip reports whether a and b are one slip apart: between what they have
// in common at both ends, one letter stands against none or one, or two
// against the same two swapped.
func oneSlip(a, b string) bool {
	p := 0
	for p < len(a) && p < len(b) && a[p] == b[p] {
		p++
	}
	a, b = a[p:], b[p:]
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a) == 2 && len(b) == 2 {
		return a[0] == b[1] && a[1] == b[0]
	}
	return len(a) <= 1 && len(b) <= 1 && len(a)+len(b) > 0
}

// longer reads a word of three letters as one of four that lost one: the one
// that makes a phrase with its neighbours, else the only one there is among
// names and words of questions.
func (s *speller) longer(w string, beside func(string) int) (string, bool) {
	word, count, paired := "", 0, false
	seen := map[string]bool{}
	for _, list := range s.near(w, minAbbreviated+1) {
		for _, c := range list {
			if seen[c.word] || !subsequence(w, c.word) {
				continue
			}
			seen[c.word] = true
			fits := beside(c.word) < 0
			switch {
			case fits && (!paired || c.word < word):
				word, paired = c.word, true
			case !fits && !paired && (c.rank == rankName || c.rank == rankWording):
				word, count = c.word, count+1
			}
		}
	}
	return word, paired || count == 1
}

// subsequence reports whether the letters of a occur in b in order.
func subsequence(a, b string) bool {
	for i := 0; i < len(b) && a != ""; i++ {
		if b[i] == a[0] {
			a = a[1:]
		}
	}
	return a == ""
}

// within reports whether words of letters a and b can be limit slips apart:
// each slip takes away at most one letter of a set and brings one.
func within(a, b uint32, limit int) bool {
	gone, come := a&^b, b&^a
	return bits.OnesCount32(gone) <= limit && bits.OnesCount32(come) <= limit
}

// expand reads w as an abbreviation: its letters occur in order in one trade
// word, begin as that begins, and keep most of its consonants. Two equally
// good words are no reading.
func (s *speller) expand(w string, n int) (word string, score float64, ok bool) {
	if n < minAbbreviated || n > maxPattern {
		return "", 0, false
	}
	unique := false
	for ; s != nil; s = s.below {
		for _, m := range fuzzy.FindNoSort(w, s.abbrev[w[0]]) {
			kept := float64(consonants(w)) / float64(consonants(m.Str))
			if vowels(w) > vowels(m.Str) || kept < abbreviatedFloor || len(m.Str) > longestShort*n {
				continue
			}
			switch v := min(kept, 1) * abbreviatedScore; {
			case v > score:
				word, score, unique = m.Str, v, true
			case v < score:
			case singular(m.Str) != singular(word):
				unique = false
			case m.Str < word: // singular before plural
				word = m.Str
			}
		}
	}
	return word, score, unique
}

func isVowel(r rune) bool { return strings.ContainsRune("aeiou", r) }

// skeletonOf returns a word's consonants.
func skeletonOf(w string) string {
	return strings.Map(func(r rune) rune {
		if isVowel(r) {
			return -1
		}
		return r
	}, w)
}

func consonants(w string) int { return utf8.RuneCountInString(skeletonOf(w)) }

func vowels(w string) int { return utf8.RuneCountInString(w) - consonants(w) }
