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
//
// # How a plan comes about
//
// A Problem becomes a task on a grid of whole numbers, with the pieces of one
// size as one kind (grid.go). Quick layouts come first (construct.go), for
// many copies also ones that learn what each kind is worth (value.go) and the
// best sheet of one kind alone (pallet.go). A search then gives up one sheet
// at a time and packs a few others anew until its pieces are taken in
// (search.go), by rules (rule.go) over free rectangles (page.go) or by hollows
// (skyline.go), until it meets the lower bound (bound.go). Small problems are
// settled by trying everything (exact.go). The last sheet's pieces are moved
// together and the others put into straight rows (room.go). Endless sheets
// have a search of their own (strip.go). In the end, pieces get their names
// (assign.go) and a trimmer its cuts (trim.go).
package sheet
