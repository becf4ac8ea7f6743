package engine

// A Score rates a schedule; less is better, compared in this order: lateness
// by level, then the end, then the number of set-ups, then the sum of ends.
type Score struct {
	Late   []int64 // ticks late, summed over the dues of each level
	End    int64
	Setups int
	Sum    int64 // of the ends of all activities: among equals the earlier work wins
}

// Less reports whether s is better than t.
func (s *Score) Less(t *Score) bool {
	for i := range s.Late {
		if s.Late[i] != t.Late[i] {
			return s.Late[i] < t.Late[i]
		}
	}
	if s.End != t.End {
		return s.End < t.End
	}
	if s.Setups != t.Setups {
		return s.Setups < t.Setups
	}
	return s.Sum < t.Sum
}

// score rates the schedule that b holds.
func (b *builder) score() Score {
	s := Score{Late: make([]int64, b.p.Levels)}
	ends := make([]int64, len(b.p.Dues))
	for i := range b.slots {
		end := b.slots[i].End
		s.End = max(s.End, end)
		s.Sum += end
		if d := b.p.Activities[i].Due; d > 0 {
			ends[d-1] = max(ends[d-1], end)
		}
	}
	for i, d := range b.p.Dues {
		s.Late[d.Level] += max(0, ends[i]-d.At)
	}
	for r := range b.p.Resources {
		s.Setups += b.setups(r)
	}
	return s
}

// setups counts the set-ups of a machine. Those that a reset or the beginning
// makes everyone need are left out, unless they are tended.
func (b *builder) setups(r int) int {
	machine := &b.p.Resources[r]
	if machine.Setup == nil {
		return 0
	}
	n, state, fresh := 0, machine.State, machine.Tender == 0
	for _, s := range b.lanes[r].taken {
		if s.state == keeps {
			continue
		}
		if !s.closed && !fresh && state >= 0 && machine.Setup[state][s.state] > 0 {
			n++
		}
		state, fresh = int(s.state), s.closed && machine.Tender == 0
	}
	return n
}

// copySchedule returns the schedule that b holds.
func (b *builder) copySchedule(score Score) Schedule {
	out := Schedule{Slots: make([]Slot, len(b.slots)), Score: score}
	for i := range b.slots {
		s := &b.slots[i]
		out.Slots[i] = Slot{Mode: s.Mode, End: s.End,
			Parts: append([]int64(nil), s.Parts...), Given: append([]int(nil), s.Given...)}
	}
	return out
}
