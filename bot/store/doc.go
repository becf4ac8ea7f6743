// Package store keeps what must outlast the program in one SQLite file:
// orders, waits, conversations, how each user is spoken to, requests, unanswered
// questions, and the deliveries and threads of the workspace.
//
// It promises that what a method returned without error is on disk, and that
// a killed program leaves a file that opens clean: the file is written ahead
// (WAL) and every write is one transaction, flushed before it returns. Nothing
// is deleted from the orders, their history and requests; conversations, threads and waits
// that nobody touched for [KeepFor] are, by [Store.Prune]. Several programs may
// share the file.
//
// Faults of the file (full, locked, damaged) come back as a [*Fault], which
// says in plain words how to mend it; a store that could not be opened, see
// [Broken], answers everything with its fault, so that the rest of the bot
// goes on.
//
// It does not know the trade, reads the clock only to date conversations,
// threads and voices, and shares no file over a network: SQLite's locks need a
// local disk.
package store
