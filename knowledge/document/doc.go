// Package document reads hand-written YAML strictly and keeps the place of
// everything it reads, so that whoever wrote a file learns in one run what is
// wrong with it, where, and how to mend it.
//
// Parse turns one file into nodes and refuses what a data file has no use
// for: aliases, anchors, tags, several documents, more than MaxBytes. A
// Decoder turns nodes into Go values by field name; types that need more than
// that bring a Reader of their own. Nothing stops at the first problem.
//
// The package knows no trade facts and no units. It reads no file by itself.
package document
