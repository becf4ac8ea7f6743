package knowledge

// Every entry has an id, unique in its section and stable: a shop's own file
// replaces an entry by repeating its id. Names are the words people use for
// it; the reader of messages matches them. Pos is where the entry stands.

// A Head is what every entry begins with.
type Head struct {
	ID     string   `need:"yes"` // lower-case words joined by hyphens
	Name   string   // as an answer writes it
	Names  []string // further words and phrases people use for it
	Only   []string // words, of which a message must hold one to be answered by this entry; none: any message may
	Except []string // phrases; a message that holds one isn't answered by this entry
	Status string   `one:"reviewed|draft"` // "reviewed" or "draft"; a draft is said to be one
	Values map[string]Value
	Source Source `inline:"yes"` // of the entry's prose and of what carries no source of its own
	Pos    Pos
}

func (h *Head) head() *Head { return h }

// A Method is a way to put art on a blank.
type Method struct {
	Head
	Summary     Text     `need:"yes"` // what happens, in one or two sentences
	Feel        Text     // how the print feels
	TonerSet    string   `one:"white|dye"` // "white", "dye", or "" where nothing is printed on the shop's printer
	White       Flag     // can it print white
	Mirror      Flag     // must the sheet read backwards before pressing
	MirrorHow   Text     // one sentence on how to get that right
	Paper       Text     // what to load and which paper setting
	Peel        Word     `one:"hot|warm|cold|none"` // hot, warm, cold, none
	Polyester   Value    `dim:"share"`              // least polyester share, where the method needs it
	WashLife    Value    `dim:"washes"`             // washes; not Known where WashWord is given
	WashWord    Word     `one:"fabric"`             // "fabric" where the print lasts as long as the fabric
	Stock       []string // what one sheet uses up: ids of the shop profile's stock
	InsideSheet Flag     // a sheet goes inside the garment, or dye passes through
	CoverSheet  Flag     // a non-stick cover sheet goes on top
	Trim        Text
	Default     int  // order among methods that fit equally: lower first
	Kit         Text // what the shop must own for it
	Toners      Text // what its toner set holds
	Note        Text
}

// A Fibre is a textile fibre or a blank's surface material.
type Fibre struct {
	Head
	Codes                            []string // label codes that are read and never written
	Ceiling                          Value    `dim:"temperature"` // highest press temperature for a press of 60 s or less
	Refuse                           Text     // why it is never pressed; "" where it may be
	Handle                           Text     // what to mind when pressing
	Softens, Melts, Discolours, Iron Value    `dim:"temperature"`
	Regain                           Value    `dim:"share"`
}

// A Fabric is a named cloth: a usual blend, or a structure.
type Fabric struct {
	Head
	Fibre     map[string]int `ref:"fibres" shares:"yes"`            // usual shares in per cent; empty where the name doesn't fix them
	Structure string         `one:"flat|ribbed|raised|open|coated"` // "flat", "ribbed", "raised", "open", "coated"
	Ask       Text           // what must be asked before an answer is safe: "PVC or polyurethane?"
	Refuse    Text
	Handle    Text
}

// A Blank is what is printed on.
type Blank struct {
	Head
	Item     string         `need:"yes"`                                       // the word an order uses: "tee"
	Kind     string         `need:"yes" one:"garment|headwear|bag|hard|cloth"` // "garment", "headwear", "bag", "hard", "cloth"
	Group    string         `one:"adult|youth|toddler|infant"`                 // size group by default: "adult", "youth", "toddler", "infant", ""
	Press    string         `one:"flat|mug|cap"`                               // "flat", "mug", "cap"
	Fibre    map[string]int `ref:"fibres" shares:"yes"`                        // only where every such blank is of it
	Coated   bool           // a hard good with polyester coating, as sold for dye
	Fabric   string         `ref:"fabrics"` // id of the usual fabric, "" where it varies
	Spots    []string       // spots it can take, first the usual one
	Sizes    []string       // usual sizes; empty for one-size goods
	Minutes  Value          `dim:"time"` // not used for planning; reserved for hints
	Handle   Text           // zips, pockets, rims: what to mind
	Ask      Text           // what must be asked, where the name alone does not decide
	Refuse   Text           // why it is declined ("children's sleepwear"); "" where it may be
	Young    string         `ref:"blanks"` // the blank that such a one for a child is: adult pyjamas, children's sleepwear
	Cautions []string       `ref:"cautions"`
}

// A Colour is a trade colour word that the CSS list does not hold.
type Colour struct {
	Head
	Hex      string `need:"yes"` // sRGB; of a pattern, its darkest large colour
	Pattern  bool
	Migrates bool // dye of this shade is known to wander into white prints
}

// A Dwell is one closing of a press.
type Dwell struct {
	Temperature Value `need:"yes" dim:"temperature"`
	Time        Value `need:"yes" dim:"time"`
	Pressure    Word  `one:"light|medium|firm"`
	Pos         Pos
}

// A Recipe is the press settings of a method on a kind of blank.
type Recipe struct {
	Head
	Method   string   `need:"yes" ref:"methods"`
	Blanks   []string `ref:"blanks"` // blank ids it is for; empty = any of the fibres below
	Fibres   []string `ref:"fibres"` // fibre ids (largest share, or the most heat-sensitive); empty = any
	Fabrics  []string `ref:"fabrics"`
	Marry    Dwell
	Prepress Dwell
	Press    Dwell `need:"yes"`
	Peel     Word  `one:"hot|warm|cold|none"`
	CoolWait Value `dim:"time"`
	Finish   Dwell
	Notes    []Text
	Cautions []string `ref:"cautions"`
	// Variants are the recipe as shop rules changed it for some blanks alone, by
	// blank id; no file holds them.
	Variants map[string]*Recipe `key:"-"`
	// Before is the recipe as it was without any shop rule, nil where none
	// changed it.
	Before *Recipe `key:"-"`
}

// A ShopRule is what an owner of the shop changed in press settings, or the
// taking back of such a change. Rules are only ever added: one that is taken
// back stays, and the one that takes it back says who did so and when.
type ShopRule struct {
	Head
	By       string   `need:"yes"` // who confirmed it: the user, as the face names them
	WishOf   string   // whose wish it was, where an owner accepted somebody's request
	At       string   `need:"yes"` // when, RFC 3339
	Said     string   `need:"yes"` // in their own words
	Why      string   // the reason, where one was given
	Undoes   string   `ref:"shop_rules"` // the earlier rule it takes back; then it changes nothing else
	Recipes  []string `ref:"recipes"`    // the recipes it changes
	Blanks   []string `ref:"blanks"`     // for these blanks alone; empty = for whatever the recipes are for
	Marry    DwellChange
	Prepress DwellChange
	Press    DwellChange
	Finish   DwellChange
	CoolWait Value  `dim:"time"`
	Notes    []Text // added to the recipes' own
}

// A DwellChange is what changes in one closing of a press; what is not given
// stays.
type DwellChange struct {
	Temperature Value `dim:"temperature"`
	Time        Value `dim:"time"`
	Pressure    Word  `one:"light|medium|firm"`
	Pos         Pos
}

// A Condition holds where all of its given parts hold.
type Condition struct {
	PolyesterBelow Value    `dim:"share"`                           // polyester share < this
	PolyesterFrom  Value    `dim:"share"`                           // polyester share >= this
	Lightness      []string `one:"very light|light|mid|dark"`       // any of "very light", "light", "mid", "dark"
	FibreAny       []string `ref:"fibres"`                          // any of these fibres is present
	FibreNone      []string `ref:"fibres"`                          // none of these fibres is present
	Kind           []string `one:"garment|headwear|bag|hard|cloth"` // blank kind
	Blank          []string `ref:"blanks"`                          // blank ids
	Group          []string `one:"adult|youth|toddler|infant"`      // size group
	Structure      []string `one:"flat|ribbed|raised|open|coated"`
	Coated         *bool
	Art            []string `one:"white|photo|fine|soft-edges|names"` // any of "white", "photo", "fine", "soft-edges", "names"
	Wish           []string `one:"no-feel|long-life|faded"`           // any of "no-feel", "long-life", "faded"
	WishNone       []string `one:"no-feel|long-life|faded"`           // none of these was wished for
	QuantityBelow  Value    `dim:"count"`
	QuantityFrom   Value    `dim:"count"`
	Migrates       *bool    // a dyed shade known to wander
	Pattern        *bool
}

// A Rule lets one thing decide for or against a method.
type Rule struct {
	Head
	Method   string `need:"yes" ref:"methods" or:"any"` // method id, or "any"
	When     Condition
	Verdict  string   `need:"yes" one:"fits|fits with care|ruled out"` // "fits", "fits with care", "ruled out"
	Prefer   int      // added to the method's standing where the rule holds and nothing is ruled out
	Because  Text     `need:"yes"` // why, in one clause
	Unless   Text     // what would change the verdict: "a white polyester blank"
	Why      Text     // the physics, two sentences, for "why?"
	Cautions []string `ref:"cautions"`
}

// A LightnessClass says how light a colour is, by CIELAB.
type LightnessClass struct {
	Head
	MinL Value `dim:"other"` // L* at least; dimension other, unit L*
	MaxL Value `dim:"other"` // L* below
	MaxC Value `dim:"other"` // C*ab at most
	Rank int   // classes are tried in this order
}

// A Procedure is an ordered list of steps: a method from file to finished
// piece, start-up, toner-set changeover, nine-point reading, first piece.
type Procedure struct {
	Head
	Method string          `ref:"methods"` // "" where it belongs to no single method
	Blanks []string        `ref:"blanks"`  // those it is for, where the method has another for the rest
	Steps  []ProcedureStep `need:"yes"`
}

// A ProcedureStep is one thing to do.
type ProcedureStep struct {
	Do       Text     `need:"yes"`
	Hot      bool     // sends someone to a hot machine; then cautions are owed
	Cautions []string `ref:"cautions"`
	Pos      Pos
}

// A Caution is a short warning.
type Caution struct {
	Head
	Text Text     `need:"yes"`
	For  []string // kinds of step it belongs to: "press", "marry", "pull", "peel", "printer", "pvc", ...
	Rank int      // the most serious first
}

// A Fault is a symptom with its likely causes, likeliest first.
type Fault struct {
	Head
	Methods  []string `ref:"methods"`
	Likely   Text     `need:"yes"` // first line of the answer
	Causes   []Cause  `need:"yes"`
	Now      Text     // what to do with the piece at hand
	Prevent  Text
	Cautions []string `ref:"cautions"`
	Hot      bool
}

// A Cause is one likely cause of a fault.
type Cause struct {
	Is    Text `need:"yes"` // what went wrong
	Check Text // how to see it
	Mend  Text
	Pos   Pos
}

// A Placement says where a print sits and how large it is.
type Placement struct {
	Head
	Spot   string   `need:"yes"`
	Blanks []string `ref:"blanks"`                     // blank ids; empty = any garment
	Group  string   `one:"adult|youth|toddler|infant"` // size group
	Width  Value    `dim:"length"`                     // usual width with range
	Height Value    `dim:"length"`
	Offset Value    `dim:"length"` // distance from the reference
	From   Text     // the reference: "below the collar seam"
	Text   Text
}

// A Care entry is what to tell the customer about washing.
type Care struct {
	Head
	Method string `ref:"methods"`
	Lines  []Text `need:"yes"`
}

// A Term is a word of the trade, explained.
type Term struct {
	Head
	Means Text `need:"yes"`
}

// A Guide answers a question that is no setting, fault or rule: how to load
// the printer, store sheets, read nine points, why moisture matters.
type Guide struct {
	Head
	Topic    string   `need:"yes" one:"method|setting|wait|steps|print|art|placement|fault|safety|care|colour|term|quote|plan|convert|board|help|none"` // contract topic
	About    []string // asks it gives the reason for: "wait/cool_wait", "setting/prepress_time"
	Text     Text     `need:"yes"` // first line is the answer
	Why      Text
	WhatIf   Text     // what happens if it is not done
	Methods  []string `ref:"methods"`
	Cautions []string `ref:"cautions"`
	Decline  bool     // an unsafe wish: the text declines and names whom to ask
}

// A Correction puts a wrong figure right when someone repeats it.
type Correction struct {
	Head
	Topic string   `one:"method|setting|wait|steps|print|art|placement|fault|safety|care|colour|term|quote|plan|convert"` // what it is about; "" = safety
	Claim []string `need:"yes"`                                                                                           // phrases by which it is recognised; all words of one must occur
	Text  Text     `need:"yes"`
}

// A Cue is a wording that points to a topic, or to an entry.
type Cue struct {
	Head
	Topic   string   `one:"follow|method|setting|wait|steps|print|art|placement|fault|safety|care|colour|term|quote|plan|convert|board|help|none"`
	Ask     string   // what exactly: a fact name ("cool_wait") or a sub-topic word; "" where the topic says it all
	Entry   string   `ref:"/"`    // section/id it points to, where it points to one
	Phrases []string `need:"yes"` // words; all content words of a phrase should occur
	Not     []string // words that speak against it
	After   []string // asks it lives on, as "wait", "wait/cool_wait", "steps/start-up", "earlier/wait" or "any"; without a topic of its own it asks for the same again
	Lang    string   // "en" or "es"
}

// Sentences is the kind of the lexicons that hold the sentences of answers, by
// id. Like any text they hold no figures but through placeholders.
const Sentences = "sentence"

// A Lexicon gives the reader words of one kind: number words, units,
// fillers, negations, weekdays, joiners; and what each stands for.
type Lexicon struct {
	Head
	Kind  string `need:"yes"` // "number", "negation", "filler", "weekday", "month", "slang", "translate", ...
	Lang  string
	Words map[string]string `need:"yes"` // word to what it stands for
}
