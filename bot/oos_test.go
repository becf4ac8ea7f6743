package bot_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"presshand/bot/bottest/questions"
	"presshand/bot/reply"
)

// mostTaken is the largest share of everyday queries that may be answered as
// if they were about this trade.
const mostTaken = 0.01

// aside are the intents that get a short neutral reply in any trade: small
// courtesies, timers, order status, help, unit conversions.
var aside = []string{
	"greeting", "goodbye", "thank_you", "yes", "no", "maybe", "repeat", "cancel",
	"timer", "order_status", "what_can_i_ask_you", "measurement_conversion",
}

// neutral are the topics of such replies.
var neutral = []string{"help", "none", "wait", "board", "convert"}

// TestEverydayQueries asks the public queries of CLINC150 (S. Larson and others,
// An evaluation dataset for intent classification and out-of-scope prediction,
// EMNLP-IJCNLP 2019), none of which is about this trade.
func TestEverydayQueries(t *testing.T) {
	root, err := questions.Root()
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(root, "..", "shared", "reference", "text_oos")
	if _, err := os.Stat(folder); err != nil {
		t.Skipf("no reference data at %s: put the CLINC150 files there to run this test", folder)
	}
	house, _ := open(t)
	queries := slices.Concat(
		readQueries(t, filepath.Join(folder, "clinc150_out_of_scope.csv")),
		readQueries(t, filepath.Join(folder, "clinc150_in_scope_test.csv")))
	var taken, loud []string
	asked, asides := 0, 0
	for i, q := range queries {
		if i%questions.Every != 0 {
			continue
		}
		r := house.Say(context.Background(), q.text)
		if slices.Contains(aside, q.intent) {
			asides++
			if r.Outcome != reply.Declined && !slices.Contains(neutral, r.Topic) {
				loud = append(loud, q.describe(r))
			}
			continue
		}
		asked++
		if r.Outcome != reply.Declined && r.Topic != "help" && r.Topic != "none" {
			taken = append(taken, q.describe(r))
		}
	}
	rate := float64(len(taken)) / float64(asked)
	t.Logf("%d queries: %d of %d answered as if of the trade (%.2f %%); of %d asides %d not neutral", len(queries), len(taken), asked, 100*rate, asides, len(loud))
	t.Logf("taken:\n%s\nasides:\n%s", strings.Join(some(taken), "\n"), strings.Join(some(loud), "\n"))
	if !notJudged(t) && rate > mostTaken {
		t.Errorf("%.2f %% answered as if of the trade, more than %.0f %%", 100*rate, 100*mostTaken)
	}
}

// some returns a hundred lines at most, spread over all.
func some(lines []string) []string {
	const most = 100
	if len(lines) <= most {
		return lines
	}
	var out []string
	for i := range most {
		out = append(out, lines[i*len(lines)/most])
	}
	return out
}

type query struct{ intent, text string }

func (q query) describe(r reply.Reply) string {
	line := ""
	if len(r.Lines) > 0 {
		line = r.Lines[0]
	}
	return fmt.Sprintf("%s: %q: %s (%s): %.80s", q.intent, q.text, r.Outcome, r.Topic, line)
}

func readQueries(t *testing.T, path string) []query {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	var out []query
	for _, row := range rows[1:] {
		out = append(out, query{intent: row[0], text: row[1]})
	}
	return out
}
