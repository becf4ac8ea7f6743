// Package press times orders through printer, presses, people and cooling
// racks: when each sheet is printed, married and cut, when each piece is
// pressed, cooled, peeled, finished and checked, and when each order is ready.
// It knows no trade figure: every temperature, dwell, wait, pace and hour
// comes in through the Problem.
//
// # Model
//
// A sheet is printed, married to an adhesive sheet, the adhesive sheet pulled
// off, and cut; a piece is pre-pressed, pressed, cooled, peeled, finished and
// checked. Steps that the recipe doesn't have are left out. A piece is pressed
// after the sheet that its transfer is on is done (Print.SheetOf); the second
// print of a piece goes through the same steps after the first.
//
// Steps that may not wait for each other form one rigid block with its own use
// of resources over time:
//
//	run     printer, sheet after sheet, at most a quarter of an hour of them
//	marry   press + person: load · press: dwell · press + person: unload · person: pull
//	press   press + person: load · press: pre-press · press + person: lay the transfer ·
//	        press: dwell · press + person: unload · rack: cool, or person: hot peel
//	finish  press + person: load · press: dwell · press + person: unload
//
// and by hand alone: cut, cold peel, check. Pre-press and press are one block
// where the recipe says one loading and both are at one temperature; else
// pre-press is a block of its own. A press that opens itself lets the piece lie
// until someone comes, before the transfer is laid and before it is taken off,
// though no longer than the dwell it just had, as the platen below is hot, and
// stays taken meanwhile; one that doesn't needs the person to the second.
// Marrying and a hot peel are never late on either. A warm peel follows the
// cooling at once, a cold one any time after. A place on the rack is held while
// a piece cools; cold pieces are stacked.
//
// Every block with a press may be done on any press of its kind that gets as
// hot as the recipe wants; each person can do everything, and another one may
// unload than has loaded. Manual times carry the shop's allowance and are
// rounded up to whole seconds; dwells and waits carry none.
//
// A printer changes its toner set by hand (changeover). A press changes from
// dial temperature a to b (heat) in
//
//	(b - a) / heating rate   or   (a - b) / cooling rate
//
// and is at rest when a working day begins; the dial is the recipe's
// temperature plus the press's measured offset. Printers, presses and people
// work in the shop's hours, people less their breaks, in the shop's zone, on
// days the clocks change as well; cooling goes on when the shop is closed.
//
// # Objective
//
// Compared in this order: lateness of promised orders, summed priority by
// priority, 1 first; lateness of orders with a due time that was not promised,
// likewise; the end of the plan; the number of changeovers and temperature
// changes; the sum of the ends of all steps.
//
// # Method
//
// See package engine: serial and time-ordered schedule generation from several
// arrangements of lots, then an iterated search over the order of lots, the
// press of each job and the way of generating. A problem of a few activities
// is searched in full. Plan.AtLeast is its lower bound, on the same calendar as
// the plan.
//
// # What holds
//
// Solve is deterministic, bounded in steps, and every plan passes Check. Ties
// go to the lower press, the person who was busy last, and the order that
// stands first. Lateness is never hidden: Plan.Late names it, and what would
// save it.
//
// What does not hold: a plan is not proven best unless Makespan equals AtLeast,
// and plans are not unique. The bound knows nothing of temperature changes
// within a day and little of breaks, so the gap overstates what could be
// gained; where it falls just before closing time and the plan just after, the
// gap is a whole night. Walking, fatigue through the day and reprints are not
// modelled. A Pace is exact, for one job on one press with hands enough.
//
// # Literature
//
// S. M. Johnson, Optimal two- and three-stage production schedules with setup
// times included, Naval Research Logistics Quarterly 1(1), 1954, 61-68.
// L. G. Mitten, Sequencing n jobs on two machines with arbitrary time lags,
// Management Science 5(3), 1959, 293-298: what a least wait between two
// machines does. R. Kolisch, S. Hartmann, Experimental investigation of
// heuristics for resource-constrained project scheduling: an update, European
// Journal of Operational Research 174(1), 2006, 23-37: schedule generation.
// A. Allahverdi, C. T. Ng, T. C. E. Cheng, M. Y. Kovalyov, A survey of
// scheduling problems with setup times or costs, European Journal of
// Operational Research 187(3), 2008, 985-1032.
package press
