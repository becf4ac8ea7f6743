// Package engine times activities on limited resources: project scheduling
// with calendars, machines that need set-ups, people out of a pool, choices of
// machine, and parts of an activity that may be late. It knows nothing of any
// trade; package press states shop work in its terms.
//
// # Model
//
// An Activity is done once, in one of its modes: rigid parts one after the
// other, each with its own uses of resources. A Link keeps a least wait between
// the end of a part and the start of another activity. Machines have one
// state; between two activities on one there is time for the set-up, anywhere
// in the gap, or, where somebody must tend it, straight before the second one.
// A part with Late may start up to that much after the part before has ended,
// while the machine stays held. Nothing runs across a closure of what it uses.
//
// # Method
//
// Schedules are built by the serial scheme from a list (Kolisch and Hartmann
// 2006), each activity at its earliest place, gaps included, or by time with a
// window (dispatcher). On top work three searches: branch and bound for a few
// activities (exact.go), a genetic search with justification for plain projects
// (breed.go), an iterated search over lots for all else (search.go). Bound is
// the lower bound. Each names its sources.
//
// # What holds
//
// Same problem and options, same schedule: ties go to the lower index, and the
// pseudo-random sequence is fixed. Steps are bounded by Options.Steps. A
// Result is Proven only where the bound is met or the full search was completed
// on a problem for which schedules of earliest starts suffice. Set-ups are
// counted by the state before and after only, so that an activity in between
// never shortens one: matrices that break the triangle rule are allowed, but
// Bound then reads the initial set-up as the direct one.
package engine
