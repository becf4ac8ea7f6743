// Package shop reads, checks and writes a shop's profile: people and hours,
// presses and printer, stock and prices, the habits an answer follows.
//
// Load reports every problem with line and column. The built-in profile is
// the invented Alder Yard Print Room; whatever is priced with it says that
// the price is an example. The package computes no prices.
package shop
