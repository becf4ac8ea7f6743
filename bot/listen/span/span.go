package span

import "time"

// A Kind is the type of a piece of text.
type Kind string

// The kinds of pieces. What Value, Value2, ID and the maps hold is said of
// each; a field not named is empty.
const (
	Quantity    Kind = "quantity"    // Value: how many pieces; Value2 = 1 where it adds to others ("12 more"), -1 where it is taken from them ("5 fewer"), Unit "each" where it is for each
	Number      Kind = "number"      // Value: a bare number that counts nothing
	Dimension   Kind = "dimension"   // Value: width in mm, Value2: height in mm; 0 where not said
	Temperature Kind = "temperature" // Value in C; Value2 the upper end of a range, else 0
	Duration    Kind = "duration"    // Value in s; Value2 the upper end of a range, else 0
	Mass        Kind = "mass"        // Value in g/m2; Unit "fl oz" where it is the content of a vessel, in fluid ounces
	Money       Kind = "money"       // Value in the currency of Unit, or the shop's where Unit is ""
	Percent     Kind = "percent"     // Value in per cent
	When        Kind = "when"        // At; DateOnly where no time of day was said; Unit: what the word before it means, "by" for a due date
	SizeRun     Kind = "size run"    // Sizes
	Size        Kind = "size"        // ID: the size as the contract writes it
	Group       Kind = "group"       // ID: adult, youth, toddler, infant
	Colour      Kind = "colour"      // ID of the colour, or its SVG name
	FibreShares Kind = "fibre share" // Fibre: shares in per cent, 100 together; empty where only "a blend" was said
	Fibre       Kind = "fibre"       // ID
	Fabric      Kind = "fabric"      // ID; Fibre where the fabric fixes it
	Item        Kind = "item"        // ID of the blank, "" of an unknown thing; Unit: the word an order uses for it
	Spot        Kind = "spot"        // ID: the spot's name
	Method      Kind = "method"      // ID
	Negation    Kind = "negation"
	Customer    Kind = "customer"  // Text: as it was written
	Ref         Kind = "ref"       // Text: as it was written
	Art         Kind = "art"       // ID: white, photo, fine, soft-edges, names; "" other art; "file" with Text its name; "text" with Text what it says
	Rush        Kind = "rush"      // wanted soon
	Ownership   Kind = "ownership" // ID: ours, theirs
	Arrival     Kind = "arrival"   // At: when the blanks come; ID: theirs, where the customer brings them
	Approval    Kind = "approval"  // the art is approved
	Intent      Kind = "intent"    // ID: order, want (an order only with more to it), question
	Amend       Kind = "amend"     // ID: set, what, same, more, instead, insteadof, add, remove, become (one size another), only, undated (no due date), x2 (times two)
	Word        Kind = "word"      // any other word
)

// A Span is one typed piece of a message.
type Span struct {
	Kind     Kind
	From, To int    // tokens From up to, not including, To
	Text     string // as it was written
	ID       string // the knowledge entry or word it names; see Kind
	Value    float64
	Value2   float64
	Unit     string // unit as written; see Kind
	Sizes    map[string]int
	Fibre    map[string]int
	At       time.Time
	DateOnly bool    // a date without time of day: At is closing time
	Note     string  // what was taken to read it so, in plain words; "" where nothing was
	Score    float64 // 1 exact .. 0
	Negated  bool
	Alt      []Alternative
}

// An Alternative is another reading of a Span, in the fields that differ.
type Alternative struct {
	Kind   Kind
	ID     string
	Text   string // what it would mean, in words
	Value  float64
	Value2 float64
	Sizes  map[string]int
	Fibre  map[string]int
	At     time.Time
	Score  float64
}

// A Token is one word, number or sign.
type Token struct {
	Raw        string  // as it was written
	Text       string  // folded: lower case, no accents, no apostrophes
	Word       string  // Text with a slip mended, an abbreviation written out
	Score      float64 // of Word: 1 where nothing was mended
	Known      bool    // Word is a word of the knowledge base
	Start, End int     // bytes of Reading.Normal
	IsNumber   bool
	Number     float64 // where IsNumber
	Glued      bool    // no space before it
	Hyphen     bool    // joined to the token before it by a hyphen
	Small      bool    // a filler, which carries nothing: "it", "please"
	mendable   bool
	Joins      string // what a joining word stands for: and, or, in, on, with, all; "" of other words
}

// A Reading is a message with its pieces, in the order of the text. Every
// token belongs to exactly one span, signs excepted.
type Reading struct {
	Original string
	Normal   string // cleaned, its case kept
	Tokens   []Token
	Spans    []Span
	Lang     string // "en", "es"
}

// Find returns the spans of a kind that are not negated, in order.
func (r Reading) Find(kind Kind) []Span {
	var out []Span
	for _, s := range r.Spans {
		if s.Kind == kind && !s.Negated {
			out = append(out, s)
		}
	}
	return out
}

// text returns the text of tokens from up to to as it was written.
func (r *Reading) text(from, to int) string {
	if from >= to {
		return ""
	}
	return r.Normal[r.Tokens[from].Start:r.Tokens[to-1].End]
}
