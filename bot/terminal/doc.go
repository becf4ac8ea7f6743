// Package terminal is the embedded face: a Reply as lines on a terminal, and a
// conversation on standard input.
//
// On a terminal there is line editing, history and a little emphasis (bold for
// the first line, yellow for cautions, faint for what can be asked next);
// elsewhere plain text. It adds and rewords nothing.
package terminal
