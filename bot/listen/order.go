package listen

import (
	"time"

	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
)

// An OrderEnv is what reading an order needs besides the text.
type OrderEnv struct {
	Base    *knowledge.Base
	Profile *shop.Profile
	Now     time.Time
}

// An OrderReading is what a message says of an order. Only what was said, or
// is named in Assumed, is in Order.
type OrderReading struct {
	Order   planner.Order
	IsOrder bool      // someone posts or prices an order; false for a question that happens to hold a number
	Trouble []Trouble // what must be asked back before anything is computed, the gravest first
	Assumed []string  // what was taken, in plain words
	Missing []string  // what an order needs and nobody said: "item", "quantity", "colour", "fibre", "print", "width"
}

// A Trouble is something in an order that must be asked back.
type Trouble struct {
	Kind    TroubleKind
	Line    int      // index of the line; -1 where it is of the whole order
	Ask     string   // one question, in words
	Choices []string // short answers to choose from; empty where there are too many
}

// A TroubleKind says what is wrong.
type TroubleKind string

// The kinds of trouble.
const (
	QuantityZero     TroubleKind = "quantity-zero"
	QuantityNegative TroubleKind = "quantity-negative"
	QuantityAbsurd   TroubleKind = "quantity-absurd"
	QuantityPart     TroubleKind = "quantity-part"  // not a whole number
	QuantityVague    TroubleKind = "quantity-vague" // "a couple", "a few"
	SizesDiffer      TroubleKind = "sizes-differ"
	FibreSum         TroubleKind = "fibre-sum" // shares that don't make 100
	DatePast         TroubleKind = "date-past"
	TwoReadings      TroubleKind = "two-readings"
	BlendUnknown     TroubleKind = "blend-unknown" // a blend without shares
)
