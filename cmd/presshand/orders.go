package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"presshand/bot/answer"
	"presshand/bot/reply"
)

// ordersCommand shows the kept orders.
type ordersCommand struct {
	List   ordersList   `cmd:"" help:"List the kept orders, by due time."`
	Export ordersExport `cmd:"" help:"Write all kept orders to a .csv or .xlsx file."`
}

type ordersList struct {
	State []string `placeholder:"STATE" help:"Only these: open, priced, promised, running, ready, gone, dropped."`
}

// Run implements the command.
func (c *ordersList) Run(s *session) error {
	q := answer.OrderQuery{}
	for _, name := range c.State {
		if !isState(name) {
			return usageError{fmt.Errorf("--state %q is no state: use %s", name, stateNames())}
		}
		q.States = append(q.States, answer.State(name))
	}
	h, orders, err := s.keptOrders(q)
	if err != nil {
		return err
	}
	if len(orders) == 0 {
		s.print("No orders.")
		return nil
	}
	t := reply.Table{Header: []string{"order", "state", "for", "what", "due", "total"}, Right: []bool{true, false, false, false, false, true}}
	for _, k := range orders {
		t.Rows = append(t.Rows, []string{strconv.Itoa(k.Number), string(k.State), oneLine(k.Order.For), oneLine(h.desk.What(k.Order)), h.local(k.Due, "Mon 2 Jan 2006 15:04"), strings.TrimSpace(k.Total + " " + k.Currency)})
	}
	s.print(t.Text())
	return nil
}

func isState(name string) bool {
	for _, st := range answer.States() {
		if string(st) == name {
			return true
		}
	}
	return false
}

func stateNames() string {
	var names []string
	for _, st := range answer.States() {
		names = append(names, string(st))
	}
	return strings.Join(names, ", ")
}

// keptOrders reads orders and what is needed to put them into words.
func (s *session) keptOrders(q answer.OrderQuery) (*house, []answer.Kept, error) {
	kept, err := s.existingStore()
	if err != nil {
		return nil, nil, err
	}
	h, err := s.open()
	if err != nil {
		return nil, nil, err
	}
	orders, err := kept.Find(s.ctx, q)
	return h, orders, err
}

// local writes a time in the shop's zone, "" for none.
func (h *house) local(t time.Time, layout string) string {
	if t.IsZero() {
		return ""
	}
	if h.profile.Zone != nil {
		t = t.In(h.profile.Zone)
	}
	return t.Format(layout)
}

type ordersExport struct {
	File string `arg:"" help:"The file to write; it ends in .csv or .xlsx."`
}

// Run implements the command. The file is written whole or not at all.
func (c *ordersExport) Run(s *session) error {
	write := map[string]func(io.Writer, [][]string) error{".csv": writeCSV, ".xlsx": writeXLSX}[strings.ToLower(filepath.Ext(c.File))]
	if write == nil {
		return usageError{fmt.Errorf("%s ends in neither .csv nor .xlsx", c.File)}
	}
	h, orders, err := s.keptOrders(answer.OrderQuery{})
	if err != nil {
		return err
	}
	if err := writeWhole(c.File, func(w io.Writer) error { return write(w, h.table(orders)) }); err != nil {
		return err
	}
	s.print(fmt.Sprintf("%d orders written to %s.", len(orders), c.File))
	return nil
}

// columns of an export. Those of numbers are written as numbers where a format
// knows the difference.
func columns() []string {
	return []string{"order", "state", "for", "ref", "pieces", "what", "due", "ready", "total", "currency", "asked by", "kept", "changed", "note"}
}

func numeric(column int) bool {
	switch columns()[column] {
	case "order", "pieces", "total":
		return true
	}
	return false
}

func (h *house) table(orders []answer.Kept) [][]string {
	rows := [][]string{columns()}
	for _, k := range orders {
		pieces := 0
		for _, l := range k.Order.Lines {
			pieces += l.Quantity
		}
		rows = append(rows, []string{strconv.Itoa(k.Number), string(k.State), k.Order.For, k.Order.Ref, strconv.Itoa(pieces), h.desk.What(k.Order),
			h.local(k.Due, time.RFC3339), h.local(k.ReadyAt, time.RFC3339), k.Total, k.Currency, k.User, h.local(k.Created, time.RFC3339), h.local(k.Changed, time.RFC3339), k.Order.Note})
	}
	return rows
}

// writeCSV writes RFC 4180. A cell that a spreadsheet would take for a formula
// gets an apostrophe in front, so that what a customer wrote is never run.
func writeCSV(w io.Writer, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	for i, row := range rows {
		cells := make([]string, len(row))
		for j, cell := range row {
			cells[j] = cell
			if i == 0 || !numeric(j) {
				cells[j] = inert(cell)
			}
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// inert marks text that begins like a formula, also behind blanks.
func inert(cell string) string {
	if strings.ContainsAny(cell[:min(1, len(cell))], "\t\r\n") {
		return "'" + cell
	}
	if lead := strings.TrimLeft(cell, " \t\r\n\ufeff\u00a0"); lead != "" && strings.ContainsRune("=+-@\uff1d\uff0b\uff0d\uff20", []rune(lead)[0]) {
		return "'" + cell
	}
	return cell
}

// writeXLSX writes one sheet; text is stored as text and is no formula.
func writeXLSX(w io.Writer, rows [][]string) error {
	const name = "Orders"
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName(f.GetSheetName(0), name); err != nil {
		return err
	}
	for i, row := range rows {
		for j, cell := range row {
			at, err := excelize.CoordinatesToCellName(j+1, i+1)
			if err != nil {
				return err
			}
			if n, err := strconv.ParseFloat(cell, 64); err == nil && i > 0 && numeric(j) {
				if err := f.SetCellFloat(name, at, n, -1, 64); err != nil {
					return err
				}
				continue
			}
			if err := f.SetCellStr(name, at, cell); err != nil {
				return err
			}
		}
	}
	return f.Write(w)
}

// writeWhole writes a file beside its place and moves it there when it is
// whole.
func writeWhole(name string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(name), ".presshand-*")
	if err != nil {
		return pathError(err)
	}
	defer os.Remove(f.Name()) // gone already where all went well
	if err := write(f); err != nil {
		f.Close()
		return fmt.Errorf("%s: %w", name, err)
	}
	if err := f.Close(); err != nil {
		return pathError(err)
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}
