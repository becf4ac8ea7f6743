package price

import (
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// A Problem is one order to price.
type Problem struct {
	Rates       Rates        `json:"rates"`
	Lines       []Line       `json:"lines"`
	Changeovers []Changeover `json:"changeovers"`

	Rush   bool `json:"rush"`    // asked for
	HasDue bool `json:"has_due"` // a due time was given
	DueIn  int  `json:"due_in"`  // working days to it, counted by the caller; 0 is today

	Now     time.Time `json:"now"`      // in the shop's zone; only its date is read
	ReadyAt time.Time `json:"ready_at"` // from the press plan; zero where there is none
	BreakAt []int     `json:"break_at"` // quantities of the whole order to price as well; the shop's breaks are always among them
}

// A Line is one kind of blank with its prints.
type Line struct {
	Quantity int            `json:"quantity"`
	Item     string         `json:"item"`
	Colour   string         `json:"colour"`
	Method   string         `json:"method"` // id of one of the Rates' methods
	Sizes    map[string]int `json:"sizes"`  // adds up to Quantity; empty where not said
	Theirs   bool           `json:"theirs"` // the customer brings the blanks
	// SpareBlanks is how many spare blanks the customer brings.
	SpareBlanks int   `json:"spare_blanks"`
	Blank       Blank `json:"blank"` // unread where Theirs

	// Design names the art. Lines of one Design share their spare prints;
	// "" means a design of the line's own.
	Design  string  `json:"design"`
	Designs int     `json:"designs"` // new designs to set up on this line; shared art is counted once, on one line
	Unique  bool    `json:"unique"`  // each piece carries its own name or number: spares are printed when wanted
	Prints  []Print `json:"prints"`

	// Sheets returns the sheets for so many pieces of this line, all its
	// prints together. It must be pure, and cost never falls with quantity
	// only where it never falls: a layout search that may find fewer sheets
	// for more pieces gives the least found for this or any larger request.
	// Solve does so for the ordered pieces and the pieces made. Nil means
	// ceil(pieces / PerSheet).
	Sheets   func(pieces int) int `json:"-"`
	PerSheet int                  `json:"per_sheet"`

	Hands []Work `json:"hands"` // hands-on steps: sums of step times, never a makespan
	Runs  []Work `json:"runs"`  // machine time; Name is the name of one of the Rates' machines
}

// A Blank is what the shop pays for a blank.
type Blank struct {
	Each  decimal.Decimal            `json:"each"`  // the plain sizes
	Extra map[string]decimal.Decimal `json:"extra"` // surcharge by size
}

// A Print is one printed area of a piece.
type Print struct {
	Spot     string      `json:"spot"`
	Width    unit.Length `json:"width"`
	Height   unit.Length `json:"height"`
	Coverage []Coverage  `json:"coverage"`
	Measured bool        `json:"measured"` // coverage was measured from the art; otherwise it is assumed
}

// Coverage is how much of a printed area one channel covers.
type Coverage struct {
	Channel string     `json:"channel"`
	Share   unit.Share `json:"share"` // 0..1
}

// Work is time that a step takes.
type Work struct {
	Name     string        `json:"name"`
	PerLine  unit.Duration `json:"per_line"` // once for the line
	PerSheet unit.Duration `json:"per_sheet"`
	PerPiece unit.Duration `json:"per_piece"`
}

// A Changeover is work done once for a batch of several orders, such as
// swapping the toner set. This order bears the share
// own pieces / (own pieces + OtherPieces).
type Changeover struct {
	Name        string        `json:"name"`
	Method      string        `json:"method"`       // the lines that need it; "" means all
	Hands       unit.Duration `json:"hands"`        // hands-on
	Machine     string        `json:"machine"`      // held up meanwhile; "" where none
	Run         unit.Duration `json:"run"`          // machine time
	OtherPieces int           `json:"other_pieces"` // pieces of other orders in the same batch
}
