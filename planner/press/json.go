package press

import (
	"encoding/json"
	"time"
)

type planJSON struct {
	Start       time.Time      `json:"start"`
	Finish      time.Time      `json:"finish"`
	Makespan    int64          `json:"makespan_s"`
	AtLeast     int64          `json:"at_least_s"`
	Changeovers int            `json:"changeovers"`
	Late        []lateJSON     `json:"late"`
	Steps       []stepJSON     `json:"steps"`
	Resources   []resourceJSON `json:"resources"`
}

type lateJSON struct {
	Order string `json:"order"`
	By    int64  `json:"by_s"`
}

type stepJSON struct {
	ID    string      `json:"id"`
	Order string      `json:"order"`
	Line  int         `json:"line"`
	Step  string      `json:"step"`
	Piece int         `json:"piece,omitempty"`
	Sheet int         `json:"sheet,omitempty"`
	From  time.Time   `json:"from"`
	To    time.Time   `json:"to"`
	Uses  []useJSON   `json:"uses"`
	After []afterJSON `json:"after"`
}

type useJSON struct {
	Resource string    `json:"resource"`
	Amount   int       `json:"amount"`
	From     time.Time `json:"from"`
	To       time.Time `json:"to"`
}

type afterJSON struct {
	Step string `json:"step"`
	Wait int64  `json:"wait_s"`
}

type resourceJSON struct {
	Name     string `json:"name"`
	Capacity int    `json:"capacity"`
}

// MarshalJSON writes the form promised to scripts: whole seconds, times with
// the shop's offset, empty lists as [].
func (p Plan) MarshalJSON() ([]byte, error) {
	out := planJSON{
		Start: p.Start, Finish: p.Finish, Makespan: seconds(p.Makespan), AtLeast: seconds(p.AtLeast),
		Changeovers: p.Changeovers, Late: []lateJSON{}, Steps: []stepJSON{}, Resources: []resourceJSON{},
	}
	for _, l := range p.Late {
		out.Late = append(out.Late, lateJSON{l.Order, seconds(l.By)})
	}
	for _, r := range p.Resources {
		out.Resources = append(out.Resources, resourceJSON{r.Name, r.Capacity})
	}
	for _, s := range p.Steps {
		j := stepJSON{ID: s.ID, Order: s.Order, Line: s.Line, Step: s.Word, Piece: s.Piece, Sheet: s.Sheet,
			From: s.From, To: s.To, Uses: []useJSON{}, After: []afterJSON{}}
		for _, u := range s.Uses {
			j.Uses = append(j.Uses, useJSON(u))
		}
		for _, a := range s.After {
			j.After = append(j.After, afterJSON{a.Step, seconds(a.Wait)})
		}
		out.Steps = append(out.Steps, j)
	}
	return json.Marshal(out)
}

func seconds(d time.Duration) int64 { return int64(d / time.Second) }
