package answer

import (
	"context"
	"errors"
	"time"

	"presshand/knowledge"
	"presshand/planner"
)

// A Board keeps orders and waits over days and restarts. Its errors may have a
// method Plain() string, which says in words for people what is wrong; the
// desk then says so and answers what needs no board.
type Board interface {
	Orders
	Waits
	Requests
}

// Orders keeps orders. Nothing is ever deleted.
type Orders interface {
	// Keep adds an order and returns it with its number. The same order of the
	// same message, kept again, is the one that stands already.
	Keep(ctx context.Context, k Kept) (Kept, error)
	// Change writes an order anew, with a line of its history for each thing
	// that changed. It returns ErrChanged where the order is no longer as it
	// was read.
	Change(ctx context.Context, k Kept, by string, at time.Time) (Kept, error)
	// Order returns one order, or ErrNoOrder.
	Order(ctx context.Context, number int) (Kept, error)
	// Find lists orders by due time, those without one last, then by number.
	Find(ctx context.Context, q OrderQuery) ([]Kept, error)
	// History lists what happened to an order, oldest first.
	History(ctx context.Context, number int) ([]Change, error)
	// About returns the order a conversation speaks of, 0 where none.
	About(ctx context.Context, conversation string) (int, error)
	// Speak notes the order a conversation speaks of.
	Speak(ctx context.Context, conversation string, number int) error
}

// Waits keeps running waits.
type Waits interface {
	// StartWait adds a wait and returns it with its id. The same wait of the
	// same message, started again, is the one that stands already.
	StartWait(ctx context.Context, w Wait) (Wait, error)
	// ChangeWait sets a running wait's end and state.
	ChangeWait(ctx context.Context, w Wait) error
	// RunningWaits lists the waits that were neither told nor stopped, by
	// their end.
	RunningWaits(ctx context.Context) ([]Wait, error)
}

// Requests keeps what those who are no owners want changed in the shop's rules,
// until an owner decides. Nothing is ever deleted.
type Requests interface {
	// AddRequest adds a request and returns it with its number. The same wish of
	// the same message, added again, is the one that stands already.
	AddRequest(ctx context.Context, q Request) (Request, error)
	// Request returns one request, or ErrNoRequest.
	Request(ctx context.Context, number int) (Request, error)
	// FindRequests lists the requests of a state, oldest first.
	FindRequests(ctx context.Context, s RequestState) ([]Request, error)
	// DecideRequest writes what an owner decided. It returns ErrDecided where
	// somebody decided before.
	DecideRequest(ctx context.Context, q Request) error
}

// Errors of a board that the desk answers in its own words.
var (
	ErrNoOrder = errors.New("there is no such order")
	ErrChanged = errors.New("somebody else changed the order meanwhile")

	ErrNoRequest = errors.New("there is no such request")
	ErrDecided   = errors.New("somebody decided about the request before")
)

// A State is what has become of an order.
type State string

// The states of an order.
const (
	Open     State = "open" // no price yet
	Priced   State = "priced"
	Promised State = "promised"
	Running  State = "running"
	Ready    State = "ready"
	Gone     State = "gone"
	Dropped  State = "dropped"
)

// States lists the states in the order an order goes through them.
func States() []State { return []State{Open, Priced, Promised, Running, Ready, Gone, Dropped} }

// next lists the states an order may change to from each. A promise needs a
// price; what was dropped comes back, and so does, by its own word, what was
// handed out by mistake.
func next(s State) []State {
	switch s {
	case Open:
		return []State{Dropped}
	case Priced:
		return []State{Promised, Running, Ready, Gone, Dropped}
	case Promised:
		return []State{Priced, Running, Ready, Gone, Dropped}
	case Running:
		return []State{Promised, Ready, Gone, Dropped}
	case Ready:
		return []State{Running, Gone, Dropped}
	case Dropped:
		return []State{Priced}
	}
	return nil
}

// A Kept is an order on the board.
type Kept struct {
	Number   int // from 1; 0 before it is kept
	State    State
	Order    planner.Order
	Quote    []byte // what price.Plan.Keep wrote; nil where there is no price
	Total    string // of the quote, a decimal; "" where there is no price
	Currency string // code
	Valid    string // last day the price holds, "2026-12-25"
	ReadyAt  time.Time
	Due      time.Time // as wished, or as promised; zero where none

	Conversation string
	User         string // who posted it
	Created      time.Time
	Changed      time.Time
	Revision     int // counts the changes
}

// A Change is one line of an order's history.
type Change struct {
	Number   int
	At       time.Time
	User     string
	What     string // "kept", "state", "due", "order", "total"
	From, To string
}

// An OrderQuery selects orders; zero fields select all.
type OrderQuery struct {
	States   []State
	Customer string    // words of the customer's name
	Ref      string    // part of the reference
	DueFrom  time.Time // from here
	DueTo    time.Time // to before here
	User     string    // who posted it
	Latest   bool      // the last kept first, not by due time
	Limit    int       // 0: all
}

// A WaitState is what has become of a wait.
type WaitState string

// The states of a wait.
const (
	WaitRunning WaitState = "running"
	WaitTold    WaitState = "told"
	WaitStopped WaitState = "stopped"
)

// A Wait is a stretch of time somebody wants to be told the end of.
type Wait struct {
	ID           int
	Name         string // what waits: "order 12", "the choir shirts"
	Number       int    // the order, 0 where it is for none
	Conversation string // where it was started, and where its end is told
	User         string // who started it
	From, Until  time.Time
	State        WaitState
	Tried        bool // telling its end was tried before
}

// A RequestState is what has become of a request.
type RequestState string

// The states of a request.
const (
	RequestOpen     RequestState = "open"
	RequestAccepted RequestState = "accepted"
	RequestRefused  RequestState = "refused"
)

// A Request is a rule that somebody wishes who may not make it.
type Request struct {
	Number       int
	Rule         knowledge.ShopRule // without id, By and At
	Text         string             // what it changes, in words
	Conversation string             // where it was said, and where the decision is told
	User         string             // whose wish it is
	At           time.Time
	State        RequestState
	DecidedBy    string
	DecidedAt    time.Time
}
