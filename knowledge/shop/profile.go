package shop

import (
	"time"

	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// Profile is one shop: people, machines, stock, prices, habits.
type Profile struct {
	Name    string   `need:"yes"`
	Example bool     // the built-in shop: every price says so
	Owners  []string // workspace user ids who may change facts and see costs

	Zone       *time.Location `need:"yes"`
	Hours      [7][]Span      `need:"yes"` // open hours by time.Weekday, local clock
	Closed     []string       // dates "2026-12-25"
	DayFirst   bool           // "12/3" is 12 March where true; month first by default
	Fahrenheit bool           // show Fahrenheit first
	Inches     bool           // show inches first
	Rephrase   bool           // a language model may reword answers, where one is set up

	People   int `need:"yes"`
	Breaks   []Break
	Presses  []Press `need:"yes"`
	Printers []Printer
	Rack     int      `need:"yes"` // places
	Methods  []string `need:"yes"` // ids of the methods the shop has the kit for

	Spoilage   unit.Share `need:"yes"`
	Confidence unit.Share `need:"yes"` // wanted certainty of having enough good pieces

	Work   Work   `need:"yes"`
	Money  Money  `need:"yes"`
	Stock  []Item // transfer sheets, adhesive sheets, papers, cover sheets
	Toner  []Cartridge
	Blanks []Blank
	Art    Art

	origin *origin // where it was read from; nil for a profile made by hand
}

// A Span is a stretch of the local clock, in minutes after midnight.
type Span struct{ From, To int }

// A Break is a rest for each person; InTurn staggers it so that one goes on.
type Break struct {
	Span   `key:"at" need:"yes"`
	InTurn bool
	Paid   bool
}

// A Press is one heat press.
type Press struct {
	Name          string      `need:"yes"`
	Kind          string      `need:"yes" one:"flat|mug|cap"`
	Width, Height unit.Length `need:"yes"` // platen
	OpensItself   bool
	Offset        float64          `in:"degrees"`                     // C; what the platen reads above the truth, measured
	Heat, Cool    float64          `in:"degrees a minute" need:"yes"` // C per minute
	Rest          unit.Temperature `need:"yes"`                       // when cold
	Max           unit.Temperature `need:"yes"`
	Power         float64          `in:"watts" need:"yes"` // W
	Duty          unit.Share       `need:"yes"`            // share of the time it heats
	Price         decimal.Decimal  `need:"yes"`
	LifeHours     float64          `need:"yes"`
	UpkeepYear    decimal.Decimal
	HoursYear     float64 `need:"yes"`
}

// A Printer is the toner printer.
type Printer struct {
	Name           string   `need:"yes"`
	Sheets         []string `need:"yes" one:"letter|legal|tabloid|a5|a4|a3"`
	Margin         unit.Length
	Gap            unit.Length
	FirstPage      unit.Duration
	PagesPerMinute map[string]float64 `need:"yes"` // by paper: "transfer", "plain"
	Changeover     unit.Duration
	Loaded         string          `one:"white|dye"` // toner set at day start: "white", "dye"
	Power          float64         `in:"watts"`      // W
	Price          decimal.Decimal `need:"yes"`
	LifePages      float64         `need:"yes"`
}

// Work is the manual time of each handling, before the allowance.
type Work struct {
	Load, Lay, Unload, Pull, Peel, Cut, Weed, Marry, Check, Pack unit.Duration
	OrderSetup                                                   unit.Duration // once an order: file, gang, first piece
	Allowance                                                    unit.Share    // on manual work only
}

// Money is the shop's pricing.
type Money struct {
	Currency  string          `need:"yes"` // ISO 4217 code: "USD"
	Labour    decimal.Decimal `need:"yes"` // an hour
	EnergyKWh decimal.Decimal `need:"yes" key:"energy_kwh"`
	Overhead  unit.Share      // on cost
	Margin    unit.Share      // one of Margin and Markup is set
	Markup    unit.Share
	Minimum   decimal.Decimal
	Setup     decimal.Decimal // a design
	Rush      []Rush
	Tax       unit.Share
	CardFee   unit.Share
	Breaks    []QuantityBreak // the shop's table; empty = computed from cost
	ShowAt    []int           // quantities whose price an answer shows as well
	ValidDays int             `need:"yes"`
	SpareRule string          `one:"by size|two commonest"`
	SpareFrom int             // from so many pieces on at least one spare; 0 means no such rule
}

// Rush is a surcharge where the due time is within Days working days.
type Rush struct {
	Days  int        `need:"yes"`
	Share unit.Share `need:"yes"`
}

// A QuantityBreak is a discount from a quantity on.
type QuantityBreak struct {
	From     int        `need:"yes"`
	Discount unit.Share `need:"yes"`
}

// An Item of stock: sheets and papers.
type Item struct {
	ID    string          `need:"yes"` // "transfer-sheet", "adhesive-sheet", "sublimation-paper", "cover-sheet"
	Price decimal.Decimal `need:"yes"` // each
	Uses  int             // how often it can be used; 1 by default
	Have  int             // in stock; -1 where not kept count of
}

// A Cartridge of toner.
type Cartridge struct {
	Set      string          `need:"yes" one:"white|dye"`
	Channel  string          `need:"yes" one:"c|m|y|k|white"`
	Price    decimal.Decimal `need:"yes"`
	Yield    float64         `need:"yes"` // pages
	At       unit.Share      `need:"yes"` // coverage the yield is for
	Measured bool
}

// A Blank the shop sells.
type Blank struct {
	Item     string                     `need:"yes"`                       // knowledge blank's item: "tee"
	Group    string                     `one:"adult|youth|toddler|infant"` // "" for any
	Price    decimal.Decimal            `need:"yes"`
	Extra    map[string]decimal.Decimal // by size
	LeadDays int                        // working days to get it; 0 = in stock
	Have     int                        // -1 where not kept count of
}

// Art holds what is assumed of art nobody has looked at.
type Art struct {
	Coverage map[string]unit.Share // by channel: assumed toner cover of the printed area
}
