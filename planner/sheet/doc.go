// Package sheet lays printed pieces on sheets: on as few as it can, with the
// rest of the last sheet left free in one piece.
//
// It promises that every plan it returns keeps margin and gap, lies inside
// its sheets and holds every piece once (Check proves it with code of its
// own), that Plan.AtLeast is a proven lower bound, and that the same Problem
// gives the same Plan on every machine. Plan.Fewest is true only where the
// number of sheets is proven.
//
// It knows rectangles only: nothing of printers, platens, methods or prices.
// It does not promise the fewest sheets where Plan.Fewest is false.
package sheet
