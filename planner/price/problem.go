package price

import (
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// A Problem is one order to price.
type Problem struct {
	Rates       Rates
	Lines       []Line
	Changeovers []Changeover

	Rush   bool // asked for
	HasDue bool // a due time was given
	DueIn  int  // working days to it, counted by the caller; 0 is today

	Now     time.Time // in the shop's zone; only its date is read
	ReadyAt time.Time // from the press plan; zero where there is none
	BreakAt []int     // quantities of the whole order to price as well; the shop's breaks are always among them
}

// A Line is one kind of blank with its prints.
type Line struct {
	Quantity int
	Item     string
	Colour   string
	Method   string         // id of one of the Rates' methods
	Sizes    map[string]int // adds up to Quantity; empty where not said
	Theirs   bool           // the customer brings the blanks
	// SpareBlanks is how many spare blanks the customer brings.
	SpareBlanks int
	Blank       Blank // unread where Theirs

	// Design names the art. Lines of one Design share their spare prints;
	// "" means a design of the line's own.
	Design  string
	Designs int  // new designs to set up on this line; shared art is counted once, on one line
	Unique  bool // each piece carries its own name or number: spares are printed when wanted
	Prints  []Print

	// Sheets returns the sheets for so many pieces of this line, all its
	// prints together. It must be pure. Solve takes the least of what it
	// returns for the ordered pieces and for the pieces made. Nil means
	// ceil(pieces / PerSheet).
	Sheets   func(pieces int) int
	PerSheet int

	Hands []Work // hands-on steps: sums of step times, never a makespan
	Runs  []Work // machine time; Name is the name of one of the Rates' machines
}

// A Blank is what the shop pays for a blank.
type Blank struct {
	Each  decimal.Decimal            // the plain sizes
	Extra map[string]decimal.Decimal // surcharge by size
}

// A Print is one printed area of a piece.
type Print struct {
	Spot          string
	Width, Height unit.Length
	Coverage      []Coverage
	Measured      bool // coverage was measured from the art; otherwise it is assumed
}

// Coverage is how much of a printed area one channel covers.
type Coverage struct {
	Channel string
	Share   unit.Share // 0..1
}

// Work is time that a step takes.
type Work struct {
	Name     string
	PerLine  unit.Duration // once for the line
	PerSheet unit.Duration
	PerPiece unit.Duration
}

// A Changeover is work done once for a batch of several orders, such as
// swapping the toner set. This order bears the share
// own pieces / (own pieces + OtherPieces).
type Changeover struct {
	Name        string
	Method      string        // the lines that need it; "" means all
	Hands       unit.Duration // hands-on
	Machine     string        // held up meanwhile; "" where none
	Run         unit.Duration // machine time
	OtherPieces int           // pieces of other orders in the same batch
}
