// Package span finds the typed pieces of a loose message: quantities, sizes,
// measures with their units, dates, and the names of things the shop knows.
//
// It promises three things. A number with a unit is never a quantity. Where
// two readings of a piece are possible, the one taken carries the other in
// Alt. Reading never panics and takes time in proportion to the text.
//
// It does not know what a message wants, and holds no words: names come from
// the entries of the knowledge base, small words from its lexicons. Only
// notation is built in: digits and their ordinal endings, x, /, %, quote and
// degree signs, the letters of garment sizes, and the colour names of the SVG
// standard.
//
// # How a message is read
//
//	Clean      control marks out, quotes and dashes made plain
//	tokens     words, numbers, signs; 24pc and S4 come apart
//	mending    unknown words set right: a slip of the key, an abbreviation; words
//	           the base or its lists of ordinary words hold stay as they are
//	glossary   a message in another language put into English, phrase by phrase
//	readers    at each place every reader is tried; the longest piece wins,
//	           and of equal ones the first in the order of readers
//	bare numbers  a number becomes a quantity where it counts something
//	negation   "not", "without" mark what follows
//
// # Lexicons
//
// The reader uses these kinds of knowledge.Lexicon. A word may be a phrase.
//
//	number     two: 2; dozen: x12 multiplies; "a couple": "2?" is vague
//	unit       inch: in; symbols are mm cm m in, C F deg, s min h d w, oz gsm, %
//	axis       wide: w, tall: h
//	counter    pcs: after, qty: before, each: each, fewer: less, boxes: lot (of so many)
//	weekday    fri: friday
//	month      dec: 12
//	day        tomorrow: +1; "end of week": week; "next week": +week; month
//	clock      noon: 12:00; pm: pm; "end of day": close;
//	           "~" before it: only beside a date (morning: ~12:00)
//	when       by: by, in: in, next: next, this: this, last: last, at: at, on: on
//	size       small: S
//	group      kids: youth
//	spot       chest: front; "both sides", "both sleeves" and sleeve (either one) are
//	           values of their own
//	colour     navy blue: navy (further words for a colour)
//	blend      blend: "" (fibres without shares); "65/35": "polyester 65, cotton 35 | cotton 65, ..."
//	artword    lettering: "" (turns a colour before it into a colour of the art)
//	art        "white letters": white; photo, fine, soft-edges, names
//	texts      names: "" (a list of names follows)
//	file       png: "" (an ending of file names)
//	rush       asap: ""
//	ownership  "our blanks": ours; "they bring": theirs
//	arrival    "blanks come": "" (a date follows)
//	approval   "art approved": ok
//	customer   choir: "" (a word for a kind of customer)
//	ref        po: "" (a reference follows)
//	intent     quote: order; need: want; "which method": question
//	amend      "make it": set; "what about": what; another: more; instead: instead;
//	           "instead of": insteadof; add: add; drop: remove
//	joiner     and: and, for: for, on: on, of: of, with: with, a: a, each: each, all: all, or: or, but: but
//	negation   not: ""
//	adjective  premium: "" (may stand between a count and its thing)
//	filler     please: ""
//	everyday   words that must not be mended into a word of the trade
//	ordinary   the same, as "list": many words parted by blanks
//	slang      tshirt: tee (read as what it stands for)
//	translate  playera: tee (in a message of that lexicon's language, and in an
//	           English one where English knows no such word)
//	ending     an: ar (what stands for a form's ending in the words to translate)
package span
