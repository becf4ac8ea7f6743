package reply

import (
	"bytes"
	"encoding/json"

	"presshand/planner"
)

// answer is the form scripts rely on; a change to it is a change of the
// product.
type answer struct {
	Question    string         `json:"question"`
	Outcome     Outcome        `json:"outcome"`
	Topic       string         `json:"topic"`
	Text        string         `json:"text"`
	Facts       []Fact         `json:"facts"`
	Cautions    []Caution      `json:"cautions"`
	Assumptions []string       `json:"assumptions"`
	Suggestions []string       `json:"suggestions"`
	Methods     []Verdict      `json:"methods"`
	Order       *planner.Order `json:"order"`
	Quote       json.Marshaler `json:"quote"`
	Plan        json.Marshaler `json:"plan"`
	Files       []file         `json:"files"`
	Rephrase    *Rephrase      `json:"rephrase,omitempty"`
}

type file struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Alt  string `json:"alt"`
}

// MarshalJSON gives the answer object. Lists are [] where empty, never null.
// Private parts and operator detail are left out.
func (r Reply) MarshalJSON() ([]byte, error) {
	a := answer{
		Question: r.Question, Outcome: r.Outcome, Topic: r.Topic, Text: r.Text(),
		Facts: list(r.Facts), Cautions: list(r.Cautions), Assumptions: list(r.Assumptions),
		Suggestions: list(r.Suggestions), Methods: list(r.Methods), Files: []file{},
		Quote: r.Quote, Plan: r.Plan, Rephrase: r.Rephrase,
	}
	for i := range a.Methods {
		a.Methods[i].Rules = list(a.Methods[i].Rules)
	}
	if r.Order != nil {
		o := Whole(*r.Order)
		a.Order = &o
	}
	for _, f := range r.Files {
		a.Files = append(a.Files, file{f.Name, f.Type, f.Alt})
	}
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(a); err != nil {
		return nil, err
	}
	return bytes.TrimSpace(buf.Bytes()), nil
}

// Whole returns o with every empty list and map in place of nil, so that
// nothing of it is written as null.
func Whole(o planner.Order) planner.Order {
	lines := make([]planner.Line, len(o.Lines))
	for i, l := range o.Lines {
		if l.Fibre == nil {
			l.Fibre = map[string]int{}
		}
		if l.Sizes == nil {
			l.Sizes = map[string]int{}
		}
		prints := make([]planner.Print, len(l.Prints))
		for j, p := range l.Prints {
			p.Texts = list(p.Texts)
			prints[j] = p
		}
		l.Prints = prints
		lines[i] = l
	}
	o.Lines = lines
	return o
}

func list[T any](items []T) []T {
	if items == nil {
		return []T{}
	}
	return append([]T{}, items...)
}
