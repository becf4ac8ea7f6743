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

// Room returns how many more copies of a piece are found to fit on the sheets
// of a plan as it lies, without another sheet; the piece may turn. The places
// of the plan are taken without bleed.
func Room(s Sheet, plan Plan, w, h unit.Length) int {
	if _, ok := oneKind(s, w, h, true); !ok {
		return 0
	}
	p := Problem{Sheet: s, Pieces: []Piece{{Width: w, Height: h, Count: 1, Turn: true}}}
	for _, place := range plan.Places {
		p.Pieces = append(p.Pieces, Piece{Width: place.Width, Height: place.Height, Count: 1})
	}
	t := newTask(p)
	sheets := make([][]spot, plan.Sheets)
	for i, place := range plan.Places {
		if place.Sheet < 1 || place.Sheet > plan.Sheets {
			continue
		}
		k := t.kinds[t.kindOf[i+1]]
		x, y := nanometres(place.X)-t.grid.margin, nanometres(place.Y)-t.grid.margin
		sheets[place.Sheet-1] = append(sheets[place.Sheet-1], spot{rect: rect{t.grid.down(x), t.grid.down(y), k.w, k.h}})
	}
	n := 0
	for _, spots := range sheets {
		n += t.moreOn(spots)
	}
	return n
}

// moreOn is the most copies of the first kind that any rule adds to a sheet.
func (t task) moreOn(spots []spot) int {
	most := 0
	for r := range ruleCount {
		p := t.replay(spots)
		p.rule = r
		most = max(most, p.fill(t.item(0), 0, MaxPieces))
	}
	return most
}
