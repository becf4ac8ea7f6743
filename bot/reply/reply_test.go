package reply

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"presshand/planner"
)

// The answer object has every key, in order, and lists are [] where empty.
func TestEmptyAnswerObject(t *testing.T) {
	data, err := json.Marshal(Reply{Question: "a < b & c", Outcome: Declined, Topic: "none", Lines: []string{"I don't know."}})
	if err != nil {
		t.Fatal(err)
	}
	want := `{"question":"a < b & c","outcome":"declined","topic":"none","text":"I don't know.","facts":[],"cautions":[],"assumptions":[],"suggestions":[],"methods":[],"order":null,"quote":null,"plan":null,"files":[]}`
	var got, wanted any
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(want), &wanted); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(wanted, got); diff != "" {
		t.Error(diff)
	}
	if keys(string(data)) != keys(want) {
		t.Errorf("keys come as %s", keys(string(data)))
	}
}

// keys lists the keys of the outermost object in their order.
func keys(object string) string {
	dec := json.NewDecoder(strings.NewReader(object))
	var out []string
	depth, expectKey := 0, false
	for {
		tok, err := dec.Token()
		if err != nil {
			return strings.Join(out, " ")
		}
		switch d := tok.(type) {
		case json.Delim:
			if d == '{' || d == '[' {
				depth++
			} else {
				depth--
			}
			expectKey = depth == 1
		default:
			if depth == 1 && expectKey {
				out = append(out, d.(string))
				expectKey = false
			} else if depth == 1 {
				expectKey = true
			}
		}
	}
}

// An order is written whole: {} and [] in place of what was not said.
func TestOrderIsWhole(t *testing.T) {
	o := planner.Order{Lines: []planner.Line{{Quantity: 24, Item: "tee", Prints: []planner.Print{{Spot: "front", Width: 228.6, Height: 177.8}}}}}
	data, err := json.Marshal(Reply{Order: &o})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"fibre":{}`, `"sizes":{}`, `"texts":[]`, `"due":""`, `"width":228.6,"height":177.8`} {
		if !strings.Contains(string(data), want) {
			t.Errorf("no %s in %s", want, data)
		}
	}
	if o.Lines[0].Fibre != nil {
		t.Error("writing an order changed it")
	}
}

// A range is there only where the base has one; private parts never are.
func TestFactsAndPrivacy(t *testing.T) {
	low, high := 300.0, 900.0
	r := Reply{
		Lines:   []string{"Leave it about 10 min."},
		Facts:   []Fact{{Name: "cool_wait", Value: 600.0, Low: &low, High: &high, Unit: "s", Source: Source{Kind: "practice"}}, {Name: "peel", Value: "cold", Source: Source{Kind: "practice"}}},
		Private: []string{"cost 12.00"},
		Note:    "stack trace",
	}
	data, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(data), `{"name":"cool_wait","value":600,"low":300,"high":900,"unit":"s","source":{"kind":"practice","cite":""}}`) {
		t.Errorf("facts: %s", data)
	}
	if !strings.Contains(string(data), `{"name":"peel","value":"cold","unit":"","source"`) {
		t.Errorf("facts: %s", data)
	}
	for _, secret := range []string{"12.00", "stack"} {
		if strings.Contains(string(data), secret) {
			t.Errorf("%q is in the answer object", secret)
		}
	}
}

// Columns align by display width, numbers flush right, no blanks at line ends.
func TestTable(t *testing.T) {
	table := Table{Title: "Prices:", Header: []string{"pieces", "each"}, Right: []bool{true, true}, Rows: [][]string{{"24", "15.11"}, {"100", "9.80"}, {"刷り", "1.00"}}}
	want := "Prices:\n  pieces   each\n      24  15.11\n     100   9.80\n    刷り   1.00"
	if diff := cmp.Diff(want, table.Text()); diff != "" {
		t.Error(diff)
	}
}

// The text holds neither cautions nor suggestions; the full text has both,
// with the labels of the answer's language.
func TestTextAndFull(t *testing.T) {
	r := Reply{Lines: []string{"Wait 10 min."}, Assumptions: []string{"cotton", "white"}, Cautions: []Caution{{"hot", "It is hot."}}, Suggestions: []string{"why?", "settings"}}
	if diff := cmp.Diff("Wait 10 min.\nI took: cotton; white.", r.Text()); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff("Wait 10 min.\nI took: cotton; white.\nCareful: It is hot.\nNext: why? · settings", r.Full()); diff != "" {
		t.Error(diff)
	}
	r.Words = Words{Took: "Supuse:", Careful: "Cuidado:", Next: "Luego:"}
	if diff := cmp.Diff("Wait 10 min.\nSupuse: cotton; white.\nCuidado: It is hot.\nLuego: why? · settings", r.Full()); diff != "" {
		t.Error(diff)
	}
}
