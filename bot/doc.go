// Package bot is one message in, one reply out.
//
// # A guided walk
//
// A person types one loose sentence. A few rooms handle it, each with one job:
//
//	bot/listen    text to Request: topics, subject, order. Words, not answers.
//	bot/answer    Request to Reply, one file a topic: asks knowledge and
//	              planner, turns facts into sentences, picks cautions.
//	bot/reply     the neutral Reply: lines, facts, tables, pictures, buttons.
//	bot/rephrase  optional: a language model rewords prose behind a guard.
//	bot/store     conversations, orders, waits, unanswered questions.
//	bot/terminal  an edge: Reply on a terminal.
//	bot/workspace an edge: events to Message, Reply to blocks.
//	bot/bottest   for tests only.
//
// Below them lie knowledge (what we know) and planner (what we compute).
// Imports point down only, and edges never meet; a test holds both.
//
// Bot owns the turn: it remembers the conversation, recovers from a panic,
// records what could not be answered, and asks for one thing at a time. It
// does not know how a message came or how a reply is shown.
package bot
