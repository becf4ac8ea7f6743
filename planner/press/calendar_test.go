package press_test

import (
	"testing"
	"time"

	"presshand/planner/press"
	"presshand/planner/unit"
)

// longDwell is one piece that needs nobody and lies under a press for d.
func longDwell(t testing.TB, start time.Time, hours press.Week, d unit.Duration) press.Problem {
	s := shop(t)
	s.Hours = hours
	r := press.Recipe{PressKind: "flat", Press: &press.Dwell{Temperature: s.Presses[0].Rest, Time: d}}
	return press.Problem{Start: start, Shop: s, Orders: []press.Order{
		{ID: "A", Jobs: []press.Job{{Pieces: 1, Prints: []press.Print{{Spot: "front", Recipe: r}}}}}}}
}

// Source: the clocks of New York go from 2:00 to 3:00 on the second Sunday of
// March and from 2:00 back to 1:00 on the first Sunday of November (15 U.S.C.
// 260a, as amended 2005): 8 March and 1 November 2026.
func TestClockChange(t *testing.T) {
	night := press.Week{{{From: press.At(0, 30), To: press.At(5, 0)}}}
	zone := shop(t).Zone
	rows := []struct {
		name       string
		start, end time.Time
	}{
		{"spring", time.Date(2026, 3, 8, 0, 30, 0, 0, zone), time.Date(2026, 3, 8, 3, 30, 0, 0, zone)},
		{"autumn", time.Date(2026, 11, 1, 0, 30, 0, 0, zone), time.Date(2026, 11, 1, 1, 30, 0, 0, zone)},
		{"other", time.Date(2026, 6, 7, 0, 30, 0, 0, zone), time.Date(2026, 6, 7, 2, 30, 0, 0, zone)},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			plan := solve(t, longDwell(t, row.start, night, unit.Hours(2)))
			if got := plan.Finish.Format("15:04"); got != row.end.Format("15:04") {
				t.Errorf("two hours from 0:30 end at %s, want %s", got, row.end.Format("15:04"))
			}
			if plan.Makespan != 2*time.Hour {
				t.Errorf("takes %s", plan.Makespan)
			}
		})
	}
	// Open from 0:30 to 5:00 on the wall are 3 h 30 min in spring, 5 h 30 min in autumn.
	plan := solve(t, longDwell(t, rows[1].start, night, unit.Minutes(330)))
	if plan.Makespan != 330*time.Minute {
		t.Errorf("the long night holds 5 h 30 min, planned in %s", plan.Makespan)
	}
	plan = solve(t, longDwell(t, rows[0].start, night, unit.Minutes(240)))
	if got := plan.Start.Add(plan.Makespan); got.Day() != 15 {
		t.Errorf("four hours don't fit the short night, planned until %s", got)
	}
}

func TestClosedDays(t *testing.T) {
	p := one(t, 4, sublimation())
	p.Start = monday(t, 18, 0)
	p.Shop.Closed = []press.Date{{Year: 2026, Month: 11, Day: 24}, {Year: 2026, Month: 11, Day: 25}}
	plan := solve(t, p)
	if plan.Steps[0].From.Day() != 26 {
		t.Errorf("begins %s, want Thursday the 26th", plan.Steps[0].From)
	}
}

func TestRelease(t *testing.T) {
	p := one(t, 4, twoStep())
	p.Orders[0].Release = monday(t, 14, 0)
	plan := solve(t, p)
	for _, s := range plan.Steps {
		if s.Word != press.StepHeat && s.From.Before(p.Orders[0].Release) {
			t.Fatalf("%s begins %s", s.ID, s.From)
		}
	}
}

// What the shop's clock can't hold is planned for later or refused, whatever
// the day: breaks, lunch in turn, people with hours of their own.
func TestPeople(t *testing.T) {
	p := one(t, 60, twoStep())
	afternoon := press.Week{}
	for i := 1; i < 6; i++ {
		afternoon[i] = []press.Span{{From: press.At(13, 0), To: press.At(20, 0)}}
	}
	p.Shop.People[1].Hours = &afternoon
	both := solve(t, one(t, 60, twoStep()))
	plan := solve(t, p)
	if plan.Makespan < both.Makespan {
		t.Errorf("with one person until noon %s, with two %s", plan.Makespan, both.Makespan)
	}
	p.Shop.People = p.Shop.People[:1]
	alone := solve(t, p)
	if alone.Makespan <= both.Makespan || alone.HandsOn != both.HandsOn {
		t.Errorf("alone %s with %s of hands, two %s with %s", alone.Makespan, alone.HandsOn, both.Makespan, both.HandsOn)
	}
}

// The allowance lengthens manual work only (published allowances count work,
// not machine time: S. Konz, rest allowances).
func TestAllowance(t *testing.T) {
	hands := func(share unit.Share) (hands, dwell time.Duration) {
		p := one(t, 5, twoStep())
		p.Shop.Allowance = share
		plan := solve(t, p)
		for _, s := range plan.Steps {
			if s.Word == press.StepMarry {
				dwell += s.Uses[0].To.Sub(s.Uses[0].From)
				for _, u := range s.Uses[1:] {
					dwell -= u.To.Sub(u.From)
				}
			}
		}
		return plan.HandsOn, dwell
	}
	plain, plainDwell := hands(0)
	double, doubleDwell := hands(1)
	if double != 2*plain || plainDwell != doubleDwell || plainDwell != 5*120*time.Second {
		t.Errorf("hands %s and %s, dwell %s and %s", plain, double, plainDwell, doubleDwell)
	}
}

// The dial is set higher by the measured offset, and heating takes as long as
// the rate says: (154.44 + 5 - 21.11) C at 8.33 C a minute is 16 min 36 s.
func TestOffset(t *testing.T) {
	p := one(t, 1, twoStep())
	p.Shop.Presses = p.Shop.Presses[:1]
	p.Shop.Presses[0].Offset = 5
	plan := solve(t, p)
	for _, s := range plan.Steps {
		if s.Word != press.StepHeat {
			continue
		}
		if want := unit.Fahrenheit(310).C() + 5; s.Temperature != want {
			t.Errorf("set to %g, want %g", s.Temperature, want)
		}
		if got := s.To.Sub(s.From); got != 16*time.Minute+36*time.Second {
			t.Errorf("heats for %s", got)
		}
		return
	}
	t.Error("never heated")
}
