package store

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// A Fault is something wrong with the file, not with what was asked of it.
type Fault struct {
	plain string
	err   error
}

// Error is for the operator: what, where, how to mend.
func (f *Fault) Error() string { return f.plain + ": " + f.err.Error() }

// Unwrap returns the driver's error.
func (f *Fault) Unwrap() error { return f.err }

// Plain says for people what is wrong and how to mend it.
func (f *Fault) Plain() string { return f.plain }

// Words for the faults that have a known way out.
const (
	plainFull    = "the disk is full, free some space"
	plainLocked  = "the store is locked by another program, end that one or try again"
	plainDamaged = "the store is damaged, copy it aside and put the last backup in its place"
	plainDenied  = "the store may not be read or written, correct the rights of its folder"
	plainNewer   = "the store was written by a newer presshand, use that one"
	plainOther   = "the store can't be reached"
)

// fault sorts a driver's error. Cancelled work is no fault of the file.
func fault(doing string, err error) error {
	if err == nil {
		return nil
	}
	var known *Fault
	if errors.As(err, &known) {
		return err
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return fmt.Errorf("%s: %w", doing, err)
	}
	f := &Fault{plain: plainOther, err: fmt.Errorf("%s: %w", doing, err)}
	switch e.Code() & primary {
	case sqlite3.SQLITE_FULL:
		f.plain = plainFull
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		f.plain = plainLocked
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		f.plain = plainDamaged
	case sqlite3.SQLITE_PERM, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_AUTH:
		f.plain = plainDenied
	case sqlite3.SQLITE_INTERRUPT:
		return fmt.Errorf("%s: %w", doing, err)
	}
	return f
}

// primary masks the extended part of a result code (SQLite, "Result and Error
// Codes": the low eight bits are the primary code).
const primary = 0xff
