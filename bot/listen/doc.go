// Package listen turns a loose message into a Request: what is asked, about
// what, and which order was posted. It knows words, not answers.
//
// The work goes in four strides:
//
//	span       typed pieces of the text: numbers with units, dates, sizes,
//	           colours, fibres, blanks, spots, names (package span)
//	order.go   pieces to an order, or to a change of one
//	index.go   which wording, and so which topic or entry, explains the words
//	listen.go  the asks of one message, with what the conversation adds
//
// Before all that, rule.go takes what is said of the shop's own rules: "for our
// mugs: 390 F 200 s", "undo that".
//
// Every word it knows comes from the knowledge base. Where nothing explains a
// message well enough it says so, and names the nearest entries; it never
// settles for a weak match.
package listen
