package press

import (
	"fmt"
	"strings"
)

// RunList is the plan as lines a person can follow: what hands do, and what
// machines are to be set to, by time: "08:12 press 1: load shirt 3".
func RunList(p Plan) []string {
	var out []string
	for i := range p.Steps {
		s := &p.Steps[i]
		if s.Word == StepCool {
			continue
		}
		where := "by hand"
		if len(s.Uses) > 0 {
			where = strings.ReplaceAll(s.Uses[0].Resource, "-", " ")
		}
		what := fmt.Sprintf("piece %d", s.Piece)
		if s.Sheet > 0 {
			what = fmt.Sprintf("sheet %d", s.Sheet)
		}
		out = append(out, fmt.Sprintf("%s %s: %s %s of %s", s.From.Format("15:04"), where, s.Word, what, s.Order))
	}
	return out
}
