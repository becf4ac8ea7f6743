package press

import "presshand/planner/press/engine"

// Effort of the improvement search where none is given, in schedules built.
// Each costs time in proportion to its activities, so that the number falls
// with them; a few orders have fewer sensible arrangements than many.
const (
	searchPlacements = 20_000  // activities placed for a single order: a chat waits for it
	searchSeveral    = 80_000  // for two orders: how they overlap takes more trying
	searchPerOrder   = 8_000   // and for every further one
	searchMost       = 400_000 // in all
	searchFewest     = 4       // schedules, whatever their size
	searchMostSteps  = 400

	noSearch = -1 // Problem.Effort for none
)

// effort is the number of schedules that the search may build.
func (m *model) effort() int {
	switch e := m.problem.Effort; {
	case e > 0:
		return e
	case e < 0:
		return 0
	}
	placements := searchPlacements
	if n := len(m.problem.Orders); n > 1 {
		placements = min(searchMost, searchSeveral+searchPerOrder*(n-2))
	}
	return min(searchMostSteps, max(searchFewest, placements/len(m.tasks)))
}

// options are what the engine needs to know to search.
func (m *model) options() engine.Options {
	lots, of, bundles := m.lots()
	return engine.Options{Lots: of, Bundles: bundles, Starts: m.starts(lots), Windows: m.windows(), Steps: m.effort()}
}
