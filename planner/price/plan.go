package price

import (
	"encoding/json"
	"time"

	"github.com/shopspring/decimal"
)

// A Plan is a worked quote. Its JSON form is the quote of the scripting
// contract; [Plan.Keep] writes all of it.
//
// Invariants, to the last place of the currency:
//
//	PriceTotal    = Quantity x PriceEach, for every line
//	Subtotal      = sum of the lines' PriceTotal
//	Total         = Subtotal + Setup + Rush + MinimumTopup + CardFee + Tax - Discount
//	Cost.Total()  = sum of the charges' WithSpares
//	Cost.Spoilage = sum of the charges' (WithSpares - Amount)
//	any other part of Cost = sum of the Amounts of its charges
type Plan struct {
	Currency Currency    `json:"currency"`
	Lines    []LinePrice `json:"lines"`
	Cost     Cost        `json:"cost"`
	Charges  []Charge    `json:"charges"` // what Cost is the sum of

	Subtotal     decimal.Decimal `json:"subtotal"`
	Setup        decimal.Decimal `json:"setup"`
	Rush         decimal.Decimal `json:"rush"`
	MinimumTopup decimal.Decimal `json:"minimum_topup"`
	Discount     decimal.Decimal `json:"discount"`
	CardFee      decimal.Decimal `json:"card_fee"`
	Tax          decimal.Decimal `json:"tax"`
	Total        decimal.Decimal `json:"total"`

	Breaks []BreakPrice `json:"breaks"` // rising quantities
	Falls  []Fall       `json:"falls"`  // larger orders that cost less

	Sheets int    `json:"sheets"` // printed sheets, spares included
	Make   int    `json:"make"`   // pieces to make, spares included
	Spares Spares `json:"spares"`

	ReadyAt    string `json:"ready_at"`    // RFC3339; "" where no plan was given
	ValidUntil string `json:"valid_until"` // date, the last day it holds

	Profit             decimal.Decimal `json:"profit"`                // before tax: net price - cost - a card fee the shop bears
	CardCost           decimal.Decimal `json:"card_cost"`             // a card fee the shop bears
	HandsOn            decimal.Decimal `json:"hands_on"`              // hours, with allowance and spares
	PressHours         decimal.Decimal `json:"press_hours"`           // hours on presses, with spares
	ProfitPerPressHour decimal.Decimal `json:"profit_per_press_hour"` // zero where no press is used

	Assumptions []string `json:"assumptions"`
	Risks       []string `json:"risks"`

	// From is what it was made from: the order, the prices, the rules. Its
	// slices and maps are the caller's own: make a new Problem, don't change
	// this one.
	From Problem `json:"from"`
}

// A LinePrice is one line of a quote.
type LinePrice struct {
	Quantity   int             `json:"quantity"`
	Item       string          `json:"item"`
	Colour     string          `json:"colour"`
	Method     string          `json:"method"`
	PriceEach  decimal.Decimal `json:"price_each"`
	PriceTotal decimal.Decimal `json:"price_total"`
	Cost       decimal.Decimal `json:"cost"`      // of the line, with spares: its charges and Shared
	Shared     decimal.Decimal `json:"shared"`    // its part of the order's own charges: changeovers by pieces, overhead by direct cost
	PricedAt   int             `json:"priced_at"` // the quantity whose cost made the price: the ordered one, or one of the shop's list
	PricedOn   decimal.Decimal `json:"priced_on"` // the cost of that quantity; of a listed one, ordered by itself at the average price of the line's blanks
	Make       int             `json:"make"`
	Sheets     int             `json:"sheets"`

	// Theirs marks blanks that the customer brings; AskSpare is how many
	// spare ones to ask for, beyond those brought, and ChanceTheirs the chance
	// that those brought hold enough good ones.
	Theirs       bool    `json:"theirs"`
	AskSpare     int     `json:"ask_spare"`
	ChanceTheirs float64 `json:"chance_theirs"`
}

// Cost is what the ordered quantity costs, by part, and what the spares cost
// on top.
type Cost struct {
	Blanks   decimal.Decimal `json:"blanks"`
	Sheets   decimal.Decimal `json:"sheets"`
	Toner    decimal.Decimal `json:"toner"`
	Labour   decimal.Decimal `json:"labour"`
	Machine  decimal.Decimal `json:"machine"`
	Energy   decimal.Decimal `json:"energy"`
	Spoilage decimal.Decimal `json:"spoilage"`
	Overhead decimal.Decimal `json:"overhead"`
}

// Total is the sum of the parts.
func (c Cost) Total() decimal.Decimal {
	return decimal.Sum(c.Blanks, c.Sheets, c.Toner, c.Labour, c.Machine, c.Energy, c.Spoilage, c.Overhead)
}

// A Charge is one worked amount of cost: Amount is Count at Rate, WithSpares
// is Made at Rate, rounded. For overhead as a share, Count is the direct cost
// and Rate the share.
type Charge struct {
	Part       Part            `json:"part"`
	Line       int             `json:"line"` // counts from 1; 0 for the whole order
	Name       string          `json:"name"`
	Unit       string          `json:"unit"`
	Count      decimal.Decimal `json:"count"` // for the ordered quantity
	Made       decimal.Decimal `json:"made"`  // for the pieces made
	Rate       decimal.Decimal `json:"rate"`
	Amount     decimal.Decimal `json:"amount"`
	WithSpares decimal.Decimal `json:"with_spares"`
	Batch      int             `json:"batch"` // pieces of the batch that a changeover is shared over; 0 otherwise
}

// A BreakPrice is the order at another quantity, its lines in the same ratio.
type BreakPrice struct {
	Quantity  int             `json:"quantity"`
	PriceEach decimal.Decimal `json:"price_each"` // (subtotal - discount) / quantity
	Total     decimal.Decimal `json:"total"`
}

// A Fall says that a larger order costs less in all: From pieces of a line
// cost more than To pieces would.
type Fall struct {
	Line  int             `json:"line"` // counts from 1
	From  int             `json:"from"`
	To    int             `json:"to"`
	Total decimal.Decimal `json:"total"` // of the order with To pieces of that line
}

// Spares says how many pieces more than ordered are made ready, by both
// rules, and the chance of having enough.
type Spares struct {
	Prints       int         `json:"prints"`        // spare prints over the order
	ChanceEnough float64     `json:"chance_enough"` // that the prints made hold enough good ones
	Rule         SpareRule   `json:"rule"`          // the rule that is charged
	BySize       SpareBlanks `json:"by_size"`
	Commonest    SpareBlanks `json:"two_commonest"`
}

// SpareBlanks is one rule's spare blanks. Customers' blanks are not in it.
type SpareBlanks struct {
	Sizes        []SizeSpare `json:"sizes"`
	Count        int         `json:"count"`
	ChanceEnough float64     `json:"chance_enough"` // that every size has enough good blanks
}

// A SizeSpare is the spare blanks of one size of one line.
type SizeSpare struct {
	Line   int    `json:"line"` // counts from 1
	Colour string `json:"colour"`
	Size   string `json:"size"` // "" where no sizes were given
	Count  int    `json:"count"`
}

// Expired reports whether the quote no longer holds at now: ValidUntil is the
// last day, by the calendar of now's zone.
func (p *Plan) Expired(now time.Time) bool { return now.Format(time.DateOnly) > p.ValidUntil }

// quote is the scripting contract's form of a quote.
type quote struct {
	Currency     string       `json:"currency"`
	Lines        []quoteLine  `json:"lines"`
	Cost         quoteCost    `json:"cost"`
	Subtotal     string       `json:"subtotal"`
	Setup        string       `json:"setup"`
	Rush         string       `json:"rush"`
	MinimumTopup string       `json:"minimum_topup"`
	Discount     string       `json:"discount"`
	CardFee      string       `json:"card_fee"`
	Tax          string       `json:"tax"`
	Total        string       `json:"total"`
	Breaks       []quoteBreak `json:"breaks"`
	Sheets       int          `json:"sheets"`
	Make         int          `json:"make"`
	ReadyAt      string       `json:"ready_at"`
	ValidUntil   string       `json:"valid_until"`
}

type quoteLine struct {
	Quantity   int    `json:"quantity"`
	Method     string `json:"method"`
	PriceEach  string `json:"price_each"`
	PriceTotal string `json:"price_total"`
}

type quoteCost struct {
	Blanks   string `json:"blanks"`
	Sheets   string `json:"sheets"`
	Toner    string `json:"toner"`
	Labour   string `json:"labour"`
	Machine  string `json:"machine"`
	Energy   string `json:"energy"`
	Spoilage string `json:"spoilage"`
	Overhead string `json:"overhead"`
}

type quoteBreak struct {
	Quantity  int    `json:"quantity"`
	PriceEach string `json:"price_each"`
}

// MarshalJSON writes the quote as scripts read it: money as decimal strings
// with the currency's own places, lists never null.
func (p Plan) MarshalJSON() ([]byte, error) {
	f := p.Currency.Format
	q := quote{
		Currency: p.Currency.Code,
		Lines:    make([]quoteLine, 0, len(p.Lines)),
		Cost: quoteCost{
			Blanks: f(p.Cost.Blanks), Sheets: f(p.Cost.Sheets), Toner: f(p.Cost.Toner), Labour: f(p.Cost.Labour),
			Machine: f(p.Cost.Machine), Energy: f(p.Cost.Energy), Spoilage: f(p.Cost.Spoilage), Overhead: f(p.Cost.Overhead),
		},
		Subtotal: f(p.Subtotal), Setup: f(p.Setup), Rush: f(p.Rush), MinimumTopup: f(p.MinimumTopup),
		Discount: f(p.Discount), CardFee: f(p.CardFee), Tax: f(p.Tax), Total: f(p.Total),
		Breaks: make([]quoteBreak, 0, len(p.Breaks)),
		Sheets: p.Sheets, Make: p.Make, ReadyAt: p.ReadyAt, ValidUntil: p.ValidUntil,
	}
	for _, l := range p.Lines {
		q.Lines = append(q.Lines, quoteLine{l.Quantity, l.Method, f(l.PriceEach), f(l.PriceTotal)})
	}
	for _, b := range p.Breaks {
		q.Breaks = append(q.Breaks, quoteBreak{b.Quantity, f(b.PriceEach)})
	}
	return json.Marshal(q)
}
