package listen

import (
	"bufio"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"presshand/bot/listen/span"
	"presshand/knowledge"
	"presshand/knowledge/shop"
	"presshand/planner"
	"presshand/planner/unit"
)

// orderEnv is the built-in base, the hours of
// the example shop, and a Wednesday morning.
func orderEnv(tb testing.TB) (OrderEnv, *span.Reader) {
	tb.Helper()
	base, err := knowledge.Load(knowledge.Builtin())
	if err != nil {
		tb.Fatal(err)
	}
	zone, err := time.LoadLocation("America/New_York")
	if err != nil {
		tb.Fatal(err)
	}
	week, saturday := []shop.Span{{From: 9 * 60, To: 17*60 + 30}}, []shop.Span{{From: 10 * 60, To: 14 * 60}}
	profile := &shop.Profile{
		Zone: zone, Inches: true, Fahrenheit: true,
		Hours:   [7][]shop.Span{1: week, 2: week, 3: week, 4: week, 5: week, 6: saturday},
		Closed:  []string{"2026-12-25"},
		Presses: []shop.Press{{Name: "press-1", Kind: "flat", Width: unit.Inches(16), Height: unit.Inches(20)}},
	}
	env := OrderEnv{Base: base, Profile: profile, Now: time.Date(2026, 11, 25, 10, 0, 0, 0, zone)}
	return env, span.New(base, profile)
}

// sketch writes an order in one line, so that a table can hold many.
func sketch(r OrderReading) string {
	if !r.IsOrder {
		return "no order"
	}
	lines := make([]string, len(r.Order.Lines))
	for i, l := range r.Order.Lines {
		lines[i] = sketchLine(l, r.Missing)
	}
	parts := []string{strings.Join(lines, " + ")}
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	o := r.Order
	if o.Due != "" {
		add("due %s", sketchTime(o.Due))
	}
	if o.BlanksBy != "" {
		add("blanks %s", sketchTime(o.BlanksBy))
	}
	if o.For != "" {
		add("for %s", o.For)
	}
	if o.Ref != "" {
		add("ref %s", o.Ref)
	}
	if o.ArtOK {
		add("art ok")
	}
	if o.Rush {
		add("rush")
	}
	for _, t := range r.Trouble {
		add("trouble %s", t.Kind)
	}
	return strings.Join(parts, " | ")
}

func sketchTime(text string) string {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return err.Error()
	}
	return t.Format("Mon Jan 2 15:04")
}

func sketchLine(l planner.Line, missing []string) string {
	count := strconv.Itoa(l.Quantity)
	for _, m := range missing {
		if m == "quantity" {
			count = "?"
		}
	}
	parts := []string{strings.TrimSpace(count + " " + l.Item)}
	add := func(s string) {
		if s != "" {
			parts = append(parts, s)
		}
	}
	add(l.Colour)
	add(strings.NewReplacer(" %", "", ",", "").Replace(swapShares(sayFibre(l.Fibre))))
	add(strings.NewReplacer(" ", "", ",", " ").Replace(saySizes(l.Sizes)))
	var prints []string
	for _, p := range l.Prints {
		prints = append(prints, sketchPrint(p))
	}
	add(strings.Join(prints, ", "))
	if l.Method != "" {
		add("method=" + l.Method)
	}
	add(l.Blanks)
	return strings.Join(parts, "; ")
}

// swapShares turns "60 % cotton" into "cotton 60".
func swapShares(s string) string {
	parts := strings.Split(s, ", ")
	for i, p := range parts {
		if n, f, ok := strings.Cut(p, " % "); ok {
			parts[i] = f + " " + n
		}
	}
	return strings.Join(parts, " ")
}

func sketchPrint(p planner.Print) string {
	s := p.Spot
	if s == "" {
		s = "?"
	}
	inches := func(mm float64) string {
		return strconv.FormatFloat(float64(int(mm/25.4*1000+0.5))/1000, 'f', -1, 64)
	}
	switch {
	case p.Width != 0 && p.Height != 0:
		s += " " + inches(p.Width) + "x" + inches(p.Height)
	case p.Width != 0:
		s += " " + inches(p.Width)
	case p.Height != 0:
		s += " x" + inches(p.Height)
	}
	if p.Art != "" {
		s += " (" + p.Art + ")"
	}
	if len(p.Texts) > 0 {
		s += " [" + strings.Join(p.Texts, ", ") + "]"
	}
	return s
}

// An orderCase is a message and the sketch of the order it holds.
type orderCase struct {
	line       int
	text, want string
}

// orderCases reads a table of messages: "> message", and its sketch below.
func orderCases(tb testing.TB, path string) []orderCase {
	tb.Helper()
	f, err := os.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	var out []orderCase
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		switch text := lines.Text(); {
		case strings.HasPrefix(text, "#") || text == "":
		case strings.HasPrefix(text, "> "):
			out = append(out, orderCase{line: n, text: text[2:]})
		default:
			out[len(out)-1].want = text
		}
	}
	if err := lines.Err(); err != nil {
		tb.Fatal(err)
	}
	return out
}

// leastRight are the shares of messages that must be read exactly. The half
// for tuning must be right throughout. Of messages never seen before, 84 to
// 88 % were right at first sight where they were short, 69 to 73 % where they
// rambled; those were then added to the tuned half and fresh ones written. What
// is missed now is printed with -v.
var leastRight = map[string]float64{"orders_tune.txt": 1, "orders_check.txt": 0.7}

func TestReadOrderMessages(t *testing.T) {
	env, reader := orderEnv(t)
	for _, file := range []string{"orders_tune.txt", "orders_check.txt"} {
		cases := orderCases(t, "testdata/"+file)
		right := 0
		for _, c := range cases {
			got := sketch(ReadOrder(reader.Read(c.text, env.Now), env))
			if got == c.want {
				right++
				continue
			}
			t.Logf("%s:%d: %s\n got %s\nwant %s", file, c.line, c.text, got, c.want)
		}
		t.Logf("%s: %d of %d messages read exactly", file, right, len(cases))
		if float64(right) < leastRight[file]*float64(len(cases)) {
			t.Errorf("%s: %d of %d messages read exactly, want at least %.0f %%", file, right, len(cases), 100*leastRight[file])
		}
	}
}
