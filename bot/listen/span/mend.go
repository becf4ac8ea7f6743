package span

import (
	"maps"
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
	maxMend        = 24 // letters: no name in the trade is longer, and the distance is quadratic
	minAbbreviated = 3  // letters of an abbreviation
	maxPattern     = 32 // runes given to the subsequence search, whose score overflows from 40 on

	slipScore        = 0.9  // of a word with one slip; two slips score its square
	abbreviatedScore = 0.75 // of an abbreviation, at best
	abbreviatedFloor = 0.6  // share of a word's consonants that an abbreviation must keep
)

// A rank says how much a word speaks for itself as what was meant, the first
// the most.
type rank int

const (
	rankName     rank = iota // names a thing, a size, a day, a number by itself
	rankPart                 // a word of such a name
	rankWording              // words of questions and of other entries
	rankEveryday             // ordinary words
)

// A speller knows the words of one language and finds the one that was meant.
type speller struct {
	ranks  map[string]rank
	byLen  [][]spelled
	abbrev map[byte][]string // single words of names, by first letter
}

type spelled struct {
	word string
	mask uint32
	rank rank
}

// Costs of a correction. A slip more outweighs everything else; that a word
// makes a known phrase with its neighbour outweighs all but that; then comes
// what the word is, then how it was missed: swapped letters and dropped ones
// are the commonest slips of a hurried hand, a wrong first letter the rarest
// (Damerau 1964; K. Kukich, Techniques for automatically correcting words in
// text, ACM Computing Surveys 24(4), 1992, 2.1).
const (
	costSlip     = 100
	costPhrase   = -30
	costRank     = 4
	costFirst    = 6
	costDropped  = 3
	costReplaced = 6
	costExtra    = 7
	costVowels   = 1 // the consonants differ too
)

// newSpeller returns a speller of the ranked words. Short forms are known, but
// nothing is mended into them.
func newSpeller(ranks map[string]rank, short map[string]bool) *speller {
	s := &speller{ranks: ranks, byLen: make([][]spelled, maxMend+1), abbrev: map[byte][]string{}}
	for _, w := range slices.Sorted(maps.Keys(ranks)) {
		n := utf8.RuneCountInString(w)
		if n < minAbbreviated || n > maxMend || short[w] || vowels(w) == 0 {
			continue
		}
		s.byLen[n] = append(s.byLen[n], spelled{w, letters(w), ranks[w]})
		if ranks[w] <= rankPart && n > minAbbreviated {
			s.abbrev[w[0]] = append(s.abbrev[w[0]], w)
		}
	}
	return s
}

func (s *speller) knows(w string) bool {
	_, ok := s.ranks[w]
	return ok
}

// letters returns the set of a word's letters, all non-ASCII ones as one.
func letters(w string) uint32 {
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
// first letter stands. phrase reports whether a word makes a known phrase with
// its neighbours.
func (s *speller) mend(w string, phrase func(string) bool) (word string, score float64, ok bool) {
	n := utf8.RuneCountInString(w)
	if n >= minMend && n <= maxMend {
		if word, slips := s.nearest(w, n, phrase); slips > 0 {
			score = slipScore
			if slips > 1 {
				score *= slipScore
			}
			return word, score, true
		}
	}
	if n == minAbbreviated {
		if word, ok := s.longer(w, phrase); ok {
			return word, abbreviatedScore, true
		}
	}
	return s.expand(w, n)
}

func (s *speller) nearest(w string, n int, phrase func(string) bool) (best string, slips int) {
	limit := 1
	if n > shortWord {
		limit = 2
	}
	mask := letters(w)
	skeleton := skeletonOf(w)
	bestCost := (limit + 1) * costSlip
	for l := max(n-limit, minAbbreviated); l <= min(n+limit, maxMend); l++ {
		for _, c := range s.byLen[l] {
			if !within(mask, c.mask, limit) {
				continue
			}
			d := edlib.OSADamerauLevenshteinDistance(w, c.word)
			first := c.word[0] == w[0]
			if d > limit || d > 1 && !first {
				continue
			}
			cost := d*costSlip + int(c.rank)*costRank
			switch {
			case l > n:
				cost += costDropped
			case l < n:
				cost += costExtra
			case c.mask != mask:
				cost += costReplaced
			}
			if !first {
				cost += costFirst
			}
			if skeletonOf(c.word) != skeleton {
				cost += costVowels
			}
			if phrase(c.word) {
				cost += costPhrase
			}
			if cost < bestCost || cost == bestCost && c.word < best {
				best, slips, bestCost = c.word, d, cost
			}
		}
	}
	return best, slips
}

// longer reads a word of three letters as one of four that lost one: the one
// that makes a phrase with its neighbours, else the only one there is among
// names and words of questions.
func (s *speller) longer(w string, phrase func(string) bool) (string, bool) {
	word, count := "", 0
	for _, c := range s.byLen[minAbbreviated+1] {
		if !subsequence(w, c.word) {
			continue
		}
		if phrase(c.word) {
			return c.word, true
		}
		if c.rank == rankName || c.rank == rankWording {
			word, count = c.word, count+1
		}
	}
	return word, count == 1
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
	return ones(gone) <= limit && ones(come) <= limit
}

func ones(m uint32) int {
	n := 0
	for ; m != 0; m &= m - 1 {
		n++
	}
	return n
}

// expand reads w as an abbreviation: its letters occur in order in one trade
// word, begin as that begins, and keep most of its consonants. Two equally
// good words are no reading.
func (s *speller) expand(w string, n int) (word string, score float64, ok bool) {
	if n < minAbbreviated || n > maxPattern {
		return "", 0, false
	}
	unique := false
	for _, m := range fuzzy.FindNoSort(w, s.abbrev[w[0]]) {
		kept := float64(consonants(w)) / float64(consonants(m.Str))
		if vowels(w) > vowels(m.Str) || kept < abbreviatedFloor || len(m.Str) > 3*n {
			continue
		}
		switch v := min(kept, 1) * abbreviatedScore; {
		case v > score:
			word, score, unique = m.Str, v, true
		case v == score && singular(m.Str) != singular(word):
			unique = false
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
