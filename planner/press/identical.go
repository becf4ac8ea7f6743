package press

import (
	"errors"
	"fmt"
	"time"
)

// A Pace is what a job of equal pieces takes on one press with hands enough,
// in closed form. With
//
//	H  until the press can begin: the longer of warming up and the first sheet
//	M  hold of the press to marry one sheet, 0 where nothing is married
//	g  pull and cut of a sheet
//	B  hold of the press for one piece: pre-press and press in one loading
//	w  wait on the rack and peel
//	F  hold of the press to finish one piece, 0 where nothing is finished
//	k  check of one piece
//
// n pieces on s sheets take
//
//	T(n, s) = H + s M + [s = 1] g + n B + max(n F, w + F) + k
//
// No plan is shorter: the press can't begin before H; while the only sheet is
// pulled and cut there is nothing to press; the piece pressed last has all s
// marryings and n pressings before it and still needs w + F + k; and all
// s M + n B + n F have to go through the press, with a check to follow. Marrying all
// sheets, pressing all pieces, then finishing them as they come is as short:
// sheets come fast enough while the printer's pace is at most M and g at most
// M and B; piece i can be finished from H + s M + i B + w on, and as F is at
// most B the last one is the one to wait for. PaceOf refuses what breaks these
// conditions.
//
// The term max(n F, w + F) says when cooling is hidden: from
//
//	n = 1 + ceil(w / F)
//
// on the press has finishing to do until the last piece has cooled, and the
// wait no longer costs anything. Without a finish it always does.
type Pace struct {
	Head   time.Duration // H
	Marry  time.Duration // M
	Pull   time.Duration // g
	Main   time.Duration // B
	Cool   time.Duration // w
	Finish time.Duration // F
	Check  time.Duration // k
}

// PaceOf returns the pace of a print on the shop's press of the given number,
// from 0. The error says which condition of the closed form does not hold.
func PaceOf(s Shop, press int, p Print) (Pace, error) {
	if press < 0 || press >= len(s.Presses) {
		return Pace{}, fmt.Errorf("pace: no press %d: the shop has %d", press+1, len(s.Presses))
	}
	if err := s.validate(); err != nil {
		return Pace{}, fmt.Errorf("pace: shop: %w", err)
	}
	if err := p.validate(&s, len(p.SheetOf)); err != nil {
		return Pace{}, fmt.Errorf("pace: %w", err)
	}
	r, m := &p.Recipe, &model{problem: &Problem{Shop: s}}
	if err := r.oneTemperature(); err != nil {
		return Pace{}, fmt.Errorf("pace: %w", err)
	}
	hold := func(d *Dwell) int64 {
		if d == nil {
			return 0
		}
		return m.manual(r.Load) + whole(d.Time) + m.manual(r.Unload)
	}
	marry, finish, main := hold(r.Marry), hold(r.Finish), hold(r.Press)
	if r.Prepress != nil {
		main += m.manual(r.Load) + whole(r.Prepress.Time)
	}
	cool := int64(0)
	if r.cools() {
		cool += whole(r.CoolWait)
	}
	if r.Peel != PeelNone && r.Peel != "" {
		cool += m.manual(r.PeelTime)
	}
	pull := m.manual(r.Cut)
	head, page := int64(0), whole(p.PageTime)
	if p.Sheets > 0 {
		head = whole(s.Printers[0].FirstPage) + page
	}
	if r.Marry != nil {
		pull += m.manual(r.Pull)
	} else {
		head, pull = head+pull, 0
	}
	head = max(head, m.warmUp(press, r))
	between := main
	if marry > 0 {
		between = min(marry, main)
	}
	switch {
	case page > between || pull > between:
		return Pace{}, errors.New("pace: sheets come more slowly than the press takes them: plan it instead")
	case finish > main:
		return Pace{}, errors.New("pace: finishing takes longer than pressing: plan it instead")
	}
	second := func(n int64) time.Duration { return time.Duration(n) * time.Second }
	return Pace{Head: second(head), Marry: second(marry), Pull: second(pull), Main: second(main),
		Cool: second(cool), Finish: second(finish), Check: second(m.manual(r.Check))}, nil
}

// oneTemperature reports what would make a press change its temperature, or
// load a piece twice, within the recipe.
func (r *Recipe) oneTemperature() error {
	for _, d := range []*Dwell{r.Marry, r.Prepress, r.Finish} {
		if d != nil && d.Temperature != r.Press.Temperature {
			return errors.New("the press has to change its temperature in between: plan it instead")
		}
	}
	if r.Prepress != nil && !r.OneLoading {
		return errors.New("pre-press and press are two loadings: plan it instead")
	}
	return nil
}

// warmUp is the time a press needs from what it is at to the recipe's
// temperature.
func (m *model) warmUp(press int, r *Recipe) int64 {
	p := &m.problem.Shop.Presses[press]
	now := p.Rest
	if p.Now != 0 {
		now = p.Now
	}
	return heatTimes(p, []float64{now.C(), (r.Press.Temperature + p.Offset).C()})[0][1]
}

// Time is T(n, s) for n pieces on s sheets.
func (p Pace) Time(pieces, sheets int) time.Duration {
	if pieces < 1 {
		return 0
	}
	n, s := time.Duration(pieces), time.Duration(sheets)
	t := p.Head + s*p.Marry + n*p.Main + max(n*p.Finish, p.Cool+p.Finish) + p.Check
	if sheets == 1 {
		t += p.Pull
	}
	return t
}

// HiddenFrom is the number of pieces from which cooling costs no time, and
// false where it always does.
func (p Pace) HiddenFrom() (int, bool) {
	if p.Cool == 0 {
		return 1, true
	}
	if p.Finish == 0 {
		return 0, false
	}
	return 1 + int((p.Cool+p.Finish-1)/p.Finish), true
}
