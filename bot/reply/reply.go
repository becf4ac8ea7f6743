package reply

import (
	"encoding/json"

	"presshand/planner"
)

// An Outcome says what became of a message.
type Outcome string

// The outcomes.
const (
	Answered Outcome = "answered"
	Asked    Outcome = "asked"    // one thing is missing; the text asks for it
	Declined Outcome = "declined" // not something the bot knows; the text says so
)

// A Reply is one answer, free of any face. A face may drop what it can't
// show; it adds and rewords nothing.
type Reply struct {
	Question string
	Outcome  Outcome
	Topic    string
	// Lines are the answer in plain sentences, a line each; the first is the
	// answer with its number. They hold neither cautions nor suggestions.
	Lines       []string
	Tables      []Table
	Facts       []Fact
	Cautions    []Caution
	Assumptions []string
	Suggestions []string // what can be asked next
	Methods     []Verdict
	Order       *planner.Order
	Quote       json.Marshaler // nil where there is none
	Plan        json.Marshaler
	Files       []File
	Buttons     []Button
	// Private lines, tables and facts (costs, margin) are shown only to the
	// owners the shop profile names, and never in a shared channel.
	Private []string
	// Missing names the one thing an asked reply waits for: "fibre", "colour".
	Missing string
	// Note is operator detail: an internal error's text. No face shows it.
	Note string
	// Words are the labels of the answer's language; English where empty.
	Words Words
	// Named says that lines hold what people typed: names of customers and
	// waits, remarks, who said something. Such an answer is never reworded.
	Named bool
	// Rephrase is set only where rephrasing is on.
	Rephrase *Rephrase
}

// Words are the few words a face itself puts before parts of a reply.
type Words struct{ Took, Careful, Next string }

// English returns the labels of English.
func English() Words { return Words{Took: "I took:", Careful: "Careful:", Next: "Next:"} }

// Labels returns the words before parts of r.
func (r Reply) Labels() Words {
	if r.Words == (Words{}) {
		return English()
	}
	return r.Words
}

// A Table has a header and rows of equal length.
type Table struct {
	Title  string
	Header []string
	Rows   [][]string
	Right  []bool // columns set flush right (numbers)
}

// A Fact is one thing the text states, for whoever wants the value and not
// the sentence.
type Fact struct {
	Name   string   `json:"name"`
	Value  any      `json:"value"` // number, boolean, word; money is a decimal string
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Unit   string   `json:"unit"`
	Method string   `json:"method,omitempty"`
	Source Source   `json:"source"`
}

// A Source is a fact's provenance: published (with cite), practice, memory,
// shop or computed.
type Source struct {
	Kind string `json:"kind"`
	Cite string `json:"cite"`
}

// A Caution is a short warning.
type Caution struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// A Verdict is a method's fitness for a blank.
type Verdict struct {
	Method  string   `json:"method"`
	Verdict string   `json:"verdict"`
	Rules   []string `json:"rules"`
	Because string   `json:"because"`
	Unless  string   `json:"unless"`
}

// A File is a picture or other file that goes with the answer.
type File struct {
	Name string // "sheets.png"
	Type string // "image/png"
	Alt  string // what it shows, in words
	// Draw makes what the file holds, the same each time. It may take some
	// hundredths of a second and megabytes of memory, so that a face calls it
	// only where it shows the file, and after it has shown the text.
	Draw func() ([]byte, error) `json:"-"`
}

// Drawn is the Draw of a file whose bytes are there already.
func Drawn(data []byte) func() ([]byte, error) {
	return func() ([]byte, error) { return data, nil }
}

// A Button offers a follow-up; pressing it is the same as sending Say.
type Button struct {
	Label string
	Say   string
}

// Rephrase says what became of a rewording.
type Rephrase struct {
	Used    bool   `json:"used"`
	Refused string `json:"refused"`
}
