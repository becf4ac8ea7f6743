// Package engine times activities on limited resources. (being written)
package engine
