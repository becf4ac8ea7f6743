// Package reply is the neutral answer: sentences, facts, tables, cautions,
// pictures, buttons, and their plain text and JSON forms. It knows no face and
// no trade.
package reply
