package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"presshand/planner/unit"
)

// referenceDir finds the folder of open data sets beside the repository, or
// skips the test.
func referenceDir(t testing.TB, set string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = parent
	}
	path := filepath.Join(dir, "..", "shared", "reference", set)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("no reference data: %v", err)
	}
	return path
}

// table is a CSV file with a header row.
type table struct {
	rows [][]string
	at   map[string]int
}

func readTable(t testing.TB, path string) table {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	return table{rows[1:], at}
}

func (tb table) text(row int, column string) string { return tb.rows[row][tb.at[column]] }

func (tb table) number(t testing.TB, row int, column string) int {
	t.Helper()
	n, err := strconv.Atoi(tb.text(row, column))
	if err != nil {
		t.Fatalf("row %d, %s: %v", row+2, column, err)
	}
	return n
}

// group is one class and size of the published instances.
type group struct{ class, n int }

// An instance is one of the 500 published two-dimensional bin packing
// problems: classes 1 to 6 by J. O. Berkey and P. Y. Wang, "Two-dimensional
// finite bin-packing algorithms", J. Operational Research Society 38(5), 1987;
// classes 7 to 10 by S. Martello and D. Vigo, "Exact solution of the
// two-dimensional finite bin packing problem", Management Science 44(3), 1998.
type instance struct {
	group
	number  int
	problem Problem // pieces may not turn
}

func (i instance) turning(turn bool) Problem {
	p := i.problem
	p.Pieces = append([]Piece(nil), p.Pieces...)
	for j := range p.Pieces {
		p.Pieces[j].Turn = turn
	}
	return p
}

func publishedInstances(t testing.TB) []instance {
	t.Helper()
	items := readTable(t, filepath.Join(referenceDir(t, "2dbp_berkey_martello"), "items.csv"))
	var all []instance
	for r := range items.rows {
		g := group{items.number(t, r, "class"), items.number(t, r, "n")}
		number := items.number(t, r, "instance")
		if len(all) == 0 || all[len(all)-1].group != g || all[len(all)-1].number != number {
			all = append(all, instance{group: g, number: number, problem: Problem{Sheet: Sheet{
				Width:  unit.Length(items.number(t, r, "bin_w")),
				Height: unit.Length(items.number(t, r, "bin_h")),
			}}})
		}
		p := &all[len(all)-1].problem
		p.Pieces = append(p.Pieces, Piece{
			Name:   items.text(r, "item"),
			Width:  unit.Length(items.number(t, r, "item_w")),
			Height: unit.Length(items.number(t, r, "item_h")),
			Count:  items.number(t, r, "copies"),
		})
	}
	return all
}
