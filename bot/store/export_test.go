package store

// Migrations are for tests that begin with an older file.
func Migrations() []string { return migrations() }
