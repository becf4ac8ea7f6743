//go:build !race

package questions

// Every is of how many questions tests ask one: all of them, save with the race
// detector.
const Every = 1
