package planner

// A Step is one line of worked arithmetic: enough to answer "why?" in words.
type Step struct {
	Name    string  `json:"name"`    // what is computed: "sheets"
	Formula string  `json:"formula"` // in words and signs: "ceil(pieces / per sheet)"
	Inputs  []Input `json:"inputs"`
	Result  string  `json:"result"` // with its unit
	Source  string  `json:"source"` // paper, standard, "practice", "shop profile"; "" for plain arithmetic
}

// An Input is one figure that went into a Step.
type Input struct {
	Name  string `json:"name"`
	Value string `json:"value"` // with its unit
}
