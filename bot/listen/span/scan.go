package span

import (
	"strings"
	"time"
)

// A scan is the reading of one message.
type scan struct {
	r      *Reader
	out    *Reading
	tokens []Token
	now    time.Time
	joined string // words joined by blanks
	at     []int  // where each word begins in joined
	hits   [][]hit
	infant bool // the message speaks of infants: 6M is a size
}

// A hit is a phrase of the dictionary found at a token.
type hit struct {
	n      int // tokens
	senses []sense
}

func newScan(r *Reader, out *Reading, now time.Time) *scan {
	s := &scan{r: r, out: out, tokens: out.Tokens, now: now}
	var b strings.Builder
	s.at = make([]int, len(s.tokens))
	for i, t := range s.tokens {
		if i > 0 {
			b.WriteByte(' ')
		}
		s.at[i] = b.Len()
		b.WriteString(t.Word)
	}
	s.joined = b.String()
	s.hits = make([][]hit, len(s.tokens))
	for i := range s.tokens {
		s.hits[i] = s.find(r.words, i)
		for _, h := range s.hits[i] {
			for _, x := range h.senses {
				if h.n == 1 && x.class == classJoiner && s.tokens[i].Joins == "" {
					s.tokens[i].Joins = x.id
				}
				s.tokens[i].Small = s.tokens[i].Small || h.n == 1 && x.class == classFiller
				s.infant = s.infant || x.kind == Group && x.id == "infant" || x.kind == Item && x.group == "infant"
			}
		}
	}
	return s
}

// find returns the phrases that begin at token i, the longest first.
func (s *scan) find(words *dictionary, i int) []hit {
	var out []hit
	for n := min(words.longest[s.tokens[i].Word], len(s.tokens)-i); n > 0; n-- {
		end := s.at[i+n-1] + len(s.tokens[i+n-1].Word)
		if senses, ok := words.senses[s.joined[s.at[i]:end]]; ok {
			out = append(out, hit{n, senses})
		}
	}
	return out
}

// readAll covers the message with pieces: at each place the longest one, of
// equal ones the first in the order of readers.
func (s *scan) readAll() {
	for i := 0; i < len(s.tokens); {
		var best []Span
		end := i
		for _, read := range s.r.readers {
			if got := read(s, i); len(got) > 0 && got[len(got)-1].To > end {
				best, end = got, got[len(got)-1].To
			}
		}
		if best == nil {
			s.words(i, i+1)
			i++
			continue
		}
		for _, sp := range best {
			s.words(i, sp.From)
			s.out.Spans = append(s.out.Spans, sp)
			i = sp.To
		}
	}
}

// words adds the words among tokens from up to to.
func (s *scan) words(from, to int) {
	for i := from; i < to; i++ {
		if isWordToken(s.tokens[i]) {
			s.out.Spans = append(s.out.Spans, s.span(Word, i, i+1))
		}
	}
}

// span returns a piece of tokens from up to to; its score is its worst word's.
func (s *scan) span(kind Kind, from, to int) Span {
	score := 1.0
	for _, t := range s.tokens[from:to] {
		score = min(score, t.Score)
	}
	return Span{Kind: kind, From: from, To: to, Text: s.out.text(from, to), Score: score}
}

// class returns what the longest phrase of a class at token i stands for, and
// its length in tokens; 0 where there is none.
func (s *scan) class(i int, c class) (id string, n int) {
	if i < 0 || i >= len(s.tokens) {
		return "", 0
	}
	for _, h := range s.hits[i] {
		for _, x := range h.senses {
			if x.class == c {
				return x.id, h.n
			}
		}
	}
	return "", 0
}

// kind returns the longest phrase at token i that has a sense of a kind.
func (s *scan) kind(i int, k Kind) (x sense, n int) {
	if i < 0 || i >= len(s.tokens) {
		return sense{}, 0
	}
	for _, h := range s.hits[i] {
		for _, x := range h.senses {
			if x.kind == k {
				return x, h.n
			}
		}
	}
	return sense{}, 0
}

// anyKind reports whether a phrase of one of the kinds begins at token i.
func (s *scan) anyKind(i int, kinds ...Kind) bool {
	for _, k := range kinds {
		if _, n := s.kind(i, k); n > 0 {
			return true
		}
	}
	return false
}

// is reports whether token i is the word or sign.
func (s *scan) is(i int, word string) bool {
	return i >= 0 && i < len(s.tokens) && s.tokens[i].Text == word
}

// joiner reports whether token i is a joining word that stands for id.
func (s *scan) joiner(i int, id string) bool {
	if i < 0 || i >= len(s.tokens) {
		return false
	}
	return s.tokens[i].Joins == id
}

// maxSkip bounds the signs and joining words between two pieces, so that a
// long row of them is not walked again from each of its places.
const maxSkip = 8

// skip returns the first token from i on, within maxSkip, that is none of the
// signs and joining words given.
func (s *scan) skip(i int, signs string, joiners ...string) int {
	for end := min(i+maxSkip, len(s.tokens)); i < end; {
		t := s.tokens[i]
		if len(t.Text) == 1 && strings.Contains(signs, t.Text) {
			i++
			continue
		}
		joined := false
		for _, j := range joiners {
			joined = joined || j != "" && s.joiner(i, j)
		}
		if !joined {
			return i
		}
		i++
	}
	return i
}

// boundary reports whether token i ends a clause: the end of the message, a
// sign of punctuation, "and".
func (s *scan) boundary(i int) bool {
	if i >= len(s.tokens) {
		return true
	}
	switch s.tokens[i].Text {
	case ",", ";", ".", "!", "?", "\n", ":", "(", ")", "&", "+":
		return true
	}
	return s.joiner(i, "and") || s.joiner(i, "but")
}
