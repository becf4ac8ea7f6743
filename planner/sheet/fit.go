package sheet

import "presshand/planner/unit"

// PerSheet returns how many copies of one piece fit on one sheet, 0 where not
// one does. It is the most there can be where it equals PerSheetAtMost.
func PerSheet(s Sheet, w, h unit.Length, turn bool) int {
	t, ok := oneKind(s, w, h, turn)
	if !ok {
		return 0
	}
	return len(t.perSheet(0))
}

// PerSheetAtMost returns a number of copies of one piece that no layout of a
// sheet exceeds; 0 where not one fits.
func PerSheetAtMost(s Sheet, w, h unit.Length, turn bool) int {
	t, ok := oneKind(s, w, h, turn)
	if !ok {
		return 0
	}
	return t.perSheetAtMost(t.kinds[0])
}

func oneKind(s Sheet, w, h unit.Length, turn bool) (task, bool) {
	p := Problem{Sheet: s, Pieces: []Piece{{Width: w, Height: h, Count: 1, Turn: turn}}}
	if p.validate() != nil || p.tooLarge() != nil {
		return task{}, false
	}
	return newTask(p), true
}

// Room returns how many more copies of a piece fit on the sheets of a plan as
// it lies; the piece may turn.
func Room(s Sheet, plan Plan, w, h unit.Length) int {
	p := Problem{Sheet: s, Pieces: []Piece{{Width: w, Height: h, Count: 1, Turn: true}}}
	if p.validate() != nil || p.tooLarge() != nil {
		return 0
	}
	for _, place := range plan.Places {
		p.Pieces = append(p.Pieces, Piece{Width: place.Width, Height: place.Height, Count: 1})
	}
	t := newTask(p)
	pages := make([]*page, plan.Sheets)
	for i := range pages {
		pages[i] = t.newPage()
	}
	for i, place := range plan.Places {
		k := t.kinds[t.kindOf[i+1]]
		at := rect{t.grid.units(nanometres(place.X) - t.grid.margin), t.grid.units(nanometres(place.Y) - t.grid.margin), k.w, k.h}
		pages[place.Sheet-1].put(spot{rect: at})
	}
	n := 0
	for _, p := range pages {
		n += p.fill(t.item(0), 0, MaxPieces)
	}
	return n
}
