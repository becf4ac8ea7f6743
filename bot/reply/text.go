package reply

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// Text returns the answer as plain text: lines, tables, assumptions. It holds
// neither cautions nor suggestions.
func (r Reply) Text() string {
	parts := append([]string{}, r.Lines...)
	for _, t := range r.Tables {
		parts = append(parts, t.Text())
	}
	if len(r.Assumptions) > 0 {
		parts = append(parts, r.Taken())
	}
	return strings.Join(parts, "\n")
}

// Taken returns the assumptions as one line, "" where there are none.
func (r Reply) Taken() string {
	if len(r.Assumptions) == 0 {
		return ""
	}
	return r.Labels().Took + " " + strings.Join(r.Assumptions, "; ") + "."
}

// Full returns everything a plain face shows: the text, the cautions that
// matter now, and one line of what can be asked next.
func (r Reply) Full() string {
	parts := []string{r.Text()}
	for _, c := range r.Cautions {
		parts = append(parts, r.Labels().Careful+" "+c.Text)
	}
	if len(r.Suggestions) > 0 {
		parts = append(parts, r.Labels().Next+" "+strings.Join(r.Suggestions, " · "))
	}
	return strings.Join(parts, "\n")
}

// Text returns the table with its columns aligned by display width, two
// spaces between columns, numbers flush right where Right says so.
func (t Table) Text() string {
	widths := make([]int, len(t.Header))
	rows := append([][]string{t.Header}, t.Rows...)
	for _, row := range rows {
		for i, cell := range row {
			if i < len(widths) {
				widths[i] = max(widths[i], runewidth.StringWidth(cell))
			}
		}
	}
	var lines []string
	if t.Title != "" {
		lines = append(lines, t.Title)
	}
	for _, row := range rows {
		cells := make([]string, 0, len(row))
		for i, cell := range row {
			if i >= len(widths) {
				break
			}
			pad := strings.Repeat(" ", widths[i]-runewidth.StringWidth(cell))
			if i < len(t.Right) && t.Right[i] {
				cells = append(cells, pad+cell)
			} else {
				cells = append(cells, cell+pad)
			}
		}
		lines = append(lines, "  "+strings.TrimRight(strings.Join(cells, "  "), " "))
	}
	return strings.Join(lines, "\n")
}
