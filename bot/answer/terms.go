package answer

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"presshand/bot/reply"
	"presshand/knowledge/shop"
	"presshand/planner/unit"
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
	var fact, parts []string // in English, and in the asker's language
	for i := 0; i < len(week); {
		j := i
		open := c.openFrom(c.shop.Hours[week[i]])
		for j+1 < len(week) && c.openFrom(c.shop.Hours[week[j+1]]) == open {
			j++
		}
		first, last := week[i].String()[:3], week[j].String()[:3]
		days, named := first, c.noun(first)
		if j > i {
			days += "-" + last
			named += "-" + c.noun(last)
		}
		then := open
		if open == "" {
			open, then = "closed", c.phrase("closed-then", "closed")
		}
		fact = append(fact, days+" "+open)
		parts = append(parts, named+" "+then)
		i = j + 1
	}
	c.fact(reply.Fact{Name: "hours", Value: strings.Join(fact, ", "), Source: reply.Source{Kind: "shop"}})
	c.say("hours", "Our hours: {hours}.", "hours", strings.Join(parts, ", "))
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

// pace says how many sheets a minute the printer prints of each paper.
func (c *draft) pace() {
	if len(c.shop.Printers) == 0 {
		c.decline()
		return
	}
	p := c.shop.Printers[0]
	var parts []string
	for _, paper := range slices.Sorted(maps.Keys(p.PagesPerMinute)) {
		rate := p.PagesPerMinute[paper]
		c.fact(reply.Fact{Name: "pages_per_minute_" + paper, Value: round(rate), Unit: "count", Source: reply.Source{Kind: "shop"}})
		parts = append(parts, c.phrase("pace-of", "{n} of {paper}", "n", plain(rate), "paper", c.noun(paper+" paper")))
	}
	c.say("pace", "Sheets a minute: {parts}; the first comes {first} after the start.", "parts", c.and(parts), "first", c.duration("first_page", p.FirstPage))
}

func (c *draft) duration(name string, d unit.Duration) string {
	c.fact(reply.Fact{Name: name, Value: round(d.S()), Unit: "s", Source: reply.Source{Kind: "shop"}})
	return c.style().Duration(d)
}
