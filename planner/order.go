package planner

// Fibre names as orders and knowledge entries use them are plain lower-case
// words: "cotton", "polyester", "viscose".

// An Order is a customer's wish as it was understood. Only what was said, or
// is a stated assumption, is in it.
type Order struct {
	For      string `json:"for"`       // customer, as it was written; "" where not said
	Ref      string `json:"ref"`       // the customer's or the shop's reference
	Note     string `json:"note"`      // anything else worth keeping
	ArtOK    bool   `json:"art_ok"`    // the art is approved
	BlanksBy string `json:"blanks_by"` // RFC3339; when the blanks are here, "" where not said
	Lines    []Line `json:"lines"`
	Due      string `json:"due"`  // RFC3339 in the shop's zone; "" where none was given
	Rush     bool   `json:"rush"` // only when it was asked for
}

// A Line is one kind of blank with its prints.
type Line struct {
	Quantity int            `json:"quantity"`
	Item     string         `json:"item"`   // one plain word or two, singular: "tee", "tote bag"
	Colour   string         `json:"colour"` // as it was said, generic: "black", "heather grey"
	Fibre    map[string]int `json:"fibre"`  // per cent by weight; empty where not said
	Sizes    map[string]int `json:"sizes"`  // size to count; empty where not said
	Method   string         `json:"method"` // method id; "" where not chosen
	Blanks   string         `json:"blanks"` // "ours" or "theirs"
	Prints   []Print        `json:"prints"`
}

// A Print is one picture on one spot of a blank.
type Print struct {
	Spot   string   `json:"spot"`   // "front", "left chest", ...
	Width  float64  `json:"width"`  // mm; 0 where not said
	Height float64  `json:"height"` // mm; 0 where not said
	Art    string   `json:"art"`    // file name or description
	Texts  []string `json:"texts"`  // names and numbers that differ by piece
}
