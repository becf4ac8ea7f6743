package knowledge

// Every entry has an id, unique in its section and stable: a shop's own file
// replaces an entry by repeating its id. Names are the words people use for
// it; the reader of messages matches them. Pos is where the entry stands.

// A Head is what every entry begins with.
type Head struct {
	ID     string   // lower-case words joined by hyphens
	Name   string   // as an answer writes it
	Names  []string // further words and phrases people use for it
	Status string   // "reviewed" or "draft"; a draft is said to be one
	Values map[string]Value
	Source Source // of the entry's prose and of what carries no source of its own
	Pos    Pos
}

// A Method is a way to put art on a blank.
type Method struct {
	Head
	Summary     Text     // what happens, in one or two sentences
	Feel        Text     // how the print feels
	TonerSet    string   // "white", "dye", or "" where nothing is printed on the shop's printer
	White       Flag     // can it print white
	Mirror      Flag     // must the sheet read backwards before pressing
	MirrorHow   Text     // one sentence on how to get that right
	Paper       Text     // what to load and which paper setting
	Peel        Word     // hot, warm, cold, none
	Polyester   Value    // least polyester share, where the method needs it
	WashLife    Value    // washes; not Known where WashWord is given
	WashWord    Word     // "fabric" where the print lasts as long as the fabric
	Stock       []string // what one sheet uses up: ids of the shop profile's stock
	InsideSheet Flag     // a sheet goes inside the garment, or dye passes through
	CoverSheet  Flag     // a non-stick cover sheet goes on top
	Trim        Text
	Default     int  // order among methods that fit equally: lower first
	Kit         Text // what the shop must own for it
	Note        Text
}

// A Fibre is a textile fibre or a blank's surface material.
type Fibre struct {
	Head
	Codes                                    []string // label codes that are read and never written
	Ceiling                                  Value    // highest press temperature for a press of 60 s or less
	Refuse                                   Text     // why it is never pressed; "" where it may be
	Handle                                   Text     // what to mind when pressing
	Softens, Melts, Discolours, Iron, Regain Value
}

// A Fabric is a named cloth: a usual blend, or a structure.
type Fabric struct {
	Head
	Fibre     map[string]int // usual shares in per cent; empty where the name doesn't fix them
	Structure string         // "flat", "ribbed", "raised", "open", "coated"
	Ask       Text           // what must be asked before an answer is safe: "PVC or polyurethane?"
	Refuse    Text
	Handle    Text
}

// A Blank is what is printed on.
type Blank struct {
	Head
	Item     string         // the word an order uses: "tee"
	Kind     string         // "garment", "headwear", "bag", "hard", "cloth"
	Group    string         // size group by default: "adult", "youth", "toddler", "infant", ""
	Press    string         // "flat", "mug", "cap"
	Fibre    map[string]int // only where every such blank is of it
	Coated   bool           // a hard good with polyester coating, as sold for dye
	Fabric   string         // id of the usual fabric, "" where it varies
	Spots    []string       // spots it can take, first the usual one
	Sizes    []string       // usual sizes; empty for one-size goods
	Minutes  Value          // not used for planning; reserved for hints
	Handle   Text           // zips, pockets, rims: what to mind
	Ask      Text           // what must be asked, where the name alone does not decide
	Refuse   Text           // why it is declined ("children's sleepwear"); "" where it may be
	Cautions []string
}

// A Colour is a trade colour word that the CSS list does not hold.
type Colour struct {
	Head
	Hex      string // sRGB; of a pattern, its darkest large colour
	Pattern  bool
	Migrates bool // dye of this shade is known to wander into white prints
}

// A Dwell is one closing of a press.
type Dwell struct {
	Temperature Value
	Time        Value
	Pressure    Word
	Pos         Pos
}

// A Recipe is the press settings of a method on a kind of blank.
type Recipe struct {
	Head
	Method   string
	Blanks   []string // blank ids it is for; empty = any of the fibres below
	Fibres   []string // fibre ids (largest share, or the most heat-sensitive); empty = any
	Fabrics  []string
	Marry    Dwell
	Prepress Dwell
	Press    Dwell
	Peel     Word
	CoolWait Value
	Finish   Dwell
	Notes    []Text
	Cautions []string
}

// A Condition holds where all of its given parts hold.
type Condition struct {
	PolyesterBelow Value    // polyester share < this
	PolyesterFrom  Value    // polyester share >= this
	Lightness      []string // any of "very light", "light", "mid", "dark"
	FibreAny       []string // any of these fibres is present
	FibreNone      []string // none of these fibres is present
	Kind           []string // blank kind
	Blank          []string // blank ids
	Group          []string // size group
	Structure      []string
	Coated         *bool
	Art            []string // any of "white", "photo", "fine", "soft-edges", "names"
	Wish           []string // any of "no-feel", "long-life", "faded"
	QuantityBelow  Value
	QuantityFrom   Value
	Migrates       *bool // a dyed shade known to wander
	Pattern        *bool
}

// A Rule lets one thing decide for or against a method.
type Rule struct {
	Head
	Method   string // method id, or "any"
	When     Condition
	Verdict  string // "fits", "fits with care", "ruled out"
	Prefer   int    // added to the method's standing where the rule holds and nothing is ruled out
	Because  Text   // why, in one clause
	Unless   Text   // what would change the verdict: "a white polyester blank"
	Why      Text   // the physics, two sentences, for "why?"
	Cautions []string
}

// A LightnessClass says how light a colour is, by CIELAB.
type LightnessClass struct {
	Head
	MinL Value // L* at least; dimension other, unit L*
	MaxL Value // L* below
	MaxC Value // C*ab at most
	Rank int   // classes are tried in this order
}

// A Procedure is an ordered list of steps: a method from file to finished
// piece, start-up, toner-set changeover, nine-point reading, first piece.
type Procedure struct {
	Head
	Method string // "" where it belongs to no single method
	Steps  []ProcedureStep
}

// A ProcedureStep is one thing to do.
type ProcedureStep struct {
	Do       Text
	Hot      bool // sends someone to a hot machine; then cautions are owed
	Cautions []string
	Pos      Pos
}

// A Caution is a short warning.
type Caution struct {
	Head
	Text Text
	For  []string // kinds of step it belongs to: "press", "marry", "pull", "peel", "printer", "pvc", ...
	Rank int      // the most serious first
}

// A Fault is a symptom with its likely causes, likeliest first.
type Fault struct {
	Head
	Methods  []string
	Likely   Text // first line of the answer
	Causes   []Cause
	Now      Text // what to do with the piece at hand
	Prevent  Text
	Cautions []string
	Hot      bool
}

// A Cause is one likely cause of a fault.
type Cause struct {
	Is    Text // what went wrong
	Check Text // how to see it
	Mend  Text
	Pos   Pos
}

// A Placement says where a print sits and how large it is.
type Placement struct {
	Head
	Spot   string
	Blanks []string // blank ids; empty = any garment
	Group  string   // size group
	Width  Value    // usual width with range
	Height Value
	Offset Value // distance from the reference
	From   Text  // the reference: "below the collar seam"
	Text   Text
}

// A Care entry is what to tell the customer about washing.
type Care struct {
	Head
	Method string
	Lines  []Text
}

// A Term is a word of the trade, explained.
type Term struct {
	Head
	Means Text
}

// A Guide answers a question that is no setting, fault or rule: how to load
// the printer, store sheets, read nine points, why moisture matters.
type Guide struct {
	Head
	Topic    string // contract topic
	Text     Text   // first line is the answer
	Why      Text
	WhatIf   Text // what happens if it is not done
	Methods  []string
	Cautions []string
	Decline  bool // an unsafe wish: the text declines and names whom to ask
}

// A Correction puts a wrong figure right when someone repeats it.
type Correction struct {
	Head
	Claim []string // phrases by which it is recognised; all words of one must occur
	Text  Text
}

// A Cue is a wording that points to a topic, or to an entry.
type Cue struct {
	Head
	Topic   string
	Ask     string   // what exactly: a fact name ("cool_wait") or a sub-topic word; "" where the topic says it all
	Entry   string   // section/id it points to, where it points to one
	Phrases []string // words; all content words of a phrase should occur
	Not     []string // words that speak against it
	Lang    string   // "en" or "es"
}

// A Lexicon gives the reader words of one kind: number words, units,
// fillers, negations, weekdays, joiners; and what each stands for.
type Lexicon struct {
	Head
	Kind  string // "number", "negation", "filler", "weekday", "month", "slang", "translate", ...
	Lang  string
	Words map[string]string // word to what it stands for
}
