package rephrase

import (
	"maps"
	"slices"
	"strings"

	"presshand/knowledge"
)

// mostExplained is how many terms one answer explains: more is a lecture.
const mostExplained = 2

type explained struct{ lang, word, means string }

// spoken reads the lexicons of kinds "level" (what users say to choose one)
// and "explain", and the terms that hold no figure.
func spoken(base *knowledge.Base) (levels map[string]Level, list []explained) {
	levels = map[string]Level{}
	for _, l := range base.Lexicons {
		for _, w := range slices.Sorted(maps.Keys(l.Words)) {
			switch l.Kind {
			case "level":
				level := Level(l.Words[w])
				if level == "plain" {
					level = Plain
				}
				levels[fold(w)] = level
			case "explain":
				list = append(list, explained{l.Lang, strings.ToLower(w), l.Words[w]})
			}
		}
	}
	for _, t := range base.Terms {
		if len(t.Values) == 0 {
			list = append(list, explained{English, strings.ToLower(t.Name), string(t.Means)})
		}
	}
	return levels, list
}

// Chosen returns the level a message chooses, where it does nothing else.
func (p *Rephraser) Chosen(text string) (Level, bool) {
	level, ok := p.levels[fold(text)]
	return level, ok
}

// fold makes a wording comparable: lower case, straight apostrophes, no ends
// of sentences.
func fold(s string) string {
	s = strings.ToLower(strings.ReplaceAll(s, "’", "'"))
	s = strings.Map(func(r rune) rune {
		if strings.ContainsRune(".,!?¡¿'", r) {
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// explanations explains the first terms that lines use, a line each.
func (p *Rephraser) explanations(lines []string, lang string) []string {
	if lang == "" {
		lang = English
	}
	text := " " + strings.Join(strings.FieldsFunc(strings.ToLower(strings.Join(lines, " ")), func(r rune) bool {
		return strings.ContainsRune(" .,;:()?!", r)
	}), " ") + " "
	var out []string
	for _, e := range p.explain {
		if e.lang == lang && strings.Contains(text, " "+e.word+" ") && len(out) < mostExplained {
			out = append(out, capital(e.word)+": "+e.means)
		}
	}
	return out
}
