package unit

import "time"

// Duration is a span of time in seconds. It is not time.Duration, so that a
// recipe's dwell can't be mixed up with a program's time-out.
type Duration float64

// Seconds returns a span of s seconds.
func Seconds(s float64) Duration { return Duration(s) }

// Minutes returns a span of m minutes.
func Minutes(m float64) Duration { return Duration(m * 60) }

// Hours returns a span of h hours.
func Hours(h float64) Duration { return Duration(h * 3600) }

// S returns the span in seconds.
func (d Duration) S() float64 { return float64(d) }

// Min returns the span in minutes.
func (d Duration) Min() float64 { return float64(d) / 60 }

// Std returns the span as a time.Duration.
func (d Duration) Std() time.Duration { return time.Duration(float64(d) * float64(time.Second)) }
