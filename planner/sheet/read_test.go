package sheet

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestReadCSV(t *testing.T) {
	rows := []struct {
		name, text string
		want       []Piece
	}{
		{"millimetres and the default turn", "name,width,height,count\ncrest,90,60,12\n",
			[]Piece{{Name: "crest", Width: 90, Height: 60, Count: 12, Turn: true}}},
		{"units in the cell", "name,width,height,count,turn\nfront,9in,7 in,1,no\nback,9.5\",30cm,2,yes\n",
			[]Piece{{Name: "front", Width: 228.6, Height: 177.8, Count: 1}, {Name: "back", Width: 241.3, Height: 300, Count: 2, Turn: true}}},
		{"other order of columns, an order, spaces, a byte order mark", "\ufeffcount, Name ,HEIGHT,width,order\n3, \"owl, small\",20,30,library\n",
			[]Piece{{Name: "owl, small", Width: 30, Height: 20, Count: 3, Turn: true, Order: "library"}}},
		{"Windows line ends and a blank line", "name,width,height,count\r\n\r\na,1,2,3\r\n",
			[]Piece{{Name: "a", Width: 1, Height: 2, Count: 3, Turn: true}}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			got, err := ReadCSV(strings.NewReader(r.text))
			if err != nil {
				t.Fatal(err)
			}
			near := cmp.Comparer(func(a, b Piece) bool {
				return a.Name == b.Name && a.Count == b.Count && a.Turn == b.Turn && a.Order == b.Order &&
					nanometres(a.Width) == nanometres(b.Width) && nanometres(a.Height) == nanometres(b.Height)
			})
			if diff := cmp.Diff(r.want, got, near); diff != "" {
				t.Errorf("pieces differ (-want +got):\n%s", diff)
			}
		})
	}
}

func TestReadCSVFaults(t *testing.T) {
	const head = "name,width,height,count,turn\n"
	rows := []struct {
		name, text   string
		line, column int
		says         string
	}{
		{"empty file", "", 1, 1, "empty"},
		{"header only", head, 2, 1, "no pieces"},
		{"no header", "crest,90,60,12\n", 1, 1, "unknown column"},
		{"missing column", "name,width,count\na,1,1\n", 1, 1, `"height" is missing`},
		{"column twice", "name,width,height,count,width\n", 1, 25, "twice"},
		{"unknown column", "name,width,height,count,colour\n", 1, 25, "unknown column"},
		{"zero width", head + "a,0,60,12,yes\n", 2, 3, "width"},
		{"negative height", head + "a,90,-60,12,yes\n", 2, 6, "above zero"},
		{"not a number", head + "a,NaN,60,12,yes\n", 2, 3, "no length"},
		{"infinite", head + "a,90,inf,12,yes\n", 2, 6, "no length"},
		{"too large for a number", head + "a,1e999,60,12,yes\n", 2, 3, "no length"},
		{"huge size", head + "a,90,1e9,12,yes\n", 2, 6, "largest"},
		{"hexadecimal", head + "a,0x10,60,12,yes\n", 2, 3, "no length"},
		{"unknown unit", head + "a,90,60,12,yes\nb,9 furlong,60,1,yes\n", 3, 3, "mm, cm, m or in"},
		{"zero count", head + "a,90,60,0,yes\n", 2, 9, "count"},
		{"negative count", head + "a,90,60,-1,yes\n", 2, 9, "count"},
		{"half a piece", head + "a,90,60,1.5,yes\n", 2, 9, "whole number"},
		{"huge count", head + "a,90,60,20001,yes\n", 2, 9, "count"},
		{"count beyond all numbers", head + "a,90,60,99999999999999999999,yes\n", 2, 9, "whole number"},
		{"huge total", head + "a,9,6,12000,yes\nb,9,6,12000,yes\n", 3, 7, "in all"},
		{"unknown turn", head + "a,90,60,12,maybe\n", 2, 12, "yes or no"},
		{"missing cells", head + "a,90\n", 2, 3, "no length"},
		{"too many cells", head + "a,90,60,12,yes,what\n", 2, 16, "6 cells under 5 columns"},
		{"open quote", head + "\"a,90,60,12,yes\n", 2, 1, "no length"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			_, err := ReadCSV(strings.NewReader(r.text))
			read, ok := errors.AsType[*ReadError](err)
			if !ok {
				t.Fatalf("error = %v, want a *ReadError", err)
			}
			if read.Line != r.line || read.Column != r.column {
				t.Errorf("at %d:%d, want %d:%d (%v)", read.Line, read.Column, r.line, r.column, err)
			}
			if !strings.Contains(err.Error(), r.says) {
				t.Errorf("%q does not say %q", err, r.says)
			}
		})
	}
}

func TestReadJSON(t *testing.T) {
	got, err := ReadJSON(strings.NewReader(`[
	  {"name": "crest", "width": 90, "height": "60mm", "count": 12},
	  {"name": "front", "width": "10in", "height": 50.5, "count": 1, "turn": false, "order": "choir"}
	]`))
	if err != nil {
		t.Fatal(err)
	}
	want := []Piece{
		{Name: "crest", Width: 90, Height: 60, Count: 12, Turn: true},
		{Name: "front", Width: 254, Height: 50.5, Count: 1, Order: "choir"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("pieces differ (-want +got):\n%s", diff)
	}
}

func TestReadJSONFaults(t *testing.T) {
	rows := []struct {
		name, text string
		line       int
		says       string
	}{
		{"empty", "", 1, "want a list"},
		{"an object", "{}", 1, "want a list"},
		{"no pieces", "[]", 1, "no pieces"},
		{"unknown field", "[\n{\"nam\": \"a\"}]", 2, "nam"},
		{"zero width", "[\n {\"name\":\"a\",\"width\":0,\"height\":1,\"count\":1}]", 2, "width"},
		{"unknown unit", "[\n\n {\"name\":\"a\",\"width\":\"1 ell\",\"height\":1,\"count\":1}]", 3, "mm, cm, m or in"},
		{"no count", "[{\"name\":\"a\",\"width\":1,\"height\":1}]", 1, "count"},
		{"huge number", "[{\"name\":\"a\",\"width\":1e999,\"height\":1,\"count\":1}]", 1, "no length"},
		{"open list", "[{\"name\":\"a\",\"width\":1,\"height\":1,\"count\":1}", 1, "does not end"},
		{"something behind", "[{\"name\":\"a\",\"width\":1,\"height\":1,\"count\":1}] 7", 1, "behind"},
		{"broken", "[\n{\"name\": }]", 2, "invalid character"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			_, err := ReadJSON(strings.NewReader(r.text))
			read, ok := errors.AsType[*ReadError](err)
			if !ok {
				t.Fatalf("error = %v, want a *ReadError", err)
			}
			if read.Line != r.line || read.Column < 1 {
				t.Errorf("at %d:%d, want line %d (%v)", read.Line, read.Column, r.line, err)
			}
			if !strings.Contains(err.Error(), r.says) {
				t.Errorf("%q does not say %q", err, r.says)
			}
		})
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add("name,width,height,count,turn\ncrest,90,60,12,yes\n")
	f.Add("name,width,height,count\na,9in,7.5 cm,3\n")
	f.Add("name,width\n\"")
	f.Add("name,width,height,count\na,1e-9,NaN,0\n")
	f.Add("name,width,height,count\na\n")
	f.Fuzz(func(t *testing.T, text string) {
		pieces, err := ReadCSV(strings.NewReader(text))
		checkRead(t, text, pieces, err)
	})
}

func FuzzReadJSON(f *testing.F) {
	f.Add(`[{"name":"a","width":1,"height":"2in","count":3}]`)
	f.Add(`[{"name":"a"`)
	f.Fuzz(func(t *testing.T, text string) {
		pieces, err := ReadJSON(strings.NewReader(text))
		checkRead(t, text, pieces, err)
	})
}

// checkRead wants either an error with a place in the text, or pieces that
// Solve doesn't call faulty.
func checkRead(t *testing.T, text string, pieces []Piece, err error) {
	t.Helper()
	if err != nil {
		read, ok := errors.AsType[*ReadError](err)
		if !ok {
			t.Fatalf("error without a place: %v", err)
		}
		if lines := 2 + strings.Count(text, "\n") + strings.Count(text, "\r"); read.Line < 1 || read.Line > lines || read.Column < 1 {
			t.Fatalf("error at %d:%d of a text of %d lines: %v", read.Line, read.Column, lines, err)
		}
		return
	}
	if len(pieces) == 0 {
		t.Fatal("neither pieces nor an error")
	}
	if err := (Problem{Sheet: Sheet{Width: 100, Height: 100}, Pieces: pieces}).validate(); err != nil {
		t.Fatalf("read without an error, but: %v", err)
	}
}

func TestParseSheet(t *testing.T) {
	rows := []struct {
		text          string
		width, height float64
	}{
		// ISO 216:2007 and ASME Y14.1.
		{"a4", 210, 297}, {"A3", 297, 420}, {"letter", 215.9, 279.4}, {"tabloid", 279.4, 431.8}, {"legal", 215.9, 355.6},
		{"210x297", 210, 297}, {"8.5x11in", 215.9, 279.4}, {"8.5in x 11in", 215.9, 279.4}, {"30cm×400mm", 300, 400}, {"13 x 19 in", 330.2, 482.6},
	}
	for _, r := range rows {
		t.Run(r.text, func(t *testing.T) {
			s, err := ParseSheet(r.text)
			if err != nil {
				t.Fatal(err)
			}
			if got, want := fmt.Sprintf("%.4f %.4f", s.Width, s.Height), fmt.Sprintf("%.4f %.4f", r.width, r.height); got != want {
				t.Errorf("size = %s, want %s", got, want)
			}
		})
	}
	for _, text := range []string{"", "a9", "8.5", "x", "10x", "-1x5", "0x5", "NaNx5", "1e9x5", "10x20parsec"} {
		if s, err := ParseSheet(text); err == nil {
			t.Errorf("ParseSheet(%q) = %v, want an error", text, s)
		}
	}
}
