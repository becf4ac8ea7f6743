package rephrase

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"presshand/bot/reply"
	"presshand/knowledge"
)

// A Level is how an answer is spoken.
type Level string

// The levels. The zero value is Plain.
const (
	Plain   Level = ""         // adds nothing
	NewHire Level = "new hire" // explains terms from the knowledge base
	Brief   Level = "brief"    // says nothing of what could be asked next; the model is asked for fewer small words
)

// A Voice is how a user wants to be spoken to.
type Voice struct {
	Level Level
	Lang  string // English or Spanish; "" is the language of each message
}

// A Speech knows how users choose a voice, and the words of new hires. It
// needs no model, and may be used by any number of goroutines.
type Speech struct {
	cues    map[string]choice // by their folded wording
	longest int               // words of the longest cue or wrapper
	wraps   map[string]bool
	confirm map[string]map[string]string // by language, then by what was chosen
	explain []explained
}

// A choice is what a cue sets: a level, or a language.
type choice struct {
	level Level
	lang  string // English, Spanish or asked; "" where the cue sets a level
	said  string // the language of the cue itself, "" for both
}

// asked is the language of each message, as a lexicon writes it.
const asked = "asked"

type explained struct {
	lang, word, means string
	chosen            bool // for someone new, rather than any term
}

// NewSpeech reads the lexicons of kinds "level", "tongue", "tongue-cue",
// "wrapper", "confirm" and "explain", and the terms that hold no figure.
func NewSpeech(base *knowledge.Base) *Speech {
	s := &Speech{cues: map[string]choice{}, wraps: map[string]bool{}, confirm: map[string]map[string]string{}}
	tongues := map[string]string{}
	var patterns []string
	for _, l := range base.Lexicons {
		for _, w := range slices.Sorted(maps.Keys(l.Words)) {
			means := l.Words[w]
			switch l.Kind {
			case "level":
				s.cue(w, choice{level: levelNamed(means), said: l.Lang})
			case "tongue":
				tongues[w] = means
			case "tongue-cue":
				patterns = append(patterns, w)
			case "wrapper":
				s.wrap(w, means)
			case "confirm":
				if s.confirm[l.Lang] == nil {
					s.confirm[l.Lang] = map[string]string{}
				}
				s.confirm[l.Lang][w] = means
			case "explain":
				s.explain = append(s.explain, explained{l.Lang, strings.ToLower(w), means, true})
			}
		}
	}
	for _, p := range patterns {
		for name, lang := range tongues {
			if lang != English && lang != Spanish && lang != asked {
				continue // no answers are written in it
			}
			s.cue(strings.ReplaceAll(p, "{language}", name), choice{lang: lang})
		}
	}
	for _, t := range base.Terms {
		if len(t.Values) == 0 {
			s.explain = append(s.explain, explained{English, strings.ToLower(t.Name), string(t.Means), false})
		}
	}
	return s
}

func levelNamed(name string) Level {
	if name == "plain" {
		return Plain
	}
	return Level(name)
}

func (s *Speech) cue(text string, c choice) {
	words := fold(text)
	s.cues[strings.Join(words, " ")] = c
	s.longest = max(s.longest, len(words))
}

func (s *Speech) wrap(text, list string) {
	each := []string{text}
	if text == "list" {
		each = strings.Fields(list)
	}
	for _, w := range each {
		words := fold(w)
		s.wraps[strings.Join(words, " ")] = true
		s.longest = max(s.longest, len(words))
	}
}

// mostChoosing is how many words a message that chooses a voice holds at the
// most: two cues, each in a wrapper.
const mostChoosing = 20

// Choose returns the voice that a message changes was to, and what is said to
// that, a line a choice. ok is false for a message that says anything beside
// its choice. lines are in the language chosen, else in that of the cue.
func (s *Speech) Choose(text string, was Voice) (now Voice, lines []string, ok bool) {
	words := fold(text)
	if len(words) > mostChoosing {
		return was, nil, false
	}
	now = was
	var made []choice
	for len(words) > 0 {
		n, c, isCue := s.head(words)
		if n == 0 {
			return was, nil, false
		}
		words = words[n:]
		switch {
		case !isCue:
			continue
		case c.lang == asked:
			now.Lang = ""
		case c.lang != "":
			now.Lang = c.lang
		default:
			now.Level = c.level
		}
		made = append(made, c)
	}
	for _, c := range made {
		lines = append(lines, s.said(c, now))
	}
	return now, lines, len(made) > 0
}

// head is the longest cue or wrapper at the head of words.
func (s *Speech) head(words []string) (n int, c choice, isCue bool) {
	for n := min(s.longest, len(words)); n > 0; n-- {
		text := strings.Join(words[:n], " ")
		if c, ok := s.cues[text]; ok {
			return n, c, true
		}
		if s.wraps[text] {
			return n, choice{}, false
		}
	}
	return 0, choice{}, false
}

// said confirms a choice.
func (s *Speech) said(c choice, now Voice) string {
	what := c.lang
	if what == "" {
		what = string(c.level)
		if c.level == Plain {
			what = "plain"
		}
	}
	for _, lang := range []string{now.Lang, c.said} {
		if line := s.confirm[lang][what]; line != "" {
			return line
		}
	}
	return s.confirm[English][what]
}

// fold takes a wording apart into comparable words: lower case, no accents, no
// apostrophes, no signs.
func fold(s string) []string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r) || strings.ContainsRune("'’‘´`", r):
			return -1
		case strings.ContainsRune(".,;:!?¡¿…", r):
			return ' '
		}
		return unicode.ToLower(r)
	}, norm.NFD.String(s))
	return strings.Fields(s)
}

// mostExplained is how many terms one answer explains: more is a lecture.
const mostExplained = 2

// Speak says an answer at a level: for someone new with the terms its lines use
// explained, briefly without what could be asked next. lang is the answer's;
// English where empty.
func (s *Speech) Speak(r reply.Reply, level Level, lang string) reply.Reply {
	switch {
	case level == NewHire && sendable(r):
		r.Lines = slices.Concat(r.Lines, s.explanations(r.Lines, lang))
	case level == Brief:
		r.Suggestions = nil
	}
	return r
}

// explanations explains terms that lines use, a line each: those chosen for
// someone new before others, the one used first before the rest.
func (s *Speech) explanations(lines []string, lang string) []string {
	if lang == "" {
		lang = English
	}
	text := " " + strings.Join(strings.FieldsFunc(strings.ToLower(strings.Join(lines, " ")), func(r rune) bool {
		return strings.ContainsRune(" .,;:()?!¿¡", r)
	}), " ") + " "
	type use struct {
		at int
		explained
	}
	var used []use
	for _, e := range s.explain {
		if at := strings.Index(text, " "+e.word+" "); at >= 0 && e.lang == lang {
			used = append(used, use{at, e})
		}
	}
	slices.SortStableFunc(used, func(a, b use) int {
		if a.chosen != b.chosen {
			if a.chosen {
				return -1
			}
			return 1
		}
		return a.at - b.at
	})
	var out []string
	for _, u := range used[:min(mostExplained, len(used))] {
		out = append(out, capital(u.word)+": "+u.means)
	}
	return out
}
