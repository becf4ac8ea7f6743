package press

import "presshand/planner/press/engine"

func (m *model) addOrder(i int) {
	o := &m.problem.Orders[i]
	due := 0
	if !o.Due.IsZero() {
		m.engine.Dues = append(m.engine.Dues, engine.Due{At: m.tick(o.Due)})
		due = len(m.engine.Dues)
	}
	first := len(m.tasks)
	for k := range o.Jobs {
		m.addJob(i, k)
	}
	release := int64(0)
	if !o.Release.IsZero() {
		release = max(0, m.tick(o.Release))
	}
	for a := first; a < len(m.tasks); a++ {
		m.engine.Activities[a].Release = release
		m.engine.Activities[a].Due = due
	}
}

// add appends an activity that comes after links and returns its index.
func (m *model) add(t task, modes []engine.Mode, kind int, after ...link) int {
	a := engine.Activity{Modes: modes, Kind: kind}
	for _, l := range after {
		if l != none {
			a.After = append(a.After, engine.Link{Pred: l.activity, Part: l.part})
		}
	}
	m.engine.Activities = append(m.engine.Activities, a)
	m.tasks = append(m.tasks, t)
	return len(m.tasks) - 1
}

func (m *model) newKind() int {
	m.kinds++
	return m.kinds
}

func (m *model) addJob(order, job int) {
	j := &m.problem.Orders[order].Jobs[job]
	done := make([]link, j.Pieces)
	for i := range done {
		done[i] = none
	}
	sheets := 0
	for k := range j.Prints {
		base := task{order: order, job: job, print: k}
		cut := m.addSheets(base, &j.Prints[k], sheets)
		m.addPieces(base, &j.Prints[k], cut, done)
		sheets += j.Prints[k].Sheets
	}
	last := len(j.Prints) - 1
	length := m.manual(j.Prints[last].Recipe.Check)
	if length == 0 {
		return
	}
	modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(length)}}}, m.newKind()
	for i := range done {
		t := task{order: order, job: job, print: last, stage: stageCheck, unit: i + 1, parts: []part{{word: StepCheck, piece: i + 1}}}
		m.add(t, modes, kind, done[i])
	}
}

// handPart is a part that is all manual.
func (m *model) handPart(length int64) engine.Part {
	p := engine.Part{Length: length}
	if length > 0 {
		p.Uses = []engine.Use{{Pool: peoplePool + 1, To: length}}
	}
	return p
}

// longestRun is how long the printer may be kept by one run, in seconds:
// a quarter of an hour, so that sheets wanted sooner needn't wait long and no
// run is too long for a short day.
const longestRun = 900

// addSheets adds printing, marrying and cutting of the sheets of a print and
// returns what each sheet is done with.
func (m *model) addSheets(t task, p *Print, before int) []link {
	done := make([]link, p.Sheets)
	page := whole(p.PageTime)
	run := p.Sheets
	if page > 0 {
		run = max(1, int(longestRun/page))
	}
	for first := 0; first < p.Sheets; first += run {
		m.addRun(t, p, before, first, min(run, p.Sheets-first), done)
	}
	if p.Recipe.Marry != nil {
		modes, kind := m.marryModes(&p.Recipe), m.newKind()
		for i := range done {
			t.stage, t.unit = stageMarry, before+i+1
			t.parts = []part{{word: StepMarry, sheet: t.unit}}
			for len(t.parts) < len(modes[0].Parts)-1 {
				t.parts = append(t.parts, part{word: StepMarry, sheet: t.unit, rest: true})
			}
			t.parts = append(t.parts, part{word: StepPull, sheet: t.unit})
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	if length := m.manual(p.Recipe.Cut); length > 0 {
		modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(length)}}}, m.newKind()
		for i := range done {
			t.stage, t.unit = stageCut, before+i+1
			t.parts = []part{{word: StepCut, sheet: t.unit}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	return done
}

// addRun adds one run of the printer: n sheets without a break.
func (m *model) addRun(t task, p *Print, before, first, n int, done []link) {
	var modes []engine.Mode
	for k := range m.problem.Shop.Printers {
		mode := engine.Mode{Machine: m.printers[k] + 1, Held: n, State: m.toner(p.Recipe.TonerSet)}
		for i := 0; i < n; i++ {
			length := whole(p.PageTime)
			if i == 0 {
				length += whole(m.problem.Shop.Printers[k].FirstPage)
			}
			mode.Parts = append(mode.Parts, engine.Part{Length: length})
		}
		modes = append(modes, mode)
	}
	t.stage, t.unit, t.parts = stagePrint, before+first+1, nil
	for i := 0; i < n; i++ {
		t.parts = append(t.parts, part{word: StepPrint, sheet: before + first + i + 1})
	}
	a := m.add(t, modes, 0)
	for i := 0; i < n; i++ {
		done[first+i] = link{a, i}
	}
}

// addPieces adds what happens to each piece for one print, after the sheets
// in cut and what is in done, which it moves on.
func (m *model) addPieces(t task, p *Print, cut, done []link) {
	r := &p.Recipe
	if r.Prepress != nil && !r.oneLoading() {
		modes, kind := m.single(r, r.Prepress), m.newKind()
		for i := range done {
			t.stage, t.unit = stagePrepress, i+1
			t.parts = []part{{word: StepPrepress, piece: i + 1}, {word: StepPrepress, piece: i + 1, rest: true}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	modes, kind := m.mainModes(r), m.newKind()
	for i := range done {
		t.stage, t.unit, t.parts = stagePress, i+1, r.mainParts(i+1)
		sheet := none
		if len(cut) > 0 {
			sheet = cut[p.SheetOf[i]-1]
		}
		done[i] = link{m.add(t, modes, kind, done[i], sheet), -1}
	}
	if r.Peel == PeelCold {
		modes, kind := []engine.Mode{{Parts: []engine.Part{m.handPart(m.manual(r.PeelTime))}}}, m.newKind()
		for i := range done {
			t.stage, t.unit, t.parts = stagePeel, i+1, []part{{word: StepPeel, piece: i + 1}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
	if r.Finish != nil {
		modes, kind := m.single(r, r.Finish), m.newKind()
		for i := range done {
			t.stage, t.unit = stageFinish, i+1
			t.parts = []part{{word: StepFinish, piece: i + 1}, {word: StepFinish, piece: i + 1, rest: true}}
			done[i] = link{m.add(t, modes, kind, done[i]), -1}
		}
	}
}

// mainParts names the parts of mainModes for a piece.
func (r *Recipe) mainParts(piece int) []part {
	var parts []part
	if r.oneLoading() {
		parts = append(parts, part{word: StepPrepress, piece: piece})
	}
	parts = append(parts, part{word: StepPress, piece: piece}, part{word: StepPress, piece: piece, rest: true})
	if r.cools() {
		parts = append(parts, part{word: StepCool, piece: piece})
	}
	if r.Peel == PeelHot || r.Peel == PeelWarm {
		parts = append(parts, part{word: StepPeel, piece: piece})
	}
	return parts
}
