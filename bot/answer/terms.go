package answer

import (
	"fmt"
	"strings"
	"time"

	"presshand/bot/reply"
	"presshand/knowledge/shop"
)

// validity says how long a quote holds.
func (c *draft) validity() {
	days := c.shop.Money.ValidDays
	until := c.turn.Now.AddDate(0, 0, days)
	c.fact(reply.Fact{Name: "valid_days", Value: days, Unit: "count", Source: reply.Source{Kind: "shop"}})
	c.computed("valid_until", until.Format(time.DateOnly), "date")
	c.computed("valid_day", until.Format(time.RFC3339), "RFC3339")
	c.say("valid", "A quote holds {n} days: one given today, until {day}.", "n", fmt.Sprint(days), "day", c.dated(until, "Mon 2 Jan"))
	c.say("valid-later", "Later than that, work it out again: blanks and toner change their price.")
}

// tax says whether prices are with tax.
func (c *draft) tax() {
	rate := c.shop.Money.Tax
	c.fact(reply.Fact{Name: "tax", Value: round(rate.Percent()), Unit: "%", Source: reply.Source{Kind: "shop"}})
	if rate > 0 {
		c.say("tax-on-top", "Prices of pieces are without tax; {share} is added as a line of its own, and is in the sum.", "share", c.style().Percent(rate))
		return
	}
	c.say("tax-none", "No tax is in our prices: the shop profile sets none. What is due is for the owner to say.")
}

// hours says when the shop is open, the days of equal hours together.
func (c *draft) hours() {
	week := []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday, time.Sunday}
	var parts []string
	for i := 0; i < len(week); {
		j := i
		open := c.openFrom(c.shop.Hours[week[i]])
		for j+1 < len(week) && c.openFrom(c.shop.Hours[week[j+1]]) == open {
			j++
		}
		days := c.noun(week[i].String()[:3])
		if j > i {
			days += "-" + c.noun(week[j].String()[:3])
		}
		if open == "" {
			open = c.phrase("closed-then", "closed")
		}
		parts = append(parts, days+" "+open)
		i = j + 1
	}
	text := strings.Join(parts, ", ")
	c.fact(reply.Fact{Name: "hours", Value: text, Source: reply.Source{Kind: "shop"}})
	c.say("hours", "Our hours: {hours}.", "hours", text)
	if len(c.shop.Closed) > 0 {
		days := strings.Join(c.shop.Closed, ", ")
		c.fact(reply.Fact{Name: "closed", Value: days, Source: reply.Source{Kind: "shop"}})
		c.say("days-off", "Days off: {days}.", "days", days)
	}
}

// openFrom writes the stretches of a day: "9:00 am-5:30 pm".
func (c *draft) openFrom(spans []shop.Span) string {
	clock := func(minutes int) string {
		return strings.ToLower(time.Date(2000, 1, 1, 0, minutes, 0, 0, time.UTC).Format("3:04 PM"))
	}
	var parts []string
	for _, s := range spans {
		parts = append(parts, clock(s.From)+"-"+clock(s.To))
	}
	return strings.Join(parts, " "+c.phrase("word-and", "and")+" ")
}
