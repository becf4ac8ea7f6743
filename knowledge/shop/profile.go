package shop

import (
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// Profile is one shop: people, machines, stock, prices, habits.
type Profile struct {
	Name    string
	Example bool     // the built-in shop: every price says so
	Owners  []string // workspace user ids who may change facts and see costs

	Zone       *time.Location
	Hours      [7][]Span // open hours by time.Weekday, local clock
	Closed     []string  // dates "2026-12-25"
	DayFirst   bool      // "12/3" is 12 March where true; month first by default
	Fahrenheit bool      // show Fahrenheit first
	Inches     bool      // show inches first

	People   int
	Breaks   []Break
	Presses  []Press
	Printers []Printer
	Rack     int      // places
	Methods  []string // ids of the methods the shop has the kit for

	Spoilage   unit.Share
	Confidence unit.Share // wanted certainty of having enough good pieces

	Work   Work
	Money  Money
	Stock  []Item // transfer sheets, adhesive sheets, papers, cover sheets
	Toner  []Cartridge
	Blanks []Blank
	Art    Art
}

// A Span is a stretch of the local clock, in minutes after midnight.
type Span struct{ From, To int }

// A Break is a rest for each person; InTurn staggers it so that one goes on.
type Break struct {
	Span
	InTurn bool
}

// A Press is one heat press.
type Press struct {
	Name          string
	Kind          string      // "flat", "mug"
	Width, Height unit.Length // platen
	OpensItself   bool
	Offset        float64          // C; what the platen reads above the truth, measured
	Heat, Cool    float64          // C per minute
	Rest          unit.Temperature // when cold
	Max           unit.Temperature
	Power         float64 // W
	Duty          unit.Share
	Price         decimal.Decimal
	LifeHours     float64
	UpkeepYear    decimal.Decimal
	HoursYear     float64
}

// A Printer is the toner printer.
type Printer struct {
	Name           string
	Sheets         []string // "letter", "a4"
	Margin         unit.Length
	Gap            unit.Length
	FirstPage      unit.Duration
	PagesPerMinute map[string]float64 // by paper: "transfer", "plain"
	Changeover     unit.Duration
	Loaded         string // toner set at day start: "white", "dye"
	Power          float64
	Price          decimal.Decimal
	LifePages      float64
}

// Work is the manual time of each handling, before the allowance.
type Work struct {
	Load, Lay, Unload, Pull, Peel, Cut, Weed, Marry, Check, Pack unit.Duration
	OrderSetup                                                   unit.Duration // once an order: file, gang, first piece
	Allowance                                                    unit.Share    // on manual work only
}

// Money is the shop's pricing.
type Money struct {
	Currency  string
	Labour    decimal.Decimal // an hour
	EnergyKWh decimal.Decimal
	Overhead  unit.Share // on cost
	Margin    unit.Share // one of Margin and Markup is set
	Markup    unit.Share
	Minimum   decimal.Decimal
	Setup     decimal.Decimal // a design
	Rush      []Rush
	Tax       unit.Share
	CardFee   unit.Share
	Breaks    []QuantityBreak // the shop's table; empty = computed from cost
	ValidDays int
	SpareRule string // "by size" or "two commonest"
}

// Rush is a surcharge where the due time is within Days working days.
type Rush struct {
	Days  int
	Share unit.Share
}

// A QuantityBreak is a discount from a quantity on.
type QuantityBreak struct {
	From     int
	Discount unit.Share
}

// An Item of stock: sheets and papers.
type Item struct {
	ID    string          // "transfer-sheet", "adhesive-sheet", "sublimation-paper", "cover-sheet"
	Price decimal.Decimal // each
	Uses  int             // how often it can be used; 1 by default
	Have  int             // in stock; -1 where not kept count of
}

// A Cartridge of toner.
type Cartridge struct {
	Set      string // "white", "dye"
	Channel  string // "c", "m", "y", "k", "white"
	Price    decimal.Decimal
	Yield    float64    // pages
	At       unit.Share // coverage the yield is for
	Measured bool
}

// A Blank the shop sells.
type Blank struct {
	Item     string // knowledge blank's item: "tee"
	Group    string // "adult", "youth", ...; "" for any
	Price    decimal.Decimal
	Extra    map[string]decimal.Decimal // by size
	LeadDays int                        // working days to get it; 0 = in stock
	Have     int                        // -1 where not kept count of
}

// Art holds what is assumed of art nobody has looked at.
type Art struct {
	Coverage map[string]unit.Share // by channel: assumed toner cover of the printed area
}
