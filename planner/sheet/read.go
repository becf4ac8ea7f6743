package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"presshand/planner/unit"
)

// A ReadError says where in a file something is wrong. Line and Column count
// from 1; the column is in bytes.
type ReadError struct {
	Line, Column int
	Err          error
}

func (e *ReadError) Error() string { return fmt.Sprintf("%d:%d: %v", e.Line, e.Column, e.Err) }

// Unwrap returns what is wrong.
func (e *ReadError) Unwrap() error { return e.Err }

// columns are the columns of a piece list, in the order a person writes them.
func columns() []string { return []string{"name", "width", "height", "count", "turn", "order"} }

// ReadCSV reads pieces from CSV (RFC 4180) whose first row names the columns
// name, width, height, count, turn and order, in any order and case. width
// and height are in mm unless the cell carries a unit ("9in"); turn is yes or
// no, and yes where it is left out; order may be left out. A *ReadError gives
// line and column.
func ReadCSV(r io.Reader) ([]Piece, error) {
	c := csv.NewReader(skipMark(r))
	c.TrimLeadingSpace = true
	c.LazyQuotes = true // 9.5" is a length
	c.FieldsPerRecord = -1
	header, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, &ReadError{1, 1, errors.New("the file is empty: its first line must be name,width,height,count,turn")}
	}
	if err != nil {
		return nil, csvError(err)
	}
	at, err := readHeader(c, header)
	if err != nil {
		return nil, err
	}
	var pieces []Piece
	total := 0
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, csvError(err)
		}
		piece, err := readRow(c, at, row, len(header))
		if err != nil {
			return nil, err
		}
		total += piece.Count
		if total > MaxPieces {
			return nil, fieldError(c, at["count"], fmt.Errorf("more than %d copies in all: lay them out in smaller lots", MaxPieces))
		}
		pieces = append(pieces, piece)
	}
	if len(pieces) == 0 {
		return nil, &ReadError{2, 1, errors.New("no pieces under the header: write one a line, such as crest,90,60,12,yes")}
	}
	return pieces, nil
}

// skipMark drops the byte order mark that spreadsheets write before UTF-8.
func skipMark(r io.Reader) io.Reader {
	mark := []byte("\xef\xbb\xbf")
	head := make([]byte, len(mark))
	n, err := io.ReadFull(r, head)
	head = bytes.TrimPrefix(head[:n], mark)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return io.MultiReader(bytes.NewReader(head), failing{err})
	}
	return io.MultiReader(bytes.NewReader(head), r)
}

// failing repeats an error that came before the first line.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func csvError(err error) error {
	if parse, ok := errors.AsType[*csv.ParseError](err); ok {
		return &ReadError{parse.Line, max(parse.Column, 1), fmt.Errorf("not well-formed CSV: %w", parse.Err)}
	}
	return fmt.Errorf("reading the pieces: %w", err)
}

func fieldError(c *csv.Reader, field int, err error) error {
	line, column := c.FieldPos(field)
	return &ReadError{line, column, err}
}

// readHeader returns the index of each column by its name.
func readHeader(c *csv.Reader, header []string) (map[string]int, error) {
	at := map[string]int{}
	for i, cell := range header {
		name := strings.ToLower(strings.TrimSpace(cell))
		known := false
		for _, column := range columns() {
			known = known || name == column
		}
		if !known {
			return nil, fieldError(c, i, fmt.Errorf("unknown column %q: the columns are %s", cell, strings.Join(columns(), ", ")))
		}
		if _, twice := at[name]; twice {
			return nil, fieldError(c, i, fmt.Errorf("column %q stands twice", name))
		}
		at[name] = i
	}
	for _, name := range []string{"name", "width", "height", "count"} {
		if _, ok := at[name]; !ok {
			return nil, fieldError(c, 0, fmt.Errorf("column %q is missing: the first line must be name,width,height,count,turn", name))
		}
	}
	return at, nil
}

func readRow(c *csv.Reader, at map[string]int, row []string, columns int) (Piece, error) {
	if len(row) > columns {
		return Piece{}, fieldError(c, columns, fmt.Errorf("%d cells under %d columns", len(row), columns))
	}
	cell := func(name string) (string, bool) {
		i, ok := at[name]
		if !ok || i >= len(row) {
			return "", false
		}
		return strings.TrimSpace(row[i]), true
	}
	fault := func(name string, err error) error {
		return fieldError(c, min(at[name], len(row)-1), fmt.Errorf("%s: %w", name, err))
	}
	var piece Piece
	piece.Name, _ = cell("name")
	piece.Order, _ = cell("order")
	for _, side := range []struct {
		name string
		to   *unit.Length
	}{{"width", &piece.Width}, {"height", &piece.Height}} {
		text, _ := cell(side.name)
		length, err := parseLength(text)
		if err != nil {
			return Piece{}, fault(side.name, err)
		}
		*side.to = length
	}
	var err error
	text, _ := cell("count")
	if piece.Count, err = parseCount(text); err != nil {
		return Piece{}, fault("count", err)
	}
	text, _ = cell("turn")
	if piece.Turn, err = parseTurn(text); err != nil {
		return Piece{}, fault("turn", err)
	}
	if field, err := piece.validate(); err != nil {
		return Piece{}, fault(field, err)
	}
	return piece, nil
}

func parseLength(s string) (unit.Length, error) {
	value, name, err := splitUnit(strings.ToLower(s))
	if err != nil {
		return 0, err
	}
	return inUnit(value, name), nil
}

func parseCount(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0, fmt.Errorf("%q is no whole number", s)
	}
	return n, nil
}

func parseTurn(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "", "yes", "y", "true":
		return true, nil
	case "no", "n", "false":
		return false, nil
	}
	return false, fmt.Errorf("%q: write yes or no", s)
}

// ReadJSON reads a list of objects with the same fields as the columns of
// ReadCSV. Lengths are numbers of mm, or strings that may carry a unit; turn
// is true, false, or left out for true. A *ReadError gives line and column of
// the object at fault.
func ReadJSON(r io.Reader) ([]Piece, error) {
	data, err := io.ReadAll(skipMark(r))
	if err != nil {
		return nil, fmt.Errorf("reading the pieces: %w", err)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	fault := func(offset int64, err error) error {
		line, column := position(data, offset)
		return &ReadError{line, column, err}
	}
	token, err := d.Token()
	if err != nil || token != json.Delim('[') {
		return nil, fault(0, errors.New("want a list of pieces: [{\"name\": \"crest\", \"width\": 90, \"height\": 60, \"count\": 12}]"))
	}
	var pieces []Piece
	total := 0
	for d.More() {
		start := d.InputOffset()
		if skipSpace(data, start) == int64(len(data)) { // newer decoders say there is more
			break
		}
		var form pieceForm
		if err := d.Decode(&form); err != nil {
			return nil, fault(jsonOffset(err, start), err)
		}
		piece, err := form.piece()
		if err != nil {
			return nil, fault(skipSpace(data, start), fmt.Errorf("piece %d: %w", len(pieces)+1, err))
		}
		if total += piece.Count; total > MaxPieces {
			return nil, fault(skipSpace(data, start), fmt.Errorf("more than %d copies in all: lay them out in smaller lots", MaxPieces))
		}
		pieces = append(pieces, piece)
	}
	if _, err := d.Token(); err != nil {
		return nil, fault(d.InputOffset(), fmt.Errorf("the list does not end: %w", err))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, fault(d.InputOffset(), errors.New("something stands behind the list"))
	}
	if len(pieces) == 0 {
		return nil, fault(0, errors.New("the list holds no pieces"))
	}
	return pieces, nil
}

// pieceForm is a piece as JSON writes it.
type pieceForm struct {
	Name   string      `json:"name"`
	Width  lengthForm  `json:"width"`
	Height lengthForm  `json:"height"`
	Count  json.Number `json:"count"`
	Turn   *bool       `json:"turn"`
	Order  string      `json:"order"`
}

func (f pieceForm) piece() (Piece, error) {
	count, err := parseCount(f.Count.String())
	if err != nil {
		return Piece{}, fmt.Errorf("count: %w", err)
	}
	piece := Piece{Name: f.Name, Width: unit.Length(f.Width), Height: unit.Length(f.Height), Count: count, Turn: f.Turn == nil || *f.Turn, Order: f.Order}
	if field, err := piece.validate(); err != nil {
		return Piece{}, fmt.Errorf("%s: %w", field, err)
	}
	return piece, nil
}

// lengthForm is a length as JSON writes it: 90 or "9in".
type lengthForm unit.Length

// UnmarshalJSON reads a number of millimetres or a string with a unit.
func (l *lengthForm) UnmarshalJSON(data []byte) error {
	text := string(data)
	if len(data) > 0 && data[0] == '"' {
		if err := json.Unmarshal(data, &text); err != nil {
			return err
		}
	}
	length, err := parseLength(text)
	*l = lengthForm(length)
	return err
}

func jsonOffset(err error, start int64) int64 {
	if syntax, ok := errors.AsType[*json.SyntaxError](err); ok {
		return max(syntax.Offset-1, 0)
	}
	if kind, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		return max(kind.Offset-1, 0)
	}
	return start
}

func skipSpace(data []byte, offset int64) int64 {
	for offset < int64(len(data)) && strings.ContainsRune(" \t\r\n,[", rune(data[offset])) {
		offset++
	}
	return offset
}

func position(data []byte, offset int64) (line, column int) {
	before := data[:min(offset, int64(len(data)))]
	return 1 + bytes.Count(before, []byte("\n")), len(before) - bytes.LastIndexByte(before, '\n')
}
