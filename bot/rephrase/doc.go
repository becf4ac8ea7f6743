// Package rephrase holds how a user is spoken to. A [Speech] reads what level
// and language a user chooses, and needs no model. A [Rephraser] lets a
// language model reword an answer's prose, friendlier or shorter; the model
// never chooses, computes or adds.
//
// # What leaves the machine
//
// Only the prose lines of an answer of the topics in sendable, each with its
// numbers and units, its names of methods, blanks, fibres, fabrics and colours,
// its negations and its verdicts replaced by opaque tokens, and beside it a
// fixed instruction with the synonyms this package accepts. Never the
// question, nor cautions, tables, assumptions, suggestions, buttons, private
// lines, facts, headings, the numbers of steps, or any answer that holds an
// order, a quote, a plan, a file, or what people typed (names of customers and
// waits, remarks of the shop's rules); so no customer, price or user id.
//
// # The guard
//
// A line of the reply is taken only if it is the source line but for these:
// a word may stand in place of a synonym, small joining words may come and go,
// and lesser punctuation may change. Tokens, content words, brackets and
// question marks stand in the source's order, each as often as there; no clause
// is parted or run together, and no line or sentence is added. No "so" comes or
// goes, no "then" goes, and "then" comes only in a line of steps. Beside a
// condition or an alternative and after a negation, clauses end as in the
// source. That is narrower than free rewording, and is why no change of meaning
// passes as far as the lexicons of kinds "synonym", "joining", "scope" and
// "attach" are right: they are the trust this package rests on. Whatever fails
// leaves the deterministic answer as it was, and the reason is counted.
//
// It keeps no conversation. It does not translate: an answer is written in the
// wanted language before it comes here, and a line that is not stays here.
package rephrase
