//go:build race

package bot_test

// every is of how many questions one is asked in tests that ask each of them
// several times: the race detector takes several times the time.
const every = 4
