package document

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// A Pos is a place in a file. Line and Column count from 1; Column counts
// characters, not bytes.
type Pos struct {
	File         string
	Line, Column int
}

// String returns "file:line:column".
func (p Pos) String() string {
	return p.File + ":" + strconv.Itoa(p.Line) + ":" + strconv.Itoa(p.Column)
}

// Compare orders places by file, line, column.
func (p Pos) Compare(q Pos) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// A Problem is one thing wrong with a file.
type Problem struct {
	Pos     Pos
	Message string // what was found, lower case, found words in quotes
	Rule    string // short name of the rule it breaks: "key", "unit", "ceiling"
	Line    string // the source line; "" where there is none
	Mend    string // what to write instead; "" where Message says it all
}

// String returns the problem on one line: "file:line:column: message [rule]".
func (p Problem) String() string {
	return fmt.Sprintf("%s: %s [%s]", p.Pos, p.Message, p.Rule)
}

// Detail returns String and under it the source line, a caret under the place
// (by display width, so that wide characters line up) and the mend.
func (p Problem) Detail() string {
	var b strings.Builder
	b.WriteString(p.String())
	if p.Line != "" {
		number := strconv.Itoa(p.Pos.Line)
		gutter := strings.Repeat(" ", len(number))
		fmt.Fprintf(&b, "\n  %s | %s", number, p.Line)
		if p.Pos.Column <= utf8.RuneCountInString(p.Line)+1 {
			fmt.Fprintf(&b, "\n  %s | %s^", gutter, indentTo(p.Line, p.Pos.Column))
		}
	}
	if p.Mend != "" {
		b.WriteString("\n  mend: " + p.Mend)
	}
	return b.String()
}

// indentTo returns blanks as wide as the first column-1 characters of line;
// tabs stay tabs, since their width is the terminal's.
func indentTo(line string, column int) string {
	var b strings.Builder
	for i, r := range []rune(line) {
		if i >= column-1 {
			break
		}
		if r == '\t' {
			b.WriteRune(r)
			continue
		}
		b.WriteString(strings.Repeat(" ", runewidth.RuneWidth(r)))
	}
	return b.String()
}

// Problems is everything wrong with a set of files, sorted.
type Problems []Problem

// Error returns every problem in detail.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Detail()
	}
	return strings.Join(lines, "\n")
}

// Sort orders ps by file, line, column and, at the same place, by message;
// equal problems are kept once.
func (ps Problems) Sort() Problems {
	slices.SortFunc(ps, func(a, b Problem) int {
		return cmp.Or(a.Pos.Compare(b.Pos), cmp.Compare(a.Message, b.Message))
	})
	return slices.Compact(ps)
}

// Err returns ps as an error, or nil where there is none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
