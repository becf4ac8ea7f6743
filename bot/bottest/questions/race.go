//go:build race

package questions

// Every is of how many questions tests ask one: the race detector takes several
// times the time, and is there to find races.
const Every = 16
