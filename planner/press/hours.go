package press

import (
	"sort"
	"time"

	"presshand/planner/press/engine"
)

// A window is a stretch of open time in seconds after Problem.Start.
type window struct {
	from, to int64
	first    bool // the first one of its day
}

// daysAhead bounds the calendar: work that ten years can't hold is refused.
const daysAhead = 3653

// windows lists the open hours of the shop from start on, until they add up
// to need seconds after the time from.
func (s *Shop) windows(start time.Time, from, need int64) []window {
	closed := make(map[Date]bool, len(s.Closed))
	for _, d := range s.Closed {
		closed[d] = true
	}
	var out []window
	day := dateOf(start.In(s.zone()))
	for i := 0; i < daysAhead && need > 0; i++ {
		if !closed[day] {
			for k, w := range s.dayWindows(start, day, s.Hours) {
				w.first = k == 0
				if w.to <= 0 {
					continue
				}
				w.from = max(w.from, 0)
				out = append(out, w)
				need -= max(0, w.to-max(w.from, from))
			}
		}
		day = day.next(s.zone())
	}
	return out
}

// dayWindows returns the spans of a week that fall on a day.
func (s *Shop) dayWindows(start time.Time, day Date, week Week) []window {
	var out []window
	for _, span := range week[day.weekday(s.zone())] {
		w := window{from: s.tick(start, day, span.From), to: s.tick(start, day, span.To)}
		if w.to > w.from {
			out = append(out, w)
		}
	}
	return out
}

// personWindows cuts a person's own hours and breaks out of the shop's
// windows.
func (s *Shop) personWindows(start time.Time, p *Person, open []window) []window {
	var out []window
	for _, w := range open {
		day := dateOf(start.Add(time.Duration(w.from) * time.Second).In(s.zone()))
		parts := []window{w}
		if p.Hours != nil {
			parts = intersect(w, s.dayWindows(start, day, *p.Hours))
		}
		for _, b := range p.Breaks {
			parts = cutOut(parts, s.tick(start, day, b.From), s.tick(start, day, b.To))
		}
		out = append(out, parts...)
	}
	return out
}

func intersect(w window, with []window) []window {
	var out []window
	for _, v := range with {
		if f, t := max(w.from, v.from), min(w.to, v.to); f < t {
			out = append(out, window{from: f, to: t})
		}
	}
	return out
}

func cutOut(parts []window, from, to int64) []window {
	var out []window
	for _, p := range parts {
		if p.from < from {
			out = append(out, window{from: p.from, to: min(p.to, from)})
		}
		if p.to > to {
			out = append(out, window{from: max(p.from, to), to: p.to})
		}
	}
	sort.Slice(out, func(i, k int) bool { return out[i].from < out[k].from })
	keep := out[:0]
	for _, p := range out {
		if p.from < p.to {
			keep = append(keep, p)
		}
	}
	return keep
}

// closures turns windows round: the time outside of them. A machine is in
// state reset when a day begins after a closed night; reset below 0 leaves its
// state alone.
func closures(open []window, reset int) []engine.Closure {
	var out []engine.Closure
	at := int64(0)
	for _, w := range open {
		if w.from > at {
			c := engine.Closure{From: at, To: w.from, Reset: -1}
			if w.first {
				c.Reset = reset
			}
			out = append(out, c)
		}
		at = w.to
	}
	return append(out, engine.Closure{From: at, To: engine.Forever, Reset: -1})
}

func (s *Shop) zone() *time.Location {
	if s.Zone == nil {
		return time.UTC
	}
	return s.Zone
}

// tick is a wall-clock time of a day in seconds after start.
func (s *Shop) tick(start time.Time, d Date, c Clock) int64 {
	n := int(c)
	t := time.Date(d.Year, d.Month, d.Day, n/3600, n/60%60, n%60, 0, s.zone())
	return t.Unix() - start.Unix()
}

func dateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// noon is an hour that no change of clocks takes away.
const noon = 12

func (d Date) next(zone *time.Location) Date {
	return dateOf(time.Date(d.Year, d.Month, d.Day+1, noon, 0, 0, 0, zone))
}

func (d Date) weekday(zone *time.Location) time.Weekday {
	return time.Date(d.Year, d.Month, d.Day, noon, 0, 0, 0, zone).Weekday()
}
