//go:build race

package main

// slowed says that the race detector takes several times the time, so that no
// promise about time can be checked.
const slowed = true
