// Package planner holds the words that all planners share: the order as it
// was understood, and worked arithmetic.
//
// A planner is pure: no I/O, no clock, no global state, no wall-time limit.
// The same input gives the same output on every machine. Each one has
//
//	Solve(Problem) (Plan, error)
//	Check(Problem, Plan) error
//
// where Check shares no code with Solve. Planners know nothing of the
// knowledge base or of conversations: whoever calls them turns facts into a
// Problem first.
package planner
