package main

import (
	"fmt"
	"strings"

	"github.com/blevesearch/bleve/v2"
	_ "github.com/blevesearch/bleve/v2/analysis/lang/en"
	"github.com/blevesearch/bleve/v2/search/query"

	"presshand/knowledge"
)

// A document is an entry as the engine indexes it.
type document struct {
	ID    string `json:"-"` // section/id
	Names string `json:"names"`
	Text  string `json:"text"`
}

// A way is how the engine is set up and asked.
type way struct {
	name      string
	analyzer  string
	fuzziness int // edits that a word may be away
}

var ways = []way{
	{"plain words", "standard", 0},
	{"English stems", "en", 0},
	{"English stems, one edit", "en", 1},
}

// An engine answers with entry ids.
type engine struct {
	index bleve.Index
	way   way
}

// open indexes the documents in memory.
func open(w way, documents []document) (*engine, error) {
	mapping := bleve.NewIndexMapping()
	mapping.DefaultAnalyzer = w.analyzer
	index, err := bleve.NewMemOnly(mapping)
	if err != nil {
		return nil, err
	}
	for _, d := range documents {
		if err := index.Index(d.ID, d); err != nil {
			return nil, fmt.Errorf("%s: %w", d.ID, err)
		}
	}
	return &engine{index, w}, nil
}

// namesBoost is how much more a word of the names weighs than one of the
// text; of 1, 2, 3 and 5 it gave the engine its best rate on the tune set (5
// the same).
const namesBoost = 3

// first returns the entry the engine ranks first, "" where it finds none.
func (e *engine) first(text string) (string, error) {
	var parts []query.Query
	for field, boost := range map[string]float64{"names": namesBoost, "text": 1} {
		q := bleve.NewMatchQuery(text)
		q.SetField(field)
		q.SetBoost(boost)
		q.SetFuzziness(e.way.fuzziness)
		parts = append(parts, q)
	}
	request := bleve.NewSearchRequestOptions(bleve.NewDisjunctionQuery(parts...), 1, 0, false)
	result, err := e.index.Search(request)
	if err != nil || len(result.Hits) == 0 {
		return "", err
	}
	return result.Hits[0].ID, nil
}

// documentsOf returns the entries that can be an answer of their own.
func documentsOf(base *knowledge.Base) []document {
	phrases := map[string][]string{}
	for _, c := range base.Cues {
		if c.Entry != "" {
			phrases[c.Entry] = append(phrases[c.Entry], c.Phrases...)
		}
	}
	var out []document
	add := func(section string, h knowledge.Head, texts ...knowledge.Text) {
		id := section + "/" + h.ID
		names := append(append([]string{h.Name}, h.Names...), phrases[id]...)
		var b strings.Builder
		for _, t := range texts {
			b.WriteString(string(t) + "\n")
		}
		out = append(out, document{id, strings.Join(names, "\n"), b.String()})
	}
	for _, e := range base.Faults {
		texts := []knowledge.Text{e.Likely, e.Now, e.Prevent}
		for _, c := range e.Causes {
			texts = append(texts, c.Is, c.Check, c.Mend)
		}
		add("faults", e.Head, texts...)
	}
	for _, e := range base.Guides {
		add("guides", e.Head, e.Text, e.Why, e.WhatIf)
	}
	for _, e := range base.Terms {
		add("terms", e.Head, e.Means)
	}
	for _, e := range base.Procedures {
		var texts []knowledge.Text
		for _, s := range e.Steps {
			texts = append(texts, s.Do)
		}
		add("procedures", e.Head, texts...)
	}
	for _, e := range base.Corrections {
		claims := knowledge.Text(strings.Join(e.Claim, "\n"))
		add("corrections", e.Head, claims, e.Text)
	}
	for _, e := range base.Cautions {
		add("cautions", e.Head, e.Text)
	}
	for _, e := range base.Placements {
		add("placements", e.Head, e.From, e.Text)
	}
	return out
}
