package listen

import (
	"time"

	"presshand/planner"
)

// A Request is a message as understood.
type Request struct {
	Text string
	Lang string // "en" or "es"
	Asks []Ask  // at least one; the first is the message's topic
}

// An Ask is one question or order of a message.
type Ask struct {
	Topic string // a topic of the answer object; "follow" until the conversation is known; "none" where nothing matches
	What  string // what exactly: a fact's name, or a word of the cue's; "" where the topic says it all
	Entry Entry  // the knowledge entry that is asked for, where there is one
	Near  []Near // the nearest known things, best first, where nothing matched well enough
	Score float64

	Subject  Subject
	Order    OrderReading
	Amend    bool      // the order is the conversation's, changed
	Changes  []string  // what an amendment changed, in words
	Settings []Setting // temperatures and times that were stated
	Step     string    // the step they are of: "marry", "prepress", "finish"; "" of the press itself, or where not said
	Convert  Conversion
	Wish     *Wish  // what is wanted of the shop's own rules, nil of any other ask
	Text     string // the part of the message
	Lang     string
	Asked    []string // of a remembered ask: the methods asked about, where another was advised
	Carried  bool     // topic or subject came from the conversation
}

// A Near is a known thing close to what was said.
type Near struct {
	Target Target
	Name   string
	Score  float64
}

// A Subject is what a question is about.
type Subject struct {
	Methods    []string // ids, in the order named
	NotMethods []string // ids that were ruled out by the asker: "not sublimation"
	Item       string   // order word: "tee"
	Blank      string   // knowledge id
	Fibre      map[string]int
	Fibres     []string // several fibres named, of which no share is known
	Blend      bool     // "a blend" was said, without shares
	Fabric     string
	Colour     string
	Colours    []string // all colours named, in order
	Group      string
	Spot       string
	Art        []string // "white", "photo", ...
	Wish       []string
	Coated     string // "yes", "no": what was said of a hard good's polyester coating; "" where nothing was
	Quantity   int
	Number     float64 // the first bare number, counted or not
	Presses    int     // "with one press"
	People     int     // "what if two people"
	Width      float64 // mm
	Height     float64
	Duration   float64 // s
	Money      string  // decimal
	Sheet      string  // sheet size named
	Sheets     int     // number of sheets named: "on 10 sheets"
	Pieces     []Piece // printed pieces named, each with its count
	Pixels     float64 // of the longer side of a file, or the one named: "900 px wide"
	When       time.Time
	Customer   string
	Ref        string
}

// A Piece is a printed piece someone wants on sheets.
type Piece struct {
	Count         int     // 0 where not said
	Width, Height float64 // mm; 0 where not said
	Spot          string
}

// A Setting is a press setting someone stated.
type Setting struct {
	Temperature float64 // C; 0 where not said
	Time        float64 // s; 0 where not said
	Pressure    string
	Unit        string // temperature unit as written
}

// A Conversion is a quantity and the unit it is wanted in.
type Conversion struct {
	Kind   string  // "temperature", "length", "mass", "time", "volume"
	Value  float64 // inside unit: C, mm, g/m2, s, ml
	Value2 float64 // of a length: the other side; 0 where there is none
	From   string  // unit as written
	To     string  // "F", "C", "in", "mm", "oz/yd2", "g/m2", "s", "min", "ml"; "" = the other one
}

// A Memory is what a conversation adds to a message.
type Memory struct {
	Last    *Ask           // the last ask that was answered
	Earlier []Ask          // those before it, the latest first
	Time    float64        // the first time the last answer stated, s; 0 where none
	Order   *planner.Order // the order spoken of
	Pending *Ask           // an ask that waits for one missing thing
	Missing string         // what it waits for: "fibre", "colour", ...
	Choice  string         // the one answer offered: what "yes" means
	Art     *Art           // the artwork file that was looked at last
	Rule    int            // number of the shop rule spoken of last, 0 where none
}

// lang is the language a conversation was held in last.
func (m Memory) lang() string {
	switch {
	case m.Pending != nil && m.Pending.Lang != "":
		return m.Pending.Lang
	case m.Last != nil && m.Last.Lang != "":
		return m.Last.Lang
	}
	return "en"
}

// An Art is what a conversation keeps of an artwork file.
type Art struct {
	Name          string
	Width, Height float64                       // mm, as it was looked at
	Coverage      map[string]map[string]float64 // by toner set, then by channel: share of the printed rectangle
}
