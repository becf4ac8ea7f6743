package workspace

import "time"

// A Meter counts what the bot does. Its methods are called from several
// goroutines and must not block.
type Meter interface {
	// Question is one message answered, with its outcome and the time from
	// its arrival to its posted answer.
	Question(kind Kind, outcome string, took time.Duration)
	// Acknowledged is one delivery acknowledged, and how long that took.
	Acknowledged(took time.Duration)
	// Dropped is one delivery not taken: "repeat", "full", "unreadable".
	Dropped(why string)
	// Queue is the number of messages waiting or being answered.
	Queue(n int)
	// Connected is one connection made; all but the first are reconnects.
	Connected()
	// Waited is a pause before a call: "pace", or "limit" where the platform
	// asked for it.
	Waited(why string, d time.Duration)
}

// noMeter counts nothing.
type noMeter struct{}

func (noMeter) Question(Kind, string, time.Duration) {}
func (noMeter) Acknowledged(time.Duration)           {}
func (noMeter) Dropped(string)                       {}
func (noMeter) Queue(int)                            {}
func (noMeter) Connected()                           {}
func (noMeter) Waited(string, time.Duration)         {}
