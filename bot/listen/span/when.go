package span

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

const (
	daysAWeek    = 7
	monthsAYear  = 12
	maxAhead     = 10 * 365 // days: nobody orders for later, and dates stay in range
	searchClosed = 60       // days searched for an open one
)

// A moment is a day, or a time that needs no day, as far as it was said.
type moment struct {
	day     time.Time // midnight
	exact   bool      // at is the time: "in 2 hours"
	at      time.Time
	note    string
	alt     []Alternative
	end     int  // token after it
	openDay bool // a stretch that ends on its last open day: "end of week"
	past    bool // was meant to lie in the past: "last friday"
}

// readWhen reads a due date or time: "by Friday", "Dec 3", "12/3", "tomorrow
// 3pm", "next tues noon", "in 2 days", "end of week". A date alone means
// closing time that day; where the shop is closed that day, the last closing
// before it; where closing time is over, the end of the day. A day of the year
// that is over means next year's.
func (s *scan) readWhen(i int) []Span {
	if i >= len(s.tokens) {
		return nil
	}
	lead, j := s.lead(i)
	if j == i {
		lead = ""
	}
	if lead == "" && !s.mayBeDate(i) {
		return nil
	}
	m, ok := s.moment(j, lead)
	if ok {
		c, cok := s.clockAfter(m.end)
		sp := s.when(i, m, c, cok)
		sp.Unit = lead
		return []Span{sp}
	}
	if c, ok := s.clock(j, lead != ""); ok {
		out := s.clockFirst(i, c, lead)
		for k := range out {
			out[k].Unit = lead
		}
		return out
	}
	return nil
}

// mayBeDate says quickly that no date can begin at token i without a word
// before it.
func (s *scan) mayBeDate(i int) bool {
	if s.tokens[i].IsNumber {
		return true
	}
	for _, c := range []class{classDay, classWeekday, classMonth, classClock, classNumber} {
		if _, n := s.class(i, c); n > 0 {
			return true
		}
	}
	return false
}

// lead reads the words before a date and says what they amount to, the last
// one counting: "need it by", "due on the", "by next".
func (s *scan) lead(i int) (string, int) {
	lead := ""
	for k := 0; k < 4; k++ {
		if _, n := s.class(i, classDay); n > 1 {
			break // "next week" is a day by itself
		}
		id, n := s.class(i, classWhen)
		if n == 0 {
			if k > 0 && s.joiner(i, "the") {
				i++
				continue
			}
			if k > 0 && s.small(i) && s.whenWord(i+1) {
				i++
				continue
			}
			break
		}
		if id == "from" {
			break
		}
		if lead == "" || id != "at" && id != "on" {
			lead = id
		}
		i += n
	}
	return lead, i
}

// small reports whether token i carries nothing: "it", "is".
func (s *scan) small(i int) bool {
	_, n := s.class(i, classFiller)
	return n == 1
}

func (s *scan) whenWord(i int) bool {
	_, n := s.class(i, classWhen)
	return n > 0
}

func (s *scan) today() time.Time {
	y, m, d := s.now.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, s.now.Location())
}

func (s *scan) moment(i int, lead string) (moment, bool) {
	for _, read := range []func(int, string) (moment, bool){
		s.isoDate, s.numericDate, s.monthFirst, s.dayFirst, s.daysAhead, s.namedDay, s.weekday, s.ordinalDay,
	} {
		if m, ok := read(i, lead); ok {
			return m, true
		}
	}
	return moment{}, false
}

// isoDate reads 2026-12-03 (ISO 8601).
func (s *scan) isoDate(i int, _ string) (moment, bool) {
	if i+2 >= len(s.tokens) || !s.tokens[i].IsNumber || len(s.tokens[i].Text) != 4 ||
		!s.tokens[i+1].Hyphen || !s.tokens[i+2].Hyphen || !s.tokens[i+1].IsNumber || !s.tokens[i+2].IsNumber {
		return moment{}, false
	}
	day, ok := s.date(int(s.tokens[i].Number), int(s.tokens[i+1].Number), int(s.tokens[i+2].Number))
	return moment{day: day, end: i + 3, past: day.Before(s.today())}, ok
}

// date returns a day that exists.
func (s *scan) date(y, m, d int) (time.Time, bool) {
	if m < 1 || m > monthsAYear || d < 1 {
		return time.Time{}, false
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, s.now.Location())
	if t.Day() != d || t.Sub(s.now) > maxAhead*24*time.Hour {
		return time.Time{}, false
	}
	return t, true
}

// yearDay returns the next day that is month m, day d: this year's, or next
// year's where this year's is over.
func (s *scan) yearDay(m, d int) (t time.Time, over, ok bool) {
	y := s.now.Year()
	for k := 0; k <= 8; k++ { // 29 February may be up to eight years away
		if t, ok = s.date(y+k, m, d); ok && !t.Before(s.today()) {
			return t, k > 0, true
		}
	}
	return time.Time{}, false, false
}

// year reads a year at token i, with a comma or slash before it.
func (s *scan) year(i int, signs string) (int, int) {
	j := i
	if j < len(s.tokens) && len(s.tokens[j].Text) == 1 && strings.Contains(signs, s.tokens[j].Text) {
		j++
	}
	if j >= len(s.tokens) || !s.tokens[j].IsNumber {
		return 0, i
	}
	v := int(s.tokens[j].Number)
	switch {
	case len(s.tokens[j].Text) == 4 && v/1000 == 2:
		return v, j + 1
	case len(s.tokens[j].Text) == 2 && strings.Contains(signs, "/") && j > i:
		return v + s.now.Year()/hundred*hundred, j + 1
	}
	return 0, i
}

// calendar turns month and day, and a year where one follows, into a moment.
func (s *scan) calendar(m, d, end int, yearSigns string) (moment, bool) {
	if y, e := s.year(end, yearSigns); y > 0 {
		day, ok := s.date(y, m, d)
		return moment{day: day, end: e, past: day.Before(s.today())}, ok
	}
	day, over, ok := s.yearDay(m, d)
	out := moment{day: day, end: end}
	if over {
		out.note = "taken as " + day.Format("2 January 2006")
	}
	return out, ok
}

// numericDate reads 12/3 and 12/3/26 in the shop's order. Without a word
// before it that asks for a date, "1/2" is a fraction, and so is anything
// whose lower part a ruler has.
func (s *scan) numericDate(i int, lead string) (moment, bool) {
	if i+2 >= len(s.tokens) || !s.tokens[i].IsNumber || !s.is(i+1, "/") || !s.tokens[i+2].IsNumber {
		return moment{}, false
	}
	a, b := s.tokens[i].Number, s.tokens[i+2].Number
	if a != float64(int(a)) || b != float64(int(b)) || a > 31 || b > 31 || i > 0 && s.is(i-1, "/") {
		return moment{}, false
	}
	if _, n := s.unitAt(i + 3); n > 0 || lead == "" && a < b && inchFraction(b) {
		return moment{}, false
	}
	m, d := int(a), int(b)
	if s.r.habits.dayFirst {
		m, d = d, m
	}
	note := ""
	if m > monthsAYear {
		m, d = d, m
		note = "day and month changed places"
	}
	out, ok := s.calendar(m, d, i+3, "/")
	if ok && note != "" {
		out.note = note
	}
	return out, ok
}

// monthAt reads a month's name at token i.
func (s *scan) monthAt(i int) (int, int) {
	id, n := s.class(i, classMonth)
	if n == 0 {
		return 0, 0
	}
	if v, err := strconv.Atoi(id); err == nil {
		return v, n
	}
	for m := time.January; m <= time.December; m++ {
		if strings.EqualFold(m.String(), id) || len(id) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), id) {
			return int(m), n
		}
	}
	return 0, 0
}

// dayNumber reads a day of the month at token i, with or without its ending.
func (s *scan) dayNumber(i int) (d, end int) {
	if i >= len(s.tokens) || !s.tokens[i].IsNumber {
		return 0, i
	}
	v := s.tokens[i].Number
	if v < 1 || v > 31 || v != float64(int(v)) {
		return 0, i
	}
	if s.ordinal(i + 1) {
		return int(v), i + 2
	}
	return int(v), i + 1
}

// ordinal reports whether token i is the ending of a written ordinal.
func (s *scan) ordinal(i int) bool {
	return i < len(s.tokens) && s.tokens[i].Glued &&
		slices.Contains([]string{"st", "nd", "rd", "th"}, s.tokens[i].Text)
}

func (s *scan) monthFirst(i int, _ string) (moment, bool) {
	m, n := s.monthAt(i)
	if n == 0 {
		return moment{}, false
	}
	j := i + n
	if s.is(j, ".") {
		j++
	}
	d, end := s.dayNumber(s.skip(j, "", "the"))
	if d == 0 {
		return moment{}, false
	}
	if _, u := s.unitAt(end); u > 0 && !s.is(end, "in") {
		return moment{}, false
	}
	return s.calendar(m, d, end, ",")
}

func (s *scan) dayFirst(i int, _ string) (moment, bool) {
	d, j := s.dayNumber(i)
	if d == 0 {
		return moment{}, false
	}
	m, n := s.monthAt(s.skip(j, "", "of"))
	if n == 0 {
		return moment{}, false
	}
	return s.calendar(m, d, s.skip(j, "", "of")+n, ",")
}

// daysAhead reads "in 2 days", "within a week", "3 days from now".
func (s *scan) daysAhead(i int, lead string) (moment, bool) {
	v, ok := s.number(i)
	n := v.n
	if !ok && s.joiner(i, "a") {
		v, n, ok = number{value: 1}, 1, true
	}
	if !ok {
		return moment{}, false
	}
	j := i + n
	u, k := s.class(j, classUnit)
	x, isTime := secondsOf(v.value, u)
	if k == 0 || !isTime || v.value < 0 || x > maxAhead*24*3600 {
		return moment{}, false
	}
	end := j + k
	if id, f := s.class(end, classWhen); f > 0 && id == "from" {
		end += f
	} else if lead != "in" {
		return moment{}, false
	}
	if u == "d" || u == "w" {
		return moment{day: s.today().AddDate(0, 0, int(x/(24*3600))), end: end}, true
	}
	if u != "h" {
		return moment{}, false // "in 30 seconds" is no due date
	}
	return moment{exact: true, at: s.now.Add(time.Duration(x) * time.Second), end: end}, true
}

// namedDay reads "tomorrow", "end of week".
func (s *scan) namedDay(i int, _ string) (moment, bool) {
	id, n := s.class(i, classDay)
	if n == 0 {
		return moment{}, false
	}
	m := moment{end: i + n}
	today := s.today()
	sunday := today.AddDate(0, 0, (daysAWeek-int(today.Weekday()))%daysAWeek)
	switch id {
	case "week":
		m.day, m.openDay = sunday, true
	case "+week":
		if d, k := s.weekdayAt(m.end); k > 0 { // "next week friday"
			return moment{day: s.nextWeeks(d), end: m.end + k}, true
		}
		m.day, m.openDay = sunday.AddDate(0, 0, daysAWeek), true
		m.note = "taken as the end of next week"
	case "month":
		m.day, m.openDay = time.Date(today.Year(), today.Month()+1, 0, 0, 0, 0, 0, today.Location()), true
	default:
		k, err := strconv.Atoi(strings.TrimPrefix(id, "+"))
		if err != nil {
			return moment{}, false
		}
		m.day, m.past = today.AddDate(0, 0, k), k < 0
	}
	return m, true
}

func (s *scan) weekdayAt(i int) (time.Weekday, int) {
	id, n := s.class(i, classWeekday)
	if n == 0 {
		return 0, 0
	}
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if len(id) >= 3 && strings.HasPrefix(name, strings.ToLower(id)) || id == strconv.Itoa(int(d)) {
			return d, n
		}
	}
	return 0, 0
}

// weekday reads "friday", "next tues", "Fri Dec 4" (where the date counts).
// "next" is the day of the next calendar week, and carries the nearer one as
// its other reading.
func (s *scan) weekday(i int, lead string) (moment, bool) {
	d, n := s.weekdayAt(i)
	if n == 0 {
		return moment{}, false
	}
	end := i + n
	if of := s.skip(end, "", "of"); s.isNextWeek(of) {
		_, k := s.class(of, classDay)
		return moment{day: s.nextWeeks(d), end: of + k}, true // "friday next week"
	}
	next := s.skip(end, ",.", "the", "on")
	if _, again := s.weekdayAt(next); again == 0 {
		if m, ok := s.moment(next, "on"); ok && !m.exact {
			return m, true
		}
	}
	today := s.today()
	ahead := (int(d) - int(today.Weekday()) + daysAWeek) % daysAWeek
	if ahead == 0 && !s.now.Before(s.closing(today)) {
		ahead = daysAWeek
	}
	m := moment{day: today.AddDate(0, 0, ahead), end: end}
	switch lead {
	case "last":
		if ahead == 0 {
			ahead = daysAWeek
		}
		m.day, m.past = today.AddDate(0, 0, ahead-daysAWeek), true
	case "next":
		next := s.nextWeeks(d)
		if !next.Equal(m.day) {
			m.alt = []Alternative{{Kind: When, At: s.closing(m.day), Text: m.day.Format("Monday 2 January")}}
			m.day, m.note = next, "taken as "+next.Format("Monday 2 January")
		}
	}
	return m, true
}

// nextWeeks is the day d of the next calendar week.
func (s *scan) nextWeeks(d time.Weekday) time.Time {
	today := s.today()
	monday := today.AddDate(0, 0, daysAWeek-(int(today.Weekday())+daysAWeek-1)%daysAWeek)
	return monday.AddDate(0, 0, (int(d)+daysAWeek-1)%daysAWeek)
}

func (s *scan) isNextWeek(i int) bool {
	id, n := s.class(i, classDay)
	return n > 0 && id == "+week"
}

// ordinalDay reads "the 3rd" after a word that asks for a date.
func (s *scan) ordinalDay(i int, lead string) (moment, bool) {
	if s.joiner(i, "the") {
		i++
	} else if lead == "" {
		return moment{}, false
	}
	d, end := s.dayNumber(i)
	if d == 0 || !s.ordinal(i+1) {
		return moment{}, false
	}
	today := s.today()
	for k := 0; k < monthsAYear; k++ {
		first := time.Date(today.Year(), today.Month()+time.Month(k), 1, 0, 0, 0, 0, today.Location())
		if day, ok := s.date(first.Year(), int(first.Month()), d); ok && !day.Before(today) {
			return moment{day: day, end: end}, true
		}
	}
	return moment{}, false
}

// A clockTime is a time of day in minutes after midnight.
type clockTime struct {
	minutes int
	close   bool // closing time
	bare    bool // an hour without am or pm
	loose   bool // "morning": a time only beside a date
	end     int
}

// clockAfter reads a time of day after a date: "3pm", "at 3", "noon".
func (s *scan) clockAfter(i int) (clockTime, bool) {
	j := s.skip(i, ",", "at", "by", "the")
	for {
		id, n := s.class(j, classWhen)
		if n == 0 || id != "at" && id != "by" {
			break
		}
		j += n
	}
	if s.joiner(j, "in") { // "friday in the morning"
		j = s.skip(j, "", "in", "the")
	}
	return s.clock(j, j > i && !s.is(i, ","))
}

// clock reads a time of day at token i; a bare hour only where asked is true.
func (s *scan) clock(i int, asked bool) (clockTime, bool) {
	if i >= len(s.tokens) {
		return clockTime{}, false
	}
	if !s.tokens[i].IsNumber {
		id, n := s.class(i, classClock)
		if n == 0 || len(s.tokens[i].Text) == 1 {
			return clockTime{}, false
		}
		id, loose := strings.CutPrefix(id, "~")
		if id == "close" {
			return clockTime{close: true, loose: loose, end: i + n}, true
		}
		h, m, ok := strings.Cut(id, ":")
		if !ok {
			return clockTime{}, false
		}
		hv, errH := strconv.Atoi(h)
		mv, errM := strconv.Atoi(m)
		return clockTime{minutes: hv*60 + mv, loose: loose, end: i + n}, errH == nil && errM == nil
	}
	hour := s.tokens[i].Number
	if hour > 24 || hour != float64(int(hour)) {
		return clockTime{}, false
	}
	c := clockTime{minutes: int(hour) * 60, bare: true, end: i + 1}
	if s.is(c.end, ":") && s.tokens[c.end].Glued && s.nextIsNumber(c.end+1) && len(s.tokens[c.end+1].Text) == 2 && s.tokens[c.end+1].Number < 60 {
		c.minutes += int(s.tokens[c.end+1].Number)
		c.end += 2
		asked = asked || hour > 12
		if hour > 12 {
			c.bare = false
		}
	}
	switch id, n := s.class(c.end, classClock); {
	case n > 0 && (id == "am" || id == "pm") && hour <= 12 && hour > 0 && (len(s.tokens[c.end].Text) > 1 || s.tokens[c.end].Glued):
		c.minutes = c.minutes % (12 * 60)
		if id == "pm" {
			c.minutes += 12 * 60
		}
		c.bare, c.end = false, c.end+n
		return c, true
	case n > 0 && id == "oclock":
		c.end += n
		return c, true
	}
	if !asked || s.counts(c.end) || hour == 0 && c.bare {
		return clockTime{}, false
	}
	if _, n := s.unitAt(c.end); n > 0 || s.is(c.end, "x") || s.is(c.end, "/") || s.is(c.end, "%") {
		return clockTime{}, false
	}
	return c, true
}

// clockFirst reads "3pm tomorrow", "noon friday", and a time alone, which is
// today's, or the next open day's where that is over.
func (s *scan) clockFirst(i int, c clockTime, lead string) []Span {
	inner, j := s.lead(c.end)
	if m, ok := s.moment(j, inner); ok && !m.exact {
		end := m.end
		sp := s.when(i, m, c, true)
		sp.To = end
		sp.Text = s.out.text(i, end)
		return []Span{sp}
	}
	if lead == "in" || lead == "for" || lead == "on" || c.bare && lead != "by" && lead != "at" {
		return nil
	}
	if c.loose && lead == "" {
		return nil // "morning" alone is a greeting
	}
	day := s.today()
	m := moment{day: day, end: c.end}
	at := s.onDay(day, c)
	for k := 0; k < searchClosed && (at.Before(s.now) || s.closed(day)); k++ {
		day = day.AddDate(0, 0, 1)
		at = s.onDay(day, c)
		m.day, m.note = day, "taken as "+day.Format("Monday 2 January")
	}
	sp := s.when(i, m, c, true)
	sp.To, sp.Text = c.end, s.out.text(i, c.end)
	return []Span{sp}
}

// onDay puts a time of day on a day. A bare hour is read so that it falls in
// the shop's hours: "at 3" is three in the afternoon.
func (s *scan) onDay(day time.Time, c clockTime) time.Time {
	if c.close {
		return s.closing(day)
	}
	minutes := c.minutes
	if c.bare && minutes < 12*60 && !s.open(day, minutes) && s.open(day, minutes+12*60) {
		minutes += 12 * 60
	}
	y, m, d := day.Date()
	return time.Date(y, m, d, minutes/60, minutes%60, 0, 0, day.Location())
}

// when builds the piece from its parts.
func (s *scan) when(i int, m moment, c clockTime, timed bool) Span {
	end := m.end
	if timed {
		end = max(end, c.end)
	}
	sp := s.span(When, i, end)
	sp.Alt, sp.Note = m.alt, m.note
	switch {
	case m.exact:
		sp.At = m.at
	case timed:
		sp.At = s.onDay(m.day, c)
	default:
		sp.DateOnly = true
		sp.At = s.closing(m.day)
		if s.closed(m.day) && !m.past {
			sp.At = s.lastClosing(m.day)
			if !m.openDay {
				sp.Note = "closed on " + m.day.Format("Monday 2 January") + ", so taken as " + sp.At.Format("Monday 2 January 15:04")
			}
		}
		if sp.At.Before(s.now) && !m.past {
			sp.At = lastMinute(m.day)
			sp.Note = "closing time is over, so taken as the end of the day"
		}
	}
	return sp
}

// hours returns the open stretches of a day, none where the shop is closed.
func (s *scan) hours(day time.Time) (from, to int, ok bool) {
	p := s.r.habits.profile
	if p == nil || slices.Contains(p.Closed, day.Format(time.DateOnly)) {
		return 0, 0, false
	}
	spans := p.Hours[day.Weekday()]
	for k, h := range spans {
		if k == 0 || h.From < from {
			from = h.From
		}
		to = max(to, h.To)
	}
	return from, to, len(spans) > 0
}

func (s *scan) open(day time.Time, minutes int) bool {
	from, to, ok := s.hours(day)
	return ok && minutes >= from && minutes <= to
}

func (s *scan) closed(day time.Time) bool {
	_, _, ok := s.hours(day)
	return !ok && s.r.habits.profile != nil
}

// closing returns closing time of a day, its last minute where the shop keeps
// no hours then.
func (s *scan) closing(day time.Time) time.Time {
	_, to, ok := s.hours(day)
	if !ok {
		return lastMinute(day)
	}
	y, m, d := day.Date()
	return time.Date(y, m, d, to/60, to%60, 0, 0, day.Location())
}

func lastMinute(day time.Time) time.Time {
	y, m, d := day.Date()
	return time.Date(y, m, d, 23, 59, 0, 0, day.Location())
}

// lastClosing returns the last closing time up to the end of a day that is
// not over yet, and the day's last minute where there is none.
func (s *scan) lastClosing(day time.Time) time.Time {
	for k := range searchClosed {
		d := day.AddDate(0, 0, -k)
		if s.closed(d) {
			continue
		}
		if at := s.closing(d); at.After(s.now) {
			return at
		}
		break
	}
	return s.closing(day)
}
