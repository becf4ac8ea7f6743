package method

import "presshand/planner/unit"

// A Verdict says how well a method suits a blank.
type Verdict string

// The verdicts, from best to worst.
const (
	Fits     Verdict = "fits"
	WithCare Verdict = "fits with care"
	RuledOut Verdict = "ruled out"
)

// worse orders verdicts; the zero Verdict counts as Fits.
func (v Verdict) worse(w Verdict) bool { return v.rank() > w.rank() }

func (v Verdict) rank() int {
	switch v {
	case RuledOut:
		return 2
	case WithCare:
		return 1
	default:
		return 0
	}
}

// A Method takes part in the choice.
type Method struct {
	ID      string
	Default int  // breaks ties of standing: lower first
	Owned   bool // the shop has the kit; a method it lacks is judged but never recommended
}

// A Class is a lightness class of colours: CIELAB L* in [MinL, MaxL) and
// C*ab at most MaxC. Classes are tried in the order given.
type Class struct {
	Name             string
	MinL, MaxL, MaxC float64
}

// A Blank is what is to be printed, as far as it is known.
type Blank struct {
	ID        string         // knowledge id, "" where unknown
	Kind      string         // "garment", "hard", ...
	Group     string         // "adult", "youth", ...
	Structure string         // "flat", "raised", ...
	Fibre     map[string]int // per cent by weight; nil where not said
	Lightness string         // class of the blank's colour, "" where the colour is not known
	Coated    *bool          // polyester coating; nil where not known
	Migrates  *bool          // dyed a shade known to wander; nil where not known
	Pattern   *bool
}

// A Condition holds where every part that is given holds. Shares are 0..1; a
// nil pointer or slice is a part that is not given.
type Condition struct {
	PolyesterBelow, PolyesterFrom  *unit.Share
	Lightness, FibreAny, FibreNone []string
	Kind, Blank, Group, Structure  []string
	Coated, Migrates, Pattern      *bool
	Art, Wish, WishNone            []string // of these: any in the art, any wished for, none wished for
	QuantityBelow, QuantityFrom    *int
}

// A Rule gives a method a verdict where its condition holds.
type Rule struct {
	ID      string
	Method  string // method id, or "any"
	When    Condition
	Verdict Verdict
	Prefer  int // added to the method's standing
}

// A Problem is one choice to make.
type Problem struct {
	Methods  []Method
	Rules    []Rule
	Blank    Blank
	Art      []string // "white", "photo", "fine", "soft-edges", "names"
	Wish     []string // "no-feel", "long-life", "faded"
	Quantity int      // 0 where not said

	// Usual completions of what was not said, tried to find out whether it
	// matters: fibre contents and lightness classes.
	Fibres  []map[string]int
	Classes []string
}

// A Choice is one method's verdict.
type Choice struct {
	Method   string
	Verdict  Verdict
	Rules    []string // the rules that carry the verdict, in the Problem's order
	Cares    []string // further rules that hold and ask for care
	Standing int
	Owned    bool
}

// A Plan lists every method, best first, and what is missing.
type Plan struct {
	Choices []Choice
	// Missing names what was not said and would change the recommended method:
	// "fibre", "colour". Empty where the recommendation stands anyway.
	Missing []string
}

// Best returns the recommended method: the first owned choice that is not
// ruled out. Its second result is false where none fits.
func (p Plan) Best() (Choice, bool) {
	for _, c := range p.Choices {
		if c.Owned && c.Verdict != RuledOut {
			return c, true
		}
	}
	return Choice{}, false
}
