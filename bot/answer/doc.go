// Package answer turns what was asked into what is true: it asks the
// knowledge base and the planners, and turns their facts into sentences.
//
// One file a topic. Each answer begins with the answer itself and its number,
// then at most a few lines that change what someone does, then the cautions
// that matter now. Every number in a sentence is also a fact with its
// provenance; nothing is rounded away or made up. Where the one thing needed
// is missing, it is asked for; where nothing is known, the answer says so.
//
// The package holds no trade number: they come from knowledge, the shop
// profile and the planners.
package answer
