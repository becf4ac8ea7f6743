package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strconv"

	"presshand/bot/reply"
	"presshand/planner/picture"
	"presshand/planner/sheet"
	"presshand/planner/unit"
)

// gangCommand lays pieces on sheets.
type gangCommand struct {
	File    string  `arg:"" help:"CSV with header name,width,height,count,turn (mm, or a unit in the cell), or JSON; - for standard input."`
	JSON    bool    `name:"json" help:"Write the layout as JSON."`
	Sheet   string  `default:"letter" help:"letter, a4, a3, tabloid, or WxH in mm or with a unit: 8.5x11in."`
	Margin  float64 `default:"5" help:"Unprintable border, mm."`
	Gap     float64 `default:"3" help:"Between two pieces, mm."`
	Bleed   float64 `default:"0" help:"Printed beyond each piece and cut away, mm."`
	Turn    bool    `default:"true" negatable:"" help:"Whether pieces may turn; --turn=false for none."`
	Cut     string  `default:"free" enum:"free,trimmer" help:"free (scissors) or trimmer (edge to edge)."`
	Effort  int     `default:"0" help:"Search steps; 0 is the usual number."`
	Picture string  `placeholder:"FILE" help:"Draw the sheets to a .png or .svg file."`
}

// Run implements the command.
func (c *gangCommand) Run(s *session) error {
	data, err := s.read(c.File)
	if err != nil {
		return err
	}
	on, err := sheet.ParseSheet(c.Sheet)
	if err != nil {
		return usageError{fmt.Errorf("--sheet: %w", err)}
	}
	cut, err := sheet.ParseCut(c.Cut)
	if err != nil {
		return usageError{fmt.Errorf("--cut: %w", err)}
	}
	for _, f := range []struct {
		name  string
		value float64
	}{{"--margin", c.Margin}, {"--gap", c.Gap}, {"--bleed", c.Bleed}} {
		if !(f.value >= 0 && f.value < 1e5) {
			return usageError{fmt.Errorf("%s is %v: write a length in mm, 0 or more", f.name, f.value)}
		}
	}
	on.Margin, on.Gap = unit.Millimetres(c.Margin), unit.Millimetres(c.Gap)
	pieces, err := readPieces(c.File, data)
	if err != nil {
		return err
	}
	if !c.Turn {
		for i := range pieces {
			pieces[i].Turn = false
		}
	}
	p := sheet.Problem{Sheet: on, Pieces: pieces, Cut: cut, Bleed: unit.Millimetres(c.Bleed), Effort: c.Effort}
	plan, err := sheet.Solve(p)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if err := s.draw(c.Picture, func() *picture.Canvas { return sheet.Draw(p, plan) }); err != nil {
		return err
	}
	if c.JSON {
		return s.json(plan)
	}
	s.layout(plan)
	return nil
}

// readPieces reads CSV or JSON, told apart by the first character.
func readPieces(name string, data []byte) ([]sheet.Piece, error) {
	read := sheet.ReadCSV
	if head := bytes.TrimLeft(data, " \t\r\n\ufeff"); len(head) > 0 && (head[0] == '[' || head[0] == '{') {
		read = sheet.ReadJSON
	}
	pieces, err := read(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return pieces, nil
}

// layout writes a plan for people: the count first, then where pieces lie.
func (s *session) layout(plan sheet.Plan) {
	verdict := fmt.Sprintf("at least %d are needed", plan.AtLeast)
	if plan.Fewest {
		verdict = "the fewest possible"
	}
	fmt.Fprintf(s.streams.Out, "%d %s, %s; %.0f %% of the paper used.\n", plan.Sheets, sheetWord(plan), verdict, 100*plan.Used)
	t := reply.Table{Header: []string{"sheet", "piece", "x mm", "y mm", "width", "height", "turned"}, Right: []bool{true, false, true, true, true, true, false}}
	for _, p := range plan.Places {
		turned := ""
		if p.Turned {
			turned = "yes"
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(p.Sheet), p.Name, mm(p.X), mm(p.Y), mm(p.Width), mm(p.Height), turned})
	}
	fmt.Fprintln(s.streams.Out, t.Text())
}

func sheetWord(plan sheet.Plan) string {
	if plan.Sheets == 1 {
		return "sheet"
	}
	return "sheets"
}

func mm(l unit.Length) string { return strconv.FormatFloat(l.MM(), 'f', 1, 64) }

// read reads a file, or standard input where name is "-".
func (s *session) read(name string) ([]byte, error) {
	const most = 16 << 20
	if name == "-" {
		data, err := io.ReadAll(io.LimitReader(s.streams.In, most+1))
		if err != nil {
			return nil, fmt.Errorf("standard input: %w", err)
		}
		return data, nil
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, pathError(err)
	}
	if info.Size() > most {
		return nil, fmt.Errorf("%s is larger than 16 MB: split it", name)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, pathError(err)
	}
	return data, nil
}

// draw writes a picture to a file, where one is wanted.
func (s *session) draw(name string, canvas func() *picture.Canvas) error {
	if name == "" {
		return nil
	}
	f, err := os.Create(name)
	if err != nil {
		return pathError(err)
	}
	if err := canvas().Write(f, name); err != nil {
		f.Close()
		os.Remove(name) // an empty picture helps nobody
		return fmt.Errorf("--picture: %w", err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("--picture: %w", pathError(err))
	}
	return nil
}

// json writes a value on one line.
func (s *session) json(v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("writing the result: %w", err)
	}
	_, err = s.streams.Out.Write(append(data, '\n'))
	return err
}
