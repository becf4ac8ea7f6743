package questions

import (
	"strings"

	"presshand/knowledge"
)

// A marks knows by which words an entry is known in an answer: the opening of
// each of its own sentences, by section/id. An answer that quotes an entry was
// given from it, whatever way it was found.
type marks map[string][]string

func marksOf(base *knowledge.Base) marks {
	m := marks{}
	for _, e := range base.Faults {
		m.add("faults/"+e.ID, e.Likely, e.Now, e.Prevent)
	}
	for _, e := range base.Guides {
		m.add("guides/"+e.ID, e.Text, e.Why, e.WhatIf)
	}
	for _, e := range base.Terms {
		m.add("terms/"+e.ID, e.Means)
	}
	for _, e := range base.Procedures {
		for _, s := range e.Steps {
			m.add("procedures/"+e.ID, s.Do)
		}
	}
	for _, e := range base.Corrections {
		m.add("corrections/"+e.ID, e.Text)
	}
	for _, e := range base.Cautions {
		m.add("cautions/"+e.ID, e.Text)
	}
	return m
}

// leastMark is the shortest opening, in bytes, that tells one entry from the
// rest; half a sentence.
const leastMark = 18

// add keeps the openings of the texts, up to their first placeholder.
func (m marks) add(entry string, texts ...knowledge.Text) {
	for _, text := range texts {
		head, _, _ := strings.Cut(string(text), "{")
		head = strings.ToLower(strings.TrimSpace(head))
		if len(head) >= leastMark {
			m[entry] = append(m[entry], head)
		}
	}
}

// quoted reports whether the lower-case text holds a sentence of the entry.
func (m marks) quoted(entry, text string) bool {
	for _, mark := range m[entry] {
		if strings.Contains(text, mark) {
			return true
		}
	}
	return false
}
