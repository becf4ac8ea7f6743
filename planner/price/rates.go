package price

import (
	"github.com/shopspring/decimal"

	"presshand/planner/unit"
)

// Rates is everything a shop's own prices and rules say. A Plan keeps the
// Rates it was made with. Money is in Currency; a zero price counts as
// missing and is refused unless the field says otherwise.
type Rates struct {
	Currency Currency `json:"currency"`

	LabourPerHour decimal.Decimal `json:"labour_per_hour"` // of hands-on time
	Allowance     Allowance       `json:"allowance"`

	Machines     []Machine       `json:"machines"`
	EnergyPerKWh decimal.Decimal `json:"energy_per_kwh"` // may be zero where no machine draws power

	Methods []Method `json:"methods"` // consumables by method
	Page    Page     `json:"page"`    // the standard page of cartridge yields

	Overhead Overhead        `json:"overhead"`
	Gain     Gain            `json:"gain"`
	Setup    decimal.Decimal `json:"setup"`   // charged for each new design; may be zero
	Minimum  decimal.Decimal `json:"minimum"` // least order before tax and card fee; may be zero
	Breaks   Breaks          `json:"breaks"`
	Rush     []RushShare     `json:"rush"`
	Tax      unit.Share      `json:"tax"`
	Card     CardFee         `json:"card"`

	Spoilage   unit.Share `json:"spoilage"`   // of pieces, 0..0.5
	Confidence unit.Share `json:"confidence"` // wanted chance of enough good pieces, 0..0.99999
	SpareFrom  int        `json:"spare_from"` // from so many pieces on at least one spare; 0 means no such rule
	SpareRule  SpareRule  `json:"spare_rule"` // which spare blanks are taken; "" means BySize

	ValidDays int `json:"valid_days"` // the quote holds so many days
}

// AllowanceBase says what an allowance is a share of; the two differ (10 min
// at 14 % is 11.40 min of work time, 11.63 min of shift time).
type AllowanceBase string

// The bases of an allowance. The empty word means OfWork.
const (
	OfWork  AllowanceBase = "work"  // standard = normal (1 + a)
	OfShift AllowanceBase = "shift" // standard = normal / (1 - a)
)

// An Allowance is time for personal needs, fatigue and small delays, added to
// hands-on time only: it does not apply to machine time (Konz, "Rest
// Allowances"; Kanawaty (ed.), Introduction to Work Study, 4th ed., ILO 1992).
type Allowance struct {
	Share unit.Share    `json:"share"` // 0 up to 1, 1 excluded
	Of    AllowanceBase `json:"of"`
}

// A Machine has an hourly rate, given outright or built up from its price,
// and draws power. See [MachineHourRate].
type Machine struct {
	Name    string          `json:"name"`
	Press   bool            `json:"press"`    // its hours count for profit per press hour
	PerHour decimal.Decimal `json:"per_hour"` // given outright; then the five below stay zero

	Price    decimal.Decimal `json:"price"`
	Residual decimal.Decimal `json:"residual"` // worth at the end of its life
	Life     decimal.Decimal `json:"life"`     // years
	Upkeep   decimal.Decimal `json:"upkeep"`   // a year
	Space    decimal.Decimal `json:"space"`    // a year
	Hours    decimal.Decimal `json:"hours"`    // productive hours a year

	Power decimal.Decimal `json:"power"` // kW while heating
	Duty  unit.Share      `json:"duty"`  // share of the time it heats, 0..1
}

// A Method is what one printing method uses up.
type Method struct {
	ID     string      `json:"id"`
	Sheets []Sheet     `json:"sheets"` // every printed sheet takes one of each
	Covers []Cover     `json:"covers"` // sheets used again and again
	Toner  []Cartridge `json:"toner"`
	Dye    bool        `json:"dye"` // dye toner: no standard yield exists for it
}

// A Sheet is used once: transfer sheet, adhesive sheet, sublimation paper.
type Sheet struct {
	Name  string          `json:"name"`
	Price decimal.Decimal `json:"price"`
}

// A Cover is a sheet that serves many pressings: a non-stick cover sheet, the
// sheet put inside a garment.
type Cover struct {
	Name     string          `json:"name"`
	Price    decimal.Decimal `json:"price"`
	Uses     int             `json:"uses"`      // pressings one serves
	PerPiece int             `json:"per_piece"` // pressings a piece
	PerSheet int             `json:"per_sheet"` // pressings a printed sheet (marrying)
}

// YieldSource says who measured a cartridge's yield.
type YieldSource string

// The sources of a yield.
const (
	ByStandard YieldSource = "ISO/IEC 19798" // the maker's figure for C, M, Y, K on plain paper
	ByShop     YieldSource = "shop"          // the shop's own count; the only kind for white and dye toner
)

// A Cartridge is one channel's toner. Its cost a page follows the linear rule
// pages at coverage c = Yield x AtCoverage / c.
type Cartridge struct {
	Channel    string          `json:"channel"` // "c", "m", "y", "k", "white"
	Price      decimal.Decimal `json:"price"`
	Yield      int             `json:"yield"`       // standard pages
	AtCoverage unit.Share      `json:"at_coverage"` // coverage of the page the yield was counted at
	Source     YieldSource     `json:"source"`
}

// A Page is the standard page of cartridge yields.
type Page struct {
	Width  unit.Length `json:"width"`
	Height unit.Length `json:"height"`
}

// Overhead is rent, insurance, software and the like. Both parts may be zero;
// both may be set.
type Overhead struct {
	Share         unit.Share      `json:"share"`           // of direct cost
	PerLabourHour decimal.Decimal `json:"per_labour_hour"` // of hands-on hours with allowance
}

// GainKind tells margin from markup.
type GainKind string

// The two ways from cost to price, never mixed: margin is a share of the
// price, markup a share of the cost.
const (
	ByMargin GainKind = "margin" // price = cost / (1 - share), share under 1
	ByMarkup GainKind = "markup" // price = cost (1 + share)
)

// A Gain is how the price is set above the cost.
type Gain struct {
	By    GainKind   `json:"by"`
	Share unit.Share `json:"share"`
}

// BreakKind says where quantity breaks come from.
type BreakKind string

// The kinds of quantity breaks.
const (
	NoBreaks  BreakKind = ""      // each quantity is priced from its own cost
	FromTable BreakKind = "table" // the shop's discounts off the subtotal, by pieces of the order
	FromCost  BreakKind = "cost"  // a line is priced from the cost of the last break it reaches, ordered by itself, its sizes averaged
)

// Breaks are the shop's quantity breaks.
type Breaks struct {
	Kind BreakKind `json:"kind"`
	At   []Break   `json:"at"` // rising quantities

	// Base, with FromTable, is the quantity of a line, ordered by itself and
	// its sizes averaged, whose cost makes the list price that the discounts
	// come off. Zero means the ordered quantity: the
	// discount then comes on top of what a larger run saves by itself.
	Base int `json:"base"`
}

// A Break is a quantity from which another price holds.
type Break struct {
	Quantity int        `json:"quantity"`
	Discount unit.Share `json:"discount"` // of the subtotal; FromTable only
}

// A RushShare is what haste costs, as a share of the subtotal.
type RushShare struct {
	Within int        `json:"within"` // due in so many working days or fewer
	Share  unit.Share `json:"share"`
}

// A CardFee is what a card payment costs: a share of what is charged and a
// fixed sum.
type CardFee struct {
	Share unit.Share      `json:"share"`
	Fixed decimal.Decimal `json:"fixed"`

	// Charged puts the fee on the quote; otherwise the shop bears it and it
	// comes off the profit.
	Charged bool `json:"charged"`
}

// SpareRule says which spare blanks are taken.
type SpareRule string

// The rules for spare blanks.
const (
	BySize    SpareRule = "by size"       // each size has its own spares; with any spare print at least one blank, of the lowest price
	Commonest SpareRule = "two commonest" // any spare is one of the two commonest sizes
)
