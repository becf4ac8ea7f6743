// Package knowledge holds what the shop knows: curated facts in YAML, embedded
// in the program, each with its unit, its range and where it comes from.
//
// Load reads the built-in files and, over them entry by entry, the shop's own.
// Loading is strict: an unknown or doubled key, a missing unit, a nominal
// value outside its range, a reference to an entry that is not there, a press
// hotter than the fibre stands, a hot step without its caution: each is a
// Problem with file, line, column, source line and a mend. All problems are
// reported at once, sorted. A faulty base is never returned.
//
// A Shelf adds to the shop's own files: a rule that an owner gave by chat becomes
// a file, checked like any other before it is written.
//
// FORMAT.md explains each section and field. The package computes nothing:
// it looks up. Of this module it imports only planner/unit and its own reader
// of YAML, knowledge/document.
package knowledge
