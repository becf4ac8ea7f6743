//go:build race

package bot_test

// every is of how many questions one is asked: the race detector takes several
// times the time.
const every = 8
