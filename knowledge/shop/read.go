package shop

import (
	"fmt"
	"io"
	"reflect"
	"strings"
	"time"
	_ "time/tzdata" // so that a zone is known on any machine

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"presshand/knowledge/document"
	"presshand/planner/unit"
)

// A Problem is one thing wrong with a profile.
type Problem = document.Problem

// Problems is all that is wrong with a profile, sorted; it is an error.
type Problems = document.Problems

// An origin is the file that a profile was read from.
type origin struct {
	file   *document.File
	places map[string]document.Pos
}

// Load reads a profile. name stands for the file in problems. The error is a
// Problems, with everything that is wrong at once, unless r fails.
func Load(r io.Reader, name string) (*Profile, error) {
	data, err := io.ReadAll(io.LimitReader(r, document.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read shop profile %s: %w", name, err)
	}
	file, root := document.Parse(name, data)
	if root == nil {
		return nil, file.Problems.Sort()
	}
	p := &Profile{origin: &origin{file, map[string]document.Pos{}}}
	d := &document.Decoder{File: file, Readers: readers(), Places: p.origin.places}
	d.Decode(root, document.Field{Key: "profile"}, p)
	p.uncounted()
	problems := append(file.Problems, p.check(isReported(file))...)
	if err := problems.Sort().Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// isReported tells which lines the reader has complained about already: a
// value that could not be read need not be called zero as well.
func isReported(file *document.File) func(document.Pos) bool {
	lines := map[int]bool{}
	for _, p := range file.Problems {
		lines[p.Pos.Line] = true
	}
	return func(at document.Pos) bool { return lines[at.Line] }
}

// uncounted marks what the profile says nothing about: stock that is not kept
// count of, and sheets that serve once.
func (p *Profile) uncounted() {
	given := func(path string) bool { _, ok := p.origin.places[path]; return ok }
	for i := range p.Stock {
		if !given(fmt.Sprintf("stock[%d].have", i)) {
			p.Stock[i].Have = Uncounted
		}
		if !given(fmt.Sprintf("stock[%d].uses", i)) {
			p.Stock[i].Uses = 1
		}
	}
	for i := range p.Blanks {
		if !given(fmt.Sprintf("blanks[%d].have", i)) {
			p.Blanks[i].Have = Uncounted
		}
	}
}

// Uncounted stands for a stock that the shop keeps no count of.
const Uncounted = -1

func readers() map[reflect.Type]document.Reader {
	return map[reflect.Type]document.Reader{
		reflect.TypeFor[unit.Temperature](): quantity(unit.ParseTemperature),
		reflect.TypeFor[unit.Length]():      quantity(unit.ParseLength),
		reflect.TypeFor[unit.Duration]():    quantity(unit.ParseDuration),
		reflect.TypeFor[unit.Share]():       quantity(unit.ParseShare),
		reflect.TypeFor[decimal.Decimal]():  quantity(parseMoney),
		reflect.TypeFor[*time.Location]():   quantity(parseZone),
		reflect.TypeFor[Span]():             quantity(parseSpan),
		reflect.TypeFor[[7][]Span]():        readHours,
		reflect.TypeFor[float64]():          readFigure,
	}
}

// quantity reads what one parse function understands.
func quantity[T any](parse func(string) (T, error)) document.Reader {
	return func(d *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
		if !d.Scalar(n, f) {
			return
		}
		v, err := parse(n.Value)
		if err != nil {
			d.File.Report(d.File.Pos(n), "value", "", "%q: %s", f.Key, err)
			return
		}
		out.Set(reflect.ValueOf(v))
	}
}

func parseMoney(s string) (decimal.Decimal, error) {
	if strings.ContainsAny(s, "eE") { // 1e9 is no price
		return decimal.Zero, fmt.Errorf("%q is no amount of money: write digits and a point, such as 3.20", s)
	}
	v, err := decimal.NewFromString(s)
	if err != nil {
		return decimal.Zero, fmt.Errorf("%q is no amount of money: write digits and a point, such as 3.20", s)
	}
	return v, nil
}

func parseZone(s string) (*time.Location, error) {
	// "" and "Local" mean another zone on another machine.
	if zone, err := time.LoadLocation(s); err == nil && s != "" && s != "Local" {
		return zone, nil
	}
	return nil, fmt.Errorf("unknown time zone %q: write a name of the time-zone database, such as America/New_York", s)
}

// parseSpan reads "9:00-17:30".
func parseSpan(s string) (Span, error) {
	from, to, ok := strings.Cut(s, "-")
	a, errA := parseClock(from)
	b, errB := parseClock(to)
	switch {
	case !ok || errA != nil || errB != nil:
		return Span{}, fmt.Errorf("%q is no stretch of a day: write it as 9:00-17:30", s)
	case a >= b:
		return Span{}, fmt.Errorf("%q ends before it begins: write the earlier time first; past midnight is a stretch of the next day", s)
	}
	return Span{a, b}, nil
}

// minutesOfDay is the end of a day, in minutes after midnight.
const minutesOfDay = 24 * 60

func parseClock(s string) (int, error) {
	if strings.TrimSpace(s) == "24:00" {
		return minutesOfDay, nil
	}
	t, err := time.Parse("15:04", strings.TrimSpace(s))
	if err != nil {
		return 0, fmt.Errorf("%q is no time of day", s)
	}
	return t.Hour()*60 + t.Minute(), nil
}

// readHours reads a mapping from a day or a run of days ("mon", "mon-fri") to
// a stretch or a list of them.
func readHours(d *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	if n.Kind != yaml.MappingNode {
		d.File.Report(d.File.Pos(n), "form", "write {mon-fri: 9:00-17:30, sat: 10:00-14:00}", "%q is no list of days", f.Key)
		return
	}
	var hours [7][]Span
	d.Pairs(n, func(key, value *yaml.Node) {
		days, ok := parseDays(key.Value)
		if !ok {
			d.File.Report(d.File.Pos(key), "word", document.Suggest(key.Value, dayNames()), "unknown day %q", key.Value)
			return
		}
		nodes := []*yaml.Node{value}
		if value.Kind == yaml.SequenceNode {
			nodes = value.Content
		}
		var spans []Span
		for _, node := range nodes {
			var s Span
			before := len(d.File.Problems)
			quantity(parseSpan)(d, node, document.Field{Key: key.Value}, reflect.ValueOf(&s).Elem())
			if len(d.File.Problems) > before {
				continue
			}
			if len(spans) > 0 && s.From < spans[len(spans)-1].To {
				d.File.Report(d.File.Pos(node), "hours", "write the stretches of a day in order, apart from each other", "%q begins before the stretch ahead of it ends", node.Value)
				continue
			}
			spans = append(spans, s)
		}
		for _, day := range days {
			if hours[day] != nil {
				d.File.Report(d.File.Pos(key), "duplicate", "give each day once", "%s is given twice", dayNames()[day])
				continue
			}
			hours[day] = spans
		}
	})
	out.Set(reflect.ValueOf(hours))
}

func dayNames() []string { return []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"} }

// parseDays reads "mon" or "mon-fri"; a run may pass the end of the week.
func parseDays(s string) ([]time.Weekday, bool) {
	day := func(name string) int {
		for i, n := range dayNames() {
			if n == name {
				return i
			}
		}
		return -1
	}
	first, last, run := strings.Cut(s, "-")
	from, to := day(first), day(last)
	if !run {
		to = from
	}
	if from < 0 || to < 0 {
		return nil, false
	}
	days := []time.Weekday{time.Weekday(from)}
	for i := from; i != to; {
		i = (i + 1) % len(dayNames())
		days = append(days, time.Weekday(i))
	}
	return days, true
}

// readFigure reads a plain number, or one with the unit its field asks for.
func readFigure(d *document.Decoder, n *yaml.Node, f document.Field, out reflect.Value) {
	switch f.Tag.Get("in") {
	case "degrees":
		quantity(parseDegrees)(d, n, f, out)
	case "degrees a minute":
		quantity(parseRate)(d, n, f, out)
	case "watts":
		quantity(parseWatts)(d, n, f, out)
	default:
		d.Plain(n, f, out)
	}
}

// Fahrenheit degrees in a Celsius degree: differences have no zero point.
const fahrenheitPerCelsius = 1.8

func parseDegrees(s string) (float64, error) {
	return figure(s, "write degrees such as 4 F or 2 C", map[string]float64{"F": 1 / fahrenheitPerCelsius, "C": 1})
}

func parseRate(s string) (float64, error) {
	return figure(s, "write degrees a minute such as 15 F/min or 8 C/min", map[string]float64{"F/min": 1 / fahrenheitPerCelsius, "C/min": 1})
}

func parseWatts(s string) (float64, error) {
	return figure(s, "write watts such as 1800 W or 1.8 kW", map[string]float64{"W": 1, "kW": 1000})
}

func figure(s, mend string, units map[string]float64) (float64, error) {
	number, name, _ := strings.Cut(strings.TrimSpace(s), " ")
	x, err := decimal.NewFromString(number)
	k, ok := units[name]
	if err != nil || !ok || strings.ContainsAny(number, "eE") {
		return 0, fmt.Errorf("cannot read %q: %s", s, mend)
	}
	return x.InexactFloat64() * k, nil
}
