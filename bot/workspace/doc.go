// Package workspace is the bot's edge in a messaging workspace: what people
// write there becomes a [Message], and the [Handler]'s answer becomes blocks
// with a plain-text fallback. It is the only package that knows the platform's
// library.
//
// How a message flows:
//
//	socket or door -> intake (keep, then acknowledge) -> lanes (one a channel,
//	in order) -> Handler -> render -> outbox (paced, never posted twice)
//	-> easel (pictures, drawn and uploaded once the text stands)
//
// What it promises:
//
//   - What was acknowledged is kept in the [Inbox] until its answer is posted,
//     and is taken up again after a restart.
//   - A message delivered more than once is answered once.
//   - Answers in one channel come in the order of their questions.
//   - Nothing a person wrote can mention a channel or a person, and no payload
//     exceeds the platform's published limits.
//   - It speaks only when spoken to: a mention, a direct message, a command, a
//     button, or a follow-up in a thread it has answered in.
//
// What it does not do: it decides no answer, and it adds no fact to one. The
// [Inbox] and [Threads] it makes by itself live in memory; hand in lasting ones
// for a bot that is to survive a restart.
package workspace
