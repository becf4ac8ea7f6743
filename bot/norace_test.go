//go:build !race

package bot_test

// every is of how many questions one is asked.
const every = 1
