package press

import (
	"presshand/planner/press/engine"
	"presshand/planner/unit"
)

// pressModes makes one mode for each press that suits the recipe.
func (m *model) pressModes(r *Recipe, wanted unit.Temperature, parts func(p *Press) ([]engine.Part, int)) []engine.Mode {
	var modes []engine.Mode
	for k := range m.problem.Shop.Presses {
		p := &m.problem.Shop.Presses[k]
		if p.Kind != r.PressKind || !p.reaches(r) {
			continue
		}
		list, held := parts(p)
		modes = append(modes, engine.Mode{Machine: m.presses[k] + 1, Held: held, Parts: list,
			State: index(m.dials[k], (wanted + p.Offset).C())})
	}
	return modes
}

// loaded is a loading by hand and a dwell.
func (m *model) loaded(r *Recipe, d *Dwell) engine.Part {
	load := m.manual(r.Load)
	part := engine.Part{Length: load + whole(d.Time)}
	if load > 0 {
		part.Uses = []engine.Use{{Pool: peoplePool + 1, To: load}}
	}
	return part
}

// mayLie is how long a piece may lie in the open press after a dwell.
func (p *Press) mayLie(d *Dwell) int64 {
	if !p.OpensItself {
		return 0
	}
	return whole(d.Time)
}

// unloaded is the unloading by hand, up to late seconds late.
func (m *model) unloaded(r *Recipe, late int64) engine.Part {
	part := m.handPart(m.manual(r.Unload))
	part.Late = late
	return part
}

// marryModes: load and dwell, unload, and at once the pull, with the press
// free again.
func (m *model) marryModes(r *Recipe) []engine.Mode {
	return m.pressModes(r, r.Marry.Temperature, func(*Press) ([]engine.Part, int) {
		return []engine.Part{m.loaded(r, r.Marry), m.unloaded(r, 0), m.handPart(m.manual(r.Pull))}, 2
	})
}

// single is one loading for one dwell.
func (m *model) single(r *Recipe, d *Dwell) []engine.Mode {
	return m.pressModes(r, d.Temperature, func(p *Press) ([]engine.Part, int) {
		return []engine.Part{m.loaded(r, d), m.unloaded(r, p.mayLie(d))}, 2
	})
}

// oneLoading reports whether pre-press and press happen in one loading.
func (r *Recipe) oneLoading() bool {
	return r.OneLoading && r.Prepress != nil && r.Prepress.Temperature == r.Press.Temperature
}

// mainModes: pre-press in the same loading where the recipe says so, press,
// unload, then cooling on the rack or a peel that may not wait.
func (m *model) mainModes(r *Recipe) []engine.Mode {
	return m.pressModes(r, r.Press.Temperature, func(p *Press) ([]engine.Part, int) {
		var parts []engine.Part
		if r.oneLoading() {
			parts = append(parts, m.loaded(r, r.Prepress))
		}
		press, lie := m.loaded(r, r.Press), p.mayLie(r.Press)
		if r.oneLoading() {
			press.Late = p.mayLie(r.Prepress)
		}
		if r.Peel == PeelHot {
			lie = 0
		}
		parts = append(parts, press, m.unloaded(r, lie))
		held := len(parts)
		if r.cools() {
			wait := whole(r.CoolWait)
			parts = append(parts, engine.Part{Length: wait, Uses: []engine.Use{{Resource: m.rack, Amount: 1, To: wait}}})
		}
		if r.Peel == PeelHot || r.Peel == PeelWarm {
			parts = append(parts, m.handPart(m.manual(r.PeelTime)))
		}
		return parts, held
	})
}
