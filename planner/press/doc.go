// Package press times orders through printer, presses, people and cooling
// racks: when each sheet is printed, married and cut, when each piece is
// pressed, cooled, peeled and finished, and when each order is ready.
//
// It knows no trade figure: every temperature, dwell, wait and pace comes in
// through the Problem.
package press
