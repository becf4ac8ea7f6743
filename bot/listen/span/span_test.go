package span

import (
	"bufio"
	"cmp"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// sketch writes the pieces of a reading in one line, plain words left out.
func sketch(r Reading) string {
	var parts []string
	for _, s := range r.Spans {
		text := sketchSpan(s)
		if text == "" {
			continue
		}
		if s.Negated {
			text = "!" + text
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " | ")
}

func sketchSpan(s Span) string {
	round := func(v float64, places float64) string {
		return strconv.FormatFloat(math.Round(v*places)/places, 'f', -1, 64)
	}
	switch s.Kind {
	case Word:
		return ""
	case Negation:
		return "not"
	case Rush:
		return "rush"
	case Dimension:
		w, h := round(s.Value/25.4, 1000), round(s.Value2/25.4, 1000)
		switch {
		case s.Value2 == 0:
			return "dimension " + w
		case s.Value == 0:
			return "dimension x" + h
		}
		return "dimension " + w + "x" + h
	case Temperature:
		if s.Value2 != 0 {
			return "temperature " + round(s.Value, 10) + ".." + round(s.Value2, 10)
		}
		return "temperature " + round(s.Value, 10)
	case Mass:
		if s.Unit == "fl oz" {
			return "mass " + round(s.Value, 10) + " fl oz"
		}
		return "mass " + round(s.Value, 10)
	case Quantity, Number, Duration, Money, Percent:
		return string(s.Kind) + " " + round(s.Value, 100)
	case When:
		return "when " + s.At.Format("Mon Jan 2 15:04")
	case SizeRun:
		return "run " + sketchRun(s.Sizes)
	case FibreShares:
		if len(s.Fibre) == 0 {
			return "shares ?"
		}
		var shares []string
		for _, id := range byShare(s.Fibre) {
			shares = append(shares, fmt.Sprintf("%s %d", id, s.Fibre[id]))
		}
		return "shares " + strings.Join(shares, " ")
	case Item:
		return "item " + s.Unit
	case Colour:
		return "colour " + strings.TrimSuffix(s.ID, "-trade")
	case Customer, Ref:
		return string(s.Kind) + " " + s.Text
	case Art:
		return strings.TrimSpace("art " + s.ID)
	}
	return string(s.Kind) + " " + s.ID
}

func sketchRun(sizes map[string]int) string {
	order := []string{"NB", "6M", "12M", "18M", "24M", "2T", "3T", "4T", "5T", "YXS", "YS", "YM", "YL", "YXL"}
	order = append(order, letterSizes[:]...)
	var keys []string
	for k := range sizes {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Compare(slices.Index(order, a), slices.Index(order, b)) })
	for i, k := range keys {
		keys[i] = k + strconv.Itoa(sizes[k])
	}
	return strings.Join(keys, " ")
}

func TestRead(t *testing.T) {
	reader, now := New(testBase(t), testProfile(t)), testNow(t)
	f, err := os.Open("testdata/spans.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		text, ok := strings.CutPrefix(lines.Text(), "> ")
		if !ok {
			continue
		}
		lines.Scan()
		n++
		t.Run(text, func(t *testing.T) {
			if got, want := sketch(reader.Read(text, now)), lines.Text(); got != want {
				t.Errorf("spans.txt:%d: %q\n got %s\nwant %s", n, text, got, want)
			}
		})
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
}
