package main

import (
	"fmt"
	"time"

	"presshand/bot/answer"
	"presshand/planner/picture"
	"presshand/planner/press"
	"presshand/planner/unit"
)

// planCommand times orders.
type planCommand struct {
	File    string `arg:"" help:"YAML or JSON: start, and orders with id, due, priority, lines; - for standard input."`
	JSON    bool   `name:"json" help:"Write the plan as JSON."`
	Effort  int    `default:"0" help:"Steps of the search; 0 is enough for the size."`
	Picture string `placeholder:"FILE" help:"Draw the timeline to a .png or .svg file."`
}

// Run implements the command.
func (c *planCommand) Run(s *session) error {
	data, err := s.read(c.File)
	if err != nil {
		return err
	}
	day, err := answer.ReadDay(c.File, data)
	if err != nil {
		return err
	}
	h, err := s.open()
	if err != nil {
		return err
	}
	_, plan, err := h.desk.PlanDay(s.ctx, day, h.now(), c.Effort, s.progress(len(day.Orders)))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if err := s.draw(c.Picture, func() *picture.Canvas { return press.Draw(plan) }); err != nil {
		return err
	}
	if c.JSON {
		return s.json(plan)
	}
	s.day(plan, unit.Style{Fahrenheit: h.profile.Fahrenheit, Inches: h.profile.Inches})
	return nil
}

// manyOrders is from how many orders on a plan takes long enough for a word on
// how far it is.
const manyOrders = 40

// progress tells on standard error how far a long plan is; nil for a short one.
func (s *session) progress(orders int) press.Progress {
	if orders < manyOrders {
		return nil
	}
	told := -1
	return func(done, of int, finish time.Time) {
		if tenth := 10 * done / max(of, 1); tenth != told {
			told = tenth
			fmt.Fprintf(s.streams.Err, "planned %d %%, all ready %s so far\n", 10*tenth, finish.Format("Mon 2 Jan 15:04"))
		}
	}
}

// day writes a plan for people: when all is ready, what is late, the run list.
func (s *session) day(plan press.Plan, style unit.Style) {
	out := s.streams.Out
	fmt.Fprintf(out, "All ready %s; %d toner %s.\n", plan.Finish.Format("Mon 2 Jan 15:04"), plan.Changeovers, changeovers(plan.Changeovers))
	for _, r := range plan.Ready {
		fmt.Fprintf(out, "  %s: ready %s\n", r.Order, r.At.Format("Mon 2 Jan 15:04"))
	}
	for _, l := range plan.Late {
		fmt.Fprintf(out, "Late: %s by %s", l.Order, style.Duration(unit.Seconds(l.By.Round(time.Minute).Seconds())))
		for i, x := range l.Saves {
			lead := ", "
			if i == 0 {
				lead = "; what would help: "
			}
			fmt.Fprint(out, lead, x)
		}
		fmt.Fprintln(out, ".")
	}
	for _, line := range press.RunList(plan, style) {
		fmt.Fprintln(out, line)
	}
}

func changeovers(n int) string {
	if n == 1 {
		return "change"
	}
	return "changes"
}
