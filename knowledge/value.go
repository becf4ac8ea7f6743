package knowledge

import (
	"presshand/knowledge/document"
	"presshand/planner/unit"
)

// SourceKind says how a value is known.
type SourceKind string

// The kinds of provenance. Common practice and memory are honest names for
// "no source at hand": an answer says so to whoever asks "says who?".
const (
	Published SourceKind = "published" // with a cite
	Practice  SourceKind = "practice"  // common practice in the trade, no source
	Memory    SourceKind = "memory"    // recalled, no source at hand
	Shop      SourceKind = "shop"      // the shop's own profile or knowledge file
)

// A Source is a value's provenance.
type Source struct {
	Kind SourceKind `key:"source" one:"published|practice|memory|shop"`
	Cite string     // who, what, when; set where Kind is Published
}

// A Dimension says what a Value measures, and so which units it may be
// written in.
type Dimension string

// The dimensions of values, with the unit a Value holds inside.
const (
	Temperature Dimension = "temperature" // degrees Celsius; written C or F
	Difference  Dimension = "difference"  // of two temperatures, in Celsius degrees; written C apart or F apart
	Time        Dimension = "time"        // seconds; written s, min, h, d
	Length      Dimension = "length"      // millimetres; written mm, cm, in
	Share       Dimension = "share"       // per cent; written %
	ArealMass   Dimension = "areal mass"  // g/m2; written g/m2 or oz/yd2
	Washes      Dimension = "washes"      // count of washes; written washes
	Count       Dimension = "count"       // plain count; written x, or a counted word such as "pieces" (see units.go)
	Resolution  Dimension = "resolution"  // pixels per inch; written ppi
	Other       Dimension = "other"       // any other published unit: kPa, ppm, V, A, W, kg
)

// A Value is one number with unit, range and provenance. In YAML:
//
//	{is: 310 F, low: 275 F, high: 320 F, source: practice}
//	{is: 8.5 %, source: published, cite: "ASTM D1909-13"}
//
// Is, Low and High are in the dimension's inner unit (see Dimension); Low and
// High equal Is where no range was given. Unit is the unit as written.
type Value struct {
	Dimension     Dimension
	Is, Low, High float64
	Unit          string // as written: "F"
	Ranged        bool   // low and high were given
	Source        Source
	Pos           Pos
}

// Known reports whether the value was given at all.
func (v Value) Known() bool { return v.Dimension != "" }

// Temperature returns the value as a temperature; it is one only where
// Dimension is Temperature.
func (v Value) Temperature() unit.Temperature { return unit.Celsius(v.Is) }

// Duration returns the value as a span of time; it is one only where
// Dimension is Time.
func (v Value) Duration() unit.Duration { return unit.Seconds(v.Is) }

// Length returns the value as a length; it is one only where Dimension is
// Length.
func (v Value) Length() unit.Length { return unit.Millimetres(v.Is) }

// A Word is one word with provenance. In YAML: {is: firm, source: memory}.
type Word struct {
	Is     string
	Source Source
	Pos    Pos
}

// Known reports whether the word was given at all.
func (w Word) Known() bool { return w.Is != "" }

// A Flag is a yes or no with provenance. In YAML: {is: yes, source: memory}.
type Flag struct {
	Is     bool
	Given  bool
	Source Source
	Pos    Pos
}

// A Pos is a place in a knowledge file.
type Pos = document.Pos

// A Problem is one thing wrong with a knowledge file.
type Problem = document.Problem

// Problems is all that is wrong with a set of files, sorted; it is an error.
type Problems = document.Problems

// Text is prose in which {name} stands for the entry's value of that name, so
// that no number in an answer is without provenance. The loader refuses a
// placeholder without a value and a bare figure in the prose.
type Text string
