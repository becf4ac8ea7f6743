package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"strconv"
	"strings"
	"testing"

	"presshand/planner/unit"
)

// texts returns what is written in a picture.
func texts(t *testing.T, p Problem, plan Plan) []string {
	t.Helper()
	var b bytes.Buffer
	if err := Draw(p, plan).SVG(&b); err != nil {
		t.Fatal(err)
	}
	var all []string
	d := xml.NewDecoder(&b)
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok && strings.TrimSpace(string(text)) != "" {
			all = append(all, string(text))
		}
	}
}

func TestDrawSaysWhatToCut(t *testing.T) {
	a4, _ := Known("a4")
	a4.Margin, a4.Gap = 5, 3
	rows := []struct {
		name string
		p    Problem
		want []string
	}{
		{"inches on letter", Problem{Sheet: letter(5, 3), Pieces: []Piece{{Name: "owl & co", Width: unit.Inches(3.5), Height: unit.Inches(3.5), Count: 9, Turn: true}}},
			[]string{"3 sheets, the fewest possible", "sheets 1 to 2, all alike", "sheet 3", "owl & co", "3.5 x 3.5 in", "free", "cut along", "5 in"}},
		{"millimetres on A4", Problem{Sheet: a4, Pieces: []Piece{{Name: "bun", Width: 60, Height: 50, Count: 2}}},
			[]string{"1 sheet, the fewest possible", "sheet 1", "bun", "60 x 50 mm", "50 mm"}},
		{"trimmer", Problem{Sheet: a4, Cut: Trimmer, Pieces: []Piece{{Name: "bun", Width: 60, Height: 50, Count: 4}}},
			[]string{"cut, in this order", "1", "2", "3"}},
		{"a strip", Problem{Sheet: Sheet{Width: 300}, Endless: true, Effort: 1000, Pieces: []Piece{{Name: "bun", Width: 100, Height: 50, Count: 4}}},
			[]string{"one strip, 100 mm long", "bun"}},
		{"too small for a name", Problem{Sheet: a4, Pieces: []Piece{{Name: "a very long name of a design", Width: 20, Height: 8, Count: 4}}},
			[]string{"#1", "a very long name of a design  20 x 8 mm, 4 of it"}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			got := texts(t, r.p, solve(t, r.p))
			for _, want := range r.want {
				found := false
				for _, text := range got {
					found = found || text == want
				}
				if !found {
					t.Errorf("%q is not in the picture: %q", want, got)
				}
			}
		})
	}
}

func TestDrawIsAPhoneWide(t *testing.T) {
	p := Problem{Sheet: letter(5, 3), Effort: 1000, Pieces: []Piece{
		{Name: "front", Width: 180, Height: 150, Count: 30, Turn: true},
		{Name: "sleeve", Width: 20, Height: 70, Count: 31, Turn: true},
	}}
	var b bytes.Buffer
	if err := Draw(p, solve(t, p)).PNG(&b); err != nil {
		t.Fatal(err)
	}
	config, err := png.DecodeConfig(&b)
	if err != nil {
		t.Fatal(err)
	}
	if config.Width != pictureWidth || config.Height > 4*pictureWidth {
		t.Errorf("picture is %d x %d, want %g wide and at most four times as high", config.Width, config.Height, pictureWidth)
	}
}

func TestDrawAlwaysShowsTheLastSheet(t *testing.T) {
	p := gang(10, 200)
	plan := solve(t, p)
	if len(alike(plan)) <= mostDrawn {
		t.Fatalf("%d layouts, want more than are drawn", len(alike(plan)))
	}
	found := false
	for _, text := range texts(t, p, plan) {
		found = found || strings.HasPrefix(text, "sheet") && strings.HasSuffix(text, strconv.Itoa(plan.Sheets))
	}
	if !found {
		t.Errorf("sheet %d is not in the picture", plan.Sheets)
	}
}
