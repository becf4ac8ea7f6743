package workspace

import "time"

// Limits the platform publishes for messages and views, in characters unless
// said otherwise. A character is counted as a UTF-16 unit, which is never less
// than what a count by runes gives.
const (
	maxBlocks       = 50
	maxViewBlocks   = 100
	maxSection      = 3000
	maxHeader       = 150
	maxActions      = 25 // elements in one actions block
	maxButton       = 75
	maxValue        = 2000
	maxTableRows    = 100
	maxTableColumns = 20
	maxTable        = 10000
	maxAlt          = 1000 // alt text of an upload
	maxContext      = 2000

	// maxPage bounds the text of all blocks of one message. The platform
	// refuses messages above about 13,200 without publishing the figure; the
	// rest is a margin for what it counts besides the text.
	maxPage = 12000

	// maxFallback bounds a message's plain text. The platform advises to stay
	// below 4,000.
	maxFallback = 3900
)

// Pace of sending: the platform takes short bursts and then about one message a
// second in a channel.
const (
	paceBurst = 3
	paceEvery = time.Second
)

// Bounds on waiting for the platform.
const (
	ackWait      = 2 * time.Second  // queueing one acknowledgement
	callWait     = 30 * time.Second // one call of the web API
	rateDefault  = 30 * time.Second // "too many requests" without a delay
	rateLeast    = time.Second      // a stated delay of nothing
	retryFirst   = 250 * time.Millisecond
	retryMost    = 4 * time.Second // so that posting resumes within 5 s of the server's return
	settle       = time.Second     // a broken call may still be carried out; look it up after this
	giveUpAfter  = time.Hour       // an answer older than this helps nobody
	uploadTries  = 5
	maxAPIAnswer = 8 << 20 // bytes of one web API response
	maxFrame     = 1 << 20 // bytes of one inbound frame
)
