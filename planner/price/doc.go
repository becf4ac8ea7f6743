// Package price turns an order, its sheets and its work into what it costs,
// what to charge, how many to make, and what happens at other quantities.
//
// It promises:
//
//   - Cost from the work itself: blanks by size, sheets, cover sheets by
//     uses, toner by channel, hands-on time with allowances, machine hours,
//     energy, changeovers shared over the batch, overhead, spoilage.
//   - Every total is the sum of the lines shown, in the currency's own places.
//   - Every figure opens to its arithmetic ([Plan.Steps]).
//   - The same problem gives the same plan on every machine.
//
// It does not know prices, recipes or settings: all of them come in through
// the [Problem]. It does not lay sheets or plan the day; the line brings a
// function from pieces to sheets, and times as sums of step times. A quote is
// not tax advice: the tax share is the shop's own.
//
// Money outside the package is a decimal. Inside, amounts are whole minor
// units (cents) in int64 and products are taken in 128 bits, so that a search
// over whole pieces can price thousands of quantities; fixed.go says which
// figure is rounded where.
package price
