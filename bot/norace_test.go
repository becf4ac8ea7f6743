//go:build !race

package bot_test

// every is of how many questions one is asked in tests that ask each of them
// several times.
const every = 1
